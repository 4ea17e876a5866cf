"""Jobs: the list by what remains of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.calculations.figures.owed_ages import OwedBand
from app.calculations.numbers.dates import day_short, near, near_short
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of, noun, words_of
from app.records.queries import days as day_queries
from app.records.queries import jobs as queries
from app.records.queries import takings
from app.records.queries.jobs import ListedJob

WHICH = queries.WHICH
WHICH_WORDS = {
    "work": "In work",
    "booked": "Booked",
    "enquiries": "Enquiries",
    "done": "Done",
    "owed": "Owed",
    "all": "All",
}
STATE_WORDS = {
    "enquiry": "enquiry",
    "booked": "booked",
    "working": "in work",
    "done": "done",
    "cancelled": "cancelled",
}
LIMIT = 500


@dataclass(frozen=True, kw_only=True)
class ShownJob:
    """A line of the list, ready to show. `alert`: "", look (late), wrong."""

    job_id: int
    number: str
    customer: str
    vehicle: str
    services: str
    state: str
    when_text: str
    hours_text: str
    hours_short: str  # worked, else expected
    worth_text: str
    due_text: str
    alert: str
    day: date | None = None  # of `when_text`, the first of several
    days: int = 0  # since it was done, of what is owed
    due: int = 0  # minor units, of what is done
    paid_text: str = ""
    phone: str = ""
    asked: date | None = None
    because: str = ""  # why it was called off, or came to nothing


@dataclass(frozen=True, kw_only=True)
class OwedInvoice:
    """An invoice that is not wholly paid; minor units."""

    invoice_id: int
    number: str
    issued_on: date
    due_on: date | None
    payer_id: int | None
    payer: str
    what: str  # what it is for
    jobs: tuple[int, ...]  # the oldest first
    gross: int  # less what was credited
    came: int
    due: int
    days: int  # since it was issued
    word: str  # what was said last
    alert: bool  # of the last word
    disputed: bool

    @property
    def past(self) -> int:
        """Days past the day on which it was due; below zero where that is to come."""
        due_on = self.due_on or self.issued_on
        return self.days - (due_on - self.issued_on).days


@dataclass(frozen=True)
class JobList:
    """A part of the list with how many there are in all, and a sentence about it.

    Of what is owed `rows` are the jobs with work that stands on no invoice.
    """

    which: str
    rows: tuple[ShownJob, ...]
    whole: int
    sentence: str
    bands: tuple[OwedBand, ...] = ()  # of all that is owed
    voice: str = ""  # what stands out of it
    invoices: tuple[OwedInvoice, ...] = ()  # that are owed, the oldest first


def in_work(desk: Desk) -> int:
    """How many vehicles are in work: begun, or booked for a day that has come."""
    with desk.book.reading() as session:
        return queries.count_in_work(session, desk.today)


def list_jobs(desk: Desk, which: str = "work", text: str = "", limit: int = LIMIT) -> JobList:
    """A part of the jobs; `text` looks in names, vehicles, plates, services and numbers."""
    if which not in WHICH:
        raise ValueError(f"no such part of the list: {which}")
    if which == "owed":
        from app.actions.jobs.owed import list_owed  # not before the first picture

        return list_owed(desk, text, limit)
    today = desk.today
    with desk.book.reading() as session:
        rows, whole = queries.list_jobs(session, which, text, today, limit)
        ids = [row.job_id for row in rows]
        services = day_queries.services_of(session, ids)
        nets = takings.nets_of(session, ids)
        receipts = takings.receipts_of(session, ids)
        waiting = queries.count_enquiries(session) if which == "enquiries" else 0
    lines, late = [], 0
    for row in rows:
        sums = totals(desk, nets.get(row.job_id, ()), receipts.get(row.job_id, ()))
        alert = "look" if _late(row, today) else ""
        late += bool(alert)
        lines.append(
            ShownJob(
                job_id=row.job_id,
                number=numbered(row.number),
                customer=row.customer,
                vehicle=row.vehicle,
                services=", ".join(one.name for one in services.get(row.job_id, ())) or row.title,
                state="came to nothing" if row.came_to_nothing else STATE_WORDS[row.state],
                when_text=when_words(row, today),
                hours_text=_hours(row),
                hours_short=_hours(row, short=True),
                worth_text=money(desk, sums.gross) if sums.gross else "",
                due_text=money(desk, sums.due) if row.state == "done" and sums.due > 0 else "",
                alert=alert,
                day=row.done_on if row.state == "done" and row.done_on else row.first_day,
                days=(today - row.done_on).days if row.done_on else 0,
                due=sums.due if row.state == "done" else 0,
                paid_text=money(desk, sums.gross - sums.due) if sums.gross != sums.due else "",
                phone=row.phone,
                asked=row.asked_on or row.booked_on,
                because=row.ended_because,
            )
        )
    if which == "enquiries":
        return JobList(which, tuple(lines), whole, _enquiries(waiting, whole, text))
    return JobList(which, tuple(lines), whole, _sentence(which, whole, late))


def _enquiries(waiting: int, whole: int, text: str) -> str:
    if text.strip():
        return words_of(whole, "enquiry")
    if not waiting:
        return "Nobody waits for an answer"
    return count_of(waiting, "enquiry")


def _late(row: ListedJob, today: date) -> bool:
    last = row.last_day or row.first_day
    return row.state in ("booked", "working") and last is not None and last < today


def when_words(row: ListedJob, today: date) -> str:
    if row.state == "enquiry" or row.came_to_nothing:
        return row.wanted or (near_short(row.first_day, today) if row.first_day else "")
    if row.state == "done" and row.done_on is not None:
        return near_short(row.done_on, today)
    if row.first_day is None:
        return "no day yet"
    last = row.last_day or row.first_day
    if last == row.first_day:
        return near_short(last, today)
    same = (last.year, last.month) == (row.first_day.year, row.first_day.month)
    first = str(row.first_day.day) if same else day_short(row.first_day)
    return f"{first}–{near_short(last, today)}"  # as short as a column needs it


def span_text(first: date | None, last: date | None, today: date) -> str:
    """The days of a visit: `14 August`, `14 to 16 August`, `30 Aug to 2 Sep`."""
    if first is None:
        return "no day yet"
    if last is None or last == first:
        return near(first, today)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {near(last, today)}"
    return f"{day_short(first)} to {day_short(last)}"


def _hours(row: ListedJob, *, short: bool = False) -> str:
    if row.state == "done" or (short and row.worked_minutes):
        return shown_duration(row.worked_minutes) if row.worked_minutes else ""
    if not row.worked_minutes:
        return shown_duration(row.expected_minutes) if row.expected_minutes else ""
    return f"{shown_duration(row.worked_minutes)} of {shown_duration(row.expected_minutes)}"


def _sentence(which: str, whole: int, late: int) -> str:
    jobs = count_of(whole, "job")
    if which == "work":
        past = f", {late} past {noun(late, 'its', 'their')} last day"
        return jobs + (past if late else "") if whole else "Nothing is in work"
    return jobs
