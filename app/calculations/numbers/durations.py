"""Times of work as people write them, in whole minutes: the one reader of them."""

from __future__ import annotations

import re
from fractions import Fraction

from app.calculations.numbers.numerals import (
    NOTHING,
    VULGAR,
    one_space,
    read_number,
    spoken_number,
)
from app.calculations.numbers.rounding import half_away
from app.errors import Mendable

DAY_MINUTES = 24 * 60
JOB_MINUTES = 20 * DAY_MINUTES  # of hands on that one job may take
# A day of work, in lists that count in days: common practice, no source.
WORKDAY_MINUTES = 8 * 60
_LONGEST = 80
_HOURS = r"(?:h|hr|hrs|hours?|std|stunden?|horas?)"
_MINUTES = r"(?:m|min|mins|minutes?|mn|minuten|minutos|')"
_NUMBER = rf"[0-9{VULGAR}][0-9{VULGAR}.,/ \u2044]*|\.[0-9]+"
_COLON = re.compile(rf"([0-9]{{1,3}}):([0-9]{{2}})(?::[0-9]{{2}})?(?: ?{_HOURS}\.?)?")
_HOURS_MINUTES = re.compile(
    rf"({_NUMBER}) ?{_HOURS}\.? ?(?:and |und |y |, ?)?([0-9]{{1,2}}) ?(?:{_MINUTES}\.?)?"
)
_ONE_UNIT = re.compile(rf"({_NUMBER}) ?(?:({_HOURS})|({_MINUTES}))?\.?")


def read_duration(text: str, *, bare: int = 60, most: int = DAY_MINUTES) -> int:
    """Minutes from `90m`, `45 min`, `6:30`, `1h30`, `2 h 15 min`, `1.5h`; a bare number is hours.

    `bare` is what a bare number counts, `most` the longest time, both in minutes. `-` and `0` are
    no time. Rounded to the minute, half away from zero. Raises `Mendable` for anything else, and
    outside 0 to `most`.
    """
    typed = one_space(text)
    plain = re.sub(r"(?<=[0-9]) and a half\b", " 1/2", typed.casefold())
    if plain in NOTHING:
        return 0
    if not plain or len(plain) > _LONGEST:
        raise Mendable("No time was typed; type one such as 6:30, 90m or 1 1/2.")
    spoken = spoken_number(plain)
    if spoken:
        plain = f"{spoken[0]} {spoken[1]}".strip()
    colon, one = _COLON.fullmatch(plain), _ONE_UNIT.fullmatch(plain)
    both = None if one else _HOURS_MINUTES.fullmatch(plain)
    if colon:
        total = Fraction(60 * int(colon[1]) + int(colon[2]))
    elif one:
        total = read_number(one[1]) * (60 if one[2] else 1 if one[3] else bare)
    elif both:
        hours = read_number(both[1])
        if hours.denominator != 1:
            raise Mendable(f"“{typed}” has part of an hour twice; type one such as 1h30 or 1.5.")
        total = 60 * hours + int(both[2])
    elif plain[0] in "-\u2212\u2013":
        raise Mendable(f"“{typed}” is below zero; type a time such as 6:30 or 90m.")
    else:
        raise Mendable(f"“{typed}” is not a time; type one such as 6:30, 90m or 1 1/2.")
    if (colon or both) and int((colon or both)[2]) >= 60:  # type: ignore[index]
        raise Mendable(f"“{typed}” has more than 59 minutes beside its hours; type 6:30 or so.")
    if total > most:
        what = "a day" if most == DAY_MINUTES else f"{most // 60:,} hours"
        raise Mendable(f"“{typed}” is more than {what}; for minutes type one such as 90m.")
    return half_away(total)


def shown_duration(minutes: int) -> str:
    """`45 min`, `1 h 20 min`, `11 h`, `0 min`."""
    hours, rest = divmod(abs(minutes), 60)
    words = [f"{hours:,} h"] * bool(hours) + [f"{rest} min"] * bool(rest or not hours)
    return ("-" if minutes < 0 else "") + " ".join(words)


def quarter_hours(minutes: int) -> str:
    """Hours to the nearest quarter, where there is room for a few digits: `5½`, `20¾`, `14`."""
    hours, quarters = divmod(half_away(Fraction(minutes, 15)), 4)
    part = ("", "¼", "½", "¾")[quarters]
    return f"{hours or ''}{part}" if part else str(hours)
