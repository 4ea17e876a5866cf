"""Reading days as people write them, and deciding which of two numbers is the month.

The order is decided once for a column, from all of its values; where nothing tells, the shop's
setting decides and the column says that it was not sure.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from itertools import pairwise

from app.documents.reading.grid import Cell

_MONTHS: dict[str, int] = {
    name: number
    for number, names in enumerate(
        (
            "january jan januar janner enero ene",
            "february feb februar febrero",
            "march mar marz maerz mrz marzo",
            "april apr abril abr",
            "may mai mayo",
            "june jun juni junio",
            "july jul juli julio",
            "august aug agosto ago",
            "september sep sept septiembre setiembre",
            "october oct oktober okt octubre",
            "november nov noviembre",
            "december dec dezember dez diciembre dic",
        ),
        start=1,
    )
    for name in names.split()
}
_EXCEL_ZERO = date(1899, 12, 30)
_YEAR_SPAN = (1950, 2099)
_THREE = re.compile(r"(?<!\d)(\d{1,4})\s?([./-])\s?(\d{1,2})\s?\2\s?(\d{1,4})(?!\d)")
_TWO = re.compile(r"(\d{1,2})\s?([./-])\s?(\d{1,2})")
_ISO = re.compile(
    r"(\d{4})-?(\d{2})-?(\d{2})(?:[Tt ]\d{1,2}:\d{2}[:\d.]*(?:[Zz]|[+-]\d\d:?\d\d)?)?"
)
# "5th of March 2024", "5 de marzo de 2024", "March 5, 2024", each with or without its year.
_NTH = r"(\d{1,2})(?:st|nd|rd|th)?"
_NAME = r"([a-z]{3,10})"
_YEAR = r"'?(\d{4}|\d{2})"
_DAY_FIRST_WORDS = re.compile(
    rf"{_NTH}[.\s-]{{1,2}}(?:of |de )?{_NAME}(?:[.,]?[\s,-]*(?:de |del )?{_YEAR})?\.?"
)
_MONTH_FIRST_WORDS = re.compile(rf"{_NAME}[.\s-]{{1,2}}{_NTH}(?:(?:[,\s]+|-){_YEAR})?")
_DAY_ALONE = re.compile(rf"{_NTH}(?:[,\s]+{_YEAR})?")
_TIME = re.compile(
    r"[,\s]*(?:at |um |@ ?)?\d{1,2}[:.]\d{2}(?::\d{2})?\s*(?:[ap]\.?m\.?|uhr|h)?$", re.IGNORECASE
)
_WEEKDAY = re.compile(
    r"^(?:mon|tues?|weds?|thu(?:rs?)?|fri|sat|sun|monday|tuesday|wednesday|thursday|friday|"
    r"saturday|sunday|mo|di|mi|do|fr|sa|so|montag|dienstag|mittwoch|donnerstag|freitag|samstag|"
    r"sonntag|lun|mie|jue|vie|sab|dom|lunes|martes|miercoles|jueves|viernes|sabado|domingo)"
    r"[.,]*\s+",
)
_RANGE = re.compile(
    r"\s*(?:–|—|\bto\b|\bthru\b|\bthrough\b|\buntil\b|\bbis\b|\bhasta\b|\s-\s|\s&\s)\s*"
)
_FROM = re.compile(r"^(?:from|between|von|vom|desde|del)\s+")


@dataclass(frozen=True, slots=True)
class DayOrder:
    """The order of day and month in a column, and whether its values prove it."""

    order: str  # MDY or DMY
    sure: bool
    numeric: bool = True  # False when no value needs the order


@dataclass(frozen=True, slots=True)
class DayRead:
    """One day, or the first and last of several; `sentence` when it could not be read."""

    day: date | None = None
    last: date | None = None
    sentence: str = ""


@dataclass(frozen=True, slots=True)
class _Parts:
    """What a text says of a day: two numbers or a named month; None for what it leaves out."""

    day: int | None = None
    month: int | None = None
    year: int | None = None
    either: bool = False  # day and month are numbers, and could be the other way round

    def built(self) -> date | None:
        """The day; the other order where only that is one."""
        if self.day is None or self.month is None or self.year is None:
            return None
        ways = [(self.month, self.day), *([(self.day, self.month)] if self.either else [])]
        return next((day for way in ways if (day := _built(self.year, *way))), None)

    def filled_from(self, other: _Parts) -> _Parts:
        """The same, with month and year of another where these are not said."""
        month = other.month if self.month is None else self.month
        return replace(self, month=month, year=other.year if self.year is None else self.year)


def decide_order(values: Iterable[Cell], usual: str, today: date | None) -> DayOrder:
    """The order of day and month in a column's values.

    A first number above twelve proves day first, a second one month first; points between the
    numbers speak for day first. Otherwise the order that keeps the days from lying in the future,
    and then the one in which the list runs evenly, is taken as likely but not sure.
    """
    pairs: list[tuple[int, int, int]] = []
    month = day = points = 0
    for value in values:
        for match in _THREE.finditer(value[:80]) if isinstance(value, str) else ():
            first, mark, second, third = match.groups()
            if len(first) > 2:
                continue
            one, two = int(first), int(second)
            if one > 12 >= two >= 1 and one <= 31:
                day += 1
            elif two > 12 >= one >= 1 and two <= 31:
                month += 1
            elif mark == ".":
                points += 1
            pairs.append((one, two, _full_year(third, today)))
    if not pairs:
        return DayOrder(usual, True, numeric=False)
    if day != month and max(day, month) >= 4 * min(day, month):
        return DayOrder("DMY" if day > month else "MDY", min(day, month) == 0)
    if points > len(pairs) / 2:
        return DayOrder("DMY", True)
    return DayOrder(_likely_order(pairs[:5000], today) or usual, False)


def _likely_order(pairs: Sequence[tuple[int, int, int]], today: date | None) -> str:
    """The order that the list's own run speaks for, or "" when it says nothing."""
    runs: dict[str, tuple[int, int]] = {}
    for order in ("MDY", "DMY"):
        ways = ((year, *((one, two) if order == "MDY" else (two, one))) for one, two, year in pairs)
        days = [built for way in ways if (built := _built(*way)) is not None]
        future = sum(1 for d in days if today is not None and d > today + timedelta(days=400))
        steps = [b - a for a, b in pairwise(days) if a != b]
        back = sum(1 for step in steps if step < timedelta(0))
        runs[order] = (future, min(back, len(steps) - back))
    (f1, b1), (f2, b2) = runs["MDY"], runs["DMY"]
    if f1 != f2:
        return "MDY" if f1 < f2 else "DMY"
    if len(pairs) >= 5 and abs(b1 - b2) >= max(2, len(pairs) // 5):
        return "MDY" if b1 < b2 else "DMY"
    return ""


def read_day(
    value: Cell, order: str = "MDY", today: date | None = None, year: int | None = None
) -> DayRead:
    """A cell as a day, or as the first and last of a span of days.

    `year` completes a day without one ("3/5"), where the table or sheet names it.
    """
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, date):
        return _within(value)
    if isinstance(value, bool) or value is None:
        return DayRead(sentence="holds no date")
    if isinstance(value, int | float):
        return _from_number(value)
    if isinstance(value, str):
        return _from_text(value, order, today, year)
    return DayRead(sentence="holds a time, not a date")


def _from_number(value: float) -> DayRead:
    if 19_500_101 <= value <= 20_991_231:
        text = str(int(value))
        built = _built(int(text[:4]), int(text[4:6]), int(text[6:]))
        if built:
            return DayRead(built)
    # A spreadsheet's serial day: 18264 is 1950, 73050 is 2099.
    if 18_264 <= value < 73_051:
        return DayRead(_EXCEL_ZERO + timedelta(days=int(value)))
    return DayRead(sentence=f"holds {value:g}, which is no date")


@lru_cache(maxsize=20_000)
def _from_text(text: str, order: str, today: date | None, year: int | None = None) -> DayRead:
    low = unicodedata.normalize("NFKD", text.casefold())
    low = " ".join("".join(c for c in low if not unicodedata.combining(c)).split())
    low = _FROM.sub("", _WEEKDAY.sub("", low))
    if not low or len(low) > 80:
        return DayRead(sentence="holds no date")
    if re.fullmatch(r"\d{5}(?:\.\d+)?", low):
        return _from_number(float(low))
    parts = _parts(low, order, today)
    if parts is None:
        return _span(low, order, today) or DayRead(sentence=_why(low, text))
    if parts.month is None:
        return DayRead(sentence=_why(low, text))
    if parts.year is None and year is None:
        return DayRead(sentence=f"holds “{text[:40]}”, a day without its year")
    day = parts.filled_from(_Parts(year=year)).built()
    return _within(day) if day else DayRead(sentence=_why("", text))


def _parts(low: str, order: str, today: date | None) -> _Parts | None:
    """What a text says of one day; None when it is none."""
    low = _WEEKDAY.sub("", low.strip(" .,"))
    low = _TIME.sub("", low).strip(" .,") if not _THREE.fullmatch(low) else low
    iso = _ISO.fullmatch(low)
    if iso:
        return _Parts(int(iso[3]), int(iso[2]), int(iso[1]))
    three, two = _THREE.fullmatch(low), _TWO.fullmatch(low)
    if three and len(three[1]) == 4:
        return _Parts(int(three[4]), int(three[3]), int(three[1]))
    if three and (len(three[1]) > 2 or len(three[4]) == 3):
        return None
    if three or two:
        match = three or two
        assert match is not None
        one, other = int(match[1]), int(match[3])
        day, month = (other, one) if order == "MDY" else (one, other)
        return _Parts(day, month, _full_year(three[4], today) if three else None, either=True)
    for pattern, day_at, month_at in ((_DAY_FIRST_WORDS, 1, 2), (_MONTH_FIRST_WORDS, 2, 1)):
        words = pattern.fullmatch(low)
        if words and words[month_at] in _MONTHS:
            year = _full_year(words[3], today) if words[3] else None
            return _Parts(int(words[day_at]), _MONTHS[words[month_at]], year)
    alone = _DAY_ALONE.fullmatch(low)
    if alone:
        return _Parts(int(alone[1]), year=_full_year(alone[2], today) if alone[2] else None)
    return None


def _span(low: str, order: str, today: date | None) -> DayRead | None:
    """The first and last day of "3/4 - 3/6/2024", "3–5 March 2024", "Mar 5-7, 2024"."""
    ends = _RANGE.split(low)
    if len(ends) == 1 and low.count("-") == 1:
        ends = low.split("-")
    if len(ends) != 2:
        return None
    first, last = (_parts(end, order, today) for end in ends)
    if first is None or last is None:
        return None
    # What one end leaves out, the other says: the month of "March 3 to 5, 2024".
    last = last.filled_from(first)
    start, end = first.filled_from(last).built(), last.built()
    if start is not None and end is not None and start > end and first.year is None:
        start = _built(start.year - 1, start.month, start.day)
    if start is None or end is None or not timedelta(0) <= end - start <= timedelta(days=366):
        return None
    return DayRead(start, end if end != start else None)


def _full_year(text: str, today: date | None) -> int:
    year = int(text)
    if len(text) > 2:
        return year
    pivot = (today or date.today()).year + 10
    return 2000 + year if 2000 + year <= pivot else 1900 + year


def _built(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except (ValueError, OverflowError):
        return None


def _within(day: date) -> DayRead:
    if not _YEAR_SPAN[0] <= day.year <= _YEAR_SPAN[1]:
        return DayRead(sentence=f"holds the year {day.year}, which cannot be right")
    return DayRead(day)


def _why(low: str, text: str) -> str:
    if re.fullmatch(r"[a-z]{3,10}\.? '?\d{2,4}|\d{1,2}/\d{4}|\d{4}", low.strip(" .")):
        return f"holds “{text[:40]}”, a month or year without its day"
    return f"holds “{text[:40]}”, which is no date"


def looks_dated(value: Cell) -> bool:
    """True when a cell is a date or reads like one."""
    if isinstance(value, date):
        return True
    return isinstance(value, str) and _from_text(value, "MDY", None).day is not None
