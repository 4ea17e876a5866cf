"""Saying by hand what a column means, before its file is brought in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.actions.desk.desk import Desk
from app.calculations.numbers.wording import count_of
from app.documents.incoming import FileReading, reread
from app.documents.reading.meanings import BESIDE, MEANINGS
from app.documents.reading.options import Progress
from app.errors import Mendable

KINDS = {
    "customer": "customers",
    "vehicle": "vehicles",
    "supplier": "suppliers",
    "supply": "supplies",
    "job": "jobs",
    "layer": "applied layers",
    "receipt": "payments",
}
HOW = {
    "heading": "by its heading",
    "part": "by part of it",
    "unlike": "values differ",
    "values": "by its values",
    "kept": "kept in the notes",
    "by hand": "by hand",
    "left out": "left out",
}


@dataclass(frozen=True, kw_only=True)
class ColumnView:
    """A column as it was understood. `at` is (file, table, column)."""

    at: tuple[int, int, int]
    letter: str
    heading: str
    samples: str
    meaning: str  # its key, "" for none
    label: str
    how: str
    doubt: str  # a sentence when it is little certain


@dataclass(frozen=True)
class TableView:
    """A table of a file with its columns."""

    title: str
    note: str
    columns: tuple[ColumnView, ...]
    date_question: str


def tables_of(readings: Sequence[FileReading]) -> tuple[TableView, ...]:
    """Every table of these files, in order, with what its columns were taken for."""
    found = []
    for file_at, reading in enumerate(readings):
        for table_at, table in enumerate(reading.tables):
            if not table.columns:
                continue
            where = [table.file, table.sheet]
            kind = KINDS.get(table.kind, "not understood")
            lines = f"{count_of(len(table.lines), 'line')}"
            found.append(
                TableView(
                    ", ".join(part for part in where if part),
                    f"{kind}, {lines}" + (", hidden: left out" if table.hidden else ""),
                    tuple(
                        ColumnView(
                            at=(file_at, table_at, column_at),
                            letter=column.letter,
                            heading=column.heading,
                            samples=" · ".join(column.samples[:3]),
                            meaning=column.meaning,
                            label=column.label or HOW.get(column.how, column.how),
                            how=HOW.get(column.how, column.how),
                            doubt=column.doubt(),
                        )
                        for column_at, column in enumerate(table.columns)
                    ),
                    table.date_question(),
                )
            )
    return tuple(found)


def meanings_for(readings: Sequence[FileReading], at: tuple[int, int]) -> list[tuple[str, str]]:
    """(key, words) of what a column of this table can mean; nothing leaves the column out."""
    kind = readings[at[0]].tables[at[1]].kind
    kinds = BESIDE.get(kind, tuple(KINDS))
    found = [("", "Leave this column out")]
    for key, meaning in MEANINGS.items():
        if meaning.kind in kinds and meaning.form != "skip":
            found.append((key, f"{meaning.label}, of the {_one(meaning.kind)}"))
    return found


def _one(kind: str) -> str:
    return {"supply": "supply", "layer": "layer", "receipt": "payment"}.get(kind, kind)


def reassign(
    desk: Desk,
    readings: Sequence[FileReading],
    at: tuple[int, int, int],
    meaning: str,
    progress: Progress | None = None,
) -> tuple[FileReading, ...]:
    """The readings with one column meaning something else; "" leaves it out."""
    file_at, table_at, column_at = at
    table = readings[file_at].tables[table_at]
    if table.raw is None:
        raise Mendable("The columns of this file are fixed; nothing can be said by hand.")
    # What had this meaning before gives it up, unless several columns may share it.
    wanted = {column_at: meaning}
    if meaning and not MEANINGS[meaning].many:
        wanted.update(
            {
                position: ""
                for position, column in enumerate(table.columns)
                if column.meaning == meaning and position != column_at
            }
        )
    read = reread(table, wanted, progress=progress)
    return _with(readings, file_at, readings[file_at].with_table(table_at, read))


def dates_read(
    readings: Sequence[FileReading], at: tuple[int, int], order: str
) -> tuple[FileReading, ...]:
    """The readings with the order of day and month of one table said by hand: MDY or DMY."""
    table = readings[at[0]].tables[at[1]]
    read = reread(table, date_order=order)
    read = replace(read, columns=tuple(replace(c, date_order_sure=True) for c in read.columns))
    return _with(readings, at[0], readings[at[0]].with_table(at[1], read))


def _with(
    readings: Sequence[FileReading], at: int, reading: FileReading
) -> tuple[FileReading, ...]:
    return (*readings[:at], reading, *readings[at + 1 :])
