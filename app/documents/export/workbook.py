"""Writing workbooks: every record of a book as a full export, and cells that stay what they are."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

from app.calculations.numbers.money import minor_digits
from app.documents.export.exact import MOST_IN_A_CELL, cell_of, escaped
from app.documents.export.layout import ABOUT, LONG_TEXTS, SHEETS, VERSION, Field, SheetLayout
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

Row = Mapping[str, Any]


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
    names: Mapping[str, Mapping[int, str]],
    progress: Progress | None = None,
) -> Path | None:
    """Write the workbook beside its place and move it there when it is whole.

    Returns where the file now is that stood there before; None when there was none.

    `records` comes in the order of the sheets; every row has "id" (days and settings their own
    key). `names` gives, for customers, vehicles and so on, the name to show beside a key.
    Raises Mendable when the place cannot be written.
    """
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    try:
        _write_about(book, about)
        step = Step(progress, sum(kind.count for kind in records))
        long_texts: list[tuple[str, str, str, int, str]] = []
        by_kind = {kind.kind: kind for kind in records}
        for layout in SHEETS:
            kind = by_kind.get(layout.kind)
            if kind is not None:
                _write_sheet(book, layout, kind, about.currency, names, long_texts, step)
        if long_texts:
            sheet = book.create_sheet(LONG_TEXTS)
            sheet.append(["Kind", "Key", "Column", "Part", "Text"])
            for row in long_texts:
                sheet.append([text_cell(sheet, value) for value in row])
        step.say()
        return save(book, path)
    except BaseException:
        _throw_away(book)
        raise


def _throw_away(book: Any) -> None:
    """Close the half-written sheets and remove the files that they were written to meanwhile."""
    for sheet in book.worksheets:
        with suppress(Exception):
            sheet.close()
        with suppress(Exception):
            sheet._writer.cleanup()


def save(book: Any, path: Path) -> Path | None:
    """Save a workbook; what stands there already is moved aside once the new one is whole.

    Returns where the old file now is; None when there was none.
    """
    beside = path.with_name(f".{path.name}.part")
    aside: Path | None = None
    # Made in memory: on a disk that fails, an archive complains once more when it is thrown away.
    whole = BytesIO()
    try:
        book.save(whole)
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


def _write_about(book: Any, about: About) -> None:
    sheet = book.create_sheet(ABOUT)
    sheet.column_dimensions["A"].width = 16
    sheet.column_dimensions["B"].width = 90
    for row in (
        (MARK, about.what),
        ("Version", about.version),
        ("Shop", about.shop),
        ("Currency", about.currency),
        ("Day", about.day),
        ("Keys", "The column Key ties the sheets together; leave it as it is. A new row has none."),
        ("Money", "In the currency's units. Amounts are in mL, g or pieces. Moments are UTC."),
        ("Grey columns", "Names beside keys are for reading only; change the key instead."),
    ):
        sheet.append([text_cell(sheet, value) for value in row])


def _write_sheet(
    book: Any,
    layout: SheetLayout,
    records: Records,
    currency: str,
    names: Mapping[str, Mapping[int, str]],
    long_texts: list[tuple[str, str, str, int, str]],
    step: Step,
) -> None:
    from openpyxl.cell import WriteOnlyCell

    sheet = book.create_sheet(layout.title)
    sheet.freeze_panes = "B2" if layout.numbered else "A2"
    digits = minor_digits(currency)
    columns = list(_columns(layout))
    for index, (field, is_name) in enumerate(columns):
        width = 18 if is_name else _WIDTHS.get(field.form, 14)
        sheet.column_dimensions[letter(index)].width = width
    sheet.append([_heading(sheet, field, is_name) for field, is_name in columns])
    money_format = format_of_money(digits)
    for row in records.rows():
        cells: list[Any] = []
        for field, is_name in columns:
            value = row[field.name or "id"]
            if is_name:
                value = text_cell(sheet, names.get(field.points_to, {}).get(value, ""))
            elif field.name and not field.points_to:
                value = cell_of(value, field, digits)
                if isinstance(value, str):
                    rest = range(MOST_IN_A_CELL, len(value), MOST_IN_A_CELL)
                    long_texts.extend(
                        (layout.kind, str(row["id"]), field.name, part, value[at:][:MOST_IN_A_CELL])
                        for part, at in enumerate(rest, start=1)
                    )
                    value = text_cell(sheet, value[:MOST_IN_A_CELL])
                elif field.form == "money" and value is not None:
                    value = WriteOnlyCell(sheet, value=value)
                    value.number_format = money_format
            cells.append(value)
        sheet.append(cells)
        step.on()


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


def text_cell(sheet: Any, value: Any) -> Any:
    """A value for a cell; text that a spreadsheet would take for a formula is marked as text."""
    if not isinstance(value, str):
        return value
    if not value:
        return None
    text = escaped(value)
    if not _runs(text):
        return text
    from openpyxl.cell import WriteOnlyCell

    return mark_text(WriteOnlyCell(sheet, value=text))


def _runs(text: str) -> bool:
    """Whether a spreadsheet would take a text for a formula or an error."""
    return text[:1] in tuple("=+-@\t\r#")


def mark_text(cell: Any) -> Any:
    """A cell whose text is shown as it stands, also after somebody has been in it."""
    if isinstance(cell.value, str) and _runs(cell.value):
        cell.data_type = "s"
        cell.quotePrefix = True
    return cell
