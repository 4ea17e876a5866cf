"""Days and promises as people type them into a job."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

from app.actions.desk.desk import Desk
from app.calculations.numbers.dates import weekday_day
from app.errors import Mendable

_YEARS_TO_A_LEAP_DAY = 8  # at most, around a century that has none
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
# After a weekday and its like a number alone is the hour; after a month it is the day.
_BARE_HOUR = re.compile(
    r"^(today|tomorrow|\+\d{1,3}|(?:mo|tu|we|th|fr|sa|su)[a-z]*),?(?: at)? (\d{1,2})$",
    re.IGNORECASE,
)


def read_typed_day(desk: Desk, typed: str, after: date | None = None) -> date | None:
    """A day from `14 Aug`, `8/14`, `tue`, `today`, `tomorrow`, `+3`; nothing typed is no day.

    A weekday is the next one. A day without a year is the next such day from today on. Raises
    `Mendable` for anything else.
    """
    from app.documents.reading.dates import read_day  # not before the first picture

    plain = " ".join(typed.split()).casefold().strip(" .,")
    if plain in ("", "-", "no day", "no day yet", "none"):
        return None
    today = after or desk.today
    if plain in ("today", "tomorrow"):
        return today + timedelta(days=plain == "tomorrow")
    if re.fullmatch(r"\+\d{1,3}", plain):
        return today + timedelta(days=int(plain[1:]))
    for at, name in enumerate(_WEEKDAYS):
        if len(plain) >= 2 and name.startswith(plain):
            return today + timedelta(days=(at - today.weekday()) % 7)
    order = desk.settings.date_order.upper()
    # 29 February is a day in some years only, so the next year that has the day is looked for.
    for year in range(today.year, today.year + _YEARS_TO_A_LEAP_DAY + 1):
        found = read_day(typed, order, today, year).day
        if found is not None and (
            str(found.year) in plain or found.year != year or found >= today - timedelta(days=60)
        ):
            return found
    raise Mendable(f"“{typed[:40]}” is no day; type one such as 14 Aug, Tue or +3.")


def read_written_day(desk: Desk, typed: str) -> date:
    """A day as it stands on a label or a sheet: with its year, and it may be past."""
    from app.documents.reading.dates import read_day

    found = read_day(typed, desk.settings.date_order.upper(), desk.today).day
    if found is None:
        raise Mendable(f"“{typed.strip()}” is no day; type it like {desk.today.isoformat()}.")
    return found


def read_promise(desk: Desk, typed: str, day: date | None) -> datetime | None:
    """A moment from `19 Aug 12:00`, `Tue 5 pm`, `Fri 8`, or `12:00` alone on the given day."""
    plain = " ".join(typed.split())
    if plain in ("", "-"):
        return None
    plain = _BARE_HOUR.sub(r"\1 \2:00", plain)
    clock = re.search(r"(\d{1,2})(?::(\d{2})) ?(am|pm)?$|(\d{1,2}) ?(am|pm)$", plain, re.IGNORECASE)
    hour, minute = 17, 0
    words = plain
    if clock is not None:
        hour = int(clock[1] or clock[4])
        minute = int(clock[2] or 0)
        half = (clock[3] or clock[5] or "").casefold()
        if half == "pm" and hour < 12:
            hour += 12
        elif half == "am" and hour == 12:
            hour = 0
        words = plain[: clock.start()].strip(" ,")
        words = re.sub(r"\bat$", "", words).strip(" ,")
    if hour > 23 or minute > 59:
        raise Mendable(f"“{typed[:40]}” is no time of day; type one such as 12:00 or 5 pm.")
    found = read_typed_day(desk, words) if words else day
    if found is None:
        raise Mendable("A promise needs a day; type one such as Tue 12:00.")
    return desk.instant(found, time(hour, minute))


def still_promised(desk: Desk, name: str, promised: datetime | None, last: date | None) -> str:
    """A sentence where a job that was moved is promised for a day before its last."""
    if promised is None or last is None or desk.day_of(promised) >= last:
        return ""
    when = f"{weekday_day(desk.day_of(promised))}, {desk.clock_of(promised)}"
    return f"{name}. It is still promised for {when}; agree on another day."
