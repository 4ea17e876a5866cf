"""The day sheet as a whole: stations, marks of the month, what was saved, what is confirmed."""

from __future__ import annotations

import random
from contextlib import suppress
from datetime import timedelta

import pytest

from app.actions.day.closing import close_day
from app.actions.day.day import STATIONS, confirm, day_view, month_marks
from app.actions.day.jobs_worked import set_hours
from app.actions.day.money_taken import set_money
from app.actions.day.supplies_used import set_use, supplies_used
from app.actions.desk.desk import Desk
from app.actions.desk.undoing import redo, undo
from app.actions.orders.order_proposal import what_to_order
from app.actions.stock.stock import count
from app.errors import Mendable, Refused
from tests.shop import TODAY


def station(desk, key, day=TODAY):
    return next(one for one in day_view(desk, day).stations if one.key == key)


def test_the_sheet_has_six_stations_in_the_order_of_the_evening(desk):
    assert tuple(one.key for one in day_view(desk, TODAY).stations) == tuple(STATIONS)
    assert station(desk, "jobs").result == "2 jobs  7 h 30 min"
    assert station(desk, "money").result == "1 payment expected, 96.53"
    assert station(desk, "close").result == "Tomorrow: 1 job"


def test_a_sheet_gets_its_page_with_the_first_thing_written(desk, shop):
    assert day_view(desk, TODAY).page == 1
    set_hours(desk, TODAY, shop.jobs["0411"], "2h")
    assert day_view(desk, TODAY).page == 1
    assert day_view(desk, TODAY + timedelta(days=1)).page == 2


def test_saying_that_a_station_is_right_ticks_it_and_can_be_undone(desk):
    assert confirm(desk, TODAY, "jobs").name == "Jobs are right on Thursday 14 August"
    assert station(desk, "jobs").state == "done"
    assert confirm(desk, TODAY, "jobs").kinds == frozenset()
    undo(desk)
    assert station(desk, "jobs").state == "to come"
    redo(desk)
    assert station(desk, "jobs").state == "done"


def test_there_is_no_other_station(desk):
    with pytest.raises(Mendable, match="no station"):
        confirm(desk, TODAY, "coffee")


def test_days_closed_and_left_open_are_marked_in_their_month(desk, shop, clock):
    clock.go_to(TODAY + timedelta(days=3))
    first = TODAY.replace(day=1)
    assert month_marks(desk, first) == (set(), {TODAY, TODAY + timedelta(days=1)})
    close_day(desk, TODAY)
    assert month_marks(desk, first) == ({TODAY}, {TODAY + timedelta(days=1)})
    assert day_view(desk, TODAY).summary.startswith("2 jobs, 7 h 30 min")


def test_a_short_supply_stands_at_the_station_of_orders(desk, shop):
    count(desk, TODAY, shop.supplies["coating"], "10 mL")
    orders = station(desk, "orders")
    assert orders.alert == "look"
    assert "before" in orders.result
    close = station(desk, "close")
    assert (close.result, close.alert) == ("Tomorrow: 1 job, 1 lacks supplies", "look")


def test_the_quick_view_leaves_out_what_takes_long(desk):
    view = day_view(desk, TODAY, slow=False)
    assert {one.key: bool(one.result) for one in view.stations}["jobs"]
    assert {one.key: bool(one.result) for one in view.stations}["orders"] is False


def test_what_was_saved_last_stands_with_its_time_in_the_shops_zone(desk, shop):
    set_hours(desk, TODAY, shop.jobs["0411"], "2h")
    assert day_view(desk, TODAY).last_saved == "Hours of 0411: 2 h, saved at 17:54"


def test_undo_and_redo_go_by_name(desk, shop):
    with pytest.raises(Refused, match="nothing to undo"):
        undo(desk)
    set_hours(desk, TODAY, shop.jobs["0411"], "2h")
    assert desk.book.next_undo() == "Hours of 0411: 2 h"
    assert undo(desk).sentence == "Hours of 0411: 2 h: undone"
    assert desk.book.next_redo() == "Hours of 0411: 2 h"
    assert redo(desk).kinds >= {"hours"}


def test_typing_leaves_what_takes_long_to_work_out_as_it_is(desk, shop, monkeypatch):
    from app.actions.plan import learnt_uses

    day_view(desk, TODAY)
    monkeypatch.setattr(learnt_uses, "fit", lambda _: pytest.fail("fitted again"))
    set_hours(desk, TODAY, shop.jobs["0411"], "2h")
    day_view(desk, TODAY)
    undo(desk)
    day_view(desk, TODAY)


@pytest.mark.parametrize("seed", range(3))
def test_whatever_is_typed_undone_and_done_again_the_sheet_is_what_it_would_be_anew(
    desk, shop, seed
):
    rng, days = random.Random(seed), (TODAY, TODAY + timedelta(days=1))
    tries = (
        lambda: set_hours(desk, TODAY, shop.jobs["0411"], f"{rng.randint(1, 5)}h"),
        lambda: set_use(desk, TODAY, shop.jobs["0411"], shop.supplies["soap"], "60 mL"),
        lambda: set_money(desk, TODAY, shop.jobs["0411"], "20"),
        lambda: confirm(desk, TODAY, rng.choice(list(STATIONS)[:5])),
        lambda: count(desk, TODAY, shop.supplies["coating"], f"{rng.randint(5, 90)} mL"),
        lambda: undo(desk),
        lambda: undo(desk),
        lambda: redo(desk),
    )
    for _ in range(12):
        with suppress(Refused):
            rng.choice(tries)()
        day, new = rng.choice(days), Desk(desk.book, desk.clock)
        for ask in (day_view, supplies_used, what_to_order):
            assert ask(desk, day) == ask(new, day)
