"""What goes into an order beside what is due."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.calculations.orders.basket import Basket, PackCandidate, fill, freight_of
from app.calculations.orders.shelf_state import OrderSettings, SupplierState

PLAIN = OrderSettings()
LINE = SupplierState(supplier=1, freight=1400, free_freight_from=15000)


def packs(*due_and_price: tuple[int, int]) -> list[PackCandidate]:
    return [PackCandidate(due, place, 0, price) for place, (due, price) in enumerate(due_and_price)]


def bought(basket: Basket) -> set[int]:
    return {one.supply for one in basket.packs}


def test_the_quantity_without_a_freight_line_is_the_economic_one() -> None:
    """Heizer and Render, Operations Management, ch. 12, example 3: D 1000, S 10, H 0.50: 200."""
    days_a_unit, price = 0.365, 100  # cents
    settings = OrderSettings(freight_days=price * 365 / 50, longest_days=365)
    units = [PackCandidate(int(days_a_unit * k), 1, k, price) for k in range(700)]
    supplier = SupplierState(supplier=1, freight=1000)
    assert len(fill(supplier, units, settings).packs) == pytest.approx(200, abs=4)


def test_the_soonest_due_are_bought_along_until_freight_is_free() -> None:
    basket = fill(LINE, packs((0, 6000), (20, 4000), (5, 5000), (9, 4500), (40, 9000)), PLAIN)
    assert bought(basket) == {0, 2, 3}
    assert basket.goods == 15500


def test_the_turn_is_by_the_days_and_not_by_the_number_of_a_supply() -> None:
    later, sooner = PackCandidate(20, 1, 0, 9000), PackCandidate(5, 2, 0, 9000)
    basket = fill(LINE, [PackCandidate(0, 3, 0, 6000), later, sooner], PLAIN)
    assert bought(basket) == {3, 2}


def test_nothing_is_bought_along_where_freight_is_the_same_anyway() -> None:
    always_free = SupplierState(supplier=1)
    assert bought(fill(always_free, packs((0, 6000), (5, 5000)), PLAIN)) == {0}


def test_freight_is_paid_where_saving_it_would_tie_up_too_much() -> None:
    far = packs((0, 1000), (50, 7000), (52, 9000))
    assert bought(fill(LINE, far, OrderSettings(freight_days=10))) == {0}
    assert bought(fill(LINE, far, OrderSettings(freight_days=1500))) == {0, 1, 2}


def test_nothing_is_bought_along_that_is_needed_later_than_the_longest() -> None:
    far = packs((0, 6000), (57, 9000))
    assert bought(fill(LINE, far, OrderSettings(freight_days=1e6))) == {0}


def test_hazardous_goods_come_along_only_where_their_fee_is_paid_anyway() -> None:
    fee = SupplierState(supplier=1, freight=1400, free_freight_from=15000, hazard_fee=2500)
    acid = PackCandidate(1, 7, 0, 9000, hazardous=True)
    harmless = packs((0, 9000), (30, 6000))
    assert bought(fill(fee, [*harmless, acid], PLAIN)) == {0, 1}
    due_acid = PackCandidate(0, 8, 0, 9000, hazardous=True)
    assert 7 in bought(fill(fee, [*harmless, acid, due_acid], PLAIN))


def test_a_minimum_order_is_reached_with_what_is_due_next() -> None:
    picky = SupplierState(supplier=1, minimum_order=20000)
    basket = fill(picky, packs((0, 6000), (80, 9000), (30, 5000), (160, 9000)), PLAIN)
    assert bought(basket) == {0, 1, 2}
    assert {one.supply for one in basket.for_minimum} == {1, 2}
    later, sooner = PackCandidate(80, 1, 0, 9000), PackCandidate(30, 2, 0, 5000)
    nearly = replace(picky, minimum_order=11_000)
    assert bought(fill(nearly, [PackCandidate(0, 0, 0, 6000), later, sooner], PLAIN)) == {0, 2}


def test_without_anything_due_nothing_is_ordered() -> None:
    assert fill(LINE, packs((1, 20000)), PLAIN) == Basket((), 0, ())


def test_freight_is_free_from_the_line_on() -> None:
    assert [freight_of(LINE, goods) for goods in (0, 14999, 15000)] == [0, 1400, 0]


CANDIDATES = st.lists(st.tuples(st.integers(-3, 80), st.integers(0, 20000)), max_size=12)


@given(CANDIDATES, st.integers(0, 30000), st.booleans())
def test_all_that_is_due_is_bought_and_the_rest_in_turn(
    wanted: list[tuple[int, int]], free: int, fee: bool
) -> None:
    supplier = SupplierState(supplier=1, freight=1400, free_freight_from=free, hazard_fee=900 * fee)
    candidates = packs(*wanted)
    basket = fill(supplier, candidates, PLAIN)
    due = {one.supply for one in candidates if one.due_in <= 0}
    assert due <= bought(basket)
    if not due:
        assert not basket.packs
    last = max((one.due_in for one in basket.packs), default=0)
    skipped = [one for one in candidates if one.supply not in bought(basket)]
    assert all(one.due_in >= last for one in skipped)
    assert basket.goods == sum(one.price for one in basket.packs)


def test_what_is_not_due_before_a_sale_waits_for_it() -> None:
    some = packs((0, 6000), (5, 5000), (20, 4000), (22, 4500))
    assert bought(fill(LINE, some, PLAIN)) == {0, 1, 2, 3}
    assert bought(fill(LINE, some, PLAIN, sale_in=15)) <= {0, 1}
    assert bought(fill(LINE, packs((0, 6000), (0, 5000)), PLAIN, sale_in=1)) == {0, 1}


def test_a_minimum_order_is_reached_in_spite_of_a_sale_ahead() -> None:
    strict = SupplierState(supplier=1, freight=1400, minimum_order=9000)
    basket = fill(strict, packs((0, 6000), (20, 4000), (22, 4500)), PLAIN, sale_in=10)
    assert bought(basket) == {0, 1}


def test_a_minimum_that_goods_needed_soon_do_not_reach_buys_nothing_for_it() -> None:
    """Seven packs of ten applicators, ten months' use, were proposed where five pieces were needed:
    coatings cost the hazard fee and were left out, and applicators alone were heaped up, in vain.
    """
    supplier = SupplierState(supplier=1, freight=1400, minimum_order=15_000, hazard_fee=2_000)
    applicators = [PackCandidate(45 * nth, 1, nth, 1_300) for nth in range(5)]
    basket = fill(supplier, applicators, OrderSettings(freight_days=100))
    assert [one.nth for one in basket.packs] == [0]
    assert (basket.goods, basket.for_minimum) == (1_300, ())


def test_a_minimum_is_reached_with_hazardous_goods_where_that_costs_less() -> None:
    supplier = SupplierState(supplier=1, freight=1400, minimum_order=15_000, hazard_fee=2_000)
    applicators = [PackCandidate(14 * nth, 1, nth, 1_300) for nth in range(12)]
    coatings = [PackCandidate(20 + 20 * nth, 2, nth, 6_500, hazardous=True) for nth in range(4)]
    alone = fill(supplier, applicators, OrderSettings(freight_days=100))
    assert alone.goods == 12 * 1_300
    together = fill(supplier, applicators + coatings, OrderSettings(freight_days=100))
    assert together.goods >= 15_000
    packs = {one.supply for one in together.packs}
    # 11 applicators early, 14 to 154 days: 13.00 x 924 days / 100 = 120.12; two coatings and three
    # applicators: 65.00 x 60 + 13.00 x 84 over 100, and the fee of 20.00: 69.92.
    assert packs == {1, 2}
    assert sum(one.supply == 1 for one in together.packs) < 5


@settings(max_examples=200)
@given(
    st.lists(st.tuples(st.integers(-3, 70), st.integers(1, 20000), st.booleans()), max_size=8),
    st.integers(0, 30000),
    st.sampled_from([0, 900]),
    st.sampled_from([30.0, 120.0, 900.0]),
    st.none() | st.integers(1, 60),
)
def test_of_all_baskets_that_reach_up_to_a_day_the_one_of_least_cost_a_day_is_taken(
    wanted: list[tuple[int, int, bool]], free: int, fee: int, days: float, sale: int | None
) -> None:
    """Silver and Meal's criterion by trying every day that the basket may reach up to."""
    supplier = SupplierState(supplier=1, freight=1400, free_freight_from=free, hazard_fee=fee)
    chosen = OrderSettings(freight_days=days)
    candidates = [
        PackCandidate(due, place, 0, price, hazardous)
        for place, (due, price, hazardous) in enumerate(wanted)
    ]
    due = [one for one in candidates if one.due_in <= 0]
    if not due:
        return
    pays = any(one.hazardous for one in due)
    may = sorted((one for one in candidates if pays or not fee or not one.hazardous),
                 key=lambda one: (max(one.due_in, 0), one.nth, one.supply))  # fmt: skip
    costs = {}
    for length in range(1, len(may) + 1):
        packs, rest = may[:length], may[length:]
        latest = max(one.due_in for one in packs)
        if latest > chosen.longest_days or (sale is not None and latest >= sale):
            continue
        if rest and max(rest[0].due_in, 0) == max(latest, 0):
            continue  # an order reaches up to a day: what is due on it comes along as a whole
        left = [one.due_in for one in rest if one.due_in <= chosen.longest_days]
        lasts = max(min(left, default=chosen.longest_days), 1)
        goods = sum(one.price for one in packs)
        freight = 1400 if goods < free else 0
        early = sum(one.price * max(one.due_in, 0) for one in packs) / days
        costs[length] = (freight + fee * pays + early) / lasts
    taken = len(fill(supplier, candidates, chosen, sale).packs)
    assert taken in costs, "whole days, all that is due among them"
    assert costs[taken] <= min(costs.values()) + 1e-6


def test_a_minimum_is_enough_where_it_is_reached_to_the_cent() -> None:
    picky = SupplierState(supplier=1, minimum_order=11_000)
    basket = fill(picky, packs((0, 6000), (80, 5000), (90, 5000)), PLAIN)
    assert bought(basket) == {0, 1}
    assert fill(picky, packs((0, 11_000), (30, 500)), PLAIN).for_minimum == ()


def test_what_is_needed_on_the_last_of_the_longest_days_may_come_along() -> None:
    far = packs((0, 6000), (56, 9000))
    assert bought(fill(LINE, far, OrderSettings(freight_days=1e6))) == {0, 1}


@settings(max_examples=150)
@given(
    st.lists(st.tuples(st.integers(-3, 90), st.integers(1, 9000), st.booleans()), max_size=9),
    st.integers(5000, 40000),
    st.sampled_from([0, 900]),
    st.sampled_from([30.0, 900.0]),
)
def test_a_minimum_is_reached_in_the_cheaper_of_its_two_ways(
    wanted: list[tuple[int, int, bool]], minimum: int, fee: int, days: float
) -> None:
    """With the goods that are due next, harmless ones alone or all with the fee that these cost:
    both ways are laid out pack by pack, and the money bought early is counted for each."""
    supplier = SupplierState(supplier=1, minimum_order=minimum, hazard_fee=fee)
    candidates = [
        PackCandidate(due, place, 0, price, hazardous)
        for place, (due, price, hazardous) in enumerate(wanted)
    ]
    basket = fill(supplier, candidates, OrderSettings(freight_days=days))
    if not any(one.due_in <= 0 for one in candidates):
        return
    before = [one for one in basket.packs if one not in basket.for_minimum]
    stands = sum(one.price for one in before)
    pays = any(one.hazardous for one in before) or not fee
    rest = sorted((one for one in candidates if one not in before), key=lambda one: one.rank)
    ways = []
    for some in (rest, [one for one in rest if pays or not one.hazardous]):
        for count in range(len(some) + 1):
            if stands + sum(one.price for one in some[:count]) >= minimum:
                early = sum(one.price * max(one.due_in, 0) for one in some[:count]) / days
                acid = not pays and any(one.hazardous for one in some[:count])
                ways.append((early + fee * acid, tuple(some[:count])))
                break
    cheapest = min(ways, default=(0.0, ()))
    assert basket.for_minimum == cheapest[1]
    assert basket.goods == sum(one.price for one in basket.packs)


def test_a_candidate_is_one_pack_and_what_is_due_today_comes_before_tomorrow() -> None:
    assert PackCandidate(0, 1, 0, 900).packs == 1
    late, today, tomorrow = (PackCandidate(due, 1, 0, 900) for due in (-3, 0, 1))
    assert late.rank == today.rank < tomorrow.rank
    nearly = replace(LINE, minimum_order=1)
    assert [freight_of(nearly, goods) for goods in (0, 1)] == [0, 1400]


def test_a_minimum_reached_with_one_hazardous_pack_among_others_costs_its_fee() -> None:
    """10.00 for 20 and 30.00 for 80 days are 26.00; 30.00 for 10 and 10.00 for 20 are 5.00 and the
    fee of the first, 25.00: more. With a fee of 20.00 it is less."""
    harmless = [PackCandidate(0, 0, 0, 6000), *packs((20, 1000), (80, 3000))]
    acid = PackCandidate(10, 9, 0, 3000, hazardous=True)
    for fee, dearer in ((2500, True), (2000, False)):
        supplier = SupplierState(supplier=1, minimum_order=10_000, hazard_fee=fee)
        basket = fill(supplier, [*harmless, acid], OrderSettings(freight_days=100))
        assert (acid not in basket.packs) == dearer
        assert basket.goods == 10_000
