"""Writing on a day's sheet: it must be open, and it gets its page with the first thing written."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, time

from app.actions.desk.desk import Desk
from app.actions.desk.meant_days import must_be_meant
from app.calculations.numbers.dates import weekday_day
from app.errors import Mendable
from app.records.models import DaySheet
from app.records.queries import days as queries
from app.records.queries.days import Session

# What writing on a day's sheet leaves as it is, however often the book changes with it: words of
# the keys under which the desk remembers things.
UNTOUCHED = frozenset({"corrections", "protection", "use so far", "whom to remind"})
# What typing hours, steps, uses or money of the day's jobs leaves as it is besides.
UNTOUCHED_BY_TYPING = UNTOUCHED | {"balances", "elsewhere", "supplies", "shelf facts"}

# What a change of an open job, or of what a job costs, does not move: what closed jobs taught.
LEARNT = frozenset({"corrections", "protection", "use so far", "ratios"})
# The tables that such typing writes in.
TYPED = frozenset({"days", "hours", "job_steps", "receipts", "uses"})


def numbered(number: int) -> str:
    """A job's or an order's number as it is shown: 0412."""
    return f"{number:04d}"


def moment_on(desk: Desk, day: date, hour: int = 17) -> datetime:
    """A moment in the afternoon of the shop's day, for what happened on it and not at a clock."""
    return desk.instant(day, time(hour))


def is_closed(desk: Desk, day: date) -> bool:
    """Whether the day is closed."""
    with desk.book.reading() as session:
        row = queries.sheet(session, day)
    return row is not None and row.state == "closed"


@contextmanager
def writing_on(
    desk: Desk,
    day: date,
    name: str,
    kinds: Iterable[str],
    *,
    untouched: frozenset[str] = UNTOUCHED,
) -> Iterator[Session]:
    """One named change on a day's sheet; `Mendable` where the day is closed."""
    with (
        desk.still_standing(untouched),
        desk.book.change(name, day=day, kinds=kinds, at=desk.clock()) as session,
    ):
        open_sheet(session, desk, day)
        yield session


def open_sheet(session: Session, desk: Desk, day: date) -> DaySheet:
    """The sheet of an open day, begun if this is the first thing written on it."""
    row = session.get(DaySheet, day)
    if row is None:
        must_be_meant(desk, day)
        row = DaySheet(
            day=day,
            page=queries.next_page(session),
            state="open",
            stations=[],
            opened_at=desk.clock(),
        )
        session.add(row)
        session.flush()
    elif row.state == "closed":
        raise Mendable(f"{weekday_day(day)} is closed; reopen the day to change what stands there.")
    return row
