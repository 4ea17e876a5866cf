"""Values as a full export writes them in cells, and back again without loss."""

from __future__ import annotations

import json
import re
from datetime import UTC, date, datetime
from fractions import Fraction
from typing import Any

from app.calculations.numbers import money
from app.calculations.numbers.rounding import half_away
from app.documents.export.layout import Field
from app.documents.reading.dates import read_day
from app.documents.reading.grid import clean, shown
from app.documents.reading.options import Options
from app.documents.reading.people import read_yes
from app.documents.reading.row import cell_money
from app.errors import Mendable

# A cell holds 32,767 characters; longer texts go on in the sheet of long texts.
MOST_IN_A_CELL = 32_000
# Characters that XML does not carry are written as _x000B_, and so is such a sequence itself.
_UNCARRIED = re.compile("[\x00-\x08\x0b\x0c\x0d\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")
_LIKE_ESCAPE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")


def escaped(text: str) -> str:
    """Text as a workbook carries it."""
    if "_x" in text:
        text = _LIKE_ESCAPE.sub("_x005F_", text)
    return _UNCARRIED.sub(lambda match: f"_x{ord(match.group()):04X}_", text)


def unescaped(text: str) -> str:
    """The text that `escaped` was given."""
    return _ESCAPE.sub(lambda match: chr(int(match.group(1), 16)), text) if "_x" in text else text


def cell_of(value: Any, field: Field, digits: int) -> Any:
    """A value of the book as a cell: text, number, date or None. Keys are made by the caller."""
    form = field.form
    if value is None:
        return None
    if form == "money":
        return value / 10**digits if digits else value
    if form in ("amount", "thousandths"):
        return value / 1000 if value % 1000 else value // 1000
    if form == "moment":
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if form == "yes":
        return "yes" if value else "no"
    if form == "json":
        return json.dumps(value, ensure_ascii=False, sort_keys=True)
    if form == "list":
        return list_as_text(value)
    return value  # text, whole, day


def list_as_text(items: list[str]) -> str:
    """Items with semicolons between; as JSON where that could not be read back."""
    text = "; ".join(items)
    return text if text_as_list(text) == items else json.dumps(items, ensure_ascii=False)


def text_as_list(text: str) -> list[str]:
    """The items that `list_as_text` was given."""
    if text.startswith("["):
        try:
            items = json.loads(text)
        except ValueError:
            items = None
        if isinstance(items, list) and all(isinstance(item, str) for item in items):
            return items
    return [item.strip() for item in text.split(";") if item.strip()]


def value_of(cell: Any, field: Field, currency: str, options: Options, more: str = "") -> Any:
    """The book's value that a cell holds; what a person typed anew is read as they write it.

    `more` is what goes on in the sheet of long texts. Raises Mendable with the rest of a sentence
    when it cannot be read.
    """
    form = field.form
    if form == "text":
        return _text(cell) + more
    if form.startswith("key:"):
        return None if cell is None else _key(cell)
    if cell is None or cell == "":
        return [] if form == "list" else None
    digits = money.minor_digits(currency) if form == "money" else _DIGITS.get(form)
    if digits is not None:
        exact = _exactly(cell, digits)
        if exact is not None:
            return exact
        if form != "money":
            return _number(cell, digits)
        typed = cell if isinstance(cell, int | float) else clean(cell)
        return cell_money(typed, currency, options.decimal)
    if form == "yes":
        answer = read_yes(clean(cell))
        if answer is None:
            raise Mendable(f"holds “{shown(clean(cell))[:40]}”, which is neither yes nor no")
        return answer
    if form == "day":
        return _day(cell, options)
    if form == "moment":
        return _moment(cell)
    if form == "list":
        return text_as_list(_text(cell) + more)
    try:
        return json.loads(_text(cell) + more)
    except ValueError as error:
        raise Mendable("holds a value that was changed so that it cannot be read") from error


def key_of(cell: Any) -> int | None:
    """The number in the column Key; None for a new row."""
    try:
        return None if cell is None else _key(cell)
    except Mendable:
        return None


def _key(cell: Any) -> int | None:
    if type(cell) is int and 0 <= cell < 2**53:
        return cell
    text = shown(clean(cell)).removesuffix(".0").strip()
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and len(text) < 16):
        raise Mendable(f"holds “{text[:40]}”, which is no key")
    return int(text)


_DIGITS = {"whole": 0, "amount": 3, "thousandths": 3}


def _exactly(cell: Any, digits: int) -> int | None:
    """A number as the export wrote it, without going through fractions; None for any other."""
    if type(cell) is int:
        return cell * 10**digits if abs(cell) < 10**12 else None
    if type(cell) is not float or abs(cell) > 1e12:
        return None
    scaled = cell * 10**digits
    near = round(scaled)
    return near if abs(scaled - near) <= 1e-9 * max(abs(scaled), 1.0) else None


def _text(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return unescaped(cell)
    return shown(clean(cell))


def _number(cell: Any, digits: int) -> int:
    if isinstance(cell, bool):
        raise Mendable("holds yes or no, where a number belongs")
    numeric = isinstance(cell, int | float)
    text = str(cell) if numeric else shown(clean(cell)).replace(",", "")
    try:
        number = Fraction(text)
    except (ValueError, ZeroDivisionError) as error:
        raise Mendable(f"holds “{text[:40]}”, which is no number") from error
    if abs(number) > money.LARGEST:
        raise Mendable(f"holds “{text[:40]}”, which is too large")
    return half_away(number, digits)


def _day(cell: Any, options: Options) -> date | None:
    if type(cell) is datetime and 1950 <= cell.year < 2100:
        return cell.date()
    found = read_day(clean(cell), options.usual_order(), options.today)
    if found.day is None:
        raise Mendable(found.sentence)
    return found.day


def _moment(cell: Any) -> datetime:
    if isinstance(cell, datetime):
        return cell.replace(tzinfo=cell.tzinfo or UTC)
    try:
        moment = datetime.fromisoformat(_text(cell).strip())
    except ValueError as error:
        raise Mendable("holds no moment; write it like 2024-03-05T10:00:00Z") from error
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
