"""What is driven for the shop: one number a day, and what it is worth by the owner's own rate."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import writing_on
from app.actions.desk.typed_days import read_typed_day
from app.calculations.figures.driving import METRES, Rate
from app.calculations.numbers.dates import day_month, day_year
from app.calculations.numbers.money import minor_digits
from app.calculations.numbers.numerals import read_number
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.units import System
from app.errors import Mendable
from app.records.models import DaySheet
from app.records.queries import settings as setting_queries

KINDS = frozenset({"expenses", "days"})
_MOST = 2000  # miles or kilometres in a day
_WORDS = {"mi": ("mi", "mile", "miles"), "km": ("km", "kilometre", "kilometres", "kilometers")}


def unit_of(desk: Desk) -> str:
    """In what the shop counts its ways: mi or km."""
    return "mi" if desk.settings.system is System.US else "km"


def unit_word(unit: str, *, many: bool = True) -> str:
    """The unit in a sentence: `miles`, `kilometre`."""
    return _WORDS[unit][2 if many else 1]


def driven_text(desk: Desk, metres: int) -> str:
    """`12.5`, in the shop's unit, without it; nothing where nothing was driven."""
    if not metres:
        return ""
    tenths = half_away(Fraction(metres) / METRES[unit_of(desk)], 1)
    return f"{tenths // 10:,}.{tenths % 10}".removesuffix(".0")


def set_driven(desk: Desk, day: date, typed: str) -> Changed:
    """Note what was driven for the shop on an open day; nothing typed is nothing driven."""
    metres, unit = _read_driven(desk, typed), unit_of(desk)
    words = f"{driven_text(desk, metres)} {unit_word(unit)}" if metres else "nothing"
    name = f"Driven on {day_month(day)}: {words}"
    with writing_on(desk, day, name, KINDS) as session:
        session.get_one(DaySheet, day).driven = metres
    return Changed(name, KINDS)


def _read_driven(desk: Desk, typed: str) -> int:
    plain = " ".join(typed.split()).casefold()
    if not plain:
        return 0
    unit = unit_of(desk)
    found = re.fullmatch(r"(.*?\d)\s*([a-z]+)\.?", plain)
    if found is not None:
        named = [key for key, words in _WORDS.items() if found[2] in words]
        if not named:
            raise Mendable(f"“{typed[:40]}” is no way driven; type one such as 12.5.")
        plain, unit = found[1], named[0]
    way = read_number(plain)
    if not 0 <= way <= _MOST:
        raise Mendable(f"In a day 0 to {_MOST:,} {unit_word(unit)} are driven; check the number.")
    return half_away(way * METRES[unit])


def rates(desk: Desk) -> tuple[Rate, ...]:
    """What driving is worth, the earliest first."""
    found = (
        Rate(date.fromisoformat(first), rate, unit, source)
        for first, rate, unit, source in desk.settings.mile_rates
    )
    return tuple(sorted(found, key=lambda one: one.from_day))


def rate_text(desk: Desk, rate: Rate) -> str:
    """`0.725 a mile from 1 January 2026 (tax office, notice of December)`."""
    size = 10 ** minor_digits(desk.settings.currency) * 1000
    number = f"{Fraction(rate.rate, size).__float__():.6f}".rstrip("0").rstrip(".")
    word = unit_word(rate.unit, many=False)
    return f"{number} a {word} from {day_year(rate.from_day)} ({rate.source})"


def set_rate(desk: Desk, typed: str, from_day: str, source: str) -> Changed:
    """Set what a mile or kilometre is worth from a day on, with whose word it is.

    Another rate from the same day takes its place; nothing typed as the rate takes that one out.
    """
    first = read_typed_day(desk, from_day) if from_day.strip() else None
    if first is None:
        raise Mendable("From which day does this rate hold? Type it like 1 Jan 2026.")
    unit = unit_of(desk)
    others = [one for one in desk.settings.mile_rates if one[0] != first.isoformat()]
    name = f"Worth of a {unit_word(unit, many=False)} from {day_year(first)}"
    if typed.strip():
        said = " ".join(source.split())[:200]
        if not said:
            raise Mendable(
                "Whose rate is it? Say where it stands, such as the notice of your tax office."
            )
        others.append([first.isoformat(), _read_rate(desk, typed), unit, said])
    elif len(others) == len(desk.settings.mile_rates):
        raise Mendable(f"What is a {unit_word(unit, many=False)} worth? Type it like 0.50.")
    new = {"mile_rates": sorted(others)}
    kinds = KINDS | {"settings"}
    with desk.book.change(name, day=desk.today, kinds=kinds, at=desk.clock()) as session:
        setting_queries.write(session, new)
    desk.reload()
    return Changed(name, kinds)


def _read_rate(desk: Desk, typed: str) -> int:
    """Thousandths of a minor unit; a rate may be finer than the currency."""
    rate = read_number(typed.strip().lstrip("$€£¥").strip().replace(",", "."))
    exact = rate * 10 ** minor_digits(desk.settings.currency) * 1000
    if not 0 < rate <= 1000 or exact.denominator != 1:
        raise Mendable(f"“{typed[:40]}” is no worth of a way; type it like 0.50.")
    return int(exact)
