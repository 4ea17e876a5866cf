"""Rates of tax from a day on, by kind of line and place; which holds on a day.

A rate holds until a later one of its kind and place begins. A place without a rate of that kind has
the shop's own. Before the first rate, and of a kind that has none, nothing is taxed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from app.calculations.numbers.numerals import read_number
from app.errors import Mendable

BEGINNING = date(1970, 1, 1)  # of a rate that holds from the beginning
MOST = 100_000  # thousandths of a percent


@dataclass(frozen=True, kw_only=True)
class DatedRate:
    """A rate, thousandths of a percent (7.25 % is 7250), with what is printed beside it."""

    rate_id: int
    kind: str
    place: str  # empty: the shop's own
    rate: int
    from_day: date
    words: str


def rate_on(rates: Iterable[DatedRate], kind: str, day: date, place: str = "") -> DatedRate | None:
    """The rate of a kind of line on a day in a place; None where nothing is taxed."""
    began = [one for one in rates if _same(one.kind, kind) and one.from_day <= day]
    there = [one for one in began if place and _same(one.place, place)]
    found = there or [one for one in began if not one.place]
    return max(found, key=lambda one: one.from_day, default=None)


def words_of(rates: Iterable[DatedRate], rate: int, day: date) -> str:
    """What is printed beside a rate on a day: the words of all that stand at it then."""
    rates = list(rates)
    standing = {
        one.words: None
        for one in rates
        if one.rate == rate and one.words and rate_on(rates, one.kind, day, one.place) is one
    }
    return ", ".join(standing)


def _same(one: str, other: str) -> bool:
    return one.casefold() == other.casefold()


def read_rate(typed: str) -> int:
    """A tax rate in percent as thousandths of a percent: `7.25`, `7.25 %`, `no tax`."""
    plain = typed.strip().rstrip("%").strip().casefold()
    if plain in ("", "no tax", "none", "exempt", "-"):
        return 0
    # No rate reaches a thousand, so a comma can only stand before the decimals.
    rate = read_number(plain.replace(",", "."))
    if not 0 <= rate <= 100:
        raise Mendable("The tax rate must lie between 0 and 100 %.")
    thousandths = rate * 1000
    if thousandths.denominator != 1:
        raise Mendable("A tax rate has three decimals at most; type one such as 7.25.")
    return int(thousandths)
