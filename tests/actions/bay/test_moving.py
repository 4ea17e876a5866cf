"""Keeping a move: undone by name, noted with who asked; late, and not at all."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.actions.bay.moving import came_late, keep_move, move_words, moves_of, no_show
from app.actions.bay.plan_of_shop import plan_of_shop, tried
from app.actions.bay.standing import Move
from app.actions.bay.waiting import first_begin, waiting_list
from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import put_days
from app.actions.jobs.job_changes import cancel_job
from app.calculations.bay.opening import instant_of, minute_of
from app.errors import Mendable
from app.records.contents import contents
from app.records.models import Job
from tests.actions.bay.conftest import At, Book


def test_a_move_is_kept_with_who_asked_and_undone_by_its_name(
    desk: Desk, book: Book, at: At
) -> None:
    job = book("ceramic", 18, minutes=720, begins_at=at(18, "8:00"))
    before = contents(desk.book)
    move = Move(job, begins_at=at(20, "9:30"), place="outside", promised_at=at(22, "12:00"))
    kept = keep_move(desk, move, "customer", "rain at home")
    assert kept.name.endswith("to Wednesday 20 August, 9:30")
    with desk.book.reading() as session:
        row = session.get_one(Job, job)
        assert (row.first_day, row.last_day) == (date(2025, 8, 20), date(2025, 8, 21))
        assert (row.begins_at, row.place) == (at(20, "9:30"), "outside")
    assert plan_of_shop(desk).row(job).begin == minute_of(at(20, "9:30"))
    assert [move_words(desk, one) for one in moves_of(desk, job)] == [
        "moved from Mon 18 Aug, 8:00 to Wed 20 Aug, 9:30, the customer asked, rain at home"
    ]
    assert desk.book.next_undo() == kept.name
    desk.book.undo(today=desk.today)
    assert contents(desk.book) == before
    assert keep_move(desk, Move(job)).name == ""
    with pytest.raises(Mendable, match="customer or by the shop"):
        keep_move(desk, move, "the neighbour")


def test_a_hold_that_is_shortened_stays_so(desk: Desk, book: Book) -> None:
    job = book("ceramic", 18, minutes=240)
    step = next(s for s in _steps(desk, job) if s.effect == "applies")
    whole = plan_of_shop(desk).row(job).ready
    keep_move(desk, Move(job, holds=((step.step_id, 60),)))
    assert plan_of_shop(desk).row(job).ready < whole
    assert _steps(desk, job)[-1].hold_minutes == 60


def test_a_late_vehicle_begins_later_and_one_that_never_came_waits(
    desk: Desk, book: Book, at: At
) -> None:
    job = book("wash", 14, minutes=60, begins_at=at(14, "9:00"))
    came_late(desk, job, 40)
    assert plan_of_shop(desk).row(job).begin == minute_of(at(14, "9:40"))
    other = book("wash", None, minutes=60)
    said = no_show(desk, job, "no answer").question
    number = next(one.number for one in waiting_list(desk) if one.job_id == other)
    fits = "waits for a day and fits Thu 14 Aug, 8:00; move it there, or let it wait."
    assert said == f"{number} Upkeep wash {fits}"
    assert [move_words(desk, one) for one in moves_of(desk, job)] == [
        "came 40 min late", "did not come, no answer",
    ]  # fmt: skip
    assert {one.job_id for one in waiting_list(desk)} == {job, other}
    with pytest.raises(Mendable, match="no day"):
        no_show(desk, job)
    with pytest.raises(Mendable, match="late"):
        came_late(desk, other, 0)


def test_who_waits_is_proposed_when_a_day_falls_free(desk: Desk, book: Book, at: At) -> None:
    waits = book("wash", None, minutes=300)
    for day in (14, 15, 18):
        book("wash", day, minutes=480)
    full = book("wash", 19, minutes=480)
    fits = waiting_list(desk)[0]
    assert (fits.job_id, instant_of(fits.begin)) == (waits, at(20, "8:00"))
    assert fits.number in put_days(desk, full, date(2025, 8, 25)).question
    assert fits.number in cancel_job(desk, full).question


def test_days_moved_on_the_list_move_the_clock_time_along(desk: Desk, book: Book, at: At) -> None:
    job = book("wash", 18, minutes=60, begins_at=at(18, "10:30"))
    put_days(desk, job, date(2025, 8, 19), asked_by="shop")
    row = plan_of_shop(desk).row(job)
    assert instant_of(row.begin) == at(18, "10:30") + timedelta(days=1)
    assert move_words(desk, moves_of(desk, job)[0]).endswith("the shop asked")
    put_days(desk, job, None)
    assert waiting_list(desk)[0].job_id == job


def _steps(desk: Desk, job: int):
    from app.records.queries import days as queries

    with desk.book.reading() as session:
        return queries.steps_of(session, [job])[job]


def test_nobody_is_late_or_away_before_the_day_is_there(desk: Desk, book: Book, at: At) -> None:
    job = book("wash", 21, minutes=60, begins_at=at(21, "9:00"))
    before = contents(desk.book)
    for noted in (lambda: came_late(desk, job, 30), lambda: no_show(desk, job)):
        with pytest.raises(Mendable, match="comes on 21 August; note it when that day is there"):
            noted()
    assert contents(desk.book) == before


def test_a_job_without_a_day_is_first_tried_where_nothing_clashes(
    desk: Desk, book: Book, at: At
) -> None:
    book("wash", 14, minutes=450, begins_at=at(14, "8:00"))
    job = book("wash", None, minutes=60)
    begin = first_begin(desk, job)
    assert begin == minute_of(at(14, "15:30"))
    monday = minute_of(at(18, "0:00"))
    assert first_begin(desk, job, monday) == minute_of(at(18, "8:00")), "in the weeks in view"
    assert not tried(desk, Move(job, begins_at=instant_of(begin))).clashes
