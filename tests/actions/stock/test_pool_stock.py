"""Pools as the order rule and tomorrow's list read them."""

from __future__ import annotations

from datetime import timedelta

from app.actions.day.closing import close_day, closing
from app.actions.day.supplies_used import set_use
from app.actions.orders.order_proposal import what_to_order
from app.actions.orders.shelf_state import shelf_state
from app.actions.shelf.pools import put_in, retire
from tests.shop import TODAY

TOMORROW = TODAY + timedelta(days=1)


def test_a_pool_below_two_loads_is_proposed_with_its_reason(desk, shop, towels):
    put_in(desk, TODAY, towels, "20")
    assert not _proposed(desk, towels)
    retire(desk, TODAY, towels, "19")
    (line,) = _proposed(desk, towels)
    assert line.reason.startswith("41 cloths left of 60; two loads are 50")
    assert line.packs >= 1
    state = next(one for one in shelf_state(desk, TODAY).supplies if one.supply == towels)
    assert (state.on_hand, state.floor, state.booked) == (41_000, 50_000, ())
    assert list(state.use)[-1] == 19_000


def _proposed(desk, towels):
    return [
        line
        for one in what_to_order(desk, TODAY).suppliers
        for line in one.lines
        if line.supply_id == towels
    ]


def test_what_jobs_take_of_a_pool_is_no_need_of_the_shelf(desk, shop, towels):
    put_in(desk, TODAY, towels, "60")
    set_use(desk, TODAY, shop.jobs["0411"], towels, "90")
    close_day(desk, TODAY)
    state = next(one for one in shelf_state(desk, TODAY).supplies if one.supply == towels)
    assert (state.on_hand, sum(state.use)) == (100_000, 0)


def test_tomorrow_says_what_is_to_be_washed_first(desk, shop, towels):
    set_use(desk, TODAY, shop.jobs["0411"], towels, "39")
    set_use(desk, TODAY, shop.jobs["0412"], towels, "1")
    lacks = [one for job in closing(desk, TODAY).tomorrow for one in job.lacks]
    assert any("of Cloths to wash first" in one for one in lacks)
