"""Factors of size, condition and where a vehicle lives, as a shop sets them."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.desk.settings import HOURS_OUTSIDE, SIZE_FACTORS
from app.actions.shop.factors import (
    changed_place_factors,
    changed_work_factors,
    place_factors,
    set_place_factor,
    set_work_factor,
    work_factors,
)
from app.calculations.layers.exposure import FACTORS, exposure
from app.errors import Mendable


def test_a_new_book_has_the_usual_factors_for_every_size_condition_and_answer(desk: Desk) -> None:
    rows = {(row.group, row.name): row.factors for row in work_factors(desk)}
    assert {name: rows["size", name]["supplies"].value for name in SIZE_FACTORS} == SIZE_FACTORS
    assert rows["size", "L"]["hours outside"].value == HOURS_OUTSIDE["L"]
    assert set(rows["condition", "kept"]) == {"supplies", "hours outside"}
    places = place_factors(desk)
    assert len(places) == sum(len(answers) for answers in FACTORS.values())
    assert changed_work_factors(desk) == changed_place_factors(desk) == 0


def test_a_factor_holds_from_then_on_and_an_empty_one_is_the_usual_again(desk: Desk) -> None:
    set_work_factor(desk, "hours_outside", "XL", "1,6")
    assert desk.settings.hours_outside["XL"] == 1.6
    assert changed_work_factors(desk) == 1
    set_work_factor(desk, "hours_outside", "XL", "")
    assert desk.settings.hours_outside == HOURS_OUTSIDE
    assert changed_work_factors(desk) == 0


def test_where_a_vehicle_lives_counts_as_the_shop_says(desk: Desk) -> None:
    set_place_factor(desk, "washed", "weekly brushes", "1/2")
    answers = {"washed": "weekly brushes"}
    usual, own = exposure(answers), exposure(answers, desk.settings.exposure_factors)
    assert own.factor == pytest.approx(usual.factor * 0.5 / 0.6)
    set_place_factor(desk, "washed", "weekly brushes", "0.6")
    assert desk.settings.exposure_factors == {}


@pytest.mark.parametrize("typed", ["0", "-1", "6", "much", "1e9", "nan"])
def test_what_is_no_factor_is_refused_with_a_sentence_and_changes_nothing(
    desk: Desk, typed: str
) -> None:
    with pytest.raises(Mendable, match="is no factor"):
        set_work_factor(desk, "size_factors", "L", typed)
    with pytest.raises(Mendable, match="is no factor"):
        set_place_factor(desk, "stands", "street", typed)
    with pytest.raises(Mendable, match="There is no factor"):
        set_work_factor(desk, "zone", "L", "1")
    with pytest.raises(Mendable, match="There is no factor"):
        set_place_factor(desk, "stands", "barn", "1")
    assert changed_work_factors(desk) == changed_place_factors(desk) == 0
