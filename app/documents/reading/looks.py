"""What the values of a column look like, told by shape alone, for checking a heading's claim."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta

from app.documents.reading.dates import looks_dated
from app.documents.reading.grid import Cell, says_nothing, shown

_SAMPLE = 200
# A shape by which a value looks like something, wherever it stands in the value.
_SHAPES = {
    look: re.compile(pattern, re.IGNORECASE)
    for look, pattern in {
        "mail": r"[^\s@]+@[^\s@]+\.[a-z]{2,}",
        "money": r"(?:[$€£]|\b(?:usd|eur|gbp|cad|us\$))\s*-?\d|\d\s*(?:[$€£]|eur\b|usd\b)",
        "number": r"^-?[\d.,' ]*\d[\d.,' ]*%?$",
        "amount": r"\d\s*-?\s*(?:fl\.?\s*)?(?:oz|ounces?|gal(?:lons?)?|qts?|quarts?|pts?|pints?|"
        r"cups?|ml|cl|l|lit(?:er|re)s?|ltr|g|grams?|kg|lbs?|pcs?|ea|ct|bottles?|jugs?|rolls?|"
        r"box(?:es)?|cans?|tubs?|packs?|st(?:ü|ue)ck)\b",
        "hours": r"^\d+(?:[.,:]\d+)?\s*(?:h|hrs?|hours?|std|m|min(?:utes?)?)?"
        r"(?:\s*\d+\s*m(?:in)?)?$",
        "year": r"^'?(?:(?:19|20)\d{2}|\d{2})$",
        "daymonth": r"^\d{1,2}\s?[/.-]\s?\d{1,2}\.?$",
        "vin": r"^[A-HJ-NPR-Z0-9]{17}$",
        "plate": r"^(?=.*\d)[A-Z0-9ÄÖÜ -]{4,10}(?:\s*\([A-Z]{2}\))?$",
        "yes": r"^(?:y|n|yes|no|x|true|false|✓|✔|ja|nein|s[ií]|ok|stop|opted[ -]?(?:in|out)|[01])$",
        "span": r"\d\s*(?:d|days?|w|wks?|weeks?|mo|mos|months?|y|yrs?|years?|monate?|jahre?|"
        r"mes(?:es)?)\b",
        "ratio": r"^\d+(?:[.,]\d+)?\s*(?::|to)\s*\d+|^(?:neat|rtu|undiluted|pur)\b|"
        r"oz\s*(?:/|per)\s*gal",
    }.items()
}
_PHONE = re.compile(r"^\D{0,12}\+?[\d\s().,/-]{7,22}(?:\s*(?:x|ext)\.?\s*\d+)?(?:\D.{0,60})?$")
_NAME = re.compile(
    r"^[A-ZÀ-Ý][\w'’.-]*(?:[ ,&]+(?:and |von |van |de |der |la )*[A-ZÀ-Ý&][\w'’.-]*){1,4}\.?$"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Looks:
    """Shares (0 to 1) of a column's filled cells that look like each thing."""

    filled: int = 0
    mail: float = 0.0
    phone: float = 0.0
    day: float = 0.0
    money: float = 0.0
    number: float = 0.0
    amount: float = 0.0
    hours: float = 0.0
    year: float = 0.0
    daymonth: float = 0.0  # a day without its year
    vin: float = 0.0
    plate: float = 0.0
    yes: float = 0.0
    name: float = 0.0
    span: float = 0.0
    ratio: float = 0.0
    words: float = 0.0
    length: float = 0.0


def looks_of(values: Sequence[Cell]) -> Looks:
    """The looks of a column, from up to 200 of its filled cells."""
    filled = [value for value in values if not says_nothing(value)][:_SAMPLE]
    if not filled:
        return Looks()
    counts = dict.fromkeys(Looks.__dataclass_fields__, 0.0)
    for value in filled:
        for name in _seen(value):
            counts[name] += 1
    total = len(filled)
    shares = {name: count / total for name, count in counts.items()}
    shares["length"] = sum(len(shown(value)) for value in filled) / total
    shares.pop("filled")
    return Looks(filled=total, **shares)


def _seen(value: Cell) -> set[str]:
    if isinstance(value, date):
        return {"day"}
    if isinstance(value, time | timedelta):
        return {"hours"}
    if isinstance(value, bool):
        return {"yes"}
    text = shown(value)[:200]
    seen = {look for look, shape in _SHAPES.items() if shape.search(text)}
    digits = sum(c.isdigit() for c in text)
    dated = digits > 0 and looks_dated(value)
    if dated:
        seen.add("day")
    elif 7 <= digits <= 26 and _PHONE.match(text):
        seen.add("phone")
    if sum(c.isalpha() for c in text) >= 2:
        seen.add("words")
        if not digits and _NAME.match(text):
            seen.add("name")
    return seen


def fit(form: str, looks: Looks) -> float:
    """How well values fit what a meaning expects: from -1 (contradicted) to +0.5 (confirmed)."""
    if not looks.filled:
        return 0.0
    few = looks.filled < 3
    good, bad = _FITS.get(form, _text)(looks)
    if good:
        return 0.5
    if bad:
        return -0.5 if few else -1.0
    return 0.0


def _text(looks: Looks) -> tuple[bool, bool]:
    bare_money = looks.money > 0.6 and looks.words < 0.3
    return False, looks.mail > 0.6 or looks.day > 0.7 or bare_money


_FITS = {
    "mail": lambda x: (x.mail > 0.3, x.mail == 0),
    "phone": lambda x: (
        x.phone > 0.3,
        x.phone == 0 and (x.mail > 0.3 or x.words > 0.8 or x.day > 0.3),
    ),
    "contact": lambda x: (x.mail + x.phone > 0.3, x.mail + x.phone == 0),
    "date": lambda x: (x.day > 0.3, x.day + x.daymonth == 0 and x.number < 0.9),
    "money": lambda x: (x.money > 0.3 or x.number > 0.3, x.money + x.number == 0),
    "amount": lambda x: (
        x.amount + x.number > 0.3,
        (x.amount + x.number == 0 and x.words > 0.7) or x.money > 0.5 or x.day > 0.5,
    ),
    "number": lambda x: (x.number > 0.3, x.number == 0 and x.words > 0.7),
    "hours": lambda x: (x.hours > 0.3 or x.number > 0.3, x.hours + x.number == 0 or x.money > 0.3),
    "year": lambda x: (x.year > 0.5, x.year < 0.1),
    "vin": lambda x: (x.vin > 0.3, x.length < 5 and not x.vin),
    "plate": lambda x: (x.plate > 0.3, x.mail > 0.3 or x.length > 24),
    "yes": lambda x: (x.yes > 0.4, x.mail > 0.3 or (x.yes == 0 and x.length > 25)),
    "name": lambda x: (
        x.name > 0.3,
        x.mail > 0.5 or x.day > 0.5 or (x.number > 0.8 and x.words < 0.2) or x.money > 0.5,
    ),
    "span": lambda x: (x.span > 0.3 or x.number > 0.5, x.span + x.number == 0),
    "dilution": lambda x: (x.ratio > 0.3, x.ratio + x.number + x.amount == 0),
    "unit": lambda x: (
        x.amount > 0.3,
        x.money > 0.3 or x.number > 0.5 or x.day > 0.3 or x.mail > 0.3,
    ),
    "paid": lambda x: (False, False),
    "skip": lambda x: (False, False),
    "text": _text,
}
