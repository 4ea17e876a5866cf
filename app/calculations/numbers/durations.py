"""Times of work as people type them, in whole minutes."""

from __future__ import annotations

import re
from fractions import Fraction

from app.calculations.numbers.numerals import (
    NOTHING,
    VULGAR,
    leading_number,
    one_space,
    read_number,
)
from app.calculations.numbers.rounding import half_away
from app.errors import Mendable

DAY_MINUTES = 24 * 60
_LONGEST = 80
_COLON = re.compile(r"([0-9]{1,3}):([0-9]{2})")
_HOURS = r"(?:h|hr|hrs|hour|hours|std)"
_MINUTES = r"(?:m|min|mins|minute|minutes|mn|')"
_NUMBER = rf"[0-9{VULGAR}][0-9{VULGAR}.,/ \u2044]*|\.[0-9]+"
_HOURS_MINUTES = re.compile(
    rf"({_NUMBER}) ?{_HOURS}\.? ?(?:and |, ?)?([0-9]{{1,2}}) ?(?:{_MINUTES}\.?)?"
)
_ONE_UNIT = re.compile(rf"({_NUMBER}) ?(?:({_HOURS})|({_MINUTES}))?\.?")


def read_duration(text: str) -> int:
    """Minutes from `90m`, `45 min`, `6:30`, `1h30`, `2 h 15 min`, `1.5h`; a bare number is hours.

    `-` and `0` are no time. Rounded to the minute, half away from zero. Raises `Mendable` for
    anything else, and outside 0 to 24 hours.
    """
    typed = one_space(text)
    plain = typed.casefold()
    if plain in NOTHING:
        return 0
    if not plain or len(plain) > _LONGEST:
        raise Mendable("No time was typed; type one such as 6:30, 90m or 1 1/2.")
    if plain[0].isalpha() or " and a half" in plain:
        try:
            number, rest = leading_number(plain, typed)
        except Mendable:
            raise Mendable(f"“{typed}” is not a time; type one such as 6:30 or 90m.") from None
        plain = f"{number.numerator}/{number.denominator} {rest}"
    colon = _COLON.fullmatch(re.sub(rf" ?{_HOURS}$", "", plain))
    both = _HOURS_MINUTES.fullmatch(plain)
    one = _ONE_UNIT.fullmatch(plain)
    if colon:
        hours, minutes = Fraction(int(colon[1])), Fraction(int(colon[2]))
    elif one:
        number = read_number(one[1])
        hours, minutes = (Fraction(0), number) if one[3] else (number, Fraction(0))
    elif both:
        hours, minutes = read_number(both[1]), Fraction(int(both[2]))
        if hours.denominator != 1:
            raise Mendable(f"“{typed}” has part of an hour twice; type one such as 1h30 or 1.5.")
    elif plain[0] in "-\u2212\u2013":
        raise Mendable(f"“{typed}” is below zero; type a time such as 6:30 or 90m.")
    else:
        raise Mendable(f"“{typed}” is not a time; type one such as 6:30, 90m or 1 1/2.")
    if (colon or both) and not one and minutes >= 60:
        raise Mendable(f"“{typed}” has more than 59 minutes beside its hours; type 6:30 or so.")
    total = half_away(hours * 60 + minutes)
    if total > DAY_MINUTES:
        raise Mendable(f"“{typed}” is more than a day; for minutes type one such as 90m.")
    return total


def shown_duration(minutes: int) -> str:
    """`45 min`, `1 h 20 min`, `11 h`, `0 min`."""
    hours, rest = divmod(abs(minutes), 60)
    words = [f"{hours:,} h"] * bool(hours) + [f"{rest} min"] * bool(rest or not hours)
    return ("-" if minutes < 0 else "") + " ".join(words)
