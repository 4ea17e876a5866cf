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
        parts = [day_year(line.day) if line.day else "no date", line.customer.name]
        head = ", ".join(part for part in parts if part)
        return f"{head}: {line.services or 'work'}"
    if isinstance(line, LayerLine):
        where = _vehicle(line.vehicle) if line.vehicle else line.customer.name
        when = f", {day_year(line.day)}" if line.day else ""
        return f"{line.supply or 'no product'} on {where or 'no vehicle'}{when}"
    if isinstance(line, ReceiptLine):
        parts = [
            day_year(line.day) if line.day else "no date",
            line.customer.name or line.job_number,
        ]
        return ", ".join(part for part in parts if part)
    return _entry(line) if isinstance(line, EntryLine) else ""


def _vehicle(line: VehicleLine) -> str:
    year = f"{line.year} " if line.year else ""
    owner = f" of {line.owner.name}" if line.owner.name else ""
    return f"{year}{line.description or 'no vehicle'}{owner}"


def _entry(line: EntryLine) -> str:
    values = line.values
    named = next(
        (str(values[n]) for n in ("name", "description", "number", "title", "label", "text", "day")
         if values.get(n) not in (None, "")), "",
    )  # fmt: skip
    number = "" if line.number is None else str(line.number)
    return " ".join(part for part in (BY_KIND[line.record].title, number, named) if part)
