"""When a job would be ready by what jobs like it took."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.actions.bay.like_jobs import like_ready
from app.actions.bay.plan_of_shop import plan_of_shop
from app.actions.bay.standing import Move
from app.actions.desk.desk import Desk
from app.records.models import Hours, Job
from tests.actions.bay.conftest import At, Book
from tests.shop import TODAY


def test_each_closed_job_like_it_gives_a_time_at_which_it_would_be_ready(
    desk: Desk, book: Book, at: At
) -> None:
    for days, minutes in enumerate((60, 90, 180), 1):
        number = book("wash", 13)
        with desk.book.load() as session:
            done = session.get_one(Job, number)
            done.state, done.done_on = "done", TODAY - timedelta(days=days)
            session.add(Hours(day=done.done_on, job_id=number, minutes=minutes, state="confirmed"))
    job = book("wash", 18, begins_at=at(18, "8:00"))
    row = plan_of_shop(desk, date(2025, 8, 14)).row(job)
    took = [minute - row.begin for minute in like_ready(desk, Move(job))]
    assert took == pytest.approx([60, 90, 180], abs=2), "the same vehicle: to the minute of a step"
    assert (row.n, row.few) == (0, True), "three are too few for a band of their own"
