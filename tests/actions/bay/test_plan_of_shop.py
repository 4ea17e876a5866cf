"""The plan of a shop's book: rows, days, clashes, and what a move would do."""

from __future__ import annotations

from datetime import date, time

import pytest

from app.actions.bay.moving import keep_move
from app.actions.bay.plan_of_shop import clock_words, is_hands, plan_of_shop, tried
from app.actions.bay.standing import Move
from app.actions.day.closing import close_day
from app.actions.day.jobs_worked import put_on_day, set_hours
from app.actions.desk.desk import Desk
from app.actions.jobs.job_changes import edit_job
from app.actions.shop.shop_settings import change_settings
from app.calculations.bay.opening import instant_of, minute_of
from app.calculations.bay.runs import Kind
from tests.actions.bay.conftest import At, Book
from tests.shop import TODAY, Clock


def test_an_empty_book_has_its_days_and_nothing_on_them(desk: Desk) -> None:
    found = plan_of_shop(desk)
    assert [day.day.day for day in found.days] == list(range(14, 28))
    assert [day.open_minutes for day in found.days[:4]] == [480, 480, 0, 0]
    assert (found.rows, found.unplaced, found.said) == ((), (), "Nothing is booked.")


@pytest.mark.usefixtures("dries")
def test_a_vehicle_that_dries_overnight_holds_the_bay_while_nobody_works(
    desk: Desk, book: Book
) -> None:
    job = book("wash", 18, minutes=90)
    row = plan_of_shop(desk).rows[0]
    assert [bar.kind for bar in row.bars] == [Kind.HANDS, Kind.DRIES, Kind.HANDS]
    assert [bar.end - bar.start for bar in row.bars] == [30, 720, 60]
    assert clock_words(desk, row.bars[1].end) == "Mon 20:30"
    assert row.waits == ((row.bars[1].end, row.bars[2].start),)
    assert clock_words(desk, row.ready) == "Tue 9:00"
    # Another comes while it dries: outside at once, in the bay not before it is fetched.
    other = book("wash", 18, minutes=60, place="outside")
    third = book("wash", 19, minutes=60)
    rows = {one.job_id: one for one in plan_of_shop(desk).rows}
    assert rows[other].begin < row.bars[1].end
    assert rows[other].bay is None
    assert rows[third].begin >= rows[job].ready


def test_two_vehicles_at_one_time_in_one_bay_are_a_clash_and_with_two_bays_none(
    desk: Desk, book: Book, at: At
) -> None:
    one = book("wash", 18, minutes=240, begins_at=at(18, "8:00"))
    other = book("wash", 18, minutes=240, begins_at=at(18, "10:00"))
    found = plan_of_shop(desk)
    assert [(clash.first, clash.second) for clash in found.clashes] == [(one, other)]
    assert found.row(one).clashes == (found.row(other).number,)
    assert found.row(other).said == f"clash in the bay with {found.row(one).number}"
    assert found.said == "1 clash."
    change_settings(desk, bays=2, people=2)
    found = plan_of_shop(desk)
    assert found.clashes == ()
    assert {row.bay for row in found.rows} == {0, 1}
    monday = found.days[4]
    assert (monday.open_minutes, monday.booked) == (960, 480)


def test_three_long_jobs_on_one_day_are_not_taken_without_a_word(desk: Desk, book: Book) -> None:
    for hours in (16, 20, 23):
        book("ceramic", 18, minutes=hours * 60)
    found = plan_of_shop(desk)
    first, *others = found.rows
    assert not first.pushed
    assert all(row.said.endswith("at the soonest") for row in others)
    assert found.said == "2 jobs that cannot begin when agreed."
    assert found.clashes == (), "they are brought when the bay is free"


def test_a_move_says_what_it_does_and_saves_nothing(desk: Desk, book: Book, at: At) -> None:
    one = book("wash", 18, minutes=240, begins_at=at(18, "8:00"))
    other = book("wash", 18, minutes=240, begins_at=at(18, "10:00"), promised_at=at(19, "9:00"))
    before = plan_of_shop(desk)
    move = Move(other, begins_at=at(19, "8:00"))
    then = tried(desk, move)
    assert then.effect.said == (
        f"Moved by 22 h, not kept yet. The clash with {then.row(one).number} is gone. "
        "No other job moves."
    )
    assert then.clashes == ()
    assert then.effect.before.chance > then.effect.after.chance
    assert [day.booked for day in then.effect.days[4:6]] == [480, 0]
    assert [day.booked for day in then.days[4:6]] == [240, 240]
    assert then.row(other).verdict == "no"
    assert then.row(other).said.startswith("not before Tue ")
    assert plan_of_shop(desk) == before
    assert tried(desk, Move(other)).effect.said == "Not kept yet. No other job moves."


def test_a_job_without_a_day_waits_and_one_begun_goes_on_now(desk: Desk, book: Book) -> None:
    waits = book("wash", None, minutes=60)
    begun = book("wash", 14, minutes=180)
    set_hours(desk, TODAY, begun, "1 h")
    found = plan_of_shop(desk)
    assert [(one.job_id, one.waits) for one in found.unplaced] == [(waits, True)]
    row = found.row(begun)
    assert (row.begun, row.begin, row.minutes) == (True, found.now, 120)


def test_a_time_is_that_of_its_day_and_goes_when_the_sheet_of_another_takes_the_job(
    desk: Desk, book: Book, at: At
) -> None:
    job = book("wash", 18, minutes=60, begins_at=at(18, "10:00"))
    assert plan_of_shop(desk).row(job).begin == minute_of(at(18, "10:00"))
    put_on_day(desk, TODAY, job)
    row = plan_of_shop(desk).row(job)
    assert (row.begin, row.fixed) == (minute_of(at(14, "8:00")), False)


def test_the_way_to_a_yard_takes_hands_and_no_bay(desk: Desk, book: Book) -> None:
    job = book("wash", 18, minutes=60, place="yard", travel_minutes=50)
    row = plan_of_shop(desk).row(job)
    assert (row.place, row.bay) == ("yard", None)
    assert sum(bar.end - bar.start for bar in row.bars if is_hands(bar)) == 110


def test_a_promise_has_its_chance_and_its_bracket(desk: Desk, book: Book, at: At) -> None:
    job = book("wash", 18, minutes=240, promised_at=at(18, "16:00"))
    row = plan_of_shop(desk).row(job)
    assert row.low <= row.ready <= row.high
    assert (row.verdict, row.few, row.n) == ("kept", True, 0)
    edit_job(desk, job, promised_at=at(18, "12:00"))
    row = plan_of_shop(desk).row(job)
    assert (row.verdict, row.promised) == ("look", minute_of(at(18, "12:00")))
    assert 0.1 < row.chance < 0.8
    assert instant_of(row.promised) == at(18, "12:00")


def test_a_day_that_is_closed_has_no_hours_left(desk: Desk, book: Book) -> None:
    job = book("wash", 14, minutes=960)
    set_hours(desk, TODAY, job, "1 h")
    assert plan_of_shop(desk).days[0].booked == 480
    close_day(desk, TODAY)
    found = plan_of_shop(desk)
    assert [day.booked for day in found.days[:2]] == [0, 480]


def test_a_move_over_a_clock_change_is_told_by_the_clock_on_the_wall(
    desk: Desk, book: Book, clock: Clock
) -> None:
    # US clocks went back on 2 November 2025 (tz database).
    clock.now = desk.instant(date(2025, 10, 31), time(8))
    begins = desk.instant(date(2025, 10, 31), time(9))
    job = book("wash", None, minutes=60)
    keep_move(desk, Move(job, begins_at=begins))
    move = Move(job, begins_at=desk.instant(date(2025, 11, 3), time(9)))
    assert tried(desk, move).effect.said.startswith("Moved by 3 days, not kept yet.")
