"""The day sheet: its stations with their results, the month's marks, and saying "this is right"."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median

from app.actions.day.jobs_worked import jobs_worked
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import UNTOUCHED_BY_TYPING, writing_on
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.wording import count_of, counted
from app.errors import Mendable
from app.records.models import DaySheet
from app.records.queries import days as queries

# By station: its title, what stands below it, and what is said where it is right.
STATIONS = {
    "jobs": (
        "Jobs worked",
        "Steps are ticked as planned. Change only what differs.",
        "Jobs are right",
    ),
    "supplies": (
        "Supplies used",
        "Filled in from what such jobs really used. Change only what differs.",
        "Supplies are right",
    ),
    "money": ("Money taken", "Filled in with what falls due today.", "Money is right"),
    "orders": (
        "What to order",
        "What booked work and usual days need before the next delivery.",
        "Orders are right",
    ),
    "reminders": (
        "Whom to remind",
        "Prepared here; you read and send them.",
        "Reminders are right",
    ),
    "close": ("Close the day", "Books the day and makes a backup.", ""),
}
KINDS = frozenset({"days"})


@dataclass(frozen=True)
class StationView:
    """One station in the strip. `state`: done, to come; `alert`: "", look, wrong."""

    key: str
    title: str
    subtitle: str
    result: str
    alert: str
    state: str


@dataclass(frozen=True, kw_only=True)
class DayView:
    """A day's sheet."""

    day: date
    page: int
    state: str  # open, closed
    stations: tuple[StationView, ...]
    usual_seconds: int | None  # the middle of the last ten closes
    last_saved: str
    summary: str


def day_view(desk: Desk, day: date, *, slow: bool = True, reminders: bool = True) -> DayView:
    """The sheet of a day.

    `slow` false leaves out all results but that of *Jobs worked*, how long a close takes and what
    was saved last: for the first picture, while the rest is read in the background. `reminders`
    false leaves out that of *Whom to remind*, for which every layer is looked through.
    """
    with desk.book.reading() as session:
        sheet = queries.sheet(session, day)
        page = sheet.page if sheet is not None else queries.next_page(session)
        seconds = queries.last_seconds(session) if slow else []
    done = sheet.stations if sheet is not None else ()
    is_closed = sheet is not None and sheet.state == "closed"
    results = _results(desk, day, slow)
    if slow and reminders:
        results["reminders"] = reminders_result(desk, day)
    stations = tuple(
        StationView(
            key,
            title,
            subtitle,
            *results[key],
            "done" if is_closed or key in done else "to come",
        )
        for key, (title, subtitle, _) in STATIONS.items()
    )
    return DayView(
        day=day,
        page=page,
        state="closed" if is_closed else "open",
        stations=stations,
        usual_seconds=round(median(seconds)) if seconds else None,
        last_saved=_last_saved(desk) if slow else "",
        summary=sheet.summary if sheet is not None and is_closed else "",
    )


def is_new(desk: Desk) -> bool:
    """Whether no day of the book is closed yet."""
    with desk.book.reading() as session:
        return not queries.any_closed(session)


def month_marks(desk: Desk, first: date) -> tuple[frozenset[date], frozenset[date]]:
    """(closed, left open) days of the month that begins with `first`."""
    last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
    with desk.book.reading() as session:
        closed, left_open = queries.marks(session, first, last, desk.today)
    return frozenset(closed), frozenset(left_open)


def month_load(desk: Desk, first: date) -> dict[date, float]:
    """How much of the open hours of each day to come of a month is booked; 2 where it has none."""
    from app.actions.plan.load import load

    last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
    since = max(first, desk.today)
    days = load(desk, since, last).days.values() if since <= last else ()
    return {
        one.day: one.booked / one.open_minutes if one.open_minutes else 2.0
        for one in days
        if one.booked
    }


def _results(desk: Desk, day: date, slow: bool) -> dict[str, tuple[str, str]]:
    """(result, alert) of each station but *Whom to remind*.

    What only the slow ones need is imported with them: the first picture does not wait for it.
    """
    found = dict.fromkeys(STATIONS, ("", ""))
    found["jobs"] = (jobs_worked(desk, day).total_text, "")
    if slow:
        found["supplies"] = _supplies(desk, day)
        found["money"] = _money(desk, day)
        found["orders"] = _orders(desk, day)
        found["close"] = _close(desk, day)
    return found


def _supplies(desk: Desk, day: date) -> tuple[str, str]:
    from app.actions.day.supplies_used import supplies_counted

    used, changed, short = supplies_counted(desk, day)
    text = f"{count_of(used, 'supply')}"
    if changed:
        text += f", {changed} changed"
    return text, "wrong" if short else ""


def _money(desk: Desk, day: date) -> tuple[str, str]:
    from app.actions.day.money_taken import money_taken

    return money_taken(desk, day).expected_text, ""


def _orders(desk: Desk, day: date) -> tuple[str, str]:
    from app.actions.orders.order_proposal import what_to_order
    from app.actions.orders.receiving import overdue_text

    to_order = what_to_order(desk, day)
    if to_order.short:
        return to_order.short_text, "look"
    late = overdue_text(desk, day)
    if late:
        return late.rstrip("."), "look"
    if to_order.suppliers:
        count = len(to_order.suppliers)
        return f"{count_of(count, 'order')}, {to_order.total_text}", ""
    unsent = [one for one in to_order.waiting if one.state == "written"]
    if unsent:
        return f"{counted(len(unsent)).capitalize()} written, not sent yet", "look"
    return "Nothing to order", ""


def reminders_result(desk: Desk, day: date) -> tuple[str, str]:
    """(result, alert) of *Whom to remind*."""
    from app.actions.letters import reminders

    vehicles = reminders.vehicles_to_ask(desk, day)
    if not vehicles:
        return "Nobody to ask", ""
    return f"{count_of(vehicles, 'vehicle')} to ask about now", ""


def _close(desk: Desk, day: date) -> tuple[str, str]:
    from app.actions.day.closing import next_work

    following, jobs = next_work(desk, day)
    if following is None:
        return "No work booked in the week to come", ""
    lacking = sum(bool(job.lacks) for job in jobs)
    when = "Tomorrow" if following == day + timedelta(days=1) else f"{following:%A}"
    text = f"{when}: {count_of(len(jobs), 'job')}"
    if lacking:
        return f"{text}, {lacking} lack{'s' if lacking == 1 else ''} supplies", "look"
    return text, ""


def _last_saved(desk: Desk) -> str:
    last = desk.book.history(limit=1)
    if not last:
        return ""
    what = last[0].name if last[0].of_id is None else f"Undone: {last[0].name}"
    return f"{what}, saved at {desk.clock_of(last[0].at)}"


def confirm(desk: Desk, day: date, station: str) -> Changed:
    """Say that a station is right as it stands: what was filled in there counts as confirmed."""
    right = STATIONS.get(station, ("", "", ""))[2]
    if not right:
        raise Mendable(f"There is no station “{station}” to confirm.")
    with desk.book.reading() as session:
        sheet = queries.sheet(session, day)
    if sheet is not None and station in sheet.stations:
        return Changed("", frozenset())
    name = f"{right} on {weekday_day(day)}"
    with writing_on(desk, day, name, KINDS, untouched=UNTOUCHED_BY_TYPING) as session:
        row = session.get_one(DaySheet, day)
        row.stations = [one for one in STATIONS if one in (*row.stations, station)]
    return Changed(name, KINDS)
