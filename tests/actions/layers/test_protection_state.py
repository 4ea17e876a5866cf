"""What stands on all vehicles, and what is learnt from of what was seen of it."""

from __future__ import annotations

from datetime import date, timedelta

from app.actions.layers.protection_state import LEARN_FROM, newest
from app.calculations.layers.sightings import Observation


def seen(supply: int, day: int) -> Observation:
    return Observation(supply, 0.0, 100.0, 1.0, date(2020, 1, 1) + timedelta(days=day))


def test_of_each_supply_the_newest_sightings_teach_and_never_more_than_so_many() -> None:
    many = [seen(1, day) for day in range(LEARN_FROM + 50)]
    few = [seen(2, day) for day in range(0, 60, 3)]
    mixed = [one for pair in zip(many[:20], few, strict=True) for one in pair] + many[20:]
    kept = newest(mixed)
    assert [one for one in kept if one.supply == 2] == few
    assert [one for one in kept if one.supply == 1] == many[50:]
    assert kept == [one for one in mixed if one in kept]
