"""Lots: what lies opened, what is past its life, what is not counted on, and writing it off."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.actions.day.closing import close_day
from app.actions.day.supplies_used import set_use
from app.actions.day.use_note import use_note
from app.actions.desk.amounts import supply_of
from app.actions.orders.shelf_state import covers, losses_on, usable
from app.actions.shelf.shelf import shelf
from app.actions.shelf.supplies import supply_note, supply_page
from app.actions.stock.left import left_on
from app.actions.stock.lots import (
    discard_opened,
    edit_lot,
    losses,
    lots_there,
    open_lots,
    taking_text,
    write_off_past,
)
from app.actions.stock.stock import open_container
from app.actions.stock.supply_facts import edit_supply
from app.errors import Mendable
from app.records.contents import contents
from app.records.models import Lot, Movement, RecipeLine
from app.records.stock import balance
from tests.shop import TODAY

COATING = 30_000  # one container


@pytest.fixture
def coating(desk, shop):
    """The coating by whole containers of 30 mL that keep ten days once opened."""
    number = shop.supplies["coating"]
    edit_supply(desk, number, whole_container=True, bottle=COATING, opened_life_days=10)
    with desk.book.load() as session:
        session.query(RecipeLine).filter_by(supply_id=number).update(
            {"scaling": "container", "amount": COATING}
        )
    desk.reload()
    return number


def lot_of(desk, supply):
    (one,) = lots_there(desk)[supply]
    return one


def standing(desk, supply):
    with desk.book.reading() as session:
        return balance(session, supply)


def use(desk, shop, coating, typed):
    set_use(desk, TODAY, shop.jobs["0412"], coating, typed)
    close_day(desk, TODAY)


def test_the_opener_bears_the_whole_container_and_a_later_job_takes_the_rest_for_nothing(
    desk, shop, coating
):
    before = standing(desk, coating)
    use(desk, shop, coating, "14 ml")
    assert standing(desk, coating) == (before[0] - 14_000, before[1] // 2)
    one = lot_of(desk, coating)
    assert (one.opened, one.closed, one.opened_value) == (16_000, COATING, 0)
    (opened,) = open_lots(desk, TODAY, supply_of(desk, coating))
    assert opened.keeps_to == TODAY + timedelta(days=10)
    later = TODAY + timedelta(days=3)
    assert "costs this job nothing" in " ".join(
        taking_text(desk, later, supply_of(desk, coating), 12_000, COATING)
    )


def test_the_margin_of_the_day_says_who_pays_and_what_stays_opened(desk, shop, coating):
    friday = TODAY + timedelta(days=1)
    set_use(desk, friday, shop.jobs["0412"], coating, "14 ml")
    note = use_note(desk, friday, shop.jobs["0412"], coating)
    said = " ".join((*note.origin, *note.advice))
    assert "bears the container that it opens, 79.00" in said
    assert "16 mL stays opened and keeps to about 25 August" in said
    assert "Type 30 mL if the rest is thrown away" in said


def test_of_two_containers_in_a_lot_only_the_opened_one_is_past_its_life(desk, shop, coating):
    use(desk, shop, coating, "14 ml")
    late = TODAY + timedelta(days=11)
    desk.clock.go_to(late)
    found = losses_on(desk, late)[coating]
    assert found.past == 16_000
    assert left_on(desk, late)[coating] == 46_000, "the ledger keeps it until it is written off"
    assert usable(46_000, found) == COATING
    row = next(r for group in shelf(desk, late).groups for r in group.rows if r.past)
    assert row.supply_id == coating
    assert not row.folded


def test_a_new_container_of_a_lot_has_its_own_opened_life(desk, shop, coating):
    use(desk, shop, coating, "30 ml")
    late = TODAY + timedelta(days=40)
    desk.clock.go_to(late)
    assert coating not in losses_on(desk, late), "the second container was never opened"
    open_container(desk, late, coating)
    assert lot_of(desk, coating).opened == 0, "nothing of it was taken yet, and no rest lies there"


def test_what_is_past_its_life_is_written_off_at_its_worth_and_that_is_undone(desk, shop, coating):
    use(desk, shop, coating, "14 ml")
    late = TODAY + timedelta(days=11)
    desk.clock.go_to(late)
    before, whole = standing(desk, coating), contents(desk.book)
    done = write_off_past(desk, late, coating)
    assert done.sentence == "Wrote off 16 mL of Ceramic layer, worth 0.00."
    assert standing(desk, coating) == (COATING, before[1])
    with desk.book.reading() as session:
        line = session.query(Movement).order_by(Movement.id.desc()).first()
        assert (line.kind, line.quantity) == ("expired", -16_000)
    assert coating not in losses_on(desk, late)
    with pytest.raises(Mendable, match="Nothing of Ceramic layer is past its life"):
        write_off_past(desk, late, coating)
    desk.book.undo(today=late)
    assert contents(desk.book) == whole


def test_an_expired_lot_is_written_off_whole_with_its_value(desk, shop):
    coating = shop.supplies["coating"]
    edit_lot(desk, lot_of(desk, coating).lot.lot_id, expires_typed="2025-08-13")
    write_off_past(desk, TODAY, coating)
    assert standing(desk, coating) == (0, 0)
    with desk.book.reading() as session:
        assert session.query(Lot).filter_by(supply_id=coating).one().finished_on == TODAY


def test_what_lies_opened_is_thrown_away_and_what_is_closed_stays(desk, shop, coating):
    use(desk, shop, coating, "14 ml")
    value = standing(desk, coating)[1]
    discard_opened(desk, TODAY + timedelta(days=1), coating)
    assert standing(desk, coating) == (COATING, value)
    with pytest.raises(Mendable, match="No container of Ceramic layer lies opened"):
        discard_opened(desk, TODAY + timedelta(days=1), coating)


def test_a_lot_counts_for_no_job_after_its_last_day(desk, shop):
    coating = shop.supplies["coating"]
    short = covers(desk, TODAY)[coating].short_before_delivery
    assert short == 0
    # The job of tomorrow takes 18.2 mL; the label's last day is today.
    edit_lot(desk, lot_of(desk, coating).lot.lot_id, expires_typed=TODAY.isoformat())
    found = losses_on(desk, TODAY)[coating]
    assert (found.past, found.lost) == (0, 60_000)
    assert covers(desk, TODAY)[coating].short_before_delivery > 0
    said = " ".join(supply_note(desk, TODAY, coating).voice)
    assert "will not be used before it is past its life" in said


def test_a_lot_whose_work_comes_in_time_is_counted_on(desk, shop):
    coating = shop.supplies["coating"]
    edit_lot(desk, lot_of(desk, coating).lot.lot_id, expires_typed="2025-08-15")
    found = losses_on(desk, TODAY)[coating]
    assert 0 < found.lost < 60_000
    assert 60_000 - found.lost == pytest.approx(18_200, abs=200)


def test_code_and_last_day_of_a_lot_are_mended_by_typing_and_undone(desk, shop):
    coating = shop.supplies["coating"]
    number = lot_of(desk, coating).lot.lot_id
    edit_lot(desk, number, code=" K2 ")
    edit_lot(desk, number, expires_typed="1 May 2026")
    (view,) = supply_page(desk, TODAY, coating).lots
    assert (view.lot.code, view.lot.expires_on) == ("K2", date(2026, 5, 1))
    with pytest.raises(Mendable, match="is no day"):
        edit_lot(desk, number, expires_typed="soon")
    desk.book.undo(today=TODAY)
    desk.book.undo(today=TODAY)
    assert supply_page(desk, TODAY, coating).lots[0].lot.code == "L1"


def test_goods_without_lots_are_never_lost(desk, shop):
    assert set(losses(desk, TODAY, {}, {})) <= {shop.supplies["coating"]}
