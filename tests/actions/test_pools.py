"""Pools on the desk: pieces, loads, steps, the day's close, undo; and what their wear costs a job.

Figures without another source are worked by hand beside their check.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions import stock
from app.actions.amounts import all_supplies
from app.actions.closing import close_day, closing, reopen_day
from app.actions.counting import counts
from app.actions.desk import Desk
from app.actions.exporting import export
from app.actions.ordering import receive, what_to_order
from app.actions.pools import (
    count_pool,
    demote,
    lose,
    pool_view,
    pools,
    put_in,
    retire,
    set_out,
    wash,
)
from app.actions.services import recipe_cost
from app.actions.shelf_state import left_on, shelf_state
from app.actions.stock_worth import dead_stock, unrecorded
from app.actions.supplies import edit_supply
from app.actions.supplies_used import clear_use, set_use, supplies_used
from app.actions.use_note import use_note
from app.errors import Mendable
from app.records.book import Book
from app.records.contents import contents
from app.records.models import Order, OrderLine, PoolEvent, Use
from app.records.stock import balances
from tests.actions.test_bringing_in import bring_all
from tests.shop import TODAY, new_desk

TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def towels(desk, shop):
    """The 40 cloths, bought for 50 cents each, as a pool: 25 in a load, a hundred uses."""
    number = shop.supplies["cloths"]
    edit_supply(desk, number, pool="paint", pool_load=25, pool_uses=100)
    return number


def rungs(desk, towels):
    return [(one.rung, one.clean, one.in_use) for one in pool_view(desk, towels).rungs]


def stands(desk, towels):
    with desk.book.reading() as session:
        return balances(session)[towels]


def whole(desk, towels):
    """All that came in is somewhere, and the shelf counts the pieces of the first step."""
    view = pool_view(desk, towels)
    inside = sum(one.clean + one.in_use for one in view.rungs)
    assert view.came_in == inside + view.out + view.lost
    first = view.rungs[0]
    assert stands(desk, towels)[0] == (first.clean + first.in_use) * 1000
    assert desk.book.check() == []


def cost_of(desk, job, supply):
    with desk.book.reading() as session:
        return session.query(Use.cost).filter(Use.job_id == job, Use.supply_id == supply).scalar()


def test_what_stands_on_the_shelf_begins_the_pool(desk, shop, towels):
    assert rungs(desk, towels) == [("paint", 40, 0), ("interior", 0, 0), ("wheels", 0, 0)]
    whole(desk, towels)
    desk.book.undo(today=TODAY)
    with desk.book.reading() as session:
        assert session.query(PoolEvent).count() == 0


def test_where_a_pool_begins_stays_while_pieces_stand_there(desk, shop, towels):
    with pytest.raises(Mendable, match="40 pieces of Cloths stand on paint"):
        edit_supply(desk, towels, pool="interior")
    edit_supply(desk, towels, pool="")
    edit_supply(desk, towels, pool="paint")
    assert rungs(desk, towels)[0] == ("paint", 40, 0), "they are not counted twice"
    whole(desk, towels)


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
    assert (view.came_in, view.out, view.loads) == (60, 3, 1)
    assert view.rebuy == 0
    assert "lidded metal can" in retire(desk, TODAY, towels, "8").question
    view = pool_view(desk, towels)
    assert (view.rebuy, view.came_in) == (8, 60)
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
    assert (view.loads, view.came_in) == (0, 40)
    whole(desk, towels)


def test_a_wash_is_noted_also_after_the_day_was_closed(desk, shop, towels):
    set_out(desk, TODAY, towels, "10")
    close_day(desk, TODAY)
    wash(desk, TODAY, towels, "1 load")
    assert pool_view(desk, towels).loads == 1
    desk.book.undo(today=TODAY)
    assert pool_view(desk, towels).loads == 0
    with pytest.raises(Mendable, match="reopen"):
        retire(desk, TODAY, towels, "1")
    whole(desk, towels)


# The day's close --------------------------------------------------------------------------------


def test_the_close_sets_out_what_jobs_took_and_takes_their_wear(desk, shop, towels):
    """Two cloths of the wash, and the ceramic's share: each use is 0.50 / 100."""
    rows = {one.supply_id: one for one in supplies_used(desk, TODAY).rows}
    today = rows[towels].today // 1000
    assert rows[towels].left_text == str(40 - today), "what is clean after it"
    close_day(desk, TODAY)
    assert rungs(desk, towels)[0] == ("paint", 40 - today, today)
    quantity, value = stands(desk, towels)
    assert quantity == 40_000, "the pieces stay"
    assert cost_of(desk, shop.jobs["0411"], towels) == 1
    assert 2000 - value == sum(
        cost_of(desk, shop.jobs[one], towels) or 0 for one in ("0411", "0412")
    )
    whole(desk, towels)


@pytest.mark.parametrize(
    ("typed", "pieces", "out", "loads", "cost"),
    [("12", 12, 12, 0, 6), ("12 uses", 12, 12, 0, 6), ("2 loads", 50, 0, 2, 25), ("0", 0, 0, 0, 0)],
)
def test_twelve_pieces_or_two_loads_are_single_uses(
    desk, shop, towels, typed, pieces, out, loads, cost
):
    """Two loads of 25 uses, of towels that last 100 and cost 0.50: 50 / 100 x 0.50 = 0.25."""
    job = shop.jobs["0411"]
    set_use(desk, TODAY, shop.jobs["0412"], towels, "0")
    set_use(desk, TODAY, job, towels, typed)
    row = next(one for one in supplies_used(desk, TODAY).rows if one.supply_id == towels)
    assert next(one for one in row.cells if one.job_id == job).amount == pieces * 1000
    assert row.alert == ("look" if pieces > 40 else "")
    close_day(desk, TODAY)
    view = pool_view(desk, towels)
    assert (view.rungs[0].clean, view.rungs[0].in_use) == (40 - out, out)
    assert view.loads == loads
    assert (cost_of(desk, job, towels) or 0) == cost
    whole(desk, towels)


def test_a_pool_that_is_short_on_paper_is_flagged_not_refused(desk, shop, towels):
    job = shop.jobs["0411"]
    changed = set_use(desk, TODAY, job, towels, "60")
    assert "more than are clean" in changed.sentence
    note = use_note(desk, TODAY, job, towels)
    assert ("In the pool", "40 pieces") in note.facts
    close_day(desk, TODAY)
    view = pool_view(desk, towels)
    assert view.rungs[0].clean == 0
    assert any("more than were clean" in one for one in view.advice)
    wash(desk, TOMORROW, towels, "2 loads")
    assert not pool_view(desk, towels).advice, "a wash settles it"
    whole(desk, towels)


def test_half_a_towel_is_no_use_of_a_pool(desk, shop, towels):
    with pytest.raises(Mendable, match="whole pieces"):
        set_use(desk, TODAY, shop.jobs["0411"], towels, "1/2")


def test_reopening_takes_the_pieces_back_and_a_corrected_use_is_booked_anew(desk, shop, towels):
    job = shop.jobs["0411"]
    set_use(desk, TODAY, shop.jobs["0412"], towels, "0")
    set_use(desk, TODAY, job, towels, "2 loads")
    close_day(desk, TODAY)
    reopen_day(desk, TODAY, "typed loads for pieces")
    view = pool_view(desk, towels)
    assert (view.text, view.loads) == ("40 clean, 0 in use", 0)
    assert stands(desk, towels) == (40_000, 2000)
    set_use(desk, TODAY, job, towels, "8")
    close_day(desk, TODAY)
    assert rungs(desk, towels)[0] == ("paint", 32, 8)
    assert cost_of(desk, job, towels) == 4
    whole(desk, towels)
    desk.book.undo(today=TOMORROW)
    whole(desk, towels)
    desk.book.redo(today=TOMORROW)
    assert rungs(desk, towels)[0] == ("paint", 32, 8)
    whole(desk, towels)
    reopen_day(desk, TODAY, "again")
    clear_use(desk, TODAY, job, towels)
    close_day(desk, TODAY)
    assert rungs(desk, towels)[0] == ("paint", 38, 2)
    whole(desk, towels)


def test_a_recipe_costs_the_wear_of_its_towels_not_the_towels(desk, shop):
    """Two cloths of 0.50 are 1.00 used up, and 2 / 100 x 0.50 = 0.01 as a pool."""
    plain = recipe_cost(desk, shop.services["wash"])
    edit_supply(desk, shop.supplies["cloths"], pool="paint", pool_uses=100)
    assert plain - recipe_cost(desk, shop.services["wash"]) == 99


def test_uses_without_a_stated_life_cost_nothing_and_say_so(desk, shop, towels):
    edit_supply(desk, towels, pool_uses="")
    close_day(desk, TODAY)
    assert cost_of(desk, shop.jobs["0411"], towels) == 0
    assert "Say how many uses" in pool_view(desk, towels).advice[-1]
    reopen_day(desk, TODAY, "to see it taken back")
    assert pool_view(desk, towels).text == "40 clean, 0 in use"
    whole(desk, towels)


def test_a_pool_that_outlived_its_worth_is_free(desk, shop, towels, clock):
    """40 cloths at 0.50 are 20.00; 4,000 uses wear all of it off."""
    job = shop.jobs["0411"]
    set_use(desk, TODAY, shop.jobs["0412"], towels, "0")
    set_use(desk, TODAY, job, towels, "5000 uses")
    close_day(desk, TODAY)
    assert cost_of(desk, job, towels) == 2000
    assert stands(desk, towels) == (40_000, 0)
    clock.now += timedelta(days=1)
    set_use(desk, TOMORROW, shop.jobs["0412"], towels, "12")
    close_day(desk, TOMORROW)
    assert stands(desk, towels) == (40_000, 0)
    whole(desk, towels)


def test_tomorrow_says_what_is_to_be_washed_first(desk, shop, towels):
    set_use(desk, TODAY, shop.jobs["0411"], towels, "39")
    set_use(desk, TODAY, shop.jobs["0412"], towels, "1")
    lacks = [one for job in closing(desk, TODAY).tomorrow for one in job.lacks]
    assert any("of Cloths to wash first" in one for one in lacks)


# The shelf --------------------------------------------------------------------------------------


def order_of_towels(desk, shop, towels, packs=1):
    with desk.book.change("Wrote an order", day=TODAY) as session:
        order = Order(number=77, supplier_id=shop.suppliers["van"], day=TODAY, state="sent")
        session.add(order)
        session.flush()
        line = OrderLine(
            order_id=order.id, supply_id=towels, pack_label="50 cloths", pack_size=50_000,
            packs=packs, price=2400,
        )  # fmt: skip
        session.add(line)
        session.flush()
        return order.id, line.id


def test_a_delivery_puts_pieces_in_also_in_parts_and_goes_with_them(desk, shop, towels, clock):
    order, line = order_of_towels(desk, shop, towels, packs=2)
    receive(desk, TODAY, order, {line: 1})
    assert rungs(desk, towels)[0] == ("paint", 90, 0)
    with desk.book.reading() as session:
        named = session.query(PoolEvent.movement_id).order_by(PoolEvent.id.desc()).first()
    assert named[0] is not None
    receive(desk, TOMORROW, order, {line: 1})
    assert rungs(desk, towels)[0] == ("paint", 140, 0)
    whole(desk, towels)
    clock.now += timedelta(days=1)
    close_day(desk, TOMORROW)
    desk.book.undo(today=TOMORROW)
    desk.book.undo(today=TOMORROW)
    assert rungs(desk, towels)[0] == ("paint", 90, 0)
    whole(desk, towels)


def test_pieces_brought_along_thrown_out_and_given_back_move_in_the_pool(desk, shop, towels):
    stock.receive_goods_without_order(desk, TODAY, towels, "10", "6.00")
    assert rungs(desk, towels)[0] == ("paint", 50, 0)
    stock.waste(desk, TODAY, towels, "4", "Coating on them")
    stock.give_back(desk, TODAY, towels, "6", "Lint")
    view = pool_view(desk, towels)
    assert (view.rungs[0].clean, view.out, view.came_in) == (40, 4, 44)
    whole(desk, towels)


def test_a_count_of_the_shelf_is_of_clean_and_in_use_and_the_rest_is_lost(desk, shop, towels):
    """Six of forty at 0.50: 3.00."""
    set_out(desk, TODAY, towels, "10")
    changed = stock.count(desk, TODAY, towels, "34")
    assert "worth 3.00" in changed.sentence
    view = pool_view(desk, towels)
    assert (view.rungs[0].clean, view.rungs[0].in_use, view.lost) == (30, 4, 6)
    assert view.lost_text == "6 in a year, 15 %"
    assert stands(desk, towels) == (34_000, 1700)
    stock.count(desk, TODAY, towels, "35")
    assert pool_view(desk, towels).lost == 5, "one was found again"
    whole(desk, towels)


def test_what_a_count_does_not_find_is_lost_and_no_unrecorded_use(desk, shop, towels):
    stock.count(desk, TODAY, towels, "34")
    assert unrecorded(desk, TODAY, all_supplies(desk)[towels]) == ()
    found = counts(desk, TODAY)[towels]
    assert (found.gone, found.share_text) == (6_000, "")


def test_a_pool_in_use_is_no_dead_stock(desk, shop, towels, clock):
    later = TODAY + timedelta(days=200)
    clock.go_to(later)
    assert towels in {one.supply_id for one in dead_stock(desk, later)}
    wash(desk, later, towels, "1 load")
    assert towels not in {one.supply_id for one in dead_stock(desk, later)}


def test_the_uses_of_an_open_day_do_not_disturb_a_count(desk, shop, towels):
    set_use(desk, TODAY, shop.jobs["0411"], towels, "12")
    assert stock.count(desk, TODAY, towels, "40").sentence == "Just as the book says."
    assert left_on(desk, TODAY)[towels] == 40_000
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


# Rebuying ---------------------------------------------------------------------------------------


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


def test_uses_so_far_and_what_pieces_lasted_are_told_with_how_many_say_so(desk, shop, towels):
    """72 loads of 25 over 40 pieces are 45 uses each, of 100; 146 loads are 91.25."""
    wash(desk, TODAY, towels, "72 loads")
    view = pool_view(desk, towels)
    assert view.uses_text == "about 45 a piece, of 100"
    assert (view.advice, view.learnt_text) == ((), "")
    wash(desk, TODAY, towels, "74 loads")
    assert "91 uses of 100 behind them" in pool_view(desk, towels).advice[0]
    retire(desk, TODAY, towels, "10")
    # (100 x 20 + 912.5) / 30 = 97.08 uses; 0.50 / 97.08 x 100 = 0.52
    view = pool_view(desk, towels)
    assert (view.learnt_text, view.learnt_wear_text) == (
        "91 uses each, n 10", "0.52 for a hundred",
    )  # fmt: skip


# In and out -------------------------------------------------------------------------------------


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


# Whatever is done -------------------------------------------------------------------------------

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
        assert view.came_in == inside + view.out + view.lost, do
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
