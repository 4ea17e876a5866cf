"""Writing workbooks: every record of a book as a full export, and cells that stay what they are."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO
from zipfile import ZIP_DEFLATED, ZipFile

from app.calculations.numbers.money import minor_digits
from app.documents.export.exact import MOST_IN_A_CELL, cell_of, escaped
from app.documents.export.layout import ABOUT, LONG_TEXTS, SHEETS, VERSION, Field, SheetLayout
from app.documents.export.sheet_cells import RUNS, Styles, cell_writer, text_cell
from app.documents.reading.grid import letter
from app.documents.reading.options import Progress, Step
from app.errors import Mendable, reason_of
from app.paths import flush_to_disk

MARK = "Bayledger"
FULL, ONE_PERSON = "full export", "what is kept of one person"
# What is shown beside a key for reading; it is not read back.
_NAMED = {
    "customers": "Customer", "vehicles": "Vehicle", "suppliers": "Supplier", "supplies": "Supply",
    "services": "Service", "jobs": "Job",
}  # fmt: skip
_WIDTHS = {"text": 22, "json": 30, "list": 24, "day": 12, "moment": 28}

# Packed with little care: half the time, and a tenth more room.
_PACKED = 2

Row = Mapping[str, Any]
Names = Mapping[str, Mapping[int, str]]
LongText = tuple[str, str, str, int, str]  # kind, key, column, part, text
CellColumn = tuple[str, Field, Callable[[Any], str]]


@dataclass(frozen=True, slots=True)
class About:
    """What the first sheet says of the export."""

    shop: str
    currency: str
    day: date
    version: int = VERSION
    what: str = FULL


@dataclass(frozen=True, slots=True)
class Records:
    """The records of one kind: how many there are and a way to walk over them, by column and id."""

    kind: str
    count: int
    rows: Callable[[], Iterable[Row]]


def write_export(
    path: Path,
    about: About,
    records: Sequence[Records],
    names: Names,
    progress: Progress | None = None,
) -> Path | None:
    """Write the workbook beside its place and move it there when it is whole.

    Returns where the file now is that stood there before; None when there was none.

    `records` comes in the order of the sheets; every row has "id" (days and settings their own
    key). `names` gives, for customers, vehicles and so on, the name to show beside a key.
    Raises Mendable when the place cannot be written.
    """
    by_kind = {kind.kind: kind for kind in records}
    layouts = [layout for layout in SHEETS if layout.kind in by_kind]
    digits = minor_digits(about.currency)

    def write(file: BinaryIO) -> None:
        long_texts: list[LongText] = []
        step = Step(progress, sum(kind.count for kind in records))
        frame, styles = _frame(about, layouts, digits)
        with ZipFile(file, "w", ZIP_DEFLATED, compresslevel=_PACKED) as out:
            for number, layout in enumerate(layouts, start=2):  # behind what it is about
                kind = by_kind[layout.kind]
                columns = _cell_columns(layout, digits, styles, names)
                _fill(out, frame, number, _rows(layout, kind, columns, long_texts, step))
            if long_texts:
                frame, styles = _frame(about, layouts, digits, LONG_TEXTS)
                _fill(out, frame, len(layouts) + 2, _long_rows(long_texts, styles))
            with ZipFile(frame) as rest:
                filled = set(out.namelist())
                for name in rest.namelist():
                    if name not in filled:
                        out.writestr(name, rest.read(name))
        step.say()

    return save(write, path)


def save(write: Callable[[BinaryIO], object], path: Path) -> Path | None:
    """Save what is written; what stands there already is moved aside once the new one is whole.

    Returns where the old file now is; None when there was none.
    """
    beside = path.with_name(f".{path.name}.part")
    aside: Path | None = None
    # Made in memory: on a disk that fails, an archive complains once more when it is thrown away.
    whole = BytesIO()
    try:
        write(whole)
        beside.write_bytes(whole.getbuffer())
        flush_to_disk(beside)
        if path.exists():
            aside = path.rename(free_name(path))
        beside.replace(path)
        flush_to_disk(path)
    except OSError as error:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
            if aside is not None and not path.exists():
                aside.rename(path)
        raise Mendable(
            f"{path} cannot be written: {reason_of(error)}. Choose another place."
        ) from error
    return aside


def free_name(path: Path) -> Path:
    """A name beside it that says when the file was last written: "list until 2025-08-14 1754"."""
    written = datetime.fromtimestamp(path.stat().st_mtime)
    stem = f"{path.stem} until {written:%Y-%m-%d %H%M}"
    for more in ("", *(f" {number}" for number in range(2, 1000))):
        free = path.with_name(f"{stem}{more}{path.suffix}")
        if not free.exists():
            return free
    raise Mendable(f"{path.parent} holds too many old copies of {path.name}; tidy them up first.")


def _frame(
    about: About, layouts: Sequence[SheetLayout], digits: int, more: str = ""
) -> tuple[BytesIO, Styles]:
    """The workbook with what it is about and each sheet's headings, but no rows; and its styles.

    `more` is the title of a last sheet, of long texts.
    """
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles.numbers import FORMAT_DATE_YYYYMMDD2

    book = Workbook(write_only=True)
    _write_about(book, about)
    for layout in layouts:
        sheet = book.create_sheet(layout.title)
        sheet.freeze_panes = "B2" if layout.numbered else "A2"
        columns = list(_columns(layout))
        for index, (field, is_name) in enumerate(columns):
            width = 18 if is_name else _WIDTHS.get(field.form, 14)
            sheet.column_dimensions[letter(index)].width = width
        sheet.append([_heading(sheet, field, is_name) for field, is_name in columns])
    if more:
        book.create_sheet(more).append(["Kind", "Key", "Column", "Part", "Text"])
    money, day, marked = (WriteOnlyCell(book.worksheets[0]) for _ in range(3))
    money.number_format = format_of_money(digits)
    day.number_format = FORMAT_DATE_YYYYMMDD2
    marked.quotePrefix = True
    frame = BytesIO()
    styles = Styles(money.style_id, day.style_id, marked.style_id)
    book.save(frame)
    return frame, styles


def _write_about(book: Any, about: About) -> None:
    sheet = book.create_sheet(ABOUT)
    sheet.column_dimensions["A"].width = 16
    sheet.column_dimensions["B"].width = 90
    for row in (
        (MARK, about.what),
        ("Version", about.version),
        ("Shop", _shown_as_text(sheet, about.shop)),
        ("Currency", about.currency),
        ("Day", about.day),
        ("Keys", "The column Key ties the sheets together; leave it as it is. A new row has none."),
        ("Money", "In the currency's units. Amounts are in mL, g or pieces. Moments are UTC."),
        ("Grey columns", "Names beside keys are for reading only; change the key instead."),
    ):
        sheet.append(row)


def _shown_as_text(sheet: Any, text: str) -> Any:
    from openpyxl.cell import WriteOnlyCell

    return mark_text(WriteOnlyCell(sheet, value=escaped(text)))


def _fill(out: ZipFile, frame: BytesIO, number: int, rows: Iterable[str]) -> None:
    """Write a sheet's rows under its headings."""
    name = f"xl/worksheets/sheet{number}.xml"
    with ZipFile(frame) as headings:
        before, end, after = headings.read(name).partition(b"</sheetData>")
    with out.open(name, "w", force_zip64=True) as part:
        part.write(before)
        rest = iter(rows)
        while some := "".join(islice(rest, 500)):
            part.write(some.encode())
        part.write(end + after)


def _cell_columns(
    layout: SheetLayout, digits: int, styles: Styles, names: Names
) -> list[CellColumn]:
    """For each column its letters, the field, and what writes its cell."""
    found: list[CellColumn] = []
    for index, (field, is_name) in enumerate(_columns(layout)):
        written = cell_writer(field, digits, styles)
        if is_name:
            told = {
                key: text_cell(name[:MOST_IN_A_CELL], styles.marked)
                for key, name in names.get(field.points_to, {}).items()
            }
            written = lambda key, told=told: told.get(key, "")  # type: ignore[misc]  # noqa: E731
        found.append((letter(index), field, written))
    return found


def _rows(
    layout: SheetLayout,
    records: Records,
    columns: Sequence[CellColumn],
    long_texts: list[LongText],
    step: Step,
) -> Iterator[str]:
    """The rows of a sheet; what is longer than a cell holds goes to the long texts."""
    places = [(place, field.name or "id", field, written) for place, field, written in columns]
    for number, row in enumerate(records.rows(), start=2):
        cells = []
        for place, name, field, written in places:
            value = row[name]
            if value is None or not (told := written(value)):
                continue
            cells.append(f'<c r="{place}{number}"{told}')
            if len(told) > MOST_IN_A_CELL and not field.points_to:
                long_texts.extend(_rest(layout.kind, row, field))
        yield f'<row r="{number}">{"".join(cells)}</row>'
        step.on()


def _rest(kind: str, row: Row, field: Field) -> Iterator[LongText]:
    """What of a value is left behind the beginning that its cell holds."""
    text = cell_of(row[field.name], field, 0)
    for part, at in enumerate(range(MOST_IN_A_CELL, len(text), MOST_IN_A_CELL), start=1):
        yield kind, str(row["id"]), field.name, part, text[at : at + MOST_IN_A_CELL]


def _long_rows(long_texts: Sequence[LongText], styles: Styles) -> Iterator[str]:
    for number, row in enumerate(long_texts, start=2):
        cells = (
            text_cell(value, styles.marked) if isinstance(value, str) else f"><v>{value}</v></c>"
            for value in row
        )
        told = (f'<c r="{place}{number}"{cell}' for place, cell in zip("ABCDE", cells, strict=True))
        yield f'<row r="{number}">{"".join(told)}</row>'


def _columns(layout: SheetLayout) -> Iterator[tuple[Field, bool]]:
    """The key, then every field; behind a key its name for reading."""
    if layout.numbered:
        yield Field("", "Key", "text"), False
    for field in layout.fields:
        yield field, False
        if field.points_to in _NAMED:
            yield field, True


def _heading(sheet: Any, field: Field, is_name: bool) -> Any:
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.comments import Comment
    from openpyxl.styles import Font

    text = f"({_NAMED[field.points_to]})" if is_name else field.heading
    cell = WriteOnlyCell(sheet, value=text)
    cell.font = Font(bold=True, color="FF808080" if is_name else "FF000000")
    if field.note and not is_name:
        cell.comment = Comment(field.note, MARK, width=260, height=80)
    return cell


def format_of_money(digits: int) -> str:
    """A spreadsheet's number format for money with so many decimals."""
    return "#,##0" + ("." + "0" * digits if digits else "")


def mark_text(cell: Any) -> Any:
    """A cell whose text is shown as it stands, also after somebody has been in it."""
    if isinstance(cell.value, str) and cell.value.startswith(RUNS):
        cell.data_type = "s"
        cell.quotePrefix = True
    return cell
