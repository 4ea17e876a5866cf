"""Filing the tax of a span of days, which locks them; and what counts for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk, there
from app.actions.figures import slips
from app.actions.jobs.done_and_paid import Material, material
from app.actions.jobs.job_card import rate_text
from app.calculations.figures.slip import Slip
from app.calculations.figures.tax_counted import RECEIVED, Counted, counted
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.invoicing import tax_of
from app.documents.papers.slip_sheet import SlipSheet, TaxRow
from app.errors import Mendable
from app.records.models import Filing
from app.records.queries import tax as queries
from app.records.queries.tax import FilingRow

KINDS = frozenset({"money", "days", "settings"})
LONGEST_REASON = 300
USE_TAX = "Whether use tax is due on goods bought untaxed, ask it too."


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
    return _tax(desk, material(desk, last), first, last)


def slip_with_tax(desk: Desk, first: date, last: date) -> tuple[Slip, TaxOfSpan]:
    """The slip of these days, and its tax, from one reading."""
    slips.check_span(first, last)
    stuff = material(desk, last)
    return slips.made_of(stuff, first, last), _tax(desk, stuff, first, last)


def sheet_with_tax(desk: Desk, first: date, last: date) -> SlipSheet:
    """The slip of these days in words, with what counts of the tax and how they were filed."""
    slips.check_span(first, last)
    stuff = material(desk, last)
    sheet, found = slips.slip_sheet(desk, first, last, stuff), _tax(desk, stuff, first, last)
    sums = found.counted
    by_money = RECEIVED in desk.settings.tax_basis.values()
    rows = [TaxRow(f"paid, {slips.work_words(one.rate)}", one.on, one.tax) for one in sums.parts]
    notes = list(sheet.notes)
    if by_money and (sums.waits_before or sums.waits_after):
        notes.append(
            f"Tax waiting for its money: {money(desk, sums.waits_before)} before, "
            f"{money(desk, sums.waits_after)} after."
        )
    if found.bought:
        notes.append(USE_TAX)
    return replace(
        sheet,
        counted=(*rows, TaxRow("Counted by the money", sums.on, sums.tax)) if by_money else (),
        bought=tuple(
            TaxRow(f"bought untaxed, {rate_text(rate)}", cost, tax)
            for rate, cost, tax in found.bought
        ),
        filing=_filing_words(desk, found),
        notes=tuple(notes),
    )


def _filing_words(desk: Desk, found: TaxOfSpan) -> str:
    filing, locked = found.filing, found.locked
    if filing is None:
        return f"{_words(locked)}." if locked is not None else ""
    said = f"Filed on {day_year(filing.filed_on)}; locked since."
    if filing.unlocked_on is not None:
        said = (
            f"Filed on {day_year(filing.filed_on)}, unlocked on {day_year(filing.unlocked_on)}: "
            f"{filing.unlocked_because}."
        )
    if found.differs:
        then = sum(tax for _rate, _on, tax in filing.figures.get("tax", ()))
        said += f" Filed was tax of {money(desk, then)}; now it is "
        said += f"{money(desk, found.counted.tax)}."
    return said


def _tax(desk: Desk, stuff: Material, first: date, last: date) -> TaxOfSpan:
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
    name = f"Filed the tax from {day_year(first)} to {day_year(last)}"
    with desk.book.change(
        name, day=desk.today, kinds=KINDS, at=desk.clock(), undoable=False
    ) as session:
        # Judged while nobody else writes: what is filed is what stands.
        may_be_filed(desk, first, last)
        found = tax_of_span(desk, first, last)
        session.add(
            Filing(
                first_day=first, last_day=last, filed_on=desk.today, at=desk.clock(),
                figures=found.as_filed(),
            )
        )  # fmt: skip
    return Changed(
        name, KINDS, "These days are locked now: what was wrong in them is put right on later ones."
    )


def may_be_filed(desk: Desk, first: date, last: date) -> bool:
    """True; `Mendable` where these days cannot be filed now, with why."""
    slips.check_span(first, last)
    if last >= desk.today:
        raise Mendable(
            f"These days are not over; their tax can be filed from the day after {day_year(last)}."
        )
    with desk.book.reading() as session:
        locked = queries.locked(session, first, last)
    if locked is not None:
        raise Mendable(f"{_words(locked)} already; unlock them first (U) to file them again.")
    return True


def locking(desk: Desk, first: date, last: date) -> int:
    """The filing that locks any of these days; `Mendable` where none does."""
    with desk.book.reading() as session:
        found = queries.locked(session, first, last)
    if found is None:
        raise Mendable("None of these days is locked.")
    return found.filing_id


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
