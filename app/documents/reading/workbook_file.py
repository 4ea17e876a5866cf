"""Reading workbooks (.xlsx, .xlsm) into grids, with the guards a stranger's file needs."""

from __future__ import annotations

import re
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import reduce
from pathlib import Path
from typing import IO, Any

from app.documents.reading.grid import (
    BROKEN,
    FAILED,
    MOST_COLUMNS,
    MOST_ROWS,
    UNSAVED,
    Cell,
    Grid,
    Merge,
    Trouble,
    clean,
    fill_down,
    letter,
    trimmed,
)
from app.documents.reading.options import Options, Progress, Room, Step, TooMuch
from app.errors import Mendable

_MERGE = re.compile(
    rb'<(?:\w{1,20}:)?mergeCell\s[^>]{0,80}?ref="([A-Z]{1,3}\d{1,7}:[A-Z]{1,3}\d{1,7})"'
)
_FAR_OUT = re.compile(rb'<(?:\w{1,20}:)?c\s[^>]{0,60}?r="[A-Z]{3}\d')
_FORMULA = re.compile(rb"<(?:\w{1,20}:)?f[\s>/]")
_DOCTYPE = re.compile(rb"<!(?:DOCTYPE|ENTITY)", re.IGNORECASE)
_REF = re.compile(r"([A-Z]+)(\d+):([A-Z]+)(\d+)")
_QUOTED = re.compile(r'"([^"]{1,30})"|\\(.)')
_MOST_MERGES = 20_000
_CELLS_NAMED = 8  # of damaged ones; of more the count
_MOST_GAP = 20_000  # empty rows, which no list of a shop has: what stands below is a stray cell
_CHUNK = 1 << 20
# How far a reading has come is told from how much of the unpacked text such rows make up.
BYTES_PER_ROW, BYTES_PER_CELL = 40, 45


def read_grids(path: Path, options: Options, progress: Progress | None = None) -> list[Grid]:
    """The sheets of a workbook, hidden ones marked, formulas as their saved results.

    Raises Mendable when the file is broken, locked, or larger than the limits allow.
    """
    look_inside(path, options)
    with opened(path, data_only=True) as book:
        sheets = [sheet for sheet in book.worksheets if hasattr(sheet, "iter_rows")]
        step = Step(progress, unpacked_size(path), every=400_000)
        room = Room(path.name, options)
        grids = []
        for sheet in sheets:
            grid, wide = _read_sheet(sheet, room, path, step)
            told = _scan(path, getattr(sheet, "_worksheet_path", ""))
            grid.merges = told.merges
            if len(told.merges) == _MOST_MERGES:
                grid.notes.append(
                    f"Sheet {sheet.title} has more than {_MOST_MERGES:,} merged cells; what those "
                    "after these show beside their first cell is not read."
                )
            if told.formulas:
                _mark_unsaved(path, sheet.title, grid, step)
            if told.far_out or wide:
                grid.notes.append(
                    f"Sheet {sheet.title} is wider than {MOST_COLUMNS} columns; what stands "
                    "further right is not read."
                )
            fill_down(grid)
            grids.append(grid)
    return grids


def unpacked_size(path: Path) -> int:
    """How much the sheets of a workbook unpack to, for telling how far a reading has come."""
    with zipfile.ZipFile(path) as package:
        sizes = [part.file_size for part in package.infolist() if "/worksheets/" in part.filename]
    return sum(sizes)


def look_inside(path: Path, options: Options) -> None:
    """Refuse a package that is broken or would unpack to more than is reasonable."""
    try:
        with zipfile.ZipFile(path) as package:
            parts = package.infolist()
            unpacked = sum(part.file_size for part in parts)
            packed = max(sum(part.compress_size for part in parts), 1)
            if (
                unpacked > options.most_unpacked
                or len(parts) > 20_000
                or (unpacked > 40_000_000 and unpacked / packed > 120)
            ):
                raise TooMuch(
                    f"{path.name} would unpack to {unpacked // 1_000_000:,} MB, more than a "
                    "workbook of a shop ever holds; it was not opened. Save the sheets you need "
                    "into a new workbook."
                )
            if any(part.flag_bits & 1 for part in parts):
                raise Mendable(
                    f"{path.name} is protected by a password; save a copy without one and try that."
                )
            names = {part.filename for part in parts}
            if "[Content_Types].xml" not in names:
                if "mimetype" in names or "content.xml" in names:
                    raise Mendable(
                        f"{path.name} is not an .xlsx workbook inside; open it in your spreadsheet "
                        "and save it as .xlsx."
                    )
                raise Mendable(f"{path.name} is a zip archive but no workbook inside.")
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    with package.open(part) as stream:
                        if _DOCTYPE.search(stream.read(2048)):
                            raise Mendable(
                                f"{path.name} holds definitions that no spreadsheet writes; it was "
                                "not opened. Save it again in your spreadsheet and try that."
                            )
    except Mendable:
        raise
    except Exception as error:
        # A stranger's package can break the reader in any way; none of them is our bug to trace.
        raise _broken(path) from error


def _broken(path: Path) -> Mendable:
    return Mendable(
        f"{path.name} is damaged or is no workbook; open it in your spreadsheet, save it again as "
        ".xlsx and try that."
    )


@contextmanager
def opened(path: Path, *, data_only: bool) -> Iterator[Any]:
    """The workbook, read row by row; whatever goes wrong inside is a damaged file."""
    from openpyxl import load_workbook

    book = None
    with warnings.catch_warnings():
        # openpyxl warns of styles and extensions it leaves out; they say nothing about the values.
        warnings.simplefilter("ignore")
        try:
            # Handed over as a stream: of a path the reader would only look at the ending.
            with path.open("rb") as stream:
                book = load_workbook(stream, read_only=True, data_only=data_only, keep_links=False)
                yield book
        except (Mendable, MemoryError):
            raise
        except Exception as error:
            # A stranger's file can break the reader in any way; none of them is our bug to trace.
            raise _broken(path) from error
        finally:
            if book is not None:
                book.close()


def used_rows(sheet: Any, most_columns: int, step: Step) -> Iterator[tuple[int, dict[int, Any]]]:
    """The rows of a sheet that hold a value: their number from 1, and cells by column from 0.

    What the sheet leaves out costs nothing. The sheet's own `iter_rows` hands out every row and
    cell before the last used one, of which a single stray cell makes a million.
    """
    from openpyxl.cell.read_only import ReadOnlyCell

    from app.documents.reading.sheet_parser import SheetParser

    book = sheet.parent
    last = 0
    with sheet._get_source() as source:
        parser = SheetParser(
            source,
            sheet._shared_strings,
            data_only=book.data_only,
            epoch=book.epoch,
            date_formats=book._date_formats,
            timedelta_formats=book._timedelta_formats,
        )
        for number, cells in parser.rows():
            step.on(BYTES_PER_ROW + BYTES_PER_CELL * len(cells))
            used = {
                cell["column"] - 1: ReadOnlyCell(sheet, **cell)
                for cell in cells
                if cell["value"] is not None and 0 < cell["column"] <= most_columns
            }
            if used and number > last:
                last = number
                yield number, used


def _read_sheet(sheet: Any, room: Room, path: Path, step: Step) -> tuple[Grid, bool]:
    """One sheet as a grid, and whether it goes on to the right."""
    grid = Grid(sheet.title, [], hidden=sheet.sheet_state != "visible")
    formats: dict[int, Any] = {}
    rows = grid.rows
    wide = False
    broken: list[str] = []
    for number, cells in used_rows(sheet, MOST_COLUMNS + 1, step):
        row: list[Cell] = [None] * (max(cells) + 1)
        for column, cell in cells.items():
            row[column] = _value(cell, formats)
            if row[column] == BROKEN:
                broken.append(f"{letter(column)}{number}")
        values = trimmed(row)
        if len(values) > MOST_COLUMNS:
            wide = True
            values = trimmed(values[:MOST_COLUMNS])
        if not values:
            continue
        if _far_below(grid, number):
            break
        if number > MOST_ROWS:
            raise TooMuch(
                f"{path.name} holds more than {MOST_ROWS:,} rows (sheet {sheet.title}); split it "
                "into several files."
            )
        gap = number - 1 - len(rows)  # ten rows left out cost the later reading about a cell
        room.take(values, len(values) + gap // 10, f"sheet {sheet.title}, row {number}")
        rows.extend([()] * gap)
        rows.append(values)
    if broken:
        named = ", ".join(broken[:_CELLS_NAMED])
        more = f" and {len(broken) - _CELLS_NAMED:,} more" if len(broken) > _CELLS_NAMED else ""
        grid.notes.append(
            f"Sheet {grid.sheet}: what stands in {named}{more} is damaged and was not read; type "
            "it anew in the spreadsheet."
        )
    return grid, wide


def _far_below(grid: Grid, number: int) -> bool:
    """Whether a row stands so far below all others that it is a stray one; then that is told."""
    gap = number - 1 - len(grid.rows)
    if gap < _MOST_GAP:
        return False
    grid.notes.append(
        f"Sheet {grid.sheet}: row {number:,} was not read, nor what stands below it, for {gap:,} "
        "empty rows lie above; if it belongs to the list, move it up to the others."
    )
    return True


def _value(cell: Any, formats: dict[int, Any]) -> Cell:
    """A cell's value, with the unit that its number format shows."""
    value = cell.value
    if value is None:
        return None
    if isinstance(value, Trouble):
        return value
    if isinstance(value, str):
        if "_x" in value:
            from openpyxl.utils.escape import unescape

            value = unescape(value)
        if cell.data_type == "e" and value.upper() not in ("#N/A",):
            return Trouble(FAILED)
        return clean(value)
    if isinstance(value, int | float) and not isinstance(value, bool):
        style = getattr(cell, "_style_id", 0) or 0
        if style not in formats:
            formats[style] = _format_words(cell.number_format)
        before, after, digits = formats[style]
        if before or after:
            return clean(f"{before}{value:.12g}{after}")
        if digits and isinstance(value, int) and 0 <= value < 10**digits:
            return f"{value:0{digits}d}"
    return clean(value)


def _format_words(number_format: str | None) -> tuple[str, str, int]:
    """The words a number format puts before and after the number, and its leading zeros."""
    first = (number_format or "General").split(";")[0]
    if re.fullmatch(r"0{2,12}", first):
        return "", "", len(first)
    if "$" in first or not re.search(r"[0#]", first) or '"' not in first:
        return "", "", 0
    place = re.search(r"[0#]", first)
    assert place is not None
    words = [(m.start() > place.start(), m.group(1) or "") for m in _QUOTED.finditer(first)]
    after = " ".join(text.strip() for late, text in words if late and re.search(r"[A-Za-z]", text))
    return "", f" {after}" if after else "", 0


@dataclass(slots=True)
class _Told:
    """What a sheet's own text tells beside its values."""

    merges: list[Merge] = field(default_factory=list)
    formulas: bool = False
    far_out: bool = False


def _scan(path: Path, part: str) -> _Told:
    """The merged ranges of a sheet, whether it holds formulas and cells far to the right."""
    told = _Told()
    if not part:
        return told
    merges: dict[Merge, None] = {}
    try:
        with zipfile.ZipFile(path) as package, package.open(part.lstrip("/")) as stream:
            for text in _overlapping(stream):
                told.formulas = told.formulas or _FORMULA.search(text) is not None
                told.far_out = told.far_out or _FAR_OUT.search(text) is not None
                for match in _MERGE.finditer(text):
                    if len(merges) < _MOST_MERGES:
                        merges[_merge(match.group(1).decode())] = None
    except (KeyError, zipfile.BadZipFile, zlib.error, OSError, EOFError) as error:
        raise _broken(path) from error
    told.merges = list(merges)
    return told


def _overlapping(stream: IO[bytes]) -> Iterator[bytes]:
    """A stream in large pieces that overlap a little, so that no match falls between two."""
    tail = b""
    while piece := stream.read(_CHUNK):
        yield tail + piece
        tail = piece[-160:]


def _merge(ref: str) -> Merge:
    match = _REF.fullmatch(ref)
    assert match is not None
    left, top, right, bottom = match.groups()
    columns = sorted((_column(left), _column(right)))
    rows = sorted((int(top) - 1, int(bottom) - 1))
    return Merge(max(rows[0], 0), columns[0], rows[1], columns[1])


def _column(letters: str) -> int:
    return reduce(lambda number, one: number * 26 + ord(one) - 64, letters, 0) - 1


def _mark_unsaved(path: Path, sheet_name: str, grid: Grid, step: Step) -> None:
    """Mark the cells whose formula was saved without a result."""
    with opened(path, data_only=False) as book:
        for number, cells in used_rows(book[sheet_name], MOST_COLUMNS, step):
            unsaved = [
                column
                for column, cell in cells.items()
                if cell.data_type == "f" and grid.cell(number - 1, column) is None
            ]
            if not unsaved:
                continue
            if number > MOST_ROWS or number - len(grid.rows) > _MOST_GAP:
                break
            grid.rows.extend([()] * (number - len(grid.rows)))
            row = list(grid.rows[number - 1])
            row.extend([None] * (max(unsaved) + 1 - len(row)))
            for column in unsaved:
                row[column] = Trouble(UNSAVED)
            grid.rows[number - 1] = tuple(row)
