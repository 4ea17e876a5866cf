"""The hours of the next four weeks, and what is booked of them."""

from __future__ import annotations

from datetime import timedelta

from app.actions.desk.desk import Desk
from app.actions.figures.hours_ahead import ahead_figure
from app.records.models import Job
from tests.shop import TODAY, SmallShop

MONDAY = TODAY + timedelta(days=4)  # today is a Thursday


def book(desk: Desk, *visits: tuple[int, int, int]) -> None:
    """Only these jobs: (days after Monday, days in all, hours)."""
    with desk.book.load() as session:
        for job in session.query(Job):
            job.state = "cancelled"
        for at, (after, days, hours) in enumerate(visits):
            first = MONDAY + timedelta(days=after)
            session.add(Job(number=900 + at, state="booked", first_day=first,
                            last_day=first + timedelta(days=days - 1),
                            expected_minutes=60 * hours))  # fmt: skip


def test_the_four_weeks_ahead_count_open_hours_once_and_name_the_first_free_day(
    desk: Desk, shop: SmallShop
) -> None:
    book(desk, (-4, 2, 10), (0, 2, 12), (1, 1, 4))
    shown = ahead_figure(desk, TODAY)
    assert shown.free == MONDAY + timedelta(days=2)
    # Two days of this week and three weeks of five; the two hours beyond Tuesday's are not open.
    assert shown.finding == "24 of the next 136 open hours are booked."
    assert dict(shown.facts)["Booked beyond them"] == "2 h"
    weeks = [MONDAY + timedelta(weeks=at - 1) for at in range(4)]
    assert [len(shown.week(monday)) for monday in weeks] == [2, 5, 5, 5]
    full = MONDAY + timedelta(days=1)
    assert [len(shown.jobs.get(day, ())) for day in (MONDAY, full, shown.free)] == [1, 2, 0]
