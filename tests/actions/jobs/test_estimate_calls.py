"""A call is due once a job passes what was approved, and only once for one reason."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.estimate_calls import calls_due, note_call
from app.actions.jobs.estimate_versions import approve, approved, give, make_version, versions
from app.actions.jobs.estimate_writing import add_line, edit_line, remove_line
from app.actions.jobs.job_changes import add_charge, expect
from app.actions.people.customers import edit_customer
from app.errors import Mendable
from app.records.queries import settings
from tests.shop import TODAY, SmallShop


@pytest.fixture
def job(desk: Desk, shop: SmallShop) -> int:
    """Approved: 5 hours, likely 400.00, not above 600.00; the rate is 90.00 an hour."""
    edit_customer(desk, shop.customers["quell"], phone="312 555 0177")
    made = book_job(desk, NewJob(customer_id=shop.customers["quell"], minutes=300))[1]
    add_charge(desk, made, "Polish", "400", 0)
    version = make_version(desk, made)[1]
    (line,) = versions(desk, made)[-1].lines
    edit_line(desk, line.line_id, "minutes", "4:00 5:00 7:00")
    edit_line(desk, line.line_id, "likely", "350 400 600")
    edit_line(desk, line.line_id, "rate", "0")
    give(desk, version)
    approve(desk, version, "Jonas Quell", "phone")
    return made


def test_ten_percent_more_charged_prompts_a_call_with_the_number(desk: Desk, job: int) -> None:
    add_charge(desk, job, "Odor", "40", 0)  # 440.00 is 10 % over and no more
    assert calls_due(desk, [job]) == {}
    add_charge(desk, job, "Cent", "0.01", 0)
    due = calls_due(desk, [job])[job]
    assert (due.reached, due.limit, due.phone) == (44_001, 44_000, "(312) 555-0177")
    assert "440.01" in due.sentence


def test_more_hours_than_approved_count_at_the_rate(desk: Desk, job: int) -> None:
    expect(desk, job, "5:25")  # 25 min at 90.00 are 37.50
    assert calls_due(desk, [job]) == {}
    expect(desk, job, "5:30")
    assert calls_due(desk, [job])[job].reached == 44_500


def test_the_shops_own_sum_comes_first_on_a_large_job(desk: Desk, job: int) -> None:
    with desk.book.load() as session:
        settings.write(session, {"call_above": 1_000})
    desk.reload()
    add_charge(desk, job, "Odor", "10.01", 0)
    assert calls_due(desk, [job])[job].limit == 41_000


def test_a_noted_call_is_not_asked_for_again_until_its_new_ceiling_is_passed(
    desk: Desk, job: int
) -> None:
    add_charge(desk, job, "Odor", "60", 0)
    with pytest.raises(Mendable, match="a new ceiling is at least that"):
        note_call(desk, job, "Jonas", "go on", "450")
    note_call(desk, job, "Jonas", "go on, up to 700", "700")
    assert calls_due(desk, [job]) == {}
    version = approved(versions(desk, job))
    assert version is not None
    assert version.ceiling == 70_000
    assert version.row.ceiling == 60_000  # as approved
    with pytest.raises(Mendable, match="No call"):
        note_call(desk, job, "Jonas", "go on")
    add_charge(desk, job, "More", "240.01", 0)
    assert calls_due(desk, [job])[job].limit == 70_000
    note_call(desk, job, "Jonas", "whatever it takes")
    add_charge(desk, job, "More", "500", 0)
    assert calls_due(desk, [job]) == {}
    desk.book.undo(today=TODAY)
    desk.book.undo(today=TODAY)
    assert job in calls_due(desk, [job])


def test_nothing_is_due_where_nothing_was_approved(desk: Desk, shop: SmallShop) -> None:
    job = book_job(desk, NewJob(customer_id=shop.customers["quell"]))[1]
    add_charge(desk, job, "Polish", "400", 0)
    version = make_version(desk, job)[1]
    add_line(desk, version, "Travel", "30")
    remove_line(desk, versions(desk, job)[-1].lines[-1].line_id)
    give(desk, version)
    add_charge(desk, job, "Odor", "400", 0)
    assert calls_due(desk, [job]) == {}
