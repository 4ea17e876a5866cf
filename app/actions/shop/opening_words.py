"""Opening hours and closed days as people type them: `Mon-Fri 8-16, Sat 8-12`, `3 to 7 Aug`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.actions.desk.typed_days import read_typed_day
from app.calculations.numbers.dates import day_year
from app.errors import Mendable

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_CLOCK = r"(\d{1,2})(?:[:.](\d{2}))? ?(am|pm)?"
_HOURS = re.compile(rf"{_CLOCK} ?(?:-|–|to) ?{_CLOCK}", re.IGNORECASE)
_SPAN = re.compile(r"([a-z]{2,9})(?: ?(?:-|–|to) ?([a-z]{2,9}))? ", re.IGNORECASE)
LONGEST = 370  # days of a span that is closed


def read_week(typed: str) -> list[list[int]]:
    """[opens, minutes open] of each weekday, Monday first; nothing typed is an empty list.

    A day that is not named is closed. Raises `Mendable` for what it cannot read, a day named twice,
    hours that end before they begin, and a week without any.
    """
    week = [[0, 0] for _ in _DAYS]
    parts = [" ".join(part.split()) for part in re.split(r"[,;]", typed) if part.strip()]
    for part in parts:
        span = _SPAN.match(part)
        hours = _HOURS.fullmatch(part[span.end() :]) if span else None
        if span is None or hours is None:
            raise Mendable(
                f"“{part[:40]}” are no hours; type such as Mon-Fri 8:00-16:30, Sat 8-12."
            )
        first = _weekday(span[1])
        last = _weekday(span[2]) if span[2] else first
        opens, closes = _clock(*hours.groups()[:3]), _clock(*hours.groups()[3:])
        if opens >= closes:
            raise Mendable(
                f"“{part[:40]}” closes before it opens; type 13:00 or 1 pm for the noon."
            )
        for at in range((last - first) % 7 + 1):
            weekday = (first + at) % 7
            if week[weekday][1]:
                raise Mendable(f"{_DAYS[weekday]} is named twice; give it one span of hours.")
            week[weekday] = [opens, closes - opens]
    return week if parts else []


def week_text(week: Sequence[Sequence[int]]) -> str:
    """The same as text: `Mon-Fri 8:00-16:30, Sat 8:00-12:00`."""
    said = []
    at = 0
    while at < len(week):
        last = at
        while last + 1 < len(week) and week[last + 1] == week[at]:
            last += 1
        opens, minutes = week[at]
        if minutes:
            days = _DAYS[at] if last == at else f"{_DAYS[at]}-{_DAYS[last]}"
            said.append(f"{days} {_shown(opens)}-{_shown(opens + minutes)}")
        at = last + 1
    return ", ".join(said)


def read_closed_days(desk: Desk, typed: str) -> list[str]:
    """Days beside the week on which the shop is closed, in order: `24 Dec to 2 Jan, 4 Jul 2027`."""
    found: set[date] = set()
    for part in re.split(r"[,;\n]", typed):
        if not part.strip():
            continue
        ends = [end.strip() for end in re.split(r"\bto\b|–", part)]
        for at, end in enumerate(ends):
            if end.isdecimal() and len(ends) == 2:  # `3 to 7 Aug`, `Aug 3 to 7`
                ends[at] = re.sub(r"\b\d{1,2}\b", end, ends[1 - at], count=1)
        first = read_typed_day(desk, ends[0])
        last = read_typed_day(desk, ends[1], first) if len(ends) == 2 else first
        if first is None or last is None or len(ends) > 2:
            raise Mendable(f"“{part.strip()[:40]}” are no days; type such as 24 Dec to 2 Jan.")
        if last < first or (last - first).days > LONGEST:
            raise Mendable(f"“{part.strip()[:40]}” ends before it begins, or lasts over a year.")
        found |= {first + timedelta(days=at) for at in range((last - first).days + 1)}
    return [day.isoformat() for day in sorted(found)]


def closed_text(days: Sequence[str]) -> str:
    """The same as text, days that follow one another as a span."""
    known = sorted(date.fromisoformat(day) for day in days)
    said = []
    at = 0
    while at < len(known):
        last = at
        while last + 1 < len(known) and (known[last + 1] - known[last]).days == 1:
            last += 1
        first_text, last_text = day_year(known[at]), day_year(known[last])
        said.append(first_text if last == at else f"{first_text} to {last_text}")
        at = last + 1
    return ", ".join(said)


def _weekday(word: str) -> int:
    plain = word.casefold()
    for at, day in enumerate(_DAYS):
        if plain[:2] == day[:2].casefold():
            return at
    raise Mendable(f"“{word[:20]}” is no weekday; type such as Mon-Fri 8:00-16:30.")


def _clock(hour: str, minute: str | None, half: str | None) -> int:
    hours = int(hour)
    if half and not 1 <= hours <= 12:
        raise Mendable(f"“{hour} {half}” is no time of day; type one such as 8:00 or 4 pm.")
    if half:
        hours = hours % 12 + (12 if half.casefold() == "pm" else 0)
    total = 60 * hours + int(minute or 0)
    if total > 24 * 60 or int(minute or 0) > 59:
        raise Mendable(f"“{hour}:{minute or '00'}” is no time of day; type one such as 8:00.")
    return total


def _shown(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d}"
