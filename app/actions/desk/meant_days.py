"""Days that are hardly meant: a computer's clock may be wrong, and a date mistyped.

A day is doubted where nothing was written on it yet and the book speaks against it. A person says
that it is meant; until then nothing is written on it.
"""

from __future__ import annotations

from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import count_of
from app.errors import Refused
from app.records.queries import days as queries

LONG_BEFORE = timedelta(days=31)  # the newest closed day: a forgotten day is written sooner
LONG_AFTER = timedelta(days=92)  # all that stands in the book: a shop that rests longer is asked


def why_doubted(desk: Desk, day: date) -> str:
    """Why a day is hardly meant, without a full stop; nothing where it may be written on.

    It says which closed days lie later, or how far off the last one is.
    """
    if day in desk.meant:
        return ""
    with desk.book.reading() as session:
        newest = queries.newest_closed(session)
        if newest is None or queries.sheet(session, day) is not None:
            return ""
        if newest - day > LONG_BEFORE:
            count, first = queries.closed_after(session, day)
            if count == 1:
                return f"1 closed day, {day_year(newest)}, lies later than {day_year(day)}"
            which = f"{count_of(count, 'closed day')}, {day_year(first)} to {day_year(newest)}"
            return f"{which}, lie later than {day_year(day)}"
        if day - newest <= LONG_AFTER:
            return ""
        nearest = queries.nearest(session, day)
    if nearest is None or abs(nearest - day) <= LONG_AFTER:
        return ""
    return (
        f"{day_year(day)} lies {count_of((day - newest).days, 'day')} after the last closed day, "
        f"{day_year(newest)}, and nothing in the book is near it"
    )


def question(desk: Desk, day: date) -> str:
    """What is asked of such a day in the window, with its keys; nothing where it is not doubted."""
    why = why_doubted(desk, day)
    if not why:
        return ""
    return f"{why}; press Ctrl M if this day is meant, or set the clock of this computer."


def must_be_meant(desk: Desk, day: date) -> None:
    """Raise `Refused` with the question where a day is doubted, before it is written on."""
    asked = question(desk, day)
    if asked:
        raise Refused(asked)


def ask_before_changes(desk: Desk) -> None:
    """Have every change that is of today, or of no day, refused while today is doubted.

    What is of another day asks by itself where it has to. A day is asked about once.
    """
    meant: set[date] = set()

    def ask(day: date | None) -> None:
        today = desk.today
        if today not in meant and day in (None, today):
            must_be_meant(desk, today)
            meant.add(today)

    desk.book.before_change = ask
