"""The figures of an order and of its lines, reckoned by hand beside the rule."""

from __future__ import annotations

from datetime import date

import pytest

from app.calculations.orders.proposal import SupplierProposal
from app.calculations.orders.reorder import propose
from app.calculations.orders.shelf_state import (
    BookedNeed,
    OnOrder,
    OrderSettings,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
)

MONDAY = date(2026, 11, 2).toordinal()
SIX = (6,) * 200


def order(
    *supplies: SupplyState,
    settings: OrderSettings | None = None,
    notice: int = 60,
    **terms: object,
) -> SupplierProposal:
    facts: dict[str, object] = {"lead_days": SIX, "promised_days": 6, "freight": 1400}
    supplier = SupplierState(supplier=1, **(facts | terms))  # type: ignore[arg-type]
    state = ShelfState(MONDAY, supplies, (supplier,), (notice,) * 500, settings or OrderSettings())
    (found,) = propose(state).suppliers
    return found


def supply(number: int, on_hand: int, *booked: tuple[int, int], **more: object) -> SupplyState:
    facts: dict[str, object] = {"supplier": 1, "packs": (PackOffer(number, 1000, 900),)}
    needs = tuple(BookedNeed(MONDAY + day, amount, 0.0, day) for day, amount in booked)
    return SupplyState(supply=number, on_hand=on_hand, booked=needs, **(facts | more))  # type: ignore[arg-type]


def test_an_order_costs_its_goods_with_freight_and_fee() -> None:
    found = order(supply(1, 0, (3, 1500)), supply(2, 0, (4, 900), hazardous=True), hazard_fee=2500)
    lines = {line.supply: line for line in found.lines}
    assert {number: line.cost for number, line in lines.items()} == {1: 1800, 2: 900}
    assert [line.cost for line in found.lines] == [line.count * line.price for line in found.lines]
    assert all(line.quantity == 1000 * line.count for line in found.lines)
    assert (found.goods, found.freight, found.hazard_fee) == (2700, 1400, 2500)
    assert found.total == 2700 + 1400 + 2500


@pytest.mark.parametrize(
    ("weekdays", "first", "following"),
    [((), 0, 1), ((0,), 0, 7), ((3,), 3, 10), ((0, 3), 0, 3), ((1, 4), 1, 4)],
)
def test_the_days_of_an_order_follow_from_the_weekdays_on_which_it_goes_out(
    weekdays: tuple[int, ...], first: int, following: int
) -> None:
    found = order(supply(1, 0, (3, 1500)), order_weekdays=weekdays)
    assert found.delivery_day == MONDAY + first + 6
    assert found.following_day == MONDAY + following + 6
    assert found.next_order_day == MONDAY + (following if first == 0 else first)
    assert found.delivery_late_day >= found.delivery_day


def test_what_is_bought_along_ties_up_money_for_the_days_until_it_would_be_due() -> None:
    found = order(
        supply(1, 0, (3, 900)),
        supply(2, 300, (25, 1000)),
        supply(3, 300, (40, 1000)),
        free_freight_from=1800,
        settings=OrderSettings(freight_days=400),
    )
    fillers = [line for line in found.lines if line.filler]
    assert len(fillers) == 1
    assert found.freight == 0
    assert found.freight_saved == 1400
    assert found.tied_up == sum(line.cost for line in fillers) == 900
    # what is booked for the 25th day comes in time if it is ordered six days before
    assert found.tied_days == fillers[0].reason.needed_day - MONDAY == 25 - 6


def test_how_far_an_order_reaches_does_not_depend_on_how_much_of_what_is_due_is_left() -> None:
    """Just below its level one pack of the first is due, and freight is free with both others.

    Where nothing is left of it two packs are due; the order reaches as far, and the days of the
    others (25 - 6 and 40 - 6) count by the money in them.
    """
    for on_hand, packs in ((900, 1), (0, 2)):
        found = order(
            supply(1, on_hand, (3, 1000)),
            supply(2, 300, (25, 1000)),
            supply(3, 300, (40, 1000)),
            free_freight_from=2700,
            settings=OrderSettings(freight_days=400),
        )
        assert [(line.count, line.filler) for line in found.lines] == [
            (packs, False), (1, True), (1, True)
        ]  # fmt: skip
        assert found.tied_up == 2 * 900
        assert found.tied_days == pytest.approx((19 + 34) / 2, abs=0.5)
        assert found.freight_saved == 1400


def test_an_order_without_fillers_ties_up_and_saves_nothing() -> None:
    found = order(supply(1, 0, (3, 1000)))
    assert (found.tied_up, found.tied_days, found.freight_saved) == (0, 0, 0)
    assert not found.lines[0].filler


@pytest.mark.parametrize(("least", "below"), [(900, False), (10**7, True)])
def test_an_order_is_below_a_minimum_that_nothing_reaches(least: int, below: bool) -> None:
    found = order(supply(1, 0, (3, 900)), minimum_order=least)
    assert (found.goods, found.below_minimum) == (900, below)


def test_a_sale_that_begins_soon_is_named_with_its_days() -> None:
    sale = (MONDAY + 10, MONDAY + 14)
    found = order(supply(1, 0, (3, 900)), sale_spans=(sale, (MONDAY + 30, MONDAY + 31)))
    assert (found.sale_day, found.sale_last_day) == sale
    plain = order(supply(1, 0, (3, 900)))
    assert (plain.sale_day, plain.sale_last_day, plain.held_lines) == (None, None, 0)


@pytest.mark.parametrize(("booked", "kind"), [((3, 900), "booked"), (None, "usual")])
def test_the_kind_of_a_reason_is_what_asks_for_most(booked, kind) -> None:
    needs = () if booked is None else (booked,)
    found = order(supply(1, 0, *needs, use=[50] * 200), notice=60 if booked else 0)
    assert found.lines[0].reason.kind == kind
    assert (found.lines[0].reason.booked > 0) == (kind == "booked")
    # fifty a day for the seven days until the next delivery, where nothing is booked ahead
    assert found.lines[0].reason.unbooked == pytest.approx(0 if booked else 350, abs=70)


def test_the_reason_counts_the_booked_jobs_until_the_next_delivery() -> None:
    coming = (OnOrder(300, MONDAY + 2),)
    found = order(supply(1, 200, (2, 400), (5, 500), (30, 700), on_order=coming))
    why = found.lines[0].reason
    # Ordered tomorrow it would come in six days: what is booked until then has to be lasted.
    assert (why.kind, why.jobs, why.booked) == ("booked", 2, 900)
    assert (why.left, why.coming) == (200, 300)
    assert why.before_day == MONDAY + 1 + 6
    assert why.unbooked < 30
    assert not why.late
    assert (why.stop, why.instead_of, why.keeps_only) == (None, None, False)
    assert (why.break_saved, why.break_tied) == (0, 0)
    assert why.needed_day == MONDAY


def test_a_floor_is_the_reason_where_use_alone_would_ask_for_nothing() -> None:
    found = order(supply(1, 2500, (3, 300), floor=3000))
    (line,) = found.lines
    assert (line.reason.kind, line.reason.floor, line.count) == ("floor", 3000, 1)


def test_a_price_break_says_what_it_saves_and_what_it_ties_up() -> None:
    packs = (PackOffer(1, 1000, 900, breaks=((4, 600),)),)
    some = supply(1, 0, (3, 1500), (15, 900), (25, 900), packs=packs)
    (line,) = order(some).lines
    assert (line.count, line.price) == (4, 600)
    assert line.reason.break_saved == 4 * (900 - 600)
    # two are due for the 1,500 of the third day, the other two are bought for the break
    assert line.reason.break_tied == 2 * 600


def test_goods_that_last_longer_than_they_keep_are_said() -> None:
    short = supply(1, 0, (3, 100), shelf_life_days=60)
    assert order(short).lines[0].outlives
    assert not order(supply(1, 0, (3, 100))).lines[0].outlives


@pytest.mark.parametrize(("last", "late"), [(6, False), (7, False), (8, True)])
def test_the_stock_has_to_last_through_the_day_of_the_usual_delivery(last: int, late: bool) -> None:
    """Ordered tomorrow it comes on the seventh day; what is booked later asks for a late one."""
    found = order(supply(1, 200, (2, 100), (last, 500)), lead_days=(8,) * 10 + (6,) * 40)
    why = found.lines[0].reason
    assert why.late is late
    assert (why.before_day == MONDAY + 7) is not late
