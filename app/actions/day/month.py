"""The month as the contents show it: days closed and days left open."""

from __future__ import annotations

from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.records.queries import days as queries


def month_marks(desk: Desk, first: date) -> tuple[list[date], list[date]]:
    """(closed, left open) days of the month that begins with `first`."""
    last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
    with desk.book.reading() as session:
        closed, left_open = queries.marks(session, first, last, desk.today)
    return sorted(closed), sorted(left_open)
