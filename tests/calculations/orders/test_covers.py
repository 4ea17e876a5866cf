"""How long supplies last and what lacks, where all need is booked and can be counted on fingers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.calculations.orders.proposal import SupplyCover
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
WEEK = SupplierState(supplier=1, lead_days=(6,) * 20, promised_days=6, freight=1400)
PACK = PackOffer(1, 5000, 4000)
# Nothing but bookings is known, and none ever came later than two months before.
NOTICE = (60,) * 500


def cover(
    on_hand: int,
    booked: list[tuple[int, int]],
    source: SupplierState = WEEK,
    **more: object,
) -> SupplyCover:
    facts: dict[str, object] = {"supplier": 1, "packs": (PACK,)}
    some = SupplyState(
        supply=1,
        on_hand=on_hand,
        booked=tuple(BookedNeed(MONDAY + day, amount, 0.0, job) for job, (day, amount)
                     in enumerate(booked)),
        **(facts | more),  # type: ignore[arg-type]
    )  # fmt: skip
    return propose(ShelfState(MONDAY, (some,), (source,), NOTICE)).covers[0]


@settings(max_examples=60)
@given(
    st.integers(0, 9_000),
    st.lists(st.tuples(st.integers(1, 20), st.integers(500, 2500)), min_size=1, max_size=6),
    st.one_of(st.none(), st.integers(-3, 20)),
)
@example(0, [(1, 2000)], 2)
@example(0, [(1, 2000)], 1)
@example(0, [(1, 2000)], -2)
def test_what_lacks_before_the_delivery_is_booked_less_what_stands_there(
    on_hand: int, booked: list[tuple[int, int]], comes: int | None
) -> None:
    on_order = () if comes is None else (OnOrder(1000, MONDAY + comes),)
    found = cover(on_hand, booked, on_order=on_order)
    # What is not on its way could come in six days, ordered today; an overdue parcel tomorrow.
    first = 6 if comes is None else max(1, comes)
    lacks = max(0, sum(amount for day, amount in booked if day < first) - on_hand)
    little = 40  # of need that is not booked, beside the bookings
    assert found.short_before_delivery == pytest.approx(lacks, abs=little)
    assert found.next_delivery_day == (None if comes is None else MONDAY + comes)
    if lacks > little:
        taken = [sum(amount for day, amount in booked if day <= until) for until in range(first)]
        latest = next(day for day, amount in enumerate(taken) if amount > on_hand)
        # where the bookings leave next to nothing, the little that is not booked takes that
        soonest = next(day for day, amount in enumerate(taken) if amount + little > on_hand)
        assert found.short_day is not None
        assert max(soonest, 1) <= found.short_day - MONDAY <= latest
    elif not found.short_before_delivery:
        assert found.short_day is None


def test_of_two_parcels_the_sooner_counts_and_an_empty_one_is_none() -> None:
    parcels = (OnOrder(1000, MONDAY + 9), OnOrder(500, MONDAY + 4), OnOrder(0, MONDAY + 1))
    assert cover(0, [(2, 1000)], on_order=parcels).next_delivery_day == MONDAY + 4


def test_a_parcel_that_is_more_likely_lost_is_not_counted_on() -> None:
    booked = [(2, 1000), (5, 1000), (9, 1000)]
    lost, likely = (
        cover(0, booked, on_order=(OnOrder(9000, MONDAY + 1, comes),)) for comes in (0.49, 0.5)
    )
    assert lost == cover(0, booked)
    assert lost.due
    assert likely == cover(0, booked, on_order=(OnOrder(9000, MONDAY + 1),))
    assert not likely.due


def test_what_runs_out_does_so_on_the_day_of_the_booking_that_empties_it() -> None:
    found = cover(2500, [(2, 1000), (5, 1000), (9, 1000)])
    assert {found.runs_out_early, found.runs_out, found.runs_out_late} == {MONDAY + 9}


def test_a_supply_below_zero_is_to_be_counted_and_stands_at_nothing() -> None:
    below, nothing = cover(-5, [(2, 1000)]), cover(0, [(2, 1000)])
    assert (below.count_it, nothing.count_it) == (True, False)
    assert below.short_before_delivery == nothing.short_before_delivery
    assert below.runs_out == MONDAY


@pytest.mark.parametrize(
    ("more", "supplier", "why"),
    [
        ({}, WEEK, ""),
        ({"stopped": True}, WEEK, "stopped"),
        ({"supplier": None}, WEEK, "no supplier"),
        ({"packs": ()}, WEEK, "no pack"),
        ({}, SupplierState(supplier=1, promised_days=6, order_weekdays=(3,)), "weekday"),
    ],
)
def test_why_it_cannot_be_ordered_and_when_it_can(
    more: dict[str, object], supplier: SupplierState, why: str
) -> None:
    found = cover(0, [(2, 1000)], supplier, **more)
    assert found.why_not == why
    assert found.chance_day == MONDAY + (3 if why == "weekday" else 0), "Thursday is three days on"
    assert (found.order_day is None) == (why == "stopped")
    assert (found.reorder_level == 0) == (why == "stopped")


def test_it_is_due_below_its_reorder_level_and_no_more_at_it() -> None:
    level = cover(0, [(2, 1000)]).reorder_level
    assert level > 1000
    assert cover(level - 1, [(2, 1000)]).due
    assert not cover(level, [(2, 1000)]).due
    coming = (OnOrder(level - 400, MONDAY + 6),)
    assert cover(399, [(2, 1000)], on_order=coming).due
    assert not cover(400, [(2, 1000)], on_order=coming).due


def test_what_is_used_up_and_not_bought_again_has_no_second_source() -> None:
    store = SupplierState(supplier=2, lead_days=(1,) * 20, promised_days=1)
    some = SupplyState(
        supply=1, supplier=1, on_hand=0, packs=(PACK, PackOffer(2, 1000, 1400, supplier=2)),
        booked=(BookedNeed(MONDAY + 3, 900, 0.0, 1),),
    )  # fmt: skip
    state = ShelfState(MONDAY, (some,), (WEEK, store), NOTICE)
    assert len(propose(state).sooner) == 1
    stopped = ShelfState(MONDAY, (replace(some, stopped=True),), (WEEK, store), NOTICE)
    assert propose(stopped).sooner == ()


def test_a_cold_stop_ahead_is_told_beside_what_lasts() -> None:
    winter = (MONDAY + 40, MONDAY + 90)
    cold = replace(WEEK, cold_spans=(winter,))
    assert cover(0, [(2, 1000)], cold, no_frost=True).stop == winter
    assert cover(0, [(2, 1000)], cold).stop is None
