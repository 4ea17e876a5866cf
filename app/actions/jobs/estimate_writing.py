"""The lines of an estimate's draft: added, written over, taken out; what was filled in taken."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from app.actions.desk.amounts import totals
from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.open_day import numbered
from app.actions.jobs.booking_jobs import changing, job_of
from app.actions.jobs.charge_tax import exemption_on, is_kind, new_rate
from app.actions.jobs.estimate_lines import AMOUNTS as _AMOUNTS
from app.actions.jobs.estimate_lines import HOURS as _HOURS
from app.actions.shop.tax_rates import WORK, kinds, read_kind
from app.calculations.numbers.durations import read_duration
from app.calculations.numbers.money import read_money
from app.calculations.numbers.tax_rates import read_rate
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Estimate, EstimateLine
from app.records.queries.jobs import Session

KINDS = frozenset({"jobs", "money"})
Span = tuple[int, int, int]
_COLUMNS = {"minutes": 1, "low": 0, "likely": 1, "high": 2}  # which of three one number means


def sum_up(session: Session, desk: Desk, row: Estimate) -> None:
    """What all lines that count come to, with the tax last; a discount takes the low figure to
    nothing at least.

    What is filled in and not yet taken does not count.
    """
    session.flush()
    lines = [one for one in to_write(session, EstimateLine, estimate_id=row.id)
             if not one.proposed]  # fmt: skip
    row.tax_rule = desk.settings.rounding_on(desk.today)
    for name in ("low_minutes", "minutes", "high_minutes"):
        setattr(row, name, sum(getattr(one, name) for one in lines))
    for name in ("low", "likely", "high"):
        nets = [(getattr(one, name), one.tax_rate) for one in lines]
        setattr(row, name, totals(desk, nets).gross)
    if row.likely >= 0:
        row.low = max(0, row.low)


def drafted(session: Session, estimate_id: int) -> Estimate:
    return there(session.get(Estimate, estimate_id), "This estimate")


def called(desk: Desk, estimate_id: int, what: str) -> str:
    with desk.book.reading() as session:
        row = drafted(session, estimate_id)
        return f"{what} of {numbered(job_of(session, row.job_id).number)}, version {row.version}"


def add_line(desk: Desk, estimate_id: int, text: str, typed: str = "") -> Changed:
    """Another line: supplies, a whole bottle, bay nights, travel, risk, or a discount below zero.

    `typed` is one amount, or low, likely and most with spaces between, before tax.
    """
    words = " ".join(text.split())
    if not words:
        raise Mendable("A line needs its words, such as “Travel”.")
    low, likely, high = read_span(desk, typed)
    name = called(desk, estimate_id, words[:60])
    with changing(desk, name, KINDS) as session:
        row = drafted(session, estimate_id)
        lines = to_write(session, EstimateLine, estimate_id=estimate_id)
        position = max((one.position for one in lines), default=0) + 1
        rate, kind = _tax_of(session, desk, row, lines, words, likely)
        session.add(
            EstimateLine(
                estimate_id=estimate_id, position=position, text=words[:200], low=low,
                likely=likely, high=high, tax_rate=rate, tax_kind=kind,
            )
        )  # fmt: skip
        sum_up(session, desk, row)
    return Changed(name, KINDS)


def _tax_of(
    session: Session, desk: Desk, row: Estimate, lines: Sequence[EstimateLine], text: str,
    likely: int,
) -> tuple[int, str]:  # fmt: skip
    """(rate, kind) of a new line: of the kind that its words begin with, else of work; of a
    discount those of which most is charged."""
    if likely < 0 and lines:
        sums: dict[tuple[int, str], int] = {}
        for one in lines:
            key = one.tax_rate, one.tax_kind
            sums[key] = sums.get(key, 0) + one.likely
        return max(sums, key=lambda key: sums[key])
    kind = kind_of_words(desk, text)
    job = job_of(session, row.job_id)
    return new_rate(desk, job, kind, exemption_on(session, job)), kind


def kind_of_words(desk: Desk, text: str) -> str:
    """The kind of line that words begin with, `Travel to Easton`; work where they name none."""
    plain = f"{text.casefold()} "
    for kind in sorted(kinds(desk), key=len, reverse=True):
        if plain.startswith((f"{kind.casefold()} ", f"{kind.casefold()},")):
            return kind
    return WORK


def edit_line(desk: Desk, line_id: int, column: str, typed: str) -> Changed:
    """Set a line's words, hours, amounts or rate as typed; three numbers are low, likely, most."""
    values: dict[str, Any]
    if column == "text":
        values = {"text": " ".join(typed.split())[:200]}
        if not values["text"]:
            raise Mendable("A line needs its words; take it out with Ctrl Del instead.")
    elif column in _COLUMNS:
        values = {}
    elif is_kind(desk, typed):
        values = {"tax_kind": read_kind(desk, typed)}
    else:
        values = {"tax_rate": read_rate(typed)}
    with desk.book.reading() as session:
        line = there(session.get(EstimateLine, line_id), "This line")
        if "tax_kind" in values:
            job = job_of(session, drafted(session, line.estimate_id).job_id)
            exemption = exemption_on(session, job)
            values["tax_rate"] = new_rate(desk, job, values["tax_kind"], exemption)
        if not values:
            names = _HOURS if column == "minutes" else _AMOUNTS
            read = _hours(typed) if column == "minutes" else read_span(desk, typed)
            if len(typed.split()) == 1:
                stood = [getattr(line, name) for name in names]
                read = _one_of(stood, _COLUMNS[column], read[0], typed)
            values = dict(zip(names, read, strict=True))
            if names is _AMOUNTS and line.proposed:
                values["proposed"] = False  # who changes its price has taken it
        if all(getattr(line, name) == value for name, value in values.items()):
            return NOTHING
        name = f"{line.text[:60]} of an estimate"
    with changing(desk, name, KINDS) as session:
        line = there(session.get(EstimateLine, line_id), "This line")
        for field_name, value in values.items():
            setattr(line, field_name, value)
        sum_up(session, desk, drafted(session, line.estimate_id))
    return Changed(name, KINDS)


def _one_of(stood: Sequence[int], at: int, new: int, typed: str) -> Span:
    """Low, likely and most with one of them typed anew; another likely moves what it passes."""
    if len(set(stood)) == 1 and at == 1:
        return new, new, new
    if at == 1:
        return min(stood[0], new), new, max(stood[2], new)
    return _rising([new if one == at else was for one, was in enumerate(stood)], typed)


def remove_line(desk: Desk, line_id: int) -> Changed:
    """Take a line out of a draft."""
    with desk.book.reading() as session:
        line = there(session.get(EstimateLine, line_id), "This line")
        name = f"{line.text[:60]} out of an estimate"
    with changing(desk, name, KINDS) as session:
        line = there(session.get(EstimateLine, line_id), "This line")
        row = drafted(session, line.estimate_id)
        session.delete(line)
        sum_up(session, desk, row)
    return Changed(name, KINDS)


def read_span(desk: Desk, typed: str) -> Span:
    """Low, likely and most, minor units: one amount for all, or three that rise."""
    parts = typed.split()
    if len(parts) not in (0, 1, 3):
        raise Mendable(f"“{typed}” is neither one amount nor low, likely and most: 38 46 60.")
    found = [read_money(part, desk.settings.currency) for part in parts] or [0]
    return _rising(found, typed)


def _hours(typed: str) -> Span:
    parts = typed.split()
    if len(parts) not in (1, 3):
        raise Mendable(f"“{typed}” is neither one time nor low, likely and most: 1:00 1:30 2:00.")
    return _rising([read_duration(part, most=60_000) for part in parts], typed)


def _rising(found: Sequence[int], typed: str) -> Span:
    low, likely, high = found if len(found) == 3 else (found[0], found[0], found[0])
    if not low <= likely <= high:
        raise Mendable(f"“{typed}” does not rise from low over likely to most.")
    return low, likely, high


def take_proposed(desk: Desk, estimate_id: int, line_id: int | None = None) -> Changed:
    """Count a filled-in line of a draft, or all of them; `Mendable` where there is none."""
    with desk.book.reading() as session:
        there(session.get(Estimate, estimate_id), "This estimate")
        lines = _proposed(session, estimate_id, line_id)
        named = [one.text for one in lines]
    if not named:
        raise Mendable("Nothing is filled in that is not counted yet.")
    what = named[0][:60] if len(named) == 1 else count_of(len(named), "filled-in line")
    name = f"{what} taken into an estimate"
    with changing(desk, name, KINDS) as session:
        for one in _proposed(session, estimate_id, line_id):
            one.proposed = False
        sum_up(session, desk, session.get_one(Estimate, estimate_id))
    return Changed(name, KINDS)


def _proposed(session: Session, estimate_id: int, line_id: int | None) -> list[EstimateLine]:
    lines = to_write(session, EstimateLine, estimate_id=estimate_id)
    return [one for one in lines if one.proposed and line_id in (None, one.id)]
