"""Filing the tax of a span of days, which locks them; and what counts for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Changed, Desk, there
from app.actions.figures import slips
from app.calculations.figures.slip import Slip
from app.calculations.figures.tax_counted import Counted, counted
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.invoicing import tax_of
from app.errors import Mendable
from app.records.models import Filing
from app.records.queries import tax as queries
from app.records.queries.tax import FilingRow

KINDS = frozenset({"money", "days", "settings"})
LONGEST_REASON = 300


@dataclass(frozen=True, kw_only=True)
class TaxOfSpan:
    """What counts of tax in a span, what was bought untaxed, and how the span was filed."""

    counted: Counted
    bought: tuple[tuple[int, int, int], ...]  # (rate, cost with freight, use tax on it)
    filing: FilingRow | None  # of these very days, the newest
    locked: FilingRow | None  # what locks any of these days

    def as_filed(self) -> dict[str, list[list[int]]]:
        """The figures as a filing keeps them."""
        return {
            "tax": [[one.rate, one.on, one.tax] for one in self.counted.parts],
            "bought": [list(one) for one in self.bought],
        }

    @property
    def differs(self) -> bool:
        """Whether it was filed with other figures than it would be now."""
        return self.filing is not None and self.filing.figures != self.as_filed()


def tax_of_span(desk: Desk, first: date, last: date) -> TaxOfSpan:
    """The tax of `first` to `last`, both included."""
    return _tax(desk, slips.material(desk, last), first, last)


def slip_with_tax(desk: Desk, first: date, last: date) -> tuple[Slip, TaxOfSpan]:
    """The slip of these days, and its tax, from one reading."""
    slips.check_span(first, last)
    stuff = slips.material(desk, last)
    return slips.made_of(stuff, first, last), _tax(desk, stuff, first, last)


def _tax(desk: Desk, stuff: slips.Material, first: date, last: date) -> TaxOfSpan:
    with desk.book.reading() as session:
        untaxed = queries.bought_untaxed(session, first, last)
        filings = queries.filings(session)
        locked = queries.locked(session, first, last)
    own = (one for one in filings if (one.first_day, one.last_day) == (first, last))
    return TaxOfSpan(
        counted=counted(*stuff, first, last, desk.settings.tax_basis),
        bought=tuple((rate, cost, tax_of(cost, rate)) for rate, cost in untaxed),
        filing=next(own, None),
        locked=locked,
    )


def file(desk: Desk, first: date, last: date) -> Changed:
    """Note that the tax of these days was filed, and lock them.

    `Mendable` while they are not over, or where some of them were filed already.
    """
    slips.check_span(first, last)
    if last >= desk.today:
        raise Mendable(
            f"These days are not over; their tax can be filed from the day after {day_year(last)}."
        )
    found = tax_of_span(desk, first, last)
    if found.locked is not None:
        raise Mendable(f"{_words(found.locked)} already; unlock them first to file them again.")
    name = f"Filed the tax from {day_year(first)} to {day_year(last)}"
    with desk.book.change(
        name, day=desk.today, kinds=KINDS, at=desk.clock(), undoable=False
    ) as session:
        session.add(
            Filing(
                first_day=first, last_day=last, filed_on=desk.today, at=desk.clock(),
                figures=found.as_filed(),
            )
        )  # fmt: skip
    return Changed(
        name, KINDS, "These days are locked now: what was wrong in them is put right on later ones."
    )


def unlock(desk: Desk, filing_id: int, reason: str) -> Changed:
    """Open filed days again; that they were filed, and why they were opened, stays."""
    reason = " ".join(reason.split())
    if not reason:
        raise Mendable("Say why these days are unlocked; that stays with them.")
    if len(reason) > LONGEST_REASON:
        raise Mendable(f"The reason is longer than {LONGEST_REASON} characters; shorten it.")
    with desk.book.reading() as session:
        row = there(session.get(Filing, filing_id), "This filing")
        days = f"{day_year(row.first_day)} to {day_year(row.last_day)}"
        if row.unlocked_on is not None:
            raise Mendable("These days are unlocked already.")
    name = f"Unlocked the days from {days}"
    with desk.book.change(
        name, day=desk.today, kinds=KINDS, at=desk.clock(), undoable=False
    ) as session:
        row = session.get_one(Filing, filing_id)
        row.unlocked_on, row.unlocked_because = desk.today, reason
    return Changed(name, KINDS, "They can be changed again; file them anew when they are right.")


def _words(filing: FilingRow) -> str:
    return (
        f"The days from {day_year(filing.first_day)} to {day_year(filing.last_day)} were filed on "
        f"{day_year(filing.filed_on)}"
    )
