"""Why a job came to more than its estimate: asked where it did, said by one key, and counted."""

from __future__ import annotations

from datetime import timedelta

from app.actions.day.jobs_worked import DRIFT_REASONS
from app.actions.desk.desk import Desk
from app.actions.figures.reasons import why_more, why_nothing
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.drift import KEYS, more_than_estimated, say_why_more
from app.actions.jobs.enquiries import note_enquiry
from app.actions.jobs.estimate_versions import give, make_version
from app.actions.jobs.job_card import job_card
from app.actions.jobs.job_changes import add_charge, cancel_job
from app.records.models import Hours, Job
from tests.shop import TODAY, SmallShop


def test_it_is_asked_where_hours_or_money_passed_the_estimate_and_said_by_one_key(
    desk: Desk, shop: SmallShop
) -> None:
    assert set(KEYS.values()) == set(DRIFT_REASONS), "as on the day sheet"
    job = book_job(desk, NewJob(customer_id=shop.customers["quell"]))[1]
    add_charge(desk, job, "Polish", "450", 0)
    give(desk, make_version(desk, job)[1])
    assert more_than_estimated(desk, job_card(desk, job)) == ""
    add_charge(desk, job, "Odor", "60", 0)
    assert more_than_estimated(desk, job_card(desk, job)) == "60.00 more than the likely figure"
    say_why_more(desk, job, KEYS["E"])
    assert job_card(desk, job).job.drift_reason == "extra work asked for"
    desk.book.undo(today=TODAY)
    assert job_card(desk, job).job.drift_reason == ""
    say_why_more(desk, job, KEYS["R"])
    say_why_more(desk, job, KEYS["R"])
    assert job_card(desk, job).job.drift_reason == "", "the same once more takes it back"


def test_reasons_are_counted_in_a_span_and_enquiries_by_what_became_of_them(
    desk: Desk, shop: SmallShop
) -> None:
    first, last = TODAY - timedelta(days=30), TODAY
    assert why_more(desk, first, last).rows == ()
    for reason in ("redone", "redone", "learning"):
        job = book_job(desk, NewJob(customer_id=shop.customers["quell"]))[1]
        with desk.book.load() as session:
            row = session.get_one(Job, job)
            row.state, row.done_on, row.expected_minutes = "done", TODAY, 60
            session.add(Hours(day=TODAY, job_id=job, minutes=90, expected=60))
        say_why_more(desk, job, reason)
    found = why_more(desk, first, last)
    assert [(one.words, one.count, one.over) for one in found.rows] == [
        ("redone", 2, 60), ("learning", 1, 30),
    ]  # fmt: skip
    assert found.finding == (
        "3 jobs with a reason why it came to more, 1 h 30 min over in all; most often redone, "
        "2 of them."
    )
    assert len(found.rows[0].jobs) == 2
    for why in ("too dear", "too dear", ""):
        asked = note_enquiry(desk, f"Somebody {why} {why}", "a wash")[1]
        cancel_job(desk, asked, why)
    note_enquiry(desk, "Another", "a coating")
    nothing = why_nothing(desk, first, last)
    assert nothing.finding == "4 enquiries: 0 booked, 3 came to nothing, 1 still open."
    assert [(one.words, one.count) for one in nothing.rows] == [("too dear", 2), ("not said", 1)]
    assert why_nothing(desk, first, first).finding == "Nobody asked in this time."
