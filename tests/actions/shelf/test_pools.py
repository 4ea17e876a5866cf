"""Pools by hand: pieces, loads, steps, undo, in and out of a book; none is made or lost.

Figures without another source are worked by hand beside their check.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.day.closing import close_day, reopen_day
from app.actions.day.supplies_used import set_use
from app.actions.desk.desk import Desk
from app.actions.exchange.exporting import export
from app.actions.orders.receiving import receive
from app.actions.shelf.pool_view import pool_view, pools
from app.actions.shelf.pools import (
    count_pool,
    demote,
    lose,
    put_in,
    retire,
    set_out,
    set_washed,
    wash,
    washed_on,
)
from app.actions.stock import stock
from app.actions.stock.supply_facts import edit_supply
from app.errors import Mendable
from app.records.book import Book
from app.records.contents import contents
from tests.actions.exchange.test_bringing_in import bring_all
from tests.actions.shelf.towels import order_of_towels, rungs, stands, whole
from tests.shop import TODAY, new_desk

TOMORROW = TODAY + timedelta(days=1)


def test_pieces_come_in_are_used_washed_go_down_and_out(desk, shop, towels):
    assert put_in(desk, TODAY, towels, "20").sentence == "Taken in at 10.00."
    set_out(desk, TODAY, towels, "40")
    changed = wash(desk, TODAY, towels, "1 load")
    assert changed.name == "One load of Cloths washed"
    assert changed.sentence == "25 pieces clean again."
    demote(desk, TODAY, towels, "10")
    demote(desk, TODAY, towels, "4", "interior")
    demote(desk, TODAY, towels, "1", "wheels")
    retire(desk, TODAY, towels, "2", "interior")
    view = pool_view(desk, towels)
    assert rungs(desk, towels) == [("paint", 35, 15), ("interior", 4, 0), ("wheels", 3, 0)]
    assert (view.standing.came_in, view.standing.out, view.standing.loads) == (60, 3, 1)
    assert view.rebuy == 0
    assert "lidded metal can" in retire(desk, TODAY, towels, "8").question
    view = pool_view(desk, towels)
    assert (view.rebuy, view.standing.came_in) == (8, 60)
    assert "Eight pieces short of two loads" in view.rebuy_text
    assert [one.supply_id for one in pools(desk)] == [towels]
    whole(desk, towels)


def test_the_caution_about_rags_stands_where_pieces_end_as_rags(desk, shop, towels):
    assert demote(desk, TODAY, towels, "2").question == ""
    assert (
        "Label, data sheet and local fire code"
        in demote(desk, TODAY, towels, "2", "interior").question
    )


def test_more_than_stands_there_is_refused_and_nothing_moves(desk, shop, towels):
    with pytest.raises(Mendable, match="Only 40 pieces"):
        set_out(desk, TODAY, towels, "41")
    with pytest.raises(Mendable, match="Only 40 pieces"):
        retire(desk, TODAY, towels, "41")
    with pytest.raises(Mendable, match="no step of this pool"):
        set_out(desk, TODAY, towels, "1", "engine")
    with pytest.raises(Mendable, match="no number of"):
        wash(desk, TODAY, towels, "some")
    with pytest.raises(Mendable, match="whole pieces"):
        stock.waste(desk, TODAY, towels, "1/2")
    with pytest.raises(Mendable, match="used up, not washed"):
        put_in(desk, TODAY, shop.supplies["soap"], "5")
    with pytest.raises(Mendable, match="of pieces"):
        edit_supply(desk, shop.supplies["soap"], pool="paint")
    assert pool_view(desk, towels).text == "40 clean, 0 in use"


def test_each_step_is_undone_by_its_name(desk, shop, towels):
    set_out(desk, TODAY, towels, "30")
    wash(desk, TODAY, towels, "2 loads")
    assert desk.book.undo(today=TODAY).name == "Two loads of Cloths washed"
    assert pool_view(desk, towels).text == "10 clean, 30 in use"
    assert desk.book.redo(today=TODAY).name == "Two loads of Cloths washed"
    assert pool_view(desk, towels).text == "40 clean, 0 in use"
    whole(desk, towels)


def test_each_step_is_undone_after_the_book_was_opened_again(desk, shop, towels, clock):
    before = contents(desk.book)
    for act in (
        lambda on: put_in(on, TODAY, towels, "30"),
        lambda on: set_out(on, TODAY, towels, "30"),
        lambda on: wash(on, TODAY, towels, "1"),
        lambda on: demote(on, TODAY, towels, "3"),
        lambda on: retire(on, TODAY, towels, "3"),
        lambda on: lose(on, TODAY, towels, "3"),
        lambda on: count_pool(on, TODAY, towels, "20"),
        lambda on: stock.waste(on, TODAY, towels, "2", "Torn"),
    ):
        changed = act(desk)
        desk.book.close()
        desk = Desk(Book.open(desk.book.path), clock=clock)
        assert desk.book.undo(today=TODAY).name == changed.name
        whole(desk, towels)
    assert contents(desk.book)["pool_events"] == before["pool_events"]
    assert contents(desk.book)["shelf"] == before["shelf"]
    desk.book.close()


def test_after_the_day_is_closed_undo_writes_counter_lines(desk, shop, towels):
    put_in(desk, TODAY, towels, "30")
    wash(desk, TODAY, towels, "1")
    close_day(desk, TODAY)
    for _ in range(3):
        desk.book.undo(today=TOMORROW)
    view = pool_view(desk, towels)
    assert (view.standing.loads, view.standing.came_in) == (0, 40)
    whole(desk, towels)


def test_a_wash_is_noted_also_after_the_day_was_closed(desk, shop, towels):
    set_out(desk, TODAY, towels, "10")
    close_day(desk, TODAY)
    wash(desk, TODAY, towels, "1 load")
    assert pool_view(desk, towels).standing.loads == 1
    desk.book.undo(today=TODAY)
    assert pool_view(desk, towels).standing.loads == 0
    with pytest.raises(Mendable, match="reopen"):
        retire(desk, TODAY, towels, "1")
    whole(desk, towels)


def test_a_lower_step_is_counted_without_the_ledger(desk, shop, towels):
    demote(desk, TODAY, towels, "10")
    before = stands(desk, towels)
    assert count_pool(desk, TODAY, towels, "7", "interior").sentence == "Three pieces lost."
    assert stands(desk, towels) == before
    assert count_pool(desk, TODAY, towels, "0", "interior").sentence == "Seven pieces lost."
    whole(desk, towels)


def test_retired_and_demoted_pieces_take_the_rest_of_their_worth_along(desk, shop, towels):
    """After 1,000 uses 40 cloths of 20.00 are worth 15.00: ten of them 3.75."""
    set_use(desk, TODAY, shop.jobs["0412"], towels, "0")
    set_use(desk, TODAY, shop.jobs["0411"], towels, "1000 uses")
    close_day(desk, TODAY)
    wash(desk, TOMORROW, towels, "2 loads")
    assert stands(desk, towels) == (40_000, 1500)
    assert "3.75" in retire(desk, TOMORROW, towels, "10").sentence
    assert stands(desk, towels) == (30_000, 1125)
    assert "3.75" in demote(desk, TOMORROW, towels, "10").sentence
    assert retire(desk, TOMORROW, towels, "5", "interior").sentence == "", "worth nothing there"
    assert stands(desk, towels) == (20_000, 750)
    whole(desk, towels)


def test_pools_go_out_and_come_into_a_new_book_whole(desk, shop, towels, tmp_path):
    order, line = order_of_towels(desk, shop, towels)
    receive(desk, TODAY, order, {line: 1})
    set_use(desk, TODAY, shop.jobs["0411"], towels, "1 load")
    set_out(desk, TODAY, towels, "5")
    wash(desk, TODAY, towels, "1 load")
    demote(desk, TODAY, towels, "3")
    stock.count(desk, TODAY, towels, "80")
    close_day(desk, TODAY)
    reopen_day(desk, TODAY, "to see counter-lines go along")
    close_day(desk, TODAY)
    out = export(desk, tmp_path / "all.xlsx")
    other = new_desk(tmp_path / "other.bayledger")
    plan, _ = bring_all(other, [out])
    assert plan.total("cannot") == 0
    assert contents(other.book)["pool_events"] == contents(desk.book)["pool_events"] != []
    assert contents(other.book) == contents(desk.book)
    again = pools(other)[0].supply_id
    assert pool_view(other, again).rungs == pool_view(desk, towels).rungs
    bring_all(other, [out])
    assert contents(other.book) == contents(desk.book), "brought in twice it is there once"
    assert pool_view(other, again).uses_text == pool_view(desk, towels).uses_text
    whole(other, again)
    reopen_day(other, TODAY, "the uses are named in the new book too")
    reopen_day(desk, TODAY, "the uses are named in the new book too")
    assert pool_view(other, again).rungs == pool_view(desk, towels).rungs
    whole(other, again)
    other.book.close()


STEPS = ("put in", "set out", "wash", "demote", "retire", "lose", "count", "waste", "give back",
         "use", "close", "reopen", "undo", "redo")  # fmt: skip


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(STEPS), st.integers(0, 40), st.sampled_from(["", "interior", "wheels"])
        ),
        max_size=14,
    )
)
def test_whatever_is_done_and_undone_no_piece_is_made_or_lost(desk, shop, towels, steps):
    begun = len(desk.book.history(limit=1000))
    for do, number, rung in steps:
        with suppress(Mendable):
            _do(desk, shop, towels, do, number, rung, begun)
        view = pool_view(desk, towels)
        inside = sum(one.clean + one.in_use for one in view.rungs)
        assert view.standing.came_in == inside + view.standing.out + view.standing.lost, do
        first = view.rungs[0]
        assert stands(desk, towels)[0] == (first.clean + first.in_use) * 1000, do
    assert desk.book.check() == []


def _do(desk, shop, towels, do, number, rung, begun):
    acts = {
        "put in": lambda: put_in(desk, TODAY, towels, str(number)),
        "set out": lambda: set_out(desk, TODAY, towels, str(number), rung),
        "wash": lambda: wash(desk, TODAY, towels, str(1 + number % 3), rung),
        "demote": lambda: demote(desk, TODAY, towels, str(number), rung),
        "retire": lambda: retire(desk, TODAY, towels, str(number), rung),
        "lose": lambda: lose(desk, TODAY, towels, str(number), rung),
        "count": lambda: count_pool(desk, TODAY, towels, str(number), rung),
        "waste": lambda: stock.waste(desk, TODAY, towels, str(number)),
        "give back": lambda: stock.give_back(desk, TODAY, towels, str(number)),
        "use": lambda: set_use(
            desk, TODAY, shop.jobs["0411"], towels,
            f"{1 + number % 3} loads" if rung else str(number),
        ),
        "close": lambda: close_day(desk, TODAY),
        "reopen": lambda: reopen_day(desk, TODAY, "another try"),
        "redo": lambda: desk.book.redo(today=TODAY),
    }  # fmt: skip
    if do == "undo":
        if len(desk.book.history(limit=1000)) > begun:
            desk.book.undo(today=TODAY)
    else:
        acts[do]()


def test_the_loads_of_a_day_are_said_once_and_can_be_put_right(desk, shop, towels):
    set_out(desk, TODAY, towels, "40")
    assert [(one.loads, one.clean, one.in_use) for one in washed_on(desk, TODAY)] == [(0, 0, 40)]
    changed = set_washed(desk, TODAY, towels, "2")
    assert "Two loads of Cloths washed on Thu" in changed.name
    assert [(one.loads, one.clean, one.in_use) for one in washed_on(desk, TODAY)] == [(2, 40, 0)]
    assert not set_washed(desk, TODAY, towels, "2 loads").kinds, "said already"
    set_washed(desk, TODAY, towels, "1")
    assert [(one.loads, one.clean, one.in_use) for one in washed_on(desk, TODAY)] == [(1, 25, 15)]
    set_washed(desk, TODAY, towels, "")
    assert [(one.loads, one.clean, one.in_use) for one in washed_on(desk, TODAY)] == [(0, 0, 40)]
    assert washed_on(desk, TOMORROW)[0].loads == 0
    assert pool_view(desk, towels).standing.loads == 0
    whole(desk, towels)
    with pytest.raises(Mendable, match="no number of loads"):
        set_washed(desk, TODAY, towels, "some")
