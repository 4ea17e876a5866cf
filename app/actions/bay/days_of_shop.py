"""What a shop's days are like beside its plan, as its book says: who came late, who walked in."""

from __future__ import annotations

from datetime import timedelta

from app.actions.desk.desk import Desk, kept
from app.actions.plan.opening import open_hours
from app.calculations.bay.promises import Days
from app.records.queries import bay as queries

BACK = timedelta(weeks=13)
ENOUGH = 20  # jobs begun before what is read off them counts


@kept("days of the shop")
def days_of_shop(desk: Desk) -> Days:
    """From the last quarter of a year; nothing of either while fewer than `ENOUGH` jobs began."""
    first, last = desk.today - BACK, desk.today - timedelta(days=1)
    with desk.book.reading() as session:
        begun = queries.begun_between(session, first, last)
        late = queries.minutes_late(session, first, last)
    if len(begun) < ENOUGH:
        return Days()
    walked_in = [minutes for booked, day, minutes in begun if booked == day]
    hours = open_hours(desk)
    is_open = sum(hours.on(first + timedelta(days=at)) for at in range((last - first).days + 1))
    punctual = (0,) * max(1, len(begun) - len(late))
    if not walked_in or not is_open:
        return Days((*punctual, *late))
    usual = sum(walked_in) // len(walked_in)
    return Days((*punctual, *late), len(walked_in) / (is_open / 60), usual)
