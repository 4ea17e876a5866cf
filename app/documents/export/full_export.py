"""Reading a full export: every record of a book in one workbook, exactly as it was told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from app.calculations.numbers.money import minor_digits
from app.documents.export.exact import key_of, unescaped, value_of
from app.documents.export.layout import (
    ABOUT,
    BY_TITLE,
    LONG_TEXTS,
    SHEETS,
    VERSION,
    Field,
    SheetLayout,
)
from app.documents.export.workbook import MARK, About
from app.documents.reading.grid import letter, shown
from app.documents.reading.lines import EntryLine, Source
from app.documents.reading.options import Options, Progress, Step
from app.documents.reading.reading_types import Column, FileReading, Table
from app.documents.reading.workbook_file import (
    BYTES_PER_CELL,
    BYTES_PER_ROW,
    look_inside,
    opened,
    unpacked_size,
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
        more = _read_long_texts(book)
        tables: dict[str, Table] = {}
        notes: list[str] = []
        for sheet in sheets:
            layout = BY_TITLE[sheet.title.casefold()]
            reader = _SheetReader(path.name, layout, about.currency, options, more)
            tables[layout.kind] = reader.read(sheet, step)
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
    said: dict[str, Any] = {}
    for row in sheet.iter_rows(max_row=12, max_col=2, values_only=True):
        if row and isinstance(row[0], str):
            said[row[0]] = row[1] if len(row) > 1 else None
    if said.get(MARK) != "full export":
        return None
    version = said.get("Version")
    if not isinstance(version, int):
        return None
    if version > VERSION:
        raise Mendable(
            f"{path.name} was written by a newer Bayledger; update this one to bring it in."
        )
    currency = str(said.get("Currency") or "")
    try:
        minor_digits(currency)
    except Mendable as error:
        raise Mendable(
            f"{path.name}, sheet {ABOUT}: the currency “{currency[:20]}” is not known."
        ) from error
    day = said.get("Day")
    written = day.date() if isinstance(day, datetime) else date(1970, 1, 1)
    return About(str(said.get("Shop") or ""), currency, written, version)


def _read_long_texts(book: Any) -> dict[tuple[str, str, str], str]:
    if LONG_TEXTS not in book.sheetnames:
        return {}
    parts: dict[tuple[str, str, str], list[tuple[int, str]]] = {}
    for row in book[LONG_TEXTS].iter_rows(min_row=2, max_col=5, values_only=True):
        if len(row) == 5 and all(value is not None for value in row):
            kind, key, name, part, text = row
            if isinstance(part, int):
                parts.setdefault((str(kind), str(key), str(name)), []).append((part, str(text)))
    return {
        where: "".join(unescaped(text) for _, text in sorted(found))
        for where, found in parts.items()
    }


class _SheetReader:
    """Reads one sheet of an export into its lines."""

    def __init__(
        self,
        file: str,
        layout: SheetLayout,
        currency: str,
        options: Options,
        more: Mapping[tuple[str, str, str], str],
    ) -> None:
        self._file = file
        self._layout = layout
        self._currency = currency
        self._options = options
        self._more = more
        self.notes: list[str] = []

    def read(self, sheet: Any, step: Step) -> Table:
        """The sheet as a table of entry lines."""
        sheet.reset_dimensions()
        lines: list[EntryLine] = []
        positions: list[tuple[int, Field | None]] = []
        names: tuple[str, ...] = ()
        cells = 0
        for index, row in enumerate(sheet.iter_rows(max_col=80, values_only=True), start=1):
            if index == 1:
                positions = self._positions(row)
                names = tuple(field.name for _, field in positions if field is not None)
                continue
            step.on(BYTES_PER_ROW + BYTES_PER_CELL * len(row))
            if all(value is None for value in row):
                continue
            cells += len(row)
            if cells > 6 * self._options.most_cells:
                raise Mendable(f"{self._file} holds more cells than can be read at once.")
            lines.append(self._line(index, row, positions, names))
        columns = tuple(
            Column(
                letter=letter(position),
                heading=field.heading,
                meaning=f"{self._layout.kind}.{field.name}",
                how="heading",
                samples=(),
            )
            for position, field in positions
            if field is not None
        )
        layout = self._layout
        return Table(
            file=self._file,
            sheet=layout.title,
            title="",
            kind=layout.kind,
            columns=columns,
            heading_row=1,
            lines=tuple(lines),
        )

    def _positions(self, row: Sequence[Any]) -> list[tuple[int, Field | None]]:
        """Where each column stands; the key's field is None."""
        by_heading = {field.heading.casefold(): field for field in self._layout.fields}
        positions: list[tuple[int, Field | None]] = []
        for position, value in enumerate(row):
            heading = shown(value).strip().casefold() if isinstance(value, str) else ""
            if heading == "key" and self._layout.numbered:
                positions.append((position, None))
            elif heading in by_heading:
                positions.append((position, by_heading.pop(heading)))
            elif heading and not heading.startswith("("):
                place = f"Sheet {self._layout.title}, column {letter(position)} ({shown(value)})"
                self.notes.append(f"{place} is not known and was not read.")
        return positions

    def _line(
        self,
        index: int,
        row: Sequence[Any],
        positions: Sequence[tuple[int, Field | None]],
        names: tuple[str, ...],
    ) -> EntryLine:
        source = Source(self._file, self._layout.title, index)
        number: int | None = None
        told: list[Any] = []
        problems: list[str] = []
        for position, field in positions:
            cell = row[position] if position < len(row) else None
            if field is None:
                number = key_of(cell)
                continue
            try:
                value = value_of(
                    cell, field, self._currency, self._options, self._rest(number, told, field)
                )
            except Mendable as error:
                value = None
                problems.append(
                    f"Sheet {self._layout.title}, row {index}, column {letter(position)} "
                    f"({field.heading}): {str(error).rstrip('.')}."
                )
            told.append(value)
        return EntryLine(
            source=source,
            number=number,
            problems=tuple(problems),
            unreadable=bool(problems),
            record=self._layout.kind,
            fields=names,
            told=tuple(told),
        )

    def _rest(self, number: int | None, told: Sequence[Any], field: Field) -> str:
        """What of a text stands in the sheet of long texts."""
        if not self._more:
            return ""
        own = number if self._layout.numbered else told[0] if told else ""
        return self._more.get((self._layout.kind, str(own), field.name), "")
