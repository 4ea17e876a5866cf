"""Find anything: what the book holds, by what a person remembers of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from functools import partial

from app.actions.desk.desk import Desk
from app.calculations.numbers.wording import count_of
from app.records.finding import looking_up
from app.records.finding.documents import KINDS
from app.records.finding.full_text import Unsearchable
from app.records.queries import days as days_of_book
from app.records.queries import protection


def find(desk: Desk, text: str, kinds: Sequence[str] = KINDS) -> list[looking_up.HitRow]:
    """What has all these words, at most eight of a kind; nothing for an empty text."""
    if not text.strip():
        return []
    with desk.book.reading() as session:
        return looking_up.find(session, text, kinds, partial(_note_failure, desk))


def day_meant(desk: Desk, typed: str) -> tuple[date, str] | None:
    """The day that was typed, such as `26 Nov`, `8/14` or `yesterday`, and what was on it.

    Of a day without its year the one nearest to today. None where the words are no day.
    """
    from app.documents.reading.dates import read_day  # not before the first picture

    plain, today = " ".join(typed.split()).casefold(), desk.today
    near = {"yesterday": -1, "today": 0, "tomorrow": 1}
    found: date | None = None
    if plain in near:
        found = today + timedelta(days=near[plain])
    elif any(c.isdigit() for c in plain) and not plain.isdigit():
        order = desk.settings.date_order.upper()
        years = (today.year, today.year - 1, today.year + 1)
        days = {read_day(typed, order, today, year).day for year in years} - {None}
        found = min((day for day in days if day), key=lambda day: abs(day - today), default=None)
    if found is None:
        return None
    with desk.book.reading() as session:
        jobs = len(days_of_book.jobs_on(session, found))
        closed = bool(days_of_book.closed_between(session, [found]))
    said = [count_of(jobs, "job") if jobs else "no job", "closed" if closed else ""]
    return found, ", ".join(filter(None, said))


def _note_failure(desk: Desk) -> None:
    desk.book.finding_failed = True


def is_behind(desk: Desk) -> bool:
    """Whether the full text is to be made, or lacks what came since."""
    if not desk.book.may_change:
        return False
    if desk.book.finding_failed:
        return True
    with desk.book.reading() as session:
        return not looking_up.is_current(session)


def catch_up(desk: Desk) -> bool:
    """Take some of what is behind into the full text; whether there is more to do.

    Where there can be none, finding goes through every text of the book, as it does until then.
    """
    try:
        return desk.book.mend_finding()
    except Unsearchable:
        return False


def household_of(desk: Desk, customer_id: int) -> str:
    """The household that a letter to a customer is under, as the page of letters knows it."""
    with desk.book.reading() as session:
        return protection.households(session).get(customer_id, "")
