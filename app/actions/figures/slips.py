"""The slip of any span of days: five numbers kept apart, each step from one to the other."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.desk.telephones import shown_phone
from app.actions.figures.exempt_sales import EXEMPT, exempt_of
from app.actions.figures.profits import (
    an_hour_text,
    driving_notes,
    handed_on,
    profit_of,
    profit_steps,
    till_notes,
)
from app.actions.jobs.done_and_paid import Material, material
from app.actions.jobs.job_card import rate_text
from app.calculations.figures import slip as pure
from app.calculations.figures.slip import Held, Slip
from app.calculations.figures.tax_counted import counted
from app.calculations.numbers.dates import day_month, day_year
from app.calculations.numbers.tax import Rounding
from app.calculations.numbers.wording import capital, count_of
from app.documents.papers.slip_sheet import HeldRow, SlipSheet, SlipStep, TaxRow
from app.errors import Mendable
from app.records.queries import slips as queries

_EVER = date(2, 1, 1)  # before all work
SPANS = ("month", "quarter", "year")
WAYS = {
    "card": "card, before the card’s fee",
    "credit": "from what was kept before",
    "": "not said how",
}
TIPS = "Tips are no earnings; those handed on, and tax paid over, are written under Expenses."
OFFICE = "What of the tax is to be paid, and when, your tax office says; the book does not."


def span_of(kind: str, day: date) -> tuple[date, date]:
    """The first and last day of the month, quarter or year that holds a day."""
    months = {"month": 1, "quarter": 3, "year": 12}[kind]
    first = day.replace(month=(day.month - 1) // months * months + 1, day=1)
    after = first.year * 12 + first.month - 1 + months
    return first, date(after // 12, after % 12 + 1, 1) - timedelta(days=1)


def check_span(first: date, last: date) -> None:
    """`Mendable` where a span ends before it begins."""
    if last < first:
        raise Mendable(
            f"The span ends on {day_year(last)}, before it begins; type a last day from "
            f"{day_year(first)} on."
        )


def slip(desk: Desk, first: date, last: date) -> Slip:
    """The slip of `first` to `last`, both included; `Mendable` where the last day is before."""
    check_span(first, last)
    return made_of(material(desk, last), first, last)


def made_of(stuff: Material, first: date, last: date) -> Slip:
    """The slip of all work and money up to its last day."""
    work, came = stuff
    return pure.slip(work, came, first, last)


def slip_sheet(desk: Desk, first: date, last: date, stuff: Material | None = None) -> SlipSheet:
    """The slip of these days in words, as the page and the paper show it.

    `stuff` is what it is made of, where it was read already.
    """
    check_span(first, last)
    stuff = stuff or material(desk, last)
    found = made_of(stuff, first, last)
    eve, bases = first - timedelta(days=1), desk.settings.tax_basis
    tax_before, tax = (
        counted(*stuff, _EVER, eve, bases).tax,
        counted(*stuff, first, last, bases).tax,
    )
    others = handed_on(desk, first, last, tax_before, tax)
    profit = profit_of(desk, first, last, found.earned)
    settings = desk.settings
    came = money(desk, found.received)
    agrees = f"Added up twice, by job and by what came: difference {money(desk, found.difference)}."
    notes = f", {count_of(found.credit_notes, 'job')} credited" if found.credit_notes else ""
    per_line = Rounding(settings.rounding_on(last)) is Rounding.PER_LINE
    return SlipSheet(
        first=first,
        last=last,
        title=f"Slip for {_span_name(first, last)}",
        span=f"{_from_words(first, last)} to {day_month(last)}, "
        + ("so far" if last > desk.today else "both included"),
        finding=f"Earned {money(desk, found.earned)}, received {came}."
        + (" Every cent between is below." if found.adds_up else " They do not add up."),
        steps=_steps(found),
        ways=(*((WAYS.get(way, way), amount) for way, amount in found.ways),
              ("All that came in", found.came_by_ways)),
        taxes=(*_tax_rows(desk, found), TaxRow("Earned, and its tax", found.earned, found.tax)),
        rounding="rounded by line" if per_line else "rounded by job",
        held=_held(found, others),
        profit=profit_steps(desk, profit),
        an_hour=an_hour_text(desk, profit),
        received=found.received,
        tips=found.tips,
        checked=f"{count_of(found.jobs, 'job')} done{notes}. {agrees}",
        notes=(*_notes(found), *driving_notes(desk, first, last), *till_notes(desk, first, last)),
        trouble=_trouble(desk, found),
        currency=settings.currency,
        shop_name=settings.shop_name,
        shop_address=settings.shop_address,
        shop_phone=shown_phone(settings.shop_phone, settings.region),
        shop_mail=settings.shop_email,
        printed=desk.today,
    )  # fmt: skip


def _tax_rows(desk: Desk, found: Slip) -> Iterator[TaxRow]:
    """A row a rate; what has no tax in two where some of it is exempt: both come to all of it."""
    for one in found.taxes:
        exempt = exempt_of(desk, found.first, found.last) if not one.rate else 0
        if exempt:
            yield TaxRow(EXEMPT, exempt, 0)
        if one.rate or one.tax or one.on != exempt:
            yield TaxRow(work_words(one.rate), one.on - exempt, one.tax)


def _steps(found: Slip) -> tuple[SlipStep, ...]:
    first, last = day_month(found.first), day_month(found.last)
    back = found.deposits.went - found.deposits_used
    over = found.overpaid.came - found.overpaid.went
    steps = [SlipStep("Earned: work done, before tax", found.earned, 0, found.earned, True)]

    def add(words: str, amount: int) -> None:
        if amount:
            before = steps[-1].after
            steps.append(SlipStep(words, amount, before, before + amount))

    def total(words: str) -> None:
        steps.append(SlipStep(words, steps[-1].after, 0, steps[-1].after, True))

    for one in found.taxes:
        add(f"tax on it, {rate_text(one.rate)}", one.tax)
    total("Work done, with its tax")
    add(f"owed to us on the morning of {first}", found.owed_before)
    add(f"owed on invoices on the evening of {last}", found.not_invoiced - found.owed_after)
    add(f"owed for work not invoiced yet, {last}", -found.not_invoiced)
    add("covered by deposits", -found.deposits_used)
    add("deposits taken", found.deposits.came)
    add("deposits given back", -back)
    add("above what was due" if over > 0 else "what was above the due, gone", over)
    total("Received for work")
    add("tips" if found.tips > 0 else "tips taken back", found.tips)
    add("kept for customers’ later jobs", found.credit.came)
    add("paid from what was kept before", -found.credit.went)
    total("All that came in")
    return tuple(steps)


def _held(found: Slip, others: tuple[tuple[str, Held], ...]) -> tuple[HeldRow, ...]:
    named = (
        ("Deposits, for work not done yet", found.deposits),
        ("Above what was due", found.overpaid),
        ("Kept for customers’ later jobs", found.credit),
        *others,
    )
    rows = [
        HeldRow(words, one.start, one.came, -one.went, one.end)
        for at, (words, one) in enumerate(named)
        if not at or one != Held(0, 0, 0, 0)
    ]
    if len(rows) > 1:
        sums = (
            sum(getattr(row, name) for row in rows) for name in ("start", "came", "went", "end")
        )
        rows.append(HeldRow("Together", *sums))
    return tuple(rows)


def _notes(found: Slip) -> tuple[str, ...]:
    return (TIPS,) * bool(found.tips) + (OFFICE,) * bool(found.tax)


def _trouble(desk: Desk, found: Slip) -> str:
    if found.adds_up:
        return ""
    parts = (found.deposits, found.overpaid, found.credit)
    apart = found.difference or found.received - found.received_by_work
    apart = apart or next((one.difference for one in parts if one.difference), 0)
    return (
        f"By job and by what came differ by {money(desk, apart)}. Check the book by the command "
        "“check”; nothing was changed."
    )


def work_words(rate: int) -> str:
    """`taxed 7.25 %`, `not taxed`."""
    return "not taxed" if not rate else f"taxed {rate_text(rate)}"


def _from_words(first: date, last: date) -> str:
    if (first.year, first.month) == (last.year, last.month):
        return str(first.day)
    return day_month(first) if first.year == last.year else day_year(first)


def _span_name(first: date, last: date) -> str:
    """`July 2026`, `July to September 2026`, `2026`, `3 July to 9 August 2026`."""
    for kind in SPANS:
        if span_of(kind, first) == (first, last):
            if kind == "year":
                return str(first.year)
            begins = f"{first:%B} to " if kind == "quarter" else ""
            return f"{begins}{last:%B} {last.year}"
    if first == last:
        return day_year(last)
    return capital(f"{_from_words(first, last)} to {day_year(last)}")


def first_day(desk: Desk) -> date:
    """The first day on which work was done or money came; today in an empty book."""
    with desk.book.reading() as session:
        return queries.first_day(session) or desk.today
