"""Reading a full export: every record of a book in one workbook, exactly as it was written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date, datetime
from pathlib import Path
from typing import Any

from app.calculations.numbers.money import minor_digits
from app.documents.export.exact import key_of, unescaped, value_of
from app.documents.export.layout import (
    ABOUT,
    BY_TITLE,
    LONG_TEXTS,
    OLDER,
    SHEETS,
    VERSION,
    Field,
    SheetLayout,
)
from app.documents.export.workbook import FULL, MARK, About
from app.documents.reading.grid import letter, shown
from app.documents.reading.lines import EntryLine, Source
from app.documents.reading.options import Options, Progress, Room, Step
from app.documents.reading.reading_types import FileReading, ReadColumn, Table
from app.documents.reading.workbook_file import (
    look_inside,
    opened,
    unpacked_size,
    used_rows,
)
from app.errors import Mendable


def read_export(
    path: Path, options: Options, progress: Progress | None = None
) -> FileReading | None:
    """The lines of a full export; None when the workbook is another one.

    Raises Mendable when a newer Bayledger wrote it, or when it is damaged.
    """
    look_inside(path, options)
    with opened(path, data_only=True) as book:
        if ABOUT not in book.sheetnames:
            return None
        about = _read_about(book[ABOUT], path)
        if about is None:
            return None
        sheets = [sheet for sheet in book.worksheets if sheet.title.casefold() in BY_TITLE]
        step = Step(progress, unpacked_size(path), every=400_000)
        room = Room(path.name, options, times=6)
        more = _read_long_texts(book, room, step)
        tables: dict[str, Table] = {}
        notes: list[str] = []
        for sheet in sheets:
            layout = BY_TITLE[sheet.title.casefold()]
            reader = _SheetReader(path.name, layout, about.currency, options, more)
            tables[layout.kind] = reader.read(sheet, room, step)
            notes.extend(reader.notes)
        left = [
            sheet.title
            for sheet in book.worksheets
            if sheet.title.casefold() not in BY_TITLE and sheet.title not in (ABOUT, LONG_TEXTS)
        ]
        if left:
            notes.append(
                f"{path.name} is a full export; its sheets {', '.join(left)} are not part of it "
                "and were not read."
            )
    ordered = tuple(tables[layout.kind] for layout in SHEETS if layout.kind in tables)
    return FileReading(path, ordered, tuple(notes), about.currency)


def _read_about(sheet: Any, path: Path) -> About | None:
    about: dict[str, Any] = {}
    for row in sheet.iter_rows(max_row=12, max_col=2, values_only=True):
        if row and isinstance(row[0], str):
            about[row[0]] = row[1] if len(row) > 1 else None
    if about.get(MARK) != FULL:
        return None
    version = about.get("Version")
    if not isinstance(version, int):
        return None
    if version > VERSION:
        raise Mendable(
            f"{path.name} was written by a newer Bayledger: it is an export of version {version}, "
            f"and this one reads up to version {VERSION}. Update Bayledger to bring it in; nothing "
            "was changed."
        )
    currency = str(about.get("Currency") or "")
    try:
        minor_digits(currency)
    except Mendable as error:
        raise Mendable(
            f"{path.name}, sheet {ABOUT}: the currency “{currency[:20]}” is not known."
        ) from error
    day = about.get("Day")
    written = day.date() if isinstance(day, datetime) else date(1970, 1, 1)
    return About(str(about.get("Shop") or ""), currency, written, version)


def _read_long_texts(book: Any, room: Room, step: Step) -> dict[tuple[str, str, str], str]:
    if LONG_TEXTS not in book.sheetnames:
        return {}
    parts: dict[tuple[str, str, str], list[tuple[int, str]]] = {}
    for index, cells in used_rows(book[LONG_TEXTS], 5, step):
        if index > 1 and len(cells) == 5:
            kind, key, name, part, text = (cells[column].value for column in range(5))
            room.take((text,), 5, f"sheet {LONG_TEXTS}, row {index}")
            if isinstance(part, int):
                parts.setdefault((str(kind), str(key), str(name)), []).append((part, str(text)))
    return {
        where: "".join(unescaped(text) for _, text in sorted(found))
        for where, found in parts.items()
    }


@dataclass
class _SheetReader:
    """Reads one sheet of an export into its lines; `notes` is what it passed over."""

    file: str
    layout: SheetLayout
    currency: str
    options: Options
    more: Mapping[tuple[str, str, str], str]
    notes: list[str] = dataclass_field(default_factory=list)

    def read(self, sheet: Any, room: Room, step: Step) -> Table:
        """The sheet as a table of entry lines."""
        lines: list[EntryLine] = []
        positions: list[tuple[int, Field | None]] = []
        names: tuple[str, ...] = ()
        for index, cells in used_rows(sheet, 80, step):
            row = [None] * (max(cells) + 1)
            for column, cell in cells.items():
                row[column] = cell.value
            if index == 1:
                positions = self._positions(row)
                names = tuple(field.name for _, field in positions if field is not None)
                continue
            room.take(row, len(row), f"sheet {self.layout.title}, row {index}")
            lines.append(self._line(index, row, positions, names))
        columns = tuple(
            ReadColumn(
                letter=letter(position),
                heading=field.heading,
                meaning=f"{self.layout.kind}.{field.name}",
                how="heading",
                samples=(),
            )
            for position, field in positions
            if field is not None
        )
        return Table(
            file=self.file,
            sheet=self.layout.title,
            title="",
            kind=self.layout.kind,
            columns=columns,
            heading_row=1,
            lines=tuple(lines),
        )

    def _positions(self, row: Sequence[Any]) -> list[tuple[int, Field | None]]:
        """Where each column stands; the key's field is None."""
        known = (*self.layout.fields, *OLDER.get(self.layout.kind, ()))
        by_heading = {field.heading.casefold(): field for field in known}
        positions: list[tuple[int, Field | None]] = []
        for position, value in enumerate(row):
            heading = shown(value).strip().casefold() if isinstance(value, str) else ""
            if heading == "key" and self.layout.numbered:
                positions.append((position, None))
            elif heading in by_heading:
                positions.append((position, by_heading.pop(heading)))
            elif heading and not heading.startswith("("):
                place = f"Sheet {self.layout.title}, column {letter(position)} ({shown(value)})"
                self.notes.append(f"{place} is not known and was not read.")
        return positions

    def _line(
        self,
        index: int,
        row: Sequence[Any],
        positions: Sequence[tuple[int, Field | None]],
        names: tuple[str, ...],
    ) -> EntryLine:
        source = Source(self.file, self.layout.title, index)
        number: int | None = None
        values: list[Any] = []
        problems: list[str] = []
        for position, field in positions:
            cell = row[position] if position < len(row) else None
            if field is None:
                number = key_of(cell)
                continue
            try:
                value = value_of(
                    cell, field, self.currency, self.options, self._rest(number, values, field)
                )
            except Mendable as error:
                value = None
                problems.append(
                    f"Sheet {self.layout.title}, row {index}, column {letter(position)} "
                    f"({field.heading}): {str(error).rstrip('.')}."
                )
            values.append(value)
        return EntryLine(
            source=source,
            number=number,
            problems=tuple(problems),
            unreadable=bool(problems),
            record=self.layout.kind,
            fields=names,
            told=tuple(values),
        )

    def _rest(self, number: int | None, values: Sequence[Any], field: Field) -> str:
        """What of a text stands in the sheet of long texts."""
        if not self.more:
            return ""
        own = number if self.layout.numbered else values[0] if values else ""
        return self.more.get((self.layout.kind, str(own), field.name), "")
