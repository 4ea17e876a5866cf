"""A reading in pieces small enough that whoever takes them in can do other things between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from app.documents.reading.lines import Line
from app.documents.reading.options import Options
from app.documents.reading.reading_types import FileReading

_AT_ONCE = 400  # lines


def in_pieces(reading: FileReading) -> Iterator[Any]:
    """A reading: first without lines and rows, then these, some at once with their table."""
    bare = [
        replace(table, lines=(), raw=table.raw and replace(table.raw, rows=[]))
        for table in reading.tables
    ]
    yield replace(reading, tables=tuple(bare))
    for place, table in enumerate(reading.tables):
        rows = table.raw.rows if table.raw else []
        for start in range(0, max(len(table.lines), len(rows)), _AT_ONCE):
            part = slice(start, start + _AT_ONCE)
            yield place, table.lines[part], rows[part]


def put_together(pieces: Iterator[Any]) -> FileReading:
    """The reading that `in_pieces` took apart."""
    reading: FileReading = next(pieces)
    lines: list[list[Line]] = [[] for _ in reading.tables]
    for place, more, rows in pieces:
        lines[place] += more
        raw = reading.tables[place].raw
        if raw is not None:
            raw.rows += rows
    whole = [
        replace(table, lines=tuple(own)) for table, own in zip(reading.tables, lines, strict=True)
    ]
    return replace(reading, tables=tuple(whole))


def with_options(reading: FileReading, options: Options) -> FileReading:
    """The reading with the options that its tables are read anew with."""
    tables = tuple(replace(table, options=options) for table in reading.tables)
    return replace(reading, tables=tables)
