"""The lines of a bringing-in in words, for the list that a person looks through."""

from __future__ import annotations

from app.calculations.numbers.dates import day_year
from app.documents.export.layout import BY_KIND, SHEETS
from app.documents.reading.lines import (
    CustomerLine,
    EntryLine,
    JobLine,
    LayerLine,
    Line,
    ReceiptLine,
    SupplierLine,
    SupplyLine,
    VehicleLine,
)

# One and several of a kind of line.
KIND_WORDS: dict[str, tuple[str, str]] = {
    "customer": ("customer", "customers"),
    "vehicle": ("vehicle", "vehicles"),
    "supplier": ("supplier", "suppliers"),
    "supply": ("supply", "supplies"),
    "job": ("job", "jobs"),
    "layer": ("applied layer", "applied layers"),
    "receipt": ("payment", "payments"),
    **{layout.kind: (f"row of {layout.title}", f"rows of {layout.title}") for layout in SHEETS},
}


def words_of(line: Line) -> str:
    """What a line is about: "Ann Miller", "2014 blue wagon of Ann Miller"."""
    if isinstance(line, CustomerLine | SupplierLine | SupplyLine):
        return line.name or "no name"
    if isinstance(line, VehicleLine):
        return _vehicle(line)
    if isinstance(line, JobLine):
        parts = [day_year(line.day) if line.day else "no date", line.customer]
        head = ", ".join(part for part in parts if part)
        return f"{head}: {line.services or 'work'}"
    if isinstance(line, LayerLine):
        where = _vehicle(line.vehicle) if line.vehicle else line.customer
        when = f", {day_year(line.day)}" if line.day else ""
        return f"{line.supply or 'no product'} on {where or 'no vehicle'}{when}"
    if isinstance(line, ReceiptLine):
        parts = [day_year(line.day) if line.day else "no date", line.customer or line.job_number]
        return ", ".join(part for part in parts if part)
    if isinstance(line, EntryLine):
        return _entry(line)
    return ""


def _vehicle(line: VehicleLine) -> str:
    year = f"{line.year} " if line.year else ""
    owner = f" of {line.owner}" if line.owner else ""
    return f"{year}{line.description or 'no vehicle'}{owner}"


def _number(line: EntryLine) -> str:
    return "" if line.number is None else str(line.number)


def _entry(line: EntryLine) -> str:
    values = line.values
    named = next(
        (str(values[n]) for n in ("name", "description", "number", "title", "label", "text", "day")
         if values.get(n) not in (None, "")), "",
    )  # fmt: skip
    return " ".join(part for part in (BY_KIND[line.record].title, _number(line), named) if part)
