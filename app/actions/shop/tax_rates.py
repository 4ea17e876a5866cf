"""Rates of tax: by the kind of line as the shop names it, by place, from a day on.

A charge is written with the rate of its kind on the job's day and keeps it. What stands already
changes with no rate; a rate of before stays for the days that it was of.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from typing import Any

from app.actions.desk.desk import NOTHING, Changed, Desk, kept, there
from app.actions.desk.row_changes import add_row, set_fields
from app.actions.desk.typed_days import read_written_day
from app.actions.shop.shop_settings import KINDS, change_settings
from app.calculations.figures.tax_counted import INVOICED, RECEIVED, basis_on
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.tax_rates import BEGINNING, DatedRate, rate_on, read_rate, words_of
from app.errors import Mendable
from app.records.models import TaxRate
from app.records.queries import tax as queries

WORK = "work"  # what a line is that says nothing else
USUAL_KINDS = (WORK, "goods sold", "bay", "travel")
NO_TAX = ("", "no", "none", "no tax", "not taxed", "untaxed", "-")
OWN_PLACE = ("here", "the shop’s", "the shop's")
BASIS_WORDS = {
    INVOICED: "of work, as it is done and invoiced",
    RECEIVED: "of money, as it comes",
}


@kept("tax rates")
def all_rates(desk: Desk) -> list[DatedRate]:
    """Every rate by kind and place, the newest of each first."""
    with desk.book.reading() as session:
        return queries.rates(session)


def kinds(desk: Desk) -> list[str]:
    """The kinds of line that have a rate, and *work*."""
    found = {one.kind.casefold(): one.kind for one in all_rates(desk)}
    return [found.pop(WORK, WORK), *sorted(found.values(), key=str.casefold)]


def places(desk: Desk) -> list[str]:
    """The places that have rates of their own."""
    found = {one.place.casefold(): one.place for one in all_rates(desk) if one.place}
    return sorted(found.values(), key=str.casefold)


def rate_for(desk: Desk, kind: str, day: date | None = None, place: str = "") -> int:
    """The rate of a kind of line on a day, today unless said; 0 where nothing is taxed."""
    found = rate_on(all_rates(desk), kind, day or desk.today, place) if kind else None
    return found.rate if found else 0


def printed_words(desk: Desk, rate: int, day: date) -> str:
    """What is printed beside a rate on a paper of this day."""
    return words_of(all_rates(desk), rate, day)


def read_kind(desk: Desk, typed: str) -> str:
    """A kind of line as typed, by its whole name or how it begins; empty for no tax.

    Raises `Mendable` for a kind that has no rate yet.
    """
    plain = " ".join(typed.split()).casefold()
    if plain in NO_TAX:
        return ""
    if plain in ("yes", "taxed"):
        return WORK
    found = [one for one in kinds(desk) if one.casefold().startswith(plain)]
    exact = [one for one in found if one.casefold() == plain]
    if exact or len(found) == 1:
        return (exact or found)[0]
    raise Mendable(
        f"“{typed.strip()[:40]}” is no kind of line that has a tax rate; type "
        f"{', '.join(kinds(desk))} or no, or write its rate first (Settings, Tax)."
    )


def read_place(desk: Desk, typed: str) -> str | None:
    """A place as typed, empty for the shop's own (`here`); None where no rate is of it."""
    plain = " ".join(typed.split()).casefold()
    if plain in OWN_PLACE and places(desk):
        return ""
    return next((one for one in places(desk) if one.casefold() == plain), None)


def add_rate(desk: Desk, typed: str) -> Changed:
    """A rate as it is typed: `work 7.25`, `goods sold Easton 7.375`; from the beginning where it
    is the first of its kind and place, else from today on."""
    words = typed.split()
    if len(words) > 1 and words[-1] == "%":
        words.pop()
    if len(words) < 2:
        raise Mendable("Type a kind of line and its rate, such as “work 7.25”.")
    rate, name = read_rate(words[-1]), " ".join(words[:-1])
    kind, place = _kind_and_place(desk, name)
    return write_rate(desk, kind, rate, place)


def write_rate(
    desk: Desk, kind: str, rate: int, place: str = "", from_day: date | None = None
) -> Changed:
    """A rate from a day on: unless said the beginning for the first of its kind, else today."""
    same = [one for one in all_rates(desk) if _are(one, kind, place)]
    day = from_day or (desk.today if same else BEGINNING)
    if any(one.from_day == day for one in same):
        raise Mendable(
            f"{_named(kind, place)} has a rate from {day_year(day)} on already; write over that."
        )
    row = TaxRate(kind=_checked_kind(kind), place=place[:60], rate=rate, from_day=day, words="")
    changed, _ = add_row(desk, row, f"Tax on {_named(kind, place)}: {rate / 1000:g} %", KINDS)
    return changed


def edit_rate(desk: Desk, rate_id: int, column: str, typed: str) -> Changed:
    """Set a rate's kind, place, rate, first day or printed words as typed."""
    plain = " ".join(typed.split())
    value: Any = plain[:60]
    if column == "rate":
        value = read_rate(plain)
    elif column == "from_day":
        value = read_first_day(desk, plain)
    elif column == "kind":
        value = _checked_kind(plain)
    elif column == "place":
        value = "" if plain.casefold() in OWN_PLACE else value
    elif column != "words":
        raise ValueError(f"a rate has no {column}")
    before = next((one for one in all_rates(desk) if one.rate_id == rate_id), None)
    before = there(before, "This rate")
    new = {"kind": before.kind, "place": before.place, "from_day": before.from_day, column: value}
    for other in all_rates(desk):
        same = _are(other, new["kind"], new["place"]) and other.from_day == new["from_day"]
        if same and other.rate_id != rate_id:
            raise Mendable("There is such a rate from this day on already; write over that one.")

    def name(row: TaxRate) -> str:
        return f"Tax on {_named(row.kind, row.place)} changed"

    return set_fields(desk, TaxRate, rate_id, name, {column: value}, KINDS)


def remove_rate(desk: Desk, rate_id: int) -> Changed:
    """Take a rate out; charges written with it keep it."""
    row = next((one for one in all_rates(desk) if one.rate_id == rate_id), None)
    row = there(row, "This rate")
    name = f"Tax on {_named(row.kind, row.place)} taken out"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        session.delete(session.get_one(TaxRate, rate_id))
    return Changed(name, KINDS)


def period_start(desk: Desk, day: date) -> date:
    """The first day of the period that holds a day, as long as is filed at once."""
    months = {"month": 1, "quarter": 3, "year": 12}[desk.settings.tax_period]
    return day.replace(month=(day.month - 1) // months * months + 1, day=1)


def basis_now(desk: Desk) -> tuple[str, date]:
    """What tax is counted by today, and since which day."""
    bases = desk.settings.tax_basis
    begun = [first for first in map(date.fromisoformat, bases) if first <= desk.today]
    return basis_on(bases, desk.today), max(begun, default=BEGINNING)


def set_basis(desk: Desk, basis: str, first: date) -> Changed:
    """Count tax by work or by money from the first day of a period on, or from the beginning.

    `Mendable` where the day begins no period, or days from it on were filed.
    """
    if basis not in BASIS_WORDS:
        raise ValueError(f"no such basis: {basis}")
    bases = desk.settings.tax_basis
    if basis_on(bases, first) == basis and not any(
        date.fromisoformat(one) > first for one in bases
    ):
        return NOTHING
    if first != BEGINNING and first != period_start(desk, first):
        raise Mendable(
            "What tax is counted by changes only on the first day of a "
            f"{desk.settings.tax_period}; {day_year(first)} is none."
        )
    with desk.book.reading() as session:
        filed = next((one for one in queries.filings(session) if one.last_day >= first), None)
    if filed is not None:
        raise Mendable(
            f"The days to {day_year(filed.last_day)} were filed as they are counted; change it "
            "from a later period on."
        )
    # What was said for later days was said of a change that now comes sooner.
    new = {day: word for day, word in bases.items() if date.fromisoformat(day) < first}
    if basis_on(new, first) != basis:
        new[first.isoformat()] = basis
    return change_settings(desk, tax_basis=new)


def rounding_now(desk: Desk) -> tuple[str, date]:
    """Where tax is rounded today, and since which day."""
    begun = [one for one in map(date.fromisoformat, desk.settings.tax_rules) if one <= desk.today]
    return desk.settings.rounding_on(desk.today), max(begun, default=BEGINNING)


def set_rounding(desk: Desk, rule: str, first: date) -> Changed:
    """Round tax so from a day on; what is done before keeps how it was rounded then.

    `Mendable` where days from it on were filed.
    """
    rules = desk.settings.tax_rules
    later = {day: word for day, word in rules.items() if date.fromisoformat(day) > first}
    if desk.settings.rounding_on(first) == rule and not later:
        return NOTHING
    with desk.book.reading() as session:
        filed = next((one for one in queries.filings(session)
                      if one.unlocked_on is None and one.last_day >= first), None)  # fmt: skip
    if filed is not None:
        raise Mendable(
            f"The days to {day_year(filed.last_day)} were filed as they are rounded; change it "
            "from a later day on."
        )
    if first == BEGINNING:
        return change_settings(desk, tax_rule=rule, tax_rules={})
    kept = {day: word for day, word in rules.items() if date.fromisoformat(day) < first}
    return change_settings(desk, tax_rules=kept | {first.isoformat(): rule})


def read_first_day(desk: Desk, typed: str) -> date:
    """A first day as typed; nothing is the beginning."""
    plain = " ".join(typed.split())
    if plain.casefold() in ("", "-", "the beginning", "from the beginning", "always"):
        return BEGINNING
    return read_written_day(desk, plain)


def first_day_text(day: date) -> str:
    """`the beginning`, `1 July 2026`."""
    return "the beginning" if day == BEGINNING else day_year(day)


def _kind_and_place(desk: Desk, name: str) -> tuple[str, str]:
    """`goods sold Easton` is goods sold in Easton where goods sold is a kind already."""
    known: Collection[str] = {*kinds(desk), *USUAL_KINDS}
    for kind in sorted(known, key=len, reverse=True):
        begins = name.casefold().startswith(f"{kind.casefold()} ")
        if begins:
            return kind, name[len(kind) + 1 :].strip(" ,")[:60]
    return name, ""


def _checked_kind(kind: str) -> str:
    kind = " ".join(kind.split())
    if not 0 < len(kind) <= 40 or kind.casefold() in NO_TAX:
        raise Mendable("A kind of line needs a name of at most 40 characters, such as “work”.")
    return kind


def _are(one: DatedRate, kind: str, place: str) -> bool:
    names = (one.kind.casefold(), one.place.casefold())
    return names == (kind.casefold(), place.casefold())


def _named(kind: str, place: str) -> str:
    return f"{kind} in {place}" if place else kind
