"""What stands on all vehicles, and what is learnt from of what was seen of it."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta

import pytest

from app.actions.desk.desk import Desk
from app.actions.layers import protection_state
from app.actions.layers.protection_state import LEARN_FROM, means_word, newest, protection
from app.actions.people.tidying import archive_vehicle
from app.actions.people.vehicles import edit_vehicle, sold
from app.calculations.layers.layers import Means, standing
from app.calculations.layers.sightings import Observation
from app.records.models import Supply
from app.records.queries import protection as queries
from tests.actions.layers.test_life_page import seen_gone
from tests.shop import TODAY, SmallShop

NOON = datetime(2025, 3, 1, 12, tzinfo=UTC)


def seen(supply: int, day: int) -> Observation:
    return Observation(supply, 0.0, 100.0, 1.0, date(2020, 1, 1) + timedelta(days=day))


def test_what_stands_is_the_same_without_what_was_before_an_abrasion(
    desk: Desk, shop: SmallShop
) -> None:
    supplies, rows = [shop.supplies["coating"], shop.supplies["wax"]], []
    with desk.book.load() as session:
        session.get_one(Supply, supplies[1]).protection = "carnauba wax"
    with desk.book.reading() as session:
        known = {row.supply_id: row for row in queries.protections(session)}
    chance = random.Random(5)
    for number in range(1, 200):
        kind = chance.choice(("applied", "applied", "applied", "stripped", "abraded"))
        at = NOON + timedelta(days=number // 3)
        group, supply = chance.choice(("upper sides", "upper horizontals")), chance.choice(supplies)
        rows.append(queries.EventRow(
            id=number, vehicle_id=1, day=at.date(), at=at, kind=kind, surface_group=group,
            supply_id=supply if kind == "applied" else None, note="",
        ))  # fmt: skip
        seen = [
            queries.JudgementRow(
                1, one.id, one.day + timedelta(days=2), one.surface_group, "", "fading"
            )
            for one in rows[-9::3]
        ]
        all_of_it = protection_state._as_events(desk, rows, seen, known)
        since = protection_state._since_bare(rows)
        few = protection_state._as_events(desk, since, seen, known)
        assert standing(few) == standing(all_of_it)
    assert len(few) < len(all_of_it) / 3


def test_of_each_supply_the_newest_sightings_teach_and_never_more_than_so_many() -> None:
    many = [seen(1, day) for day in range(LEARN_FROM + 50)]
    few = [seen(2, day) for day in range(0, 60, 3)]
    mixed = [one for pair in zip(many[:20], few, strict=True) for one in pair] + many[20:]
    kept = newest(mixed)
    assert [one for one in kept if one.supply == 2] == few
    assert [one for one in kept if one.supply == 1] == many[50:]
    assert kept == [one for one in mixed if one in kept]


@pytest.mark.parametrize("archived", [False, True])
def test_selling_or_archiving_a_vehicle_does_not_change_how_long_supplies_last(
    desk: Desk, shop: SmallShop, archived: bool
) -> None:
    wax, wagon = shop.supplies["wax"], shop.vehicles["wagon"]
    with desk.book.load() as session:
        session.get_one(Supply, wax).protection = "carnauba wax"
    edit_vehicle(desk, wagon, exposure={"stands": "desert or high sun", "washed": "weekly brushes"})
    seen_gone(desk, wagon, wax, 14, 40)
    before = protection(desk, TODAY)
    if archived:
        archive_vehicle(desk, wagon)
    else:
        sold(desk, wagon, TODAY)
    after = protection(desk, TODAY)
    assert len(before.observations) == 14
    assert all(one.exposure == pytest.approx(0.42) for one in before.observations)
    assert after.observations == before.observations
    assert after.lives.summary(wax) == before.lives.summary(wax)
    assert after.candidates == ()


@pytest.mark.parametrize(
    ("step", "means"),
    [
        ("Start wash", Means.STRIP_WASH), ("Strip the thousand scratches", Means.STRIP_WASH),
        ("Tar remover", Means.SOLVENT), ("Claying", Means.CLAY), ("Wet-sand", Means.SANDING),
        ("Panel wipe", Means.PANEL_WIPE), ("Swiped clean", Means.STRIP_WASH),
    ],
)  # fmt: skip
def test_what_a_step_takes_off_with_is_read_from_whole_words(step: str, means: Means) -> None:
    assert means_word("stripped", step) is means


def test_lives_are_learnt_once_for_a_day_that_is_left_and_looked_at_again(
    desk: Desk, shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    wax, wagon = shop.supplies["wax"], shop.vehicles["wagon"]
    with desk.book.load() as session:
        session.get_one(Supply, wax).protection = "carnauba wax"
    seen_gone(desk, wagon, wax, 14, 40)
    learnt: list[object] = []
    fit = protection_state.fit
    monkeypatch.setattr(protection_state, "fit", lambda *read: (learnt.append(read), fit(*read))[1])
    earlier = TODAY - timedelta(days=300)  # some were not seen gone by then
    lives = [protection(desk, day).lives for day in (TODAY, earlier)]
    assert len(learnt) == 2
    with desk.book.change("Another name") as session:
        session.get_one(Supply, wax).notes = "in the blue tin"
    assert [protection(desk, day).lives for day in (TODAY, earlier)] == lives
    assert len(learnt) == 2
