"""Pools and the shelf's ledger together: the day's close, deliveries, counts, waste.

Figures without another source are worked by hand beside their check.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.day.closing import close_day, reopen_day
from app.actions.day.supplies_used import clear_use, set_use, supplies_used
from app.actions.jobs.services import recipe_cost
from app.actions.orders.receiving import receive
from app.actions.shelf.pool_view import pool_view
from app.actions.shelf.pools import set_out
from app.actions.stock import stock
from app.actions.stock.left import left_on
from app.actions.stock.supply_facts import edit_supply
from app.calculations.stock.pools import whole_pieces
from app.errors import Mendable
from app.records.models import PoolEvent
from tests.actions.shelf.towels import cost_of, order_of_towels, rungs, stands, whole
from tests.shop import TODAY

TOMORROW = TODAY + timedelta(days=1)


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
    assert view.standing.loads == loads
    assert (cost_of(desk, job, towels) or 0) == cost
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
    assert (view.text, view.standing.loads) == ("40 clean, 0 in use", 0)
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
    assert (view.rungs[0].clean, view.standing.out, view.standing.came_in) == (40, 4, 44)
    whole(desk, towels)


def test_a_count_of_the_shelf_is_of_clean_and_in_use_and_the_rest_is_lost(desk, shop, towels):
    """Six of forty at 0.50: 3.00."""
    set_out(desk, TODAY, towels, "10")
    changed = stock.count(desk, TODAY, towels, "34")
    assert "worth 3.00" in changed.sentence
    view = pool_view(desk, towels)
    assert (view.rungs[0].clean, view.rungs[0].in_use, view.standing.lost) == (30, 4, 6)
    assert view.lost_text == "6 in a year, 15 %"
    assert stands(desk, towels) == (34_000, 1700)
    stock.count(desk, TODAY, towels, "35")
    assert pool_view(desk, towels).standing.lost == 5, "one was found again"
    whole(desk, towels)


def test_the_uses_of_an_open_day_do_not_disturb_a_count(desk, shop, towels):
    set_use(desk, TODAY, shop.jobs["0411"], towels, "12")
    assert stock.count(desk, TODAY, towels, "40").sentence == "Just as the book says."
    assert left_on(desk, TODAY)[towels] == 40_000
    whole(desk, towels)


def test_a_towel_of_a_job_over_two_days_is_a_whole_one_on_each(desk, shop, towels):
    assert whole_pieces(500, washed=True) == 1000
    assert whole_pieces(300) == 300, "of a roll of tape a part is used"
