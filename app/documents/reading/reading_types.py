"""What a reading is made of: columns, tables, the file as a whole."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from app.documents.reading.lines import Line
from app.documents.reading.meanings import MEANINGS
from app.documents.reading.options import Options
from app.documents.reading.table_rows import RawTable

# Why a column is little certain, for the sentence about it.
DOUBTS = {
    "part": "by a part of its heading",
    "values": "by its values alone",
    "unlike": "by its heading, but its values do not look like it",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadColumn:
    """A column of a table: its letter, heading, what it means, and a few of its values.

    `how` says why: "heading", "part" (of its heading), "values", "unlike" (its values do not look
    like what the heading says), "kept" (not known, goes to the notes with its heading), "by hand"
    or "left out". `money` is true where its values are amounts of money.
    """

    letter: str
    heading: str
    meaning: str
    how: str
    samples: tuple[str, ...]
    unit: str = ""
    date_order: str = ""
    date_order_sure: bool = True
    money: bool = False

    @property
    def label(self) -> str:
        """The meaning in words."""
        meaning = MEANINGS.get(self.meaning)
        return meaning.label if meaning else ""

    def doubt(self) -> str:
        """A sentence when it is little certain what the column means; else ""."""
        named = f"Column {self.letter} ({self.heading or 'no heading'})"
        if self.how == "kept" and self.money:
            return (
                f"{named} holds money, but is only kept in the notes; give it another heading, or "
                "say in the window what it means."
            )
        why = DOUBTS.get(self.how, "")
        if not why:
            return ""
        return (
            f"{named} was taken for {self.label} {why}; if that is wrong, give it another heading, "
            "or say in the window what it means."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of a file, as it was understood, with its lines."""

    file: str
    sheet: str
    title: str
    kind: str
    columns: tuple[ReadColumn, ...]
    heading_row: int
    lines: tuple[Line, ...]
    skipped: tuple[tuple[int, str], ...] = ()
    hidden: bool = False
    raw: RawTable | None = field(default=None, repr=False, compare=False)
    options: Options = field(default_factory=Options, repr=False)
    fixed: tuple[tuple[int, str], ...] = ()

    def questions(self) -> tuple[str, ...]:
        """What a person should look at: doubtful columns, dates that can be read two ways."""
        if self.hidden:
            return ()
        where = f"Sheet {self.sheet}" if self.sheet else self.file
        doubts = (column.doubt() for column in self.columns if self.kind)
        told = (f"{where}: {doubt}" for doubt in doubts if doubt)
        return tuple(part for part in (*told, self.date_question()) if part)

    def date_question(self) -> str:
        """A sentence when the order of day and month had to be assumed; else ""."""
        for column in self.columns:
            if column.date_order and not column.date_order_sure:
                read = "month first" if column.date_order == "MDY" else "day first"
                return (
                    f"Column {column.letter} ({column.heading}) does not prove its order of day "
                    f"and month; its dates were read {read}."
                )
        return ""


@dataclass(frozen=True, slots=True)
class FileReading:
    """What was found in a file: its tables, its lines, and sentences about the file as a whole."""

    path: Path
    tables: tuple[Table, ...]
    told: tuple[str, ...] = ()  # of the file as it was opened, whatever is said by hand later
    export_currency: str = ""  # of a full export; "" for any other file

    @property
    def notes(self) -> tuple[str, ...]:
        """What to know of the file, and what to look at in its tables as they are read now."""
        asked = (question for table in self.tables for question in table.questions())
        return tuple(dict.fromkeys((*self.told, *asked)))

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every line of the tables that count; hidden sheets do not."""
        return tuple(line for table in self.tables if not table.hidden for line in table.lines)

    def with_table(self, index: int, table: Table) -> FileReading:
        """The same reading with one table read anew."""
        tables = list(self.tables)
        tables[index] = table
        return replace(self, tables=tuple(tables))
