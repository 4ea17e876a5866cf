"""The sheets of a full export: one for each kind of record, with every column written exactly.

A person can read and change them; the program brings them in again without loss. The order of the
sheets is such that a row only points to rows of sheets before it, or of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.documents.export.layout_of_days import DAYS
from app.documents.export.layout_of_shop import SHOP
from app.documents.export.layout_of_work import WORK

# 1 said in remarks what receipts and the stock ledger have columns for; 2 had one rate of tax among
# the settings, and services taxed or not.
VERSION = 3
ABOUT = "About"
LONG_TEXTS = "Long texts"

# How a value is written in a cell:
#   text, whole, yes, day, moment (UTC, ISO 8601), money (in the currency's units),
#   amount (mL, g or pieces; three decimals are the base unit), thousandths (three decimals),
#   list (items with semicolons between), json (any value), key:kind (the key of a row there).


@dataclass(frozen=True, slots=True)
class Field:
    """A column: the record's own name for it, its heading, how it is written, a note."""

    name: str
    heading: str
    form: str
    note: str = ""

    @property
    def points_to(self) -> str:
        """The kind that a key points to, or ""."""
        return self.form.partition(":")[2]


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """A sheet: the kind of record, its title, its columns; `numbered` when it has a column Key."""

    kind: str
    title: str
    numbered: bool
    fields: tuple[Field, ...]

    def field(self, name: str) -> Field:
        return next(field for field in self.fields if field.name == name)


def _layouts() -> tuple[SheetLayout, ...]:
    layouts = []
    for block in "".join((SHOP, WORK, DAYS)).strip().split("\n\n"):
        head, *lines = block.splitlines()
        kind, title, keyed = (part.strip() for part in head.split("|"))
        fields = []
        for line in lines:
            name, _, rest = line.strip().partition(": ")
            heading, form, note = (*(part.strip() for part in rest.split(", ", 2)), "")[:3]
            fields.append(Field(name, heading, form, note))
        layouts.append(SheetLayout(kind, title, keyed == "numbered", tuple(fields)))
    return tuple(layouts)


SHEETS: tuple[SheetLayout, ...] = _layouts()
BY_KIND: dict[str, SheetLayout] = {layout.kind: layout for layout in SHEETS}
BY_TITLE: dict[str, SheetLayout] = {layout.title.casefold(): layout for layout in SHEETS}

# Columns that exports of before had, still read.
OLDER: dict[str, tuple[Field, ...]] = {"services": (Field("taxed", "Taxed", "yes"),)}
