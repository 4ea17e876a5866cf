"""Gallon, quart or pint. Prices and lives are common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from app.calculations.orders.packs import (
    PackChoice,
    choose_pack,
    pack_steps,
    used_within,
    weigh_packs,
)
from app.calculations.orders.shelf_state import EARLY, OrderSettings, PackOffer, SupplyState

OUNCE = 29_574
MONTH = 30.4
PINT, QUART, GALLON = 1, 2, 3


@pytest.mark.parametrize(
    ("name", "prices", "ounces_a_month", "opened_months", "expected"),
    [
        ("one-step polish", (2800, 4500, 12000), 20, 18, GALLON),
        ("finishing polish", (2800, 4500, 12000), 5, 18, QUART),
        ("rinseless wash", (2000, 3200, 8500), 10, 24, GALLON),
        ("panel wipe", (None, 1600, 4200), 70, 24, GALLON),
        ("iron remover", (1800, None, 8000), 45, 12, GALLON),
        ("leather cleaner", (1600, 2800, 7000), 6, 18, QUART),
    ],
)
def test_the_pack_is_the_one_that_a_careful_buyer_takes(
    name: str,
    prices: tuple[int | None, ...],
    ounces_a_month: float,
    opened_months: int,
    expected: int,
) -> None:
    offers = [
        PackOffer(pack, ounces * OUNCE, price)
        for pack, ounces, price in zip((PINT, QUART, GALLON), (16, 32, 128), prices, strict=True)
        if price is not None
    ]
    per_day = ounces_a_month * OUNCE / MONTH
    mean = per_day * np.arange(1, 366)
    supply = SupplyState(
        supply=1, supplier=1, on_hand=0, opened_life_days=round(opened_months * MONTH)
    )
    choice = choose_pack(supply, offers, mean, per_day, 0.0, OrderSettings())
    assert choice.offer.pack == expected, name
    assert not choice.outlives


def test_where_every_pack_outlives_its_life_the_smallest_is_taken_and_said() -> None:
    offers = [PackOffer(1, 500, 100), PackOffer(2, 900, 120)]
    supply = SupplyState(supply=1, supplier=1, on_hand=0, shelf_life_days=100)
    choice = choose_pack(supply, offers, np.arange(1.0, 366.0), 1.0, 10.0, OrderSettings())
    assert (choice.offer.pack, choice.outlives) == (1, True)


def test_without_a_forecast_the_missing_quantity_is_bought_at_the_least_price() -> None:
    offers = [PackOffer(1, 500, 1000), PackOffer(2, 2000, 3000)]
    supply = SupplyState(supply=1, supplier=1, on_hand=0)
    nothing = np.zeros(365)
    few, many = (
        choose_pack(supply, offers, nothing, 0.0, missing, OrderSettings()).offer.pack
        for missing in (400.0, 1900.0)
    )
    assert (few, many) == (1, 2)


def test_without_a_forecast_ten_may_cost_less_than_the_nine_that_are_missing() -> None:
    """Nine for 9.00, ten from a break for 5.00; a pack of nine for 7.00 is neither."""
    offers = [PackOffer(1, 100, 100, breaks=((10, 50),)), PackOffer(2, 900, 700)]
    supply = SupplyState(supply=1, supplier=1, on_hand=0)
    choice = choose_pack(supply, offers, np.zeros(365), 0.0, 900.0, OrderSettings())
    assert choice.offer.pack == 1


def test_of_packs_that_cost_the_same_the_smaller_is_taken() -> None:
    offers = [PackOffer(1, 2000, 700), PackOffer(2, 500, 700)]
    supply = SupplyState(supply=1, supplier=1, on_hand=0)
    choice = choose_pack(supply, offers, np.zeros(365), 0.0, 400.0, OrderSettings())
    assert choice.offer.pack == 2


def test_need_beyond_the_horizon_goes_on_at_the_usual_rate() -> None:
    mean = 2.0 * np.arange(1, 366)
    assert used_within(mean, 2.0, 0.5) == 0
    assert used_within(mean, 2.0, 10) == 20
    assert used_within(mean, 2.0, 730) == pytest.approx(1460)


def test_the_price_break_taken_is_that_of_the_textbook() -> None:
    """Snyder and Shen, Fundamentals of Supply Chain Theory, example 3.6: 1300 a year, ordering
    8, 0.75 each, from 400 on 0.72, from 800 on 0.68, 30 % a year: 800 for 978.60, of which 13.00
    are for ordering."""
    offer = PackOffer(1, 1, 7500, breaks=((400, 7200), (800, 6800)))
    per_day = 1300 / 365
    settings = OrderSettings(freight_days=365 / 0.3 / EARLY, longest_days=365)
    supply = SupplyState(supply=1, supplier=1, on_hand=0)
    mean = per_day * np.arange(1, 366)
    choice = choose_pack(supply, [offer], mean, per_day, 0.0, settings)
    assert choice.at_once == 800
    as_one = PackOffer(2, 800, 800 * 6800)
    (weight,) = weigh_packs(supply, [as_one], per_day, settings)
    assert weight.year_cost / 10_000 == pytest.approx(978.60 - 8 * 1300 / 800)


def test_a_break_is_not_taken_where_its_last_pack_is_due_too_late_or_would_not_keep() -> None:
    offer = PackOffer(1, 100, 4000, breaks=((4, 3600),))
    mean = 10.0 * np.arange(1, 366)
    plain = SupplyState(supply=1, supplier=1, on_hand=0)

    def at_once(supply: SupplyState, per_day: float, position: float = 0.0) -> int:
        needs = mean * per_day / 10
        return choose_pack(supply, [offer], needs, per_day, 0.0, OrderSettings(), position).at_once

    assert at_once(plain, 10.0) == 4  # three last 30 days
    assert at_once(plain, 5.0) == 1  # three last 60 days, more than the 56 allowed
    short = SupplyState(
        supply=1, supplier=1, on_hand=0, shelf_life_days=60
    )  # 45 days' worth keeps: 450
    assert at_once(short, 10.0) == 4
    assert at_once(short, 10.0, position=100.0) == 1


def test_more_packs_that_cost_no_more_than_fewer_are_taken_whatever_else() -> None:
    offer = PackOffer(1, 100, 45, breaks=((4, 33), (10, 20)))
    steps = pack_steps(PackChoice(offer, 1e9, False), 12)
    # three cost 135, four 132; seven cost 231, ten 200
    assert [(one.nth, one.packs) for one in steps[:4]] == [(0, 1), (1, 1), (2, 2), (4, 1)]
    bought = {one.nth + one.packs for one in steps}
    assert {3, 7, 8, 9}.isdisjoint(bought)
    costs = [offer.each(1)]
    for one in steps[1:]:
        costs.append(costs[-1] + one.price)
    assert costs == [(one.nth + one.packs) * offer.each(one.nth + one.packs) for one in steps]


def test_what_speaks_against_the_gallon_is_how_long_it_lasts_once_opened() -> None:
    offers = [PackOffer(1, 16 * OUNCE, 2800), PackOffer(2, 32 * OUNCE, 4500),
              PackOffer(3, 128 * OUNCE, 12000)]  # fmt: skip
    supply = SupplyState(supply=1, supplier=1, on_hand=0, opened_life_days=round(18 * MONTH))
    pint, quart, gallon = weigh_packs(supply, offers, 5 * OUNCE / MONTH, OrderSettings())
    assert (pint.keeps, quart.keeps, gallon.keeps) == (True, True, False)
    assert gallon.finish_days is not None
    assert gallon.finish_days / MONTH == pytest.approx(25.6, abs=0.1)
    assert gallon.each * OUNCE == pytest.approx(93.75)
    unused = weigh_packs(supply, offers, 0.0, OrderSettings())
    assert [one.finish_days for one in unused] == [None] * 3


def test_bottles_that_are_opened_one_by_one_are_weighed_one_by_one() -> None:
    """Three of 30 last 90 days sealed; each opened one must be used up within 30."""
    three = PackOffer(1, 90, 240, containers=3)
    supply = SupplyState(supply=1, supplier=1, on_hand=0, opened_life_days=41)
    choice = choose_pack(
        supply, [three, PackOffer(2, 30, 90)], np.arange(1.0, 366.0), 1.0, 0.0, OrderSettings()
    )
    assert (choice.offer.pack, choice.outlives) == (1, False)
    as_one = choose_pack(
        supply, [PackOffer(1, 90, 240), PackOffer(2, 30, 90)], np.arange(1.0, 366.0), 1.0, 0.0,
        OrderSettings(),
    )  # fmt: skip
    assert as_one.offer.pack == 2


@pytest.mark.parametrize(("size", "days"), [(30, 3), (31, 4), (100, 10), (110, 10.2)])
def test_a_pack_is_finished_on_the_first_day_by_which_so_much_is_used(
    size: int, days: float
) -> None:
    # ten a day for ten days are known, then fifty a day
    mean = 10.0 * np.arange(1, 11)
    supply = SupplyState(supply=1, supplier=1, on_hand=0)
    (weight,) = weigh_packs(supply, [PackOffer(1, size, 100)], 50.0, OrderSettings(), mean)
    assert weight.finish_days == pytest.approx(days)


def test_what_keeps_is_the_shorter_of_both_lives() -> None:
    offers = [PackOffer(1, 100, 250)]

    def keeps(**lives: int) -> int | None:
        supply = SupplyState(supply=1, supplier=1, on_hand=0, **lives)  # type: ignore[arg-type]
        return weigh_packs(supply, offers, 1.0, OrderSettings())[0].keeps_days

    assert keeps(opened_life_days=90, shelf_life_days=400) == 90
    assert keeps(opened_life_days=900, shelf_life_days=400) == 400
    assert keeps() is None


def test_packs_stand_by_their_size_and_cost_their_price_where_nothing_is_used() -> None:
    offers = [PackOffer(3, 900, 500), PackOffer(1, 100, 250), PackOffer(2, 100, 200)]
    supply = SupplyState(supply=1, supplier=1, on_hand=0)
    found = weigh_packs(supply, offers, 0.0, OrderSettings())
    assert [(one.pack, one.year_cost) for one in found] == [(1, 250), (2, 200), (3, 500)]


@pytest.mark.parametrize(("life", "keeps"), [(40, True), (39, False)])
def test_a_pack_must_be_used_up_within_three_quarters_of_its_life(life: int, keeps: bool) -> None:
    """Thirty days' worth: 0.75 of 40 days, the last of which counts."""
    supply = SupplyState(supply=1, supplier=1, on_hand=0, shelf_life_days=life)
    mean = np.arange(1.0, 366.0)
    (weight,) = weigh_packs(supply, [PackOffer(1, 30, 100)], 1.0, OrderSettings(), mean)
    assert weight.keeps == keeps


@pytest.mark.parametrize(("packs", "each"), [(1, 45), (3, 45), (4, 38), (11, 38), (12, 34)])
def test_a_break_holds_from_its_own_number_of_packs_on(packs: int, each: int) -> None:
    assert PackOffer(1, 100, 45, breaks=((12, 34), (4, 38))).each(packs) == each


def test_the_dearer_money_is_the_smaller_the_pack() -> None:
    """With 120 days the money costs 365 / 120 / 12 = 0.2535 a year of what lies in half a pack."""
    offers = [PackOffer(1, 1000, 1000), PackOffer(2, 4000, 3900)]
    supply = SupplyState(supply=1, supplier=1, on_hand=0)
    per_day = 4000 / 365  # four small packs a year
    small, large = weigh_packs(supply, offers, per_day, OrderSettings(freight_days=120))
    assert small.year_cost == pytest.approx(4000 + 0.2535 / 2 * 1000, abs=0.1)
    assert large.year_cost == pytest.approx(3900 + 0.2535 / 2 * 3900, abs=0.3)
    choice = choose_pack(
        supply, offers, per_day * np.arange(1, 366), per_day, 0.0, OrderSettings(freight_days=120)
    )
    assert choice.offer.pack == 1


def test_a_break_is_taken_where_its_packs_keep_to_the_last_drop() -> None:
    """Three of 100 are the 30 days' worth that 0.75 of 40 days lets keep."""
    offer = PackOffer(1, 100, 4000, breaks=((3, 3600),))
    supply = SupplyState(supply=1, supplier=1, on_hand=0, shelf_life_days=40)
    mean = 10.0 * np.arange(1, 366)
    assert choose_pack(supply, [offer], mean, 10.0, 0.0, OrderSettings()).at_once == 3
    assert choose_pack(supply, [offer], mean, 10.0, 0.0, OrderSettings(), 1.0).at_once == 1
