"""One row of a table as its lines are made from it: cells by meaning, and what went wrong."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from fractions import Fraction
from typing import Any, TypeVar, cast

from app.calculations.numbers import money, numerals
from app.calculations.numbers.amounts import Amount, base_of, read_amount
from app.calculations.numbers.durations import WORKDAY_MINUTES, read_duration
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.units import sort_of
from app.calculations.numbers.wording import capital
from app.documents.reading.dates import DayOrder, read_day
from app.documents.reading.grid import Cell, Trouble, letter, says_nothing, shown
from app.documents.reading.headings import Heading, plain
from app.documents.reading.lines import Source
from app.documents.reading.meanings import MEANINGS
from app.documents.reading.options import Options
from app.documents.reading.people import all_phones, read_mails
from app.documents.reading.table_rows import RawRow
from app.errors import Mendable

T = TypeVar("T")
_FREE = re.compile(
    r"^(?:free|no charge|n/?c|comp(?:ed|limentary)?|gratis|waived|0)$", re.IGNORECASE
)
_EACH = re.compile(
    r"\s*(?:/|per|each|ea\.?|pro|por)\s*(?:ea(?:ch)?|gal(?:lon)?|bottle|pack|pc|unit|"
    r"st(?:ü|ue)ck|oz|unidad)?\.?$",
    re.IGNORECASE,
)
_ABOUT = re.compile(r"^(?:approx\.?|about|ca\.?|circa|~|≈|est\.?)\s*|\s*\+$", re.IGNORECASE)
_EMPTY = re.compile(
    r"(?:empty|out(?: of stock)?|zero|none|none left|all gone|gone|sold out|leer|aus|vac[ií]o|"
    r"agotado|nil)"
)
_DAYS = re.compile(r"(.+?) ?(?:days?|tage?|d[ií]as?)", re.IGNORECASE)
_MOST_MINUTES = 60_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """How a table is read: its meanings by column, units, day orders, and where it stands."""

    file: str
    sheet: str
    kind: str
    columns: tuple[int, ...]
    headings: tuple[Heading, ...]
    meanings: tuple[str, ...]
    units: tuple[str, ...]
    orders: tuple[DayOrder | None, ...]
    options: Options
    year: int | None = None
    hours_in: str = "h"
    groups: bool = False  # the customer stands on the first of several rows only
    days_go_on: bool = False  # the day stands on the first of several rows only

    def positions(self, key: str) -> list[int]:
        """The columns with this meaning."""
        return [i for i, meaning in enumerate(self.meanings) if meaning == key]

    def has(self, *keys: str) -> bool:
        """True when some column has one of these meanings."""
        return any(key in self.meanings for key in keys)


@dataclass(slots=True)
class Row:
    """A row with its cells by meaning; problems gather as it is read."""

    layout: Layout
    raw: RawRow
    problems: list[str] = field(default_factory=list)
    unread: list[int] = field(default_factory=list)  # columns whose words go to the notes instead
    which: int = 0  # only this one of several vehicles in columns of their own; 0 for all

    @property
    def source(self) -> Source:
        """Where the row stands."""
        return Source(self.layout.file, self.layout.sheet, self.raw.index + 1)

    def _positions(self, key: str) -> list[int]:
        found = self.layout.positions(key)
        if self.which and key.startswith("vehicle."):
            return [p for p in found if self.layout.headings[p].ordinal == self.which]
        return found

    def vehicles(self) -> list[Row]:
        """The row once for each vehicle that has columns of its own."""
        ordinals = sorted(
            {
                heading.ordinal
                for heading, meaning in zip(self.layout.headings, self.layout.meanings, strict=True)
                if meaning.startswith("vehicle.") and meaning != "vehicle.notes"
            }
        )
        if len(ordinals) < 2:
            return [self]
        return [Row(self.layout, self.raw, self.problems, self.unread, n) for n in ordinals]

    def cells(self, key: str) -> list[tuple[int, Cell]]:
        """The filled cells with a meaning, with their columns; a cell in trouble says so."""
        found: list[tuple[int, Cell]] = []
        for position in self._positions(key):
            value = self.raw.cells[position]
            if isinstance(value, Trouble):
                self.say(position, f"holds {value}")
            elif value is not None:
                found.append((position, value))
        return found

    def value(self, key: str) -> Cell:
        """The first filled cell with a meaning."""
        return next((value for _, value in self.cells(key)), None)

    def text(self, key: str) -> str:
        """The first filled cell as one line of text."""
        return " ".join(shown(self.value(key)).split())

    def any(self, *keys: str) -> bool:
        """True when one of these meanings has a filled cell."""
        return any(
            not says_nothing(self.raw.cells[position])
            for key in keys
            for position in self._positions(key)
        )

    def filled(self) -> int:
        """How many cells of the row say something."""
        return sum(not says_nothing(cell) for cell in self.raw.cells)

    def say(self, position: int, what: str, then: str = "") -> None:
        """Add a problem: the place, what was found, what to do."""
        heading = self.layout.headings[position].text
        place = f"column {letter(self.layout.columns[position])}" + (
            f" ({heading})" if heading else ""
        )
        sentence = f"{capital(self.source.place())}, {place}: {what}"
        sentence = f"{sentence}; {then}." if then else f"{sentence}."
        if sentence not in self.problems:
            self.problems.append(sentence)

    def say_row(self, what: str) -> str:
        """Add a problem of the whole row."""
        sentence = f"{capital(self.source.place())}: {what}."
        if sentence not in self.problems:
            self.problems.append(sentence)
        return sentence

    def _one(self, key: str, read: Callable[[int, Cell], T]) -> T | None:
        for position, value in self.cells(key):
            return read(position, value)
        return None

    def day(self, key: str) -> tuple[date | None, date | None]:
        """A day, or the first and last of several."""

        def read(position: int, value: Cell) -> tuple[date | None, date | None]:
            order = self.layout.orders[position]
            options = self.layout.options
            found = read_day(
                value,
                order.order if order else options.usual_order(),
                options.today,
                self.section_year() or self.layout.year,
            )
            if found.sentence:
                self.say(position, found.sentence, "type it like 2024-03-05")
            return found.day, found.last

        return self._one(key, read) or (None, None)

    def section_year(self) -> int | None:
        """The year that the section above the row names."""
        match = re.search(r"(?<!\d)(?:19|20)\d{2}(?!\d)", self.raw.section)
        return int(match.group()) if match else None

    def money(self, key: str) -> int | None:
        """An amount of money in minor units."""
        return self._one(key, self.money_in)

    def money_in(self, position: int, value: Cell) -> int | None:
        """The money in one cell; None with a problem when it is none."""
        options = self.layout.options
        try:
            return cell_money(value, options.currency, options.decimal)
        except Mendable as error:
            self.say(position, f"holds no amount of money that could be read: {error}".rstrip("."))
            self.unread.append(position)
            return None

    def amount(
        self,
        key: str,
        unit: str = "",
        then: str = "type it like 16 oz",
        but: re.Pattern[str] | None = None,
    ) -> Amount | None:
        """A quantity as it stands; a bare one in the heading's unit, else in `unit`.

        Cells that match `but` are no quantities and are passed over.
        """

        def read(position: int, value: Cell) -> Amount | None:
            try:
                told = cell_amount(value, self.layout.options.decimal)
            except Mendable as error:
                self.refuse(position, value, error, then)
                return None
            return told.bare_in(self.unit_of(position) or unit)

        cells = self.cells(key)
        wanted = [one for one in cells if but is None or not but.search(shown(one[1]))]
        return read(*wanted[0]) if wanted else None

    def base(
        self, key: str, amount: Amount | None, then: str, kind: str, **known: Any
    ) -> int | None:
        """An amount in base units; None with a problem when it cannot be told (see `base_of`)."""
        if amount is None:
            return None
        try:
            return base_of(amount, kind, imperial=self.layout.options.imperial, **known)
        except Mendable as error:
            for position, value in self.cells(key)[:1]:
                self.refuse(position, value, error, then)
            return None

    def refuse(self, position: int, value: Cell, why: str | Mendable, then: str = "") -> None:
        """Add a problem: what the cell holds, why that will not do, what to do.

        What it holds is kept in the notes.
        """
        self.unread.append(position)
        if isinstance(why, Mendable):
            why = f"{why.sentence[:1].lower()}{why.sentence[1:-1]}"
            then = "" if ";" in why and not then.startswith("the") else then
            self.say(position, f"holds “{shown(value)[:40]}”: {why}", then)
        else:
            self.say(position, f"holds “{shown(value)[:40]}”, {why}", then)

    def unit_of(self, position: int) -> str:
        """The unit that the heading of a column names, when it is one of quantity."""
        unit = self.layout.units[position]
        return unit if unit in ("container", "pc") or sort_of(unit) or unit == "oz" else ""

    def phones(self, *keys: str) -> tuple[tuple[str, ...], tuple[str, ...], str]:
        """Every telephone number: E.164 or as typed, as typed, and words that stood beside."""
        cells = [
            (position, value)
            for key in keys
            for position, value in self.cells(key)
            if not (isinstance(value, str) and "@" in value)
        ]
        region = self.layout.options.region
        for position, value in cells:
            for trouble in all_phones([value], region)[1]:
                self.say(
                    position,
                    f"{trouble} is no whole telephone number and is kept as typed",
                    "add the area code if it should be dialled",
                )
        found, _ = all_phones((value for _, value in cells), region)
        return found.numbers, found.typed, found.extra

    def mails(self, *keys: str) -> tuple[str, ...]:
        """Every mail address that can be one."""
        addresses: list[str] = []
        for key in keys:
            for position, value in self.cells(key):
                if MEANINGS[key].form == "contact" and "@" not in shown(value):
                    continue
                found = read_mails(value)
                addresses.extend(a for a in found.addresses if a not in addresses)
                if found.trouble:
                    self.say(
                        position, f"{found.trouble} is no mail address", "correct it in the file"
                    )
        return tuple(addresses)

    def notes(self, key: str, *more: str) -> str:
        """All notes of a kind; a column that is not headed as notes brings its heading along.

        What a cell of this kind holds and could not be read is among them.
        """
        parts = [part for part in more if part]
        whose = key.split(".")[0] + "."
        for position in dict.fromkeys(self.unread):
            meaning = self.layout.meanings[position]
            if meaning.startswith(whose):
                named = self.layout.headings[position].text or MEANINGS[meaning].label
                parts.append(f"{named}: {' '.join(shown(self.raw.cells[position]).split())}")
        for position, value in self.cells(key):
            text = shown(value)
            heading = self.layout.headings[position]
            own = {plain(word) for word in (MEANINGS[key].label, *MEANINGS[key].words)}
            if heading.text and heading.words not in own:
                text = f"{heading.text}: {text}"
            parts.append(text)
        return "\n".join(dict.fromkeys(parts))[:10_000]

    def minutes(self, key: str) -> int | None:
        """Hours worked, in minutes; several columns add up."""
        total: int | None = None
        for position, value in self.cells(key):
            unit = self.layout.units[position] or self.layout.hours_in
            found = read_minutes(value, unit)
            if found is None:
                self.refuse(position, value, "which is no time worked", "type it like 2.5 or 2:30")
            else:
                total = (total or 0) + found
        return total


def cell_amount(value: Cell, decimal: str = "either") -> Amount:
    """A cell as an amount; "empty" is none. Raises Mendable."""
    text = shown(value)
    if isinstance(value, bool):
        raise Mendable(f"“{text}” is no amount; type one such as 2 oz or 71 g.")
    if isinstance(value, int | float):
        return Amount(each=Fraction(str(value)), typed=text)
    if _EMPTY.fullmatch(text.casefold().strip(" .")):
        return Amount(each=Fraction(0), typed=text)
    return read_amount(text, cast(numerals.DecimalSign, decimal))


def read_fraction(text: str) -> Fraction | None:
    """A plain number: 3, 2.5, 2,5, 1,200, 1 1/2, 3/4; None when it is none."""
    try:
        return numerals.read_number(text.strip().rstrip(".,"))
    except Mendable:
        return None


def cell_money(value: Cell, currency: str, decimal: str) -> int:
    """A cell as money in minor units; "free" is nothing. Raises Mendable."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise Mendable("holds no amount of money")
    if isinstance(value, int | float):
        number = Fraction(str(value))
        if abs(number) > numerals.LARGEST:
            raise Mendable(f"“{value:g}” is too large an amount; check the number")
        # A spreadsheet computes finer than a coin; what it shows is rounded.
        return half_away(number, money.minor_digits(currency))
    text = " ".join(value.split())
    if _FREE.match(text):
        return 0
    text = re.sub(r"[.,]-+$", "", _EACH.sub("", _ABOUT.sub("", text)))
    return money.read_money(text, currency, decimal)  # type: ignore[arg-type]


def read_minutes(value: Cell, unit: str = "h") -> int | None:
    """A time worked in minutes: 2.5, 2:30, "2h 30m", "150 min", a spreadsheet's time of day."""
    if isinstance(value, bool | date):
        return None
    if isinstance(value, time):
        return value.hour * 60 + value.minute
    bare = 1 if unit == "min" else 60
    if isinstance(value, timedelta):
        minutes = round(value.total_seconds() / 60)
        return minutes if 0 <= minutes <= _MOST_MINUTES else None
    text = shown(value).strip(" ~")
    days = _DAYS.fullmatch(text)
    if days:
        text, bare = days[1], WORKDAY_MINUTES
    try:
        return read_duration(text, bare=bare, most=_MOST_MINUTES)
    except Mendable:
        return None


def first_filled(*texts: str) -> str:
    """The first text that says something."""
    return next((text for text in texts if text), "")
