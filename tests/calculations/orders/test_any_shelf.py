"""The rule that proposes orders: what must hold on any shelf."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.calculations.orders.order_chances import cold_stop
from app.calculations.orders.reorder import propose
from app.calculations.orders.shelf_state import (
    BookedNeed,
    OnOrder,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
)
from tests.calculations.orders.test_reorder import TODAY, lines, shelf

PACKS = st.lists(
    st.builds(PackOffer, st.integers(1, 99), st.integers(500, 9000), st.integers(0, 9000)),
    max_size=3,
).map(tuple)
NEEDS = st.lists(
    st.builds(
        BookedNeed,
        st.integers(TODAY - 2, TODAY + 30),
        st.integers(0, 4000),
        st.floats(0, 1),
    ),
    max_size=4,
).map(tuple)
HISTORIES = st.one_of(
    st.just(()),
    st.lists(st.sampled_from([0, 0, 0, 500, 900, 2500]), max_size=60).map(lambda some: some * 3),
)


@st.composite
def shelves(draw: st.DrawFn, suppliers: int = 2) -> ShelfState:
    """Any shelf of a few supplies."""
    supplies = [
        SupplyState(
            supply=number,
            supplier=draw(st.sampled_from([None, 1, 1, 2])),
            on_hand=draw(st.integers(-2000, 20_000)),
            packs=draw(PACKS),
            on_order=tuple(
                OnOrder(q, TODAY + 3) for q in draw(st.lists(st.integers(1, 9000), max_size=2))
            ),
            booked=draw(NEEDS),
            use=draw(HISTORIES),
            shelf_life_days=draw(st.none() | st.integers(10, 900)),
            opened_life_days=draw(st.none() | st.integers(10, 900)),
            stopped=draw(st.booleans()),
            hazardous=draw(st.booleans()),
        )
        for number in range(1, draw(st.integers(1, 5)) + 1)
    ]
    sources = [
        SupplierState(
            supplier=number,
            lead_days=draw(st.lists(st.integers(1, 20), max_size=8)),
            promised_days=draw(st.none() | st.integers(0, 14)),
            freight=draw(st.integers(0, 3000)),
            free_freight_from=draw(st.none() | st.integers(0, 30_000)),
            minimum_order=draw(st.sampled_from([0, 0, 12_000])),
            hazard_fee=draw(st.sampled_from([0, 1500])),
            order_weekdays=draw(st.sampled_from([(), (), (0,), (1, 4)])),
        )
        for number in range(1, suppliers + 1)
    ]
    return shelf(*supplies, suppliers=sources)


@st.composite
def shelves_with_terms(draw: st.DrawFn) -> ShelfState:
    """Any shelf whose suppliers have cold stops, sales and price breaks."""
    state = draw(shelves())
    spans = st.lists(
        st.tuples(st.integers(TODAY - 30, TODAY + 60), st.integers(0, 100)), max_size=2
    ).map(lambda some: tuple((first, first + days) for first, days in some))
    supplies = []
    for one in state.supplies:
        packs = []
        for pack in one.packs:
            froms = draw(st.sets(st.integers(2, 8), max_size=2))
            falling = sorted(draw(st.tuples(*[st.integers(0, pack.price)] * len(froms))))
            breaks = tuple(zip(sorted(froms), reversed(falling), strict=True))
            packs.append(replace(pack, supplier=draw(st.sampled_from([None, 1, 2])), breaks=breaks))
        floor = draw(st.sampled_from([0, 0, 4000]))
        supplies.append(replace(one, packs=tuple(packs), no_frost=draw(st.booleans()), floor=floor))
    sources = tuple(
        replace(one, cold_spans=draw(spans), sale_spans=draw(spans)) for one in state.suppliers
    )
    return replace(state, supplies=tuple(supplies), suppliers=sources)


@settings(max_examples=200, deadline=None)
@given(shelves() | shelves_with_terms())
def test_on_any_shelf_orders_are_whole_packs_of_what_may_be_bought(state: ShelfState) -> None:
    answer = propose(state)
    by_number = {one.supply: one for one in state.supplies}
    assert [cover.supply for cover in answer.covers] == sorted(by_number)
    assert [one.supplier for one in answer.suppliers] == [1, 2]
    for order, source in zip(answer.suppliers, state.suppliers, strict=True):
        assert order.goods == sum(line.cost for line in order.lines)
        assert order.total == order.goods + order.freight + order.hazard_fee
        free = source.free_freight_from is not None and order.goods >= source.free_freight_from
        assert order.freight == (0 if not order.goods or free else source.freight)
        assert order.hazard_fee in (0, source.hazard_fee)
        assert TODAY < order.delivery_day <= order.delivery_late_day
        if order.lines:
            assert any(not line.filler for line in order.lines)
            weekdays = source.order_weekdays
            assert not weekdays or (TODAY - 1) % 7 in weekdays
            assert order.below_minimum == (order.goods < source.minimum_order)
        for line in order.lines:
            bought = by_number[line.supply]
            pack = next(
                one
                for one in bought.packs
                if (one.pack, one.size, one.each(line.count))
                == (line.pack, line.quantity // line.count, line.price)
            )
            assert line.count >= 1
            assert line.quantity == line.count * pack.size
            assert line.cost == line.count * pack.each(line.count)
            if bought.no_frost:
                assert cold_stop(TODAY, source.cold_spans) is None
            assert not bought.stopped
            assert not (line.filler and line.outlives)
    for cover in answer.covers:
        assert 0 <= cover.risk <= 1
        assert cover.per_day >= 0
        days = (cover.runs_out_early, cover.runs_out, cover.runs_out_late)
        known = [day for day in days if day is not None]
        assert known == sorted(known)
        assert days[: len(known)] == tuple(known)
        assert cover.reorder_level >= 0


@settings(max_examples=60, deadline=None)
@given(shelves() | shelves_with_terms(), st.randoms())
def test_the_answer_is_the_same_in_whatever_order_the_shelf_is_told(
    state: ShelfState, chance: random.Random
) -> None:
    supplies, suppliers = list(state.supplies), list(state.suppliers)
    chance.shuffle(supplies)
    chance.shuffle(suppliers)
    told = replace(
        state,
        supplies=tuple(replace(one, booked=tuple(reversed(one.booked))) for one in supplies),
        suppliers=tuple(suppliers),
    )
    first, second = propose(state), propose(told)
    assert [order.lines for order in first.orders] == [order.lines for order in second.orders]
    assert propose(state) == first


def bought(state: ShelfState) -> int:
    return sum(line.quantity for line in lines(propose(state)).values())


# Monotone by construction: how far an order reaches does not depend on what is left of what is due.
@settings(max_examples=300, deadline=None)
@given(shelves() | shelves_with_terms(), st.integers(1, 6000))
def test_more_stock_of_the_only_supply_never_brings_more(state: ShelfState, more: int) -> None:
    one = replace(state.supplies[0], supplier=1, on_order=())
    fuller = replace(one, on_hand=max(one.on_hand, 0) + more)
    before, after = (bought(replace(state, supplies=(supply,))) for supply in (one, fuller))
    assert after <= before


def test_a_little_more_stock_never_brings_a_pack_more() -> None:
    """Found by hypothesis: nine packs without stock, ten with a little, while the days that a pack
    lasts were counted from what is left."""
    unsure = SupplyState(
        supply=1,
        supplier=1,
        on_hand=0,
        packs=(PackOffer(1, 539, 1),),
        booked=(BookedNeed(TODAY - 2, 197, 1.0),),
    )
    house = SupplierState(supplier=1, lead_days=[], promised_days=None, freight=1)
    found = [
        bought(shelf(replace(unsure, on_hand=stock), suppliers=[house]))
        for stock in range(0, 700, 14)
    ]
    assert found[0] > 0
    assert found == sorted(found, reverse=True)


@settings(max_examples=60, deadline=None)
@given(shelves(), st.integers(1, 6000))
def test_more_stock_of_one_never_makes_the_shelf_riskier(state: ShelfState, more: int) -> None:
    first = state.supplies[0]
    fuller = replace(first, on_hand=max(first.on_hand, 0) + more)
    before = propose(state).covers
    after = propose(replace(state, supplies=(fuller, *state.supplies[1:]))).covers
    assert after[0].risk <= before[0].risk + 1e-9
    assert [one.risk for one in after[1:]] == pytest.approx([one.risk for one in before[1:]])


@settings(max_examples=40, deadline=None)
@given(shelves())
def test_a_currency_without_cents_and_weeks_later_change_nothing(state: ShelfState) -> None:
    dear = replace(
        state,
        supplies=tuple(
            replace(one, packs=tuple(replace(p, price=p.price * 100) for p in one.packs))
            for one in state.supplies
        ),
        suppliers=tuple(
            replace(
                one,
                freight=one.freight * 100,
                hazard_fee=one.hazard_fee * 100,
                minimum_order=one.minimum_order * 100,
                free_freight_from=one.free_freight_from and one.free_freight_from * 100,
            )
            for one in state.suppliers
        ),
    )
    later = replace(
        state,
        day=state.day + 70,
        supplies=tuple(
            replace(one, booked=tuple(replace(b, day=b.day + 70) for b in one.booked))
            for one in state.supplies
        ),
    )
    first = {number: line.count for number, line in lines(propose(state)).items()}
    for other in (dear, later):
        assert {n: line.count for n, line in lines(propose(other)).items()} == first
