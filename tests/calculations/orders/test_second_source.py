"""Who else brings in time: against all offers of all others, tried one by one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import ceil

from hypothesis import given
from hypothesis import strategies as st

from app.calculations.orders.lead_times import lead_time_chances, lead_time_quantile
from app.calculations.orders.reorder import propose
from app.calculations.orders.shelf_state import (
    BookedNeed,
    OnOrder,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
)

MONDAY = date(2026, 11, 2).toordinal()
USUAL = SupplierState(supplier=1, lead_days=(6,) * 20, promised_days=6, freight=1400)
NEAR = SupplierState(supplier=2, lead_days=(1,) * 20, promised_days=1, freight=300)
NEARER = SupplierState(supplier=3, lead_days=(1,) * 20, promised_days=1, freight=700)
BOOKED = (BookedNeed(MONDAY + 2, 2900, 0.0, 7),)
USUAL_PACK = PackOffer(1, 5000, 4000)


def supply(number: int, *packs: PackOffer, **more: object) -> SupplyState:
    facts: dict[str, object] = {"supplier": 1, "on_hand": 1_000, "booked": BOOKED}
    return SupplyState(supply=number, packs=packs, **(facts | more))  # type: ignore[arg-type]


def shelf(*supplies: SupplyState, others: tuple[SupplierState, ...] = (NEAR, NEARER)) -> ShelfState:
    # Everything is booked two months ahead: what is needed beside the bookings is next to nothing.
    return ShelfState(MONDAY, supplies, (USUAL, *others), (60,) * 500)


def freight(supplier: SupplierState, goods: int) -> int:
    free = supplier.free_freight_from is not None and goods >= supplier.free_freight_from
    return supplier.freight if goods and not free else 0


@given(
    st.lists(
        st.tuples(
            st.sampled_from([2, 3]), st.sampled_from([500, 1000, 2500]), st.integers(1, 4000)
        ),
        min_size=1,
        max_size=5,
    ),
    st.sampled_from([None, 1000, 2000, 3000]),
)
def test_no_other_offer_in_time_costs_less_with_its_freight(
    offers: list[tuple[int, int, int]], free_from: int | None
) -> None:
    packs = [
        PackOffer(10 + place, size, price, supplier=number)
        for place, (number, size, price) in enumerate(offers)
    ]
    suppliers = {2: replace(NEAR, free_freight_from=free_from), 3: NEARER}
    some = supply(1, USUAL_PACK, *packs)
    answer = propose(shelf(some, others=tuple(suppliers.values())))
    (found,) = answer.sooner
    lacks = next(one for one in answer.covers if one.supply == 1).short_before_delivery
    costs = {}
    for pack in packs:
        count = max(1, ceil(lacks / pack.size - 0.05))
        goods = count * pack.price
        costs[pack.pack] = goods + freight(suppliers[pack.supplier or 0], goods)
    assert found.cost + found.freight == costs[found.pack] == min(costs.values())
    assert found.quantity >= 0.9 * lacks, "a twentieth of a pack may lack"
    assert found.price * found.count == found.cost


def test_what_goes_to_that_supplier_anyway_carries_the_freight() -> None:
    theirs = supply(2, PackOffer(20, 1000, 900, supplier=2), supplier=2, on_hand=0)
    some = supply(1, USUAL_PACK, PackOffer(2, 1000, 1400, supplier=2))
    answer = propose(shelf(some, theirs, others=(NEAR,)))
    assert any(order.supplier == 2 for order in answer.orders)
    assert next(one for one in answer.sooner if one.supply == 1).freight == 0


def test_goods_that_lift_an_order_over_the_line_of_free_freight_never_earn_money() -> None:
    near = replace(NEAR, free_freight_from=5000)
    theirs = supply(2, PackOffer(20, 1000, 900, supplier=2), supplier=2, on_hand=0)
    some = supply(1, USUAL_PACK, PackOffer(2, 1000, 1400, supplier=2))
    answer = propose(shelf(some, theirs, others=(near,)))
    assert next(one for one in answer.sooner if one.supply == 1).freight == 0


def test_it_is_compared_with_the_usual_pack_of_the_same_supply_and_of_no_other() -> None:
    dear = supply(1, PackOffer(5, 1000, 9000))  # stands before it in the same order
    some = supply(2, USUAL_PACK, PackOffer(2, 1000, 1400, supplier=2))
    answer = propose(shelf(dear, some, others=(NEAR,)))
    (found,) = answer.sooner
    (order,) = answer.orders
    line = next(one for one in order.lines if one.supply == 2)
    assert found.dearer == round(found.cost - found.quantity * line.cost / line.quantity)
    assert found.dearer == found.cost - found.quantity * 4000 / 5000


def test_where_nothing_is_ordered_it_is_compared_with_the_cheapest_unit_of_the_usual_supplier() -> (
    None
):
    # A parcel that comes too late is on its way; 0.80 a unit in the large pack, 1.10 in the small.
    packs = (PackOffer(6, 1000, 1100), USUAL_PACK, PackOffer(2, 1000, 1400, supplier=2))
    some = supply(1, *packs, on_order=(OnOrder(5000, MONDAY + 6),))
    answer = propose(shelf(some, others=(NEAR,)))
    (found,) = answer.sooner
    assert not answer.orders
    assert found.dearer == found.cost - found.quantity * 0.8


def test_another_that_comes_on_the_very_day_of_need_is_in_time_and_a_day_later_is_not() -> None:
    some = supply(1, USUAL_PACK, PackOffer(2, 1000, 1400, supplier=2))
    (found,) = propose(shelf(some, others=(NEAR,))).sooner
    days = found.short_day - MONDAY
    on_the_day = replace(NEAR, lead_days=(days,) * 200, promised_days=days)
    late = replace(NEAR, lead_days=(days + 1,) * 200, promised_days=days + 1)
    (again,) = propose(shelf(some, others=(on_the_day,))).sooner
    assert again.delivery_day == again.short_day
    assert propose(shelf(some, others=(late,))).sooner == ()


def test_another_that_comes_in_time_half_of_the_time_is_named_with_its_middle_day() -> None:
    """Six parcels in ten came on the next day, the others took three."""
    uneven = replace(NEAR, lead_days=(1, 1, 3, 1, 3, 1, 3, 1, 3, 1) * 5, promised_days=1)
    chances = lead_time_chances(uneven.lead_days, 1)
    middle = lead_time_quantile(chances, 0.5)
    assert middle < lead_time_quantile(chances, 0.75)
    some = supply(1, USUAL_PACK, PackOffer(2, 1000, 1400, supplier=2))
    (found,) = propose(shelf(some, others=(uneven,))).sooner
    assert found.delivery_day == found.order_day + middle


def test_another_who_takes_orders_on_one_weekday_is_asked_on_the_next_such_day() -> None:
    some = supply(1, USUAL_PACK, PackOffer(2, 1000, 1400, supplier=2))
    weekly = replace(NEAR, order_weekdays=(1,))
    (found,) = propose(shelf(some, others=(weekly,))).sooner
    assert found.order_day == MONDAY + 1
