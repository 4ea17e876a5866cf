"""Jobs worked: what is filled in, what is typed, what a visit over two days does."""

from __future__ import annotations

from datetime import time, timedelta

import pytest

from app.actions.day.closing import close_day
from app.actions.day.jobs_worked import (
    finish_job,
    jobs_worked,
    put_on_day,
    set_hours,
    set_step,
    take_off_day,
    why_over,
)
from app.actions.desk.undoing import undo
from app.actions.jobs.booking_jobs import usual_last_day
from app.errors import Mendable
from app.records.models import DaySheet, Job
from tests.shop import TODAY, add_job

TOMORROW = TODAY + timedelta(days=1)


def row(desk, shop, number, day=TODAY):
    return next(one for one in jobs_worked(desk, day).rows if one.job.job_id == shop.jobs[number])


def states(desk, shop, number, day=TODAY):
    return [step.state for step in row(desk, shop, number, day).steps]


def test_a_job_of_one_day_has_all_its_steps_ticked_and_all_its_hours(desk, shop):
    wash = row(desk, shop, "0411")
    assert states(desk, shop, "0411") == ["done", "done", "done"]
    assert (wash.minutes, wash.expected, wash.hours_state) == (90, 90, "expected")
    assert wash.finished


def test_a_job_of_two_days_takes_half_its_hours_and_steps_on_the_first(desk, shop):
    # 600 minutes x 1.2 for a large vehicle is twelve hours: six a day.
    assert row(desk, shop, "0412").minutes == 360
    assert states(desk, shop, "0412") == ["done", "done", "later", "later"]
    assert not row(desk, shop, "0412").finished


def test_hours_typed_on_the_first_day_leave_the_rest_for_the_second(desk, shop):
    changed = set_hours(desk, TODAY, shop.jobs["0412"], "7:30")
    assert changed.name == "Hours of 0412: 7 h 30 min"
    assert row(desk, shop, "0412").hours_state == "confirmed"
    assert row(desk, shop, "0412", TOMORROW).expected == 12 * 60 - 450


def test_hours_three_times_off_are_kept_and_asked_about(desk, shop):
    changed = set_hours(desk, TODAY, shop.jobs["0411"], "9h")
    assert "more than three times the expected 1 h 30 min" in changed.question
    assert row(desk, shop, "0411").minutes == 540


def test_hours_well_over_ask_for_the_reason_once(desk, shop):
    set_hours(desk, TODAY, shop.jobs["0411"], "1:40")
    assert not row(desk, shop, "0411").over
    set_hours(desk, TODAY, shop.jobs["0411"], "1:50")
    assert row(desk, shop, "0411").over
    why_over(desk, TODAY, shop.jobs["0411"], "condition")
    assert row(desk, shop, "0411").job.drift_reason == "condition"


def test_nothing_typed_fills_the_hours_in_again(desk, shop):
    set_hours(desk, TODAY, shop.jobs["0411"], "2h")
    set_hours(desk, TODAY, shop.jobs["0411"], " ")
    assert row(desk, shop, "0411").minutes == 90


def test_unreadable_hours_change_nothing(desk, shop):
    with pytest.raises(Mendable, match="not a time"):
        set_hours(desk, TODAY, shop.jobs["0411"], "soon")
    assert row(desk, shop, "0411").minutes == 90
    assert desk.book.next_undo() is None


def test_a_step_not_done_says_why_and_can_be_ticked_again(desk, shop):
    wheels = row(desk, shop, "0411").steps[1]
    set_step(desk, TODAY, wheels.step_id, "not done", "no time")
    again = row(desk, shop, "0411").steps[1]
    assert (again.state, again.because) == ("not done", "no time")
    set_step(desk, TODAY, wheels.step_id, "done")
    assert states(desk, shop, "0411") == ["done", "done", "done"]


def test_a_step_put_off_does_not_tick_itself_again(desk, shop):
    polish = row(desk, shop, "0412").steps[1]
    set_step(desk, TODAY, polish.step_id, "later")
    assert states(desk, shop, "0412")[1] == "later"
    close_day(desk, TODAY)
    assert states(desk, shop, "0412", TOMORROW)[1] == "done"


def test_steps_done_yesterday_stand_as_before_today(desk, shop, clock):
    close_day(desk, TODAY)
    clock.go_to(TOMORROW)
    assert states(desk, shop, "0412", TOMORROW) == ["before", "before", "done", "done"]


def test_a_job_finished_early_has_all_steps_and_leaves_tomorrow(desk, shop):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    assert states(desk, shop, "0412") == ["done"] * 4
    assert row(desk, shop, "0412").minutes == 720
    assert jobs_worked(desk, TOMORROW).rows == ()


def test_a_job_not_finished_on_its_last_day_goes_on_to_the_next_weekday(desk, shop):
    changed = finish_job(desk, TODAY, shop.jobs["0411"], False)
    assert changed.name == "0411 goes on to 15 August"
    assert not row(desk, shop, "0411").finished
    assert row(desk, shop, "0411", TOMORROW).finished


def test_a_job_that_goes_on_past_its_promise_says_so(desk, shop):
    with desk.book.load() as session:
        job = session.get_one(Job, shop.jobs["0411"])
        job.promised_at = desk.instant(TODAY, time(16, 30))
    for changed in (
        finish_job(desk, TODAY, shop.jobs["0411"], False),
        put_on_day(desk, TODAY + timedelta(days=4), shop.jobs["0411"]),
    ):
        assert changed.sentence.startswith(changed.name)
        assert "still promised for Thursday 14 August, 16:30" in changed.sentence
    assert finish_job(desk, TODAY, shop.jobs["0412"], False).sentence == ""


def test_a_job_booked_for_tomorrow_can_be_worked_today(desk, shop):
    with desk.book.load() as session:
        add_job(session, shop, "0420", "tolk", "coupe", "wash", TOMORROW, TOMORROW)
    assert [job.number_text for job, _ in jobs_worked(desk, TODAY).others] == ["0420"]
    put_on_day(desk, TODAY, shop.jobs["0420"])
    assert row(desk, shop, "0420").finished
    assert shop.jobs["0420"] not in [one.job.job_id for one in jobs_worked(desk, TOMORROW).rows]


def test_a_visit_that_has_begun_is_stretched_not_moved(desk, shop):
    later = TODAY + timedelta(days=4)
    set_hours(desk, TODAY, shop.jobs["0411"], "30m")
    put_on_day(desk, later, shop.jobs["0411"])
    with desk.book.reading() as session:
        job = session.get_one(Job, shop.jobs["0411"])
        assert (job.first_day, job.last_day) == (TODAY, later)
    assert row(desk, shop, "0411", later).expected == 60 or row(desk, shop, "0411", later).finished


def test_a_job_taken_off_the_day_takes_what_was_typed_with_it(desk, shop):
    set_hours(desk, TODAY, shop.jobs["0411"], "2h")
    take_off_day(desk, TODAY, shop.jobs["0411"])
    assert [one.job.number for one in jobs_worked(desk, TODAY).rows] == [412]
    undo(desk)
    assert row(desk, shop, "0411").minutes == 120


def test_a_job_taken_off_can_be_put_back(desk, shop):
    take_off_day(desk, TODAY, shop.jobs["0411"])
    put_on_day(desk, TODAY, shop.jobs["0411"])
    assert row(desk, shop, "0411").minutes == 90


def test_the_shops_own_hours_are_filled_in_from_the_days_before(desk, shop, clock):
    assert jobs_worked(desk, TODAY).other_minutes == 0
    set_hours(desk, TODAY, None, "1h20")
    close_day(desk, TODAY)
    clock.go_to(TOMORROW)
    work = jobs_worked(desk, TOMORROW)
    assert (work.other_minutes, work.other_state) == (75, "expected")


def test_every_line_typed_is_saved_and_undone_by_name(desk, shop):
    set_hours(desk, TODAY, shop.jobs["0411"], "2h")
    set_hours(desk, TODAY, None, "30m")
    assert desk.book.next_undo() == "Hours of the shop: 30 min"
    undo(desk)
    undo(desk)
    assert row(desk, shop, "0411").hours_state == "expected"


def test_a_closed_day_takes_no_more_hours(desk, shop):
    close_day(desk, TODAY)
    with pytest.raises(Mendable, match="Thursday 14 August is closed"):
        set_hours(desk, TODAY, shop.jobs["0411"], "2h")


def test_in_a_shop_that_works_on_saturdays_a_job_goes_on_to_saturday(desk, shop):
    """Common practice, no source."""
    friday = TOMORROW
    with desk.book.load() as session:
        for back in range(1, 50):
            day = TODAY - timedelta(days=back)
            if day.weekday() in (1, 2, 3, 4, 5):
                session.merge(DaySheet(day=day, page=1000 - back, state="closed"))
        job = add_job(session, shop, "0420", "tolk", "wagon", "wash", friday, friday)
    changed = finish_job(desk, friday, job, False)
    assert changed.name == "0420 goes on to 16 August"
    assert usual_last_day(desk, friday, 3 * 8 * 60) == friday + timedelta(days=4), "not on Monday"
