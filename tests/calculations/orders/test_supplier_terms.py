"""Cold stops, sales, price breaks, order days and second sources, as the order rule reads them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.calculations.orders.proposal import Proposal, ProposedLine, SupplyCover
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

WINTER = (date(2026, 12, 1).toordinal(), date(2027, 2, 28).toordinal())
EARLY, LAST = date(2026, 11, 2).toordinal(), date(2026, 11, 29).toordinal()
IN_WINTER, AFTER = date(2027, 1, 11).toordinal(), date(2027, 3, 1).toordinal()
SEEN = (4, 5, 6, 5, 9, 3, 5, 4)
NORTH = SupplierState(
    supplier=1,
    lead_days=SEEN,
    promised_days=5,
    freight=1400,
    free_freight_from=15000,
    cold_spans=(WINTER,),
)
STORE = SupplierState(supplier=2, lead_days=(1, 1, 1, 1, 1, 2), promised_days=1, freight=300)
STEADY = [800, 0, 900, 700, 0, 0, 0] * 30  # 2.4 a week, so about 31 in thirteen weeks


def shelf(
    *supplies: SupplyState,
    day: int,
    suppliers: tuple[SupplierState, ...] = (NORTH,),
    **chosen: float,
) -> ShelfState:
    # the history ends on the day that ends, whichever weekday that is
    moved = tuple(replace(one, use=_until(day) if len(one.use) else ()) for one in supplies)
    return ShelfState(day, moved, suppliers, (0,) * 60, OrderSettings(**chosen))  # type: ignore[arg-type]


def _until(day: int) -> list[int]:
    return [STEADY[(one - 1) % 7] for one in range(day - 209, day + 1)]


def soap(on_hand: int, number: int = 1, **more: object) -> SupplyState:
    facts: dict[str, object] = {
        "supplier": 1, "packs": (PackOffer(number * 10, 5000, 4000),), "use": STEADY,
        "no_frost": True,
    }  # fmt: skip
    return SupplyState(supply=number, on_hand=on_hand, **(facts | more))  # type: ignore[arg-type]


def lines(answer: Proposal) -> dict[int, ProposedLine]:
    return {line.supply: line for order in answer.orders for line in order.lines}


def cover(answer: Proposal) -> SupplyCover:
    return answer.covers[0]


# cold stops ---------------------------------------------------------------------------------
def test_what_is_needed_through_the_winter_is_ordered_before_the_stop() -> None:
    some = soap(9_000)
    assert not propose(shelf(some, day=EARLY)).orders
    line = lines(propose(shelf(some, day=LAST)))[1]
    assert (line.filler, line.reason.kind, line.reason.stop) == (False, "cold", WINTER)
    # 92 days to 1 March and about five for the delivery ask for about 33 in the mean, and the
    # winter may be a busy one
    assert 38_000 <= 9_000 + line.quantity <= 60_000
    assert line.reason.before_day >= AFTER + 4


def test_where_another_sells_it_through_the_winter_less_is_bought_ahead() -> None:
    packs = (PackOffer(10, 1000, 800), PackOffer(2, 1000, 1200, supplier=2))
    alone = lines(propose(shelf(soap(9_000, packs=packs[:1]), day=LAST)))[1]
    both = lines(propose(shelf(soap(9_000, packs=packs), day=LAST, suppliers=(NORTH, STORE))))[1]
    assert both.pack == 10
    assert 33_000 <= 9_000 + both.quantity < 9_000 + alone.quantity


def test_what_may_freeze_is_not_ordered_ahead_of_the_winter() -> None:
    assert not propose(shelf(soap(9_000, no_frost=False), day=LAST)).orders


def test_once_bought_for_the_winter_it_is_not_bought_again_on_the_next_evening() -> None:
    first = lines(propose(shelf(soap(9_000), day=LAST - 2)))[1]
    coming = (OnOrder(first.quantity, LAST + 3),)
    for day in (LAST - 1, LAST, IN_WINTER):
        assert not propose(shelf(soap(9_000, on_order=coming), day=day)).orders


def test_in_the_stop_nothing_that_freezes_is_proposed_and_the_cover_says_why() -> None:
    answer = propose(shelf(soap(0), day=IN_WINTER))
    assert not answer.orders
    found = cover(answer)
    assert (found.due, found.why_not, found.chance_day, found.stop) == (
        True,
        "cold",
        AFTER,
        WINTER,
    )
    assert lines(propose(shelf(soap(0, no_frost=False), day=IN_WINTER)))[1].count >= 1


def test_in_the_stop_another_who_sells_it_steps_in_for_what_cannot_wait() -> None:
    packs = (PackOffer(1, 5000, 4000), PackOffer(2, 1000, 1200, supplier=2))
    answer = propose(shelf(soap(500, packs=packs), day=IN_WINTER, suppliers=(NORTH, STORE)))
    (order,) = answer.orders
    assert order.supplier == 2
    (line,) = order.lines
    assert (line.pack, line.reason.instead_of, line.reason.stop) == (2, 1, WINTER)
    assert not line.filler
    # with enough there for a while nothing is bought dear
    plenty = soap(8_000, packs=packs)
    assert not propose(shelf(plenty, day=IN_WINTER, suppliers=(NORTH, STORE))).orders


def test_a_second_source_with_a_stop_of_its_own_is_no_way_out() -> None:
    packs = (PackOffer(1, 5000, 4000), PackOffer(2, 1000, 1200, supplier=2))
    cold_too = replace(STORE, cold_spans=(WINTER,))
    answer = propose(shelf(soap(500, packs=packs), day=IN_WINTER, suppliers=(NORTH, cold_too)))
    assert not answer.orders
    assert cover(answer).why_not == "cold"


def test_what_would_not_keep_through_the_winter_is_bought_only_so_far_as_it_keeps() -> None:
    """60 days on the shelf: 45 days' worth, about 15; not the 33 that the winter asks for."""
    some = soap(3_000, shelf_life_days=60, packs=(PackOffer(1, 1000, 900),))
    line = lines(propose(shelf(some, day=LAST)))[1]
    assert 3_000 + line.quantity <= 19_000
    assert 3_000 + line.quantity >= 12_000
    assert line.reason.keeps_only
    coming = (OnOrder(line.quantity, LAST + 3),)
    again = propose(shelf(replace(some, on_order=coming), day=LAST))
    assert not again.orders


def test_before_the_stop_the_order_goes_out_on_the_last_of_the_suppliers_days() -> None:
    """Thursdays: the 19th, since the 26th is too near to rely on; never later than the 26th."""
    thursdays = replace(NORTH, order_weekdays=(3,))
    asked = {
        day: bool(propose(shelf(soap(12_000), day=day, suppliers=(thursdays,))).orders)
        for day in range(date(2026, 11, 5).toordinal(), LAST + 1)
    }
    assert [date.fromordinal(day) for day, any_ in asked.items() if any_] == [
        date(2026, 11, 19),
        date(2026, 11, 26),
    ]


def test_an_order_that_goes_out_anyway_takes_along_what_the_winter_will_ask_for() -> None:
    """Eleven days before the last evening a winter's soap is due soon, though not yet."""
    day = LAST - 11
    other = soap(0, 2, no_frost=False, packs=(PackOffer(20, 5000, 4000),))
    answer = propose(shelf(soap(15_000), other, day=day))
    filler = lines(answer)[1]
    assert filler.filler
    assert day < filler.reason.needed_day <= LAST


# sales --------------------------------------------------------------------------------------
SALE = (EARLY + 10, EARLY + 17)


def test_what_can_wait_waits_for_the_sale_and_is_counted() -> None:
    supplies = [soap(stock, number, no_frost=False) for number, stock in
                ((1, 0), (2, 11_000), (3, 12_000), (4, 13_000))]  # fmt: skip
    plain = replace(NORTH, cold_spans=())
    without = propose(shelf(*supplies, day=EARLY, suppliers=(plain,))).orders[0]
    on_sale = replace(plain, sale_spans=(SALE,))
    with_sale = propose(shelf(*supplies, day=EARLY, suppliers=(on_sale,))).orders[0]
    assert any(line.filler for line in without.lines)
    late = [one for one in with_sale.lines if one.reason.needed_day >= SALE[0]]
    assert not late
    assert with_sale.held_worth > 0
    assert with_sale.held_worth == without.goods - with_sale.goods
    assert with_sale.held_lines >= 1
    assert (with_sale.sale_day, with_sale.sale_last_day) == SALE
    assert (without.sale_day, without.held_lines, without.held_worth) == (None, 0, 0)


def test_in_the_sale_nothing_is_held_back() -> None:
    supplies = [soap(stock, number, no_frost=False) for number, stock in ((1, 0), (2, 11_000))]
    now = replace(NORTH, cold_spans=(), sale_spans=((EARLY - 1, EARLY + 3),))
    order = propose(shelf(*supplies, day=EARLY, suppliers=(now,))).orders[0]
    assert order.held_lines == 0
    assert order.sale_last_day == EARLY + 3


def test_what_is_due_is_never_held_back() -> None:
    sale = replace(NORTH, cold_spans=(), sale_spans=((EARLY + 1, EARLY + 9),))
    assert lines(propose(shelf(soap(0, no_frost=False), day=EARLY, suppliers=(sale,))))[1].count


# price breaks -------------------------------------------------------------------------------
def test_a_break_worth_its_money_is_taken_and_said() -> None:
    plain = replace(NORTH, cold_spans=(), freight=0)
    pack = PackOffer(1, 5000, 4000)
    some = soap(0, no_frost=False, packs=(pack,))
    alone = lines(propose(shelf(some, day=EARLY, suppliers=(plain,))))[1]
    assert alone.count < 4
    broken = replace(pack, breaks=((4, 3400),))
    line = lines(propose(shelf(replace(some, packs=(broken,)), day=EARLY, suppliers=(plain,))))[1]
    assert (line.count, line.price, line.cost) == (4, 3400, 13_600)
    assert line.reason.break_saved == 4 * 600
    assert line.reason.break_tied in (2 * 3400, 3 * 3400)


def test_a_break_that_needs_more_than_the_next_eight_weeks_is_left() -> None:
    plain = replace(NORTH, cold_spans=())
    pack = PackOffer(1, 20_000, 8000, breaks=((4, 6800),))  # a pack lasts eight weeks
    line = lines(propose(shelf(soap(0, no_frost=False, packs=(pack,)), day=EARLY,
                               suppliers=(plain,))))[1]  # fmt: skip
    assert (line.count, line.price, line.reason.break_saved) == (1, 8000, 0)


# order days ---------------------------------------------------------------------------------
def test_what_is_due_on_another_weekday_says_when_orders_go_out() -> None:
    """2 November 2026 is a Monday; orders go out on Thursday the 5th."""
    thursdays = replace(NORTH, cold_spans=(), order_weekdays=(3,))
    answer = propose(shelf(soap(500), day=EARLY, suppliers=(thursdays,)))
    found = cover(answer)
    assert not answer.orders
    assert (found.due, found.why_not, found.chance_day) == (True, "weekday", EARLY + 3)
    (supplier,) = answer.suppliers
    assert supplier.delivery_day >= EARLY + 3 + 4
    assert supplier.following_day == supplier.delivery_day + 7


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"packs": ()}, "no pack"),
        ({"supplier": None, "packs": ()}, "no supplier"),
        ({"stopped": True}, "stopped"),
        ({}, ""),
    ],
)
def test_why_nothing_is_ordered_is_known(change: dict[str, object], why: str) -> None:
    answer = propose(shelf(soap(0, no_frost=False, **change), day=EARLY))
    assert cover(answer).why_not == why
    assert bool(answer.orders) == (why == "")


# second source ------------------------------------------------------------------------------
BOOKED = (BookedNeed(EARLY + 2, 2900, 0.0, 7),)
BOTH = (PackOffer(1, 5000, 4000), PackOffer(2, 1000, 1400, supplier=2))


def test_where_the_usual_delivery_is_too_late_another_is_named_with_what_it_costs_more() -> None:
    some = soap(1_000, use=(), booked=BOOKED, packs=BOTH, no_frost=False)
    state = replace(shelf(some, day=EARLY, suppliers=(NORTH, STORE)), notice=(60,) * 500)
    answer = propose(state)
    (other,) = answer.sooner
    assert (other.supply, other.supplier, other.pack, other.count) == (1, 2, 2, 2)
    assert other.delivery_day == EARLY + 1
    assert other.cost == 2 * 1400
    # the same 2.0 cost 16.00 in the usual pack; the parcel from the store costs 3.00
    assert (other.dearer, other.freight) == (2800 - 1600, 300)
    assert lines(answer)[1].pack == 1


def test_a_source_that_would_be_too_late_as_well_is_not_named() -> None:
    some = soap(1_000, use=(), booked=BOOKED, packs=BOTH, no_frost=False)
    slow = replace(STORE, lead_days=(6,) * 20, promised_days=6)
    closed = replace(STORE, order_weekdays=((date.fromordinal(EARLY) + timedelta(3)).weekday(),))
    for source in (slow, closed):
        assert not propose(shelf(some, day=EARLY, suppliers=(NORTH, source))).sooner


def test_what_comes_in_time_needs_no_other_source() -> None:
    later = (BookedNeed(EARLY + 20, 3000, 0.0, 7),)
    some = soap(1_000, use=(), booked=later, packs=BOTH, no_frost=False)
    state = replace(shelf(some, day=EARLY, suppliers=(NORTH, STORE)), notice=(60,) * 500)
    assert not propose(state).sooner


def test_an_order_on_its_way_that_comes_too_late_can_be_helped_by_another() -> None:
    coming = (OnOrder(5000, EARLY + 6),)
    some = soap(1_000, use=(), booked=BOOKED, packs=BOTH, on_order=coming, no_frost=False)
    state = replace(shelf(some, day=EARLY, suppliers=(NORTH, STORE)), notice=(60,) * 500)
    answer = propose(state)
    assert not answer.orders
    assert answer.sooner[0].pack == 2


def test_where_only_a_late_delivery_would_be_too_late_the_reason_says_so() -> None:
    plain = replace(NORTH, cold_spans=())
    found = None
    for on_hand in range(3_000, 12_000, 250):
        found = lines(propose(shelf(soap(on_hand, no_frost=False), day=EARLY, suppliers=(plain,))))
        if not found:
            break
        last = (on_hand, found[1].reason)
    on_hand, why = last
    assert why.late
    assert why.before_day >= EARLY + 9
    empty = lines(propose(shelf(soap(0, no_frost=False), day=EARLY, suppliers=(plain,))))[1]
    assert not empty.reason.late
