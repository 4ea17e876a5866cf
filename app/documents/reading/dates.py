"""Reading days as people write them, and deciding which of two numbers is the month.

The order is decided once for a column, from all of its values; where nothing tells, the shop's
setting decides and the column says that it was not sure.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from itertools import pairwise

from app.documents.reading.grid import Cell

_MONTHS: dict[str, int] = {}
for _number, _names in enumerate(
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
):
    _MONTHS.update(dict.fromkeys(_names.split(), _number))

_EXCEL_ZERO = date(1899, 12, 30)
_YEAR_SPAN = (1950, 2099)
_THREE = re.compile(r"(?<!\d)(\d{1,4})\s?([./-])\s?(\d{1,2})\s?\2\s?(\d{1,4})(?!\d)")
_TWO = re.compile(r"(?<![\d./-])(\d{1,2})\s?([./-])\s?(\d{1,2})(?![\d./-])")
_ISO = re.compile(
    r"(?<!\d)(\d{4})-?(\d{2})-?(\d{2})(?:[Tt ]\d{1,2}:\d{2}[:\d.]*(?:[Zz]|[+-]\d\d:?\d\d)?)?(?!\d)"
)
_DAY_FIRST_WORDS = re.compile(
    r"(?<!\d)(\d{1,2})(?:st|nd|rd|th)?[.\s-]{1,2}(?:of |de "
    r")?([a-z]{3,10})[.,]?[\s,-]*(?:de |del )?'?(\d{4}|\d{2})(?!\d)"
)
_MONTH_FIRST_WORDS = re.compile(
    r"\b([a-z]{3,10})[.\s-]{1,2}(\d{1,2})(?:st|nd|rd|th)?(?:[,\s]+'?|-)(\d{4}|\d{2})(?!\d)"
)
_TIME = re.compile(
    r"[,\s]*(?:at |um |@ ?)?\d{1,2}[:.]\d{2}(?::\d{2})?\s*(?:[ap]\.?m\.?|uhr|h)?$", re.IGNORECASE
)
_WEEKDAY = re.compile(
    r"^(?:mon|tue|tues|wed|weds|thu|thur|thurs|fri|sat|sun|monday|tuesday|wednesday|"
    r"thursday|friday|"
    r"saturday|sunday|mo|di|mi|do|fr|sa|so|montag|dienstag|mittwoch|donnerstag|freitag|samstag|"
    r"sonntag|lun|mie|jue|vie|sab|dom|lunes|martes|miercoles|jueves|viernes|sabado|domingo)"
    r"[.,]*\s+",
)
_RANGE = re.compile(
    r"\s*(?:–|—|\bto\b|\bthru\b|\bthrough\b|\buntil\b|\bbis\b|\bhasta\b|\s-\s|\s&\s)\s*"
)
_SAME_MONTH = re.compile(r"([a-z]{3,10})\.? (\d{1,2}) ?[-–] ?(\d{1,2}),? '?(\d{4}|\d{2})")
_NO_YEAR = "a day without its year"
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


def decide_order(values: Iterable[Cell], usual: str, today: date | None) -> DayOrder:
    """The order of day and month in a column's values.

    A first number above twelve proves day first, a second one month first; points between the
    numbers speak for day first. Otherwise the order that keeps the days from lying in the future,
    and then the one in which the list runs evenly, is taken as likely but not sure.
    """
    pairs: list[tuple[int, int, int, str]] = []
    month = day = points = numeric = 0
    for value in values:
        if not isinstance(value, str):
            continue
        for match in _THREE.finditer(value[:80]):
            first, mark, second, third = match.groups()
            if len(first) > 2:
                continue
            numeric += 1
            one, two = int(first), int(second)
            if one > 12 >= two >= 1 and one <= 31:
                day += 1
            elif two > 12 >= one >= 1 and two <= 31:
                month += 1
            elif mark == ".":
                points += 1
            if len(pairs) < 5000:
                pairs.append((one, two, _full_year(third, today), mark))
    if not numeric:
        return DayOrder(usual, True, numeric=False)
    if day != month and max(day, month) >= 4 * min(day, month):
        return DayOrder("DMY" if day > month else "MDY", min(day, month) == 0)
    if points > numeric / 2:
        return DayOrder("DMY", True)
    likely = _likely_order(pairs, today)
    return DayOrder(likely or usual, False)


def _likely_order(pairs: Sequence[tuple[int, int, int, str]], today: date | None) -> str:
    """The order that the list's own run speaks for, or "" when it says nothing."""
    runs: dict[str, tuple[int, int]] = {}
    for order in ("MDY", "DMY"):
        days = [
            built
            for one, two, year, _ in pairs
            if (built := _built(year, *((one, two) if order == "MDY" else (two, one)))) is not None
        ]
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
        return _within(value.date())
    if isinstance(value, date):
        return _within(value)
    if isinstance(value, bool) or value is None:
        return DayRead(sentence="holds no date")
    if isinstance(value, int | float):
        return _from_number(value)
    if isinstance(value, str):
        found = _from_text(value, order, today)
        if found.sentence and year and found.sentence.endswith(_NO_YEAR):
            return _from_text(f"{value.strip(' .')}{_joint(value)}{year}", order, today)
        return found
    return DayRead(sentence="holds a time, not a date")


def _joint(text: str) -> str:
    """What joins the year to a day without one."""
    match = _TWO.fullmatch(_plain(text).strip(" ."))
    return match.group(2) if match else " "


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
def _from_text(text: str, order: str, today: date | None) -> DayRead:
    low = _plain(text)
    if not low or len(low) > 80:
        return DayRead(sentence="holds no date")
    if re.fullmatch(r"\d{5}(?:\.\d+)?", low):
        return _from_number(float(low))
    iso = _ISO.fullmatch(low)
    if iso:
        return _of(_built(*map(int, iso.groups())), text)
    span = _span(low, order, today)
    if span is not None:
        return span
    one = _single(low, order, today)
    if one is not None:
        return _of(one, text)
    return DayRead(sentence=_why(low, text))


def _plain(text: str) -> str:
    import unicodedata

    low = unicodedata.normalize("NFKD", text.casefold())
    low = "".join(c for c in low if not unicodedata.combining(c)).replace("\n", " ").strip()
    low = re.sub(r"\s+", " ", low)
    return _FROM.sub("", _WEEKDAY.sub("", low))


def _single(low: str, order: str, today: date | None) -> date | None:
    low = _WEEKDAY.sub("", low.strip(" .,"))
    low = _TIME.sub("", low).strip(" .,") if not _THREE.fullmatch(low) else low
    iso = _ISO.fullmatch(low)
    if iso:
        return _built(*map(int, iso.groups()))
    three = _THREE.fullmatch(low)
    if three:
        first, _, second, third = three.groups()
        if len(first) == 4:
            return _built(int(first), int(second), int(third))
        if len(first) > 2 or len(third) == 3:
            return None
        return _ordered(int(first), int(second), _full_year(third, today), order)
    words = _DAY_FIRST_WORDS.fullmatch(low)
    if words and words.group(2) in _MONTHS:
        return _built(
            _full_year(words.group(3), today), _MONTHS[words.group(2)], int(words.group(1))
        )
    words = _MONTH_FIRST_WORDS.fullmatch(low)
    if words and words.group(1) in _MONTHS:
        return _built(
            _full_year(words.group(3), today), _MONTHS[words.group(1)], int(words.group(2))
        )
    return None


def _span(low: str, order: str, today: date | None) -> DayRead | None:
    """ "3/4 - 3/6/2024", "3–5 March 2024", "4.3. bis 6.3.2024"."""
    within = _SAME_MONTH.fullmatch(low)
    if within and within.group(1) in _MONTHS:
        name, first, last, text = within.groups()
        year, month = _full_year(text, today), _MONTHS[name]
        return _pair(_built(year, month, int(first)), _built(year, month, int(last)))
    parts = _RANGE.split(low)
    if len(parts) == 1 and low.count("-") == 1 and "/" in low:
        parts = low.split("-")
    if len(parts) != 2 or not parts[0].strip() or not parts[1].strip():
        return None
    start_text, end_text = (part.strip(" .,") for part in parts)
    end = _single(end_text, order, today)
    if end is None:
        # "March 3 to 5, 2024": the month and the first day stand before.
        words = re.fullmatch(r"([a-z]{3,10})\.? (\d{1,2})", start_text)
        tail = re.fullmatch(r"(\d{1,2})(?:st|nd|rd|th)?[, ]+(\d{4})", end_text)
        if words and tail and words.group(1) in _MONTHS:
            year, month = int(tail.group(2)), _MONTHS[words.group(1)]
            return _pair(
                _built(year, month, int(words.group(2))), _built(year, month, int(tail.group(1)))
            )
        return None
    start = _single(start_text, order, today)
    if start is None:
        two = _TWO.fullmatch(start_text)
        word = re.fullmatch(
            r"([a-z]{3,10})\.? (\d{1,2})|(\d{1,2})\.? (?:de )?([a-z]{3,10})", start_text
        )
        if two:
            start = _ordered(int(two.group(1)), int(two.group(3)), end.year, order)
        elif re.fullmatch(r"\d{1,2}", start_text):
            start = _built(end.year, end.month, int(start_text))
        elif word and (word.group(1) or word.group(4)) in _MONTHS:
            month = _MONTHS[word.group(1) or word.group(4)]
            start = _built(end.year, month, int(word.group(2) or word.group(3)))
        if start is not None and start > end:
            start = _built(start.year - 1, start.month, start.day)
    return _pair(start, end)


def _pair(start: date | None, end: date | None) -> DayRead | None:
    if start is None or end is None or not timedelta(0) <= end - start <= timedelta(days=366):
        return None
    return DayRead(start, end if end != start else None)


def _ordered(one: int, two: int, year: int, order: str) -> date | None:
    """Two numbers in the column's order; the other one where only that is a date."""
    month, day = (one, two) if order == "MDY" else (two, one)
    return _built(year, month, day) or _built(year, day, month)


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


def _of(day: date | None, text: str) -> DayRead:
    return _within(day) if day else DayRead(sentence=f"holds “{text[:40]}”, which is no date")


def _why(low: str, text: str) -> str:
    low = low.strip(" .")
    if _TWO.fullmatch(low) or re.fullmatch(r"[a-z]{3,10}\.? \d{1,2}|\d{1,2}\.? [a-z]{3,10}", low):
        return f"holds “{text[:40]}”, {_NO_YEAR}"
    if re.fullmatch(r"[a-z]{3,10}\.? '?\d{2,4}|\d{1,2}/\d{4}|\d{4}", low):
        return f"holds “{text[:40]}”, a month or year without its day"
    return f"holds “{text[:40]}”, which is no date"


def looks_dated(value: Cell) -> bool:
    """True when a cell is a date or reads like one."""
    if isinstance(value, date):
        return True
    return isinstance(value, str) and _from_text(value, "MDY", None).day is not None
