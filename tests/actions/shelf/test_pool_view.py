"""What a pool says of itself: uses so far, what its pieces lasted, what is amiss."""

from __future__ import annotations

from datetime import timedelta

from app.actions.day.closing import close_day
from app.actions.day.supplies_used import set_use
from app.actions.day.use_note import use_note
from app.actions.desk.amounts import all_supplies
from app.actions.shelf.counting import counts
from app.actions.shelf.pool_view import pool_view
from app.actions.shelf.pools import retire, wash
from app.actions.shelf.stock_worth import dead_stock, unrecorded
from app.actions.stock import stock
from tests.actions.shelf.towels import whole
from tests.shop import TODAY

TOMORROW = TODAY + timedelta(days=1)


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
