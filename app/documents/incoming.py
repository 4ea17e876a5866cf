"""Reading a file into tables and lines: the door to everything else in this package.

reading = read_file(Path("customers.xlsx"), Options(region="US"))
reading.lines            every line, in the order of the file
reading.tables[0].columns[2].meaning      "customer.phone"
reading = reading.with_table(0, reread(reading.tables[0], {2: "customer.notes"}))
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any

from app.documents.export.template import is_how_to
from app.documents.reading.apart import work_apart
from app.documents.reading.assembling import days_go_on, hands_down, lines_of, year_in
from app.documents.reading.columns import Seen, how_known, recognise, seen
from app.documents.reading.dates import DayOrder, decide_order
from app.documents.reading.grid import Grid, letter, says_nothing, shown
from app.documents.reading.headings import Heading
from app.documents.reading.looks import looks_of
from app.documents.reading.meanings import BESIDE, MEANINGS
from app.documents.reading.options import Options, Progress, Step, TooMuch
from app.documents.reading.pieces import in_pieces, put_together, with_options
from app.documents.reading.reading_types import FileReading, ReadColumn, Table
from app.documents.reading.row import Layout
from app.documents.reading.table_rows import RawTable, filled_cells
from app.documents.reading.tables import find_tables
from app.errors import Mendable, reason_of

CARD_ENDINGS = (".vcf", ".vcard")
WORKBOOK_ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xltm")
# Up to so much is read in this process: a second's work on an old PC, whatever the file holds. The
# reading of more costs so much that beginning another process is little beside it.
_SMALL_FILE, _SMALL_UNPACKED = 200_000, 1_000_000  # bytes
_SMALL_CELLS, _SMALL_TEXT, _SMALL_CELL = 6_000, 400_000, 2_000  # cells, characters, of one cell
_ROWS_NAMED = 8  # of rows that are left out; of more the count
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def read_file(
    path: Path, options: Options | None = None, progress: Progress | None = None
) -> FileReading:
    """Read a workbook, text table or address cards.

    What is not small is read in a process of its own (`app/documents/reading/apart.py`).
    Raises Mendable when the file cannot be opened as what it is, or holds too much; ReadingStopped
    when `progress` says so.
    """
    path = Path(path)
    options = options or Options()
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise Mendable(f"{path.name} is no file; choose a workbook, CSV or vCard file.")
        with path.open("rb") as stream:
            head = stream.read(4096)
    except OSError as error:
        raise Mendable(f"{path.name} cannot be opened: {reason_of(error)}.") from error
    if size > options.most_bytes:
        raise Mendable(
            f"{path.name} has {size // 1_000_000:,} MB, more than can be read at once; split it."
        )
    if size == 0:
        raise Mendable(f"{path.name} is empty.")
    what = _what(path, head)
    if size <= _SMALL_FILE:
        small = replace(
            options,
            most_cells=min(options.most_cells, _SMALL_CELLS),
            most_text=min(options.most_text, _SMALL_TEXT),
            longest_text=min(options.longest_text, _SMALL_CELL),
            most_unpacked=min(options.most_unpacked, _SMALL_UNPACKED),
        )
        with suppress(TooMuch):
            # How far it is would run back where the file turns out not to be small.
            asked = progress and (lambda _done, _total: progress(0, 1))
            reading = _read(path, what, small, asked)
            if progress is not None:
                progress(1, 1)
            return with_options(reading, options)
    pieces = work_apart(
        _read_in_pieces,
        (path, what, options),
        name=path.name,
        seconds=options.most_seconds,
        memory=options.most_memory,
        progress=progress,
    )
    return put_together(pieces)


def _read_in_pieces(path: Path, what: str, options: Options, progress: Progress) -> Iterator[Any]:
    return in_pieces(_read(path, what, options, progress))


def _read(path: Path, what: str, options: Options, progress: Progress | None) -> FileReading:
    try:
        return _read_as(path, what, options, progress)
    except RecursionError as error:
        raise Mendable(
            f"{path.name} is damaged: it is nested deeper than any real file."
        ) from error


def _read_as(path: Path, what: str, options: Options, progress: Progress | None) -> FileReading:
    if what == "cards":
        from app.documents.reading.card_file import read_cards

        lines, notes = read_cards(path, options, progress)
        table = Table(
            file=path.name,
            sheet="",
            title="",
            kind="customer",
            columns=(),
            heading_row=0,
            lines=lines,
            options=options,
        )
        return FileReading(path, (table,), notes)
    if what == "workbook":
        from app.documents.export.full_export import read_export
        from app.documents.reading.workbook_file import read_grids

        export = read_export(path, options, progress)
        if export is not None:
            return export
        grids = read_grids(path, options, _part(progress, 0, 2))
    else:
        from app.documents.reading.delimited_file import read_grid

        grids = [read_grid(path, options, _part(progress, 0, 2))]
    return _from_grids(path, grids, options, _part(progress, 1, 2))


def _part(progress: Progress | None, part: int, parts: int) -> Progress | None:
    """A progress for one of several parts of the work."""
    if progress is None:
        return None
    return lambda done, total: progress(part * total + done, parts * total)


def _what(path: Path, head: bytes) -> str:
    """workbook, text or cards, by the file's own first bytes; its name only helps."""
    ending = path.suffix.casefold()
    if head.startswith(b"PK\x03\x04") or head.startswith(b"PK\x05\x06"):
        return "workbook"
    if head.startswith(_OLE):
        if (
            ending in WORKBOOK_ENDINGS
            or b"E\0n\0c\0r\0y\0p\0t\0e\0d\0P" in path.read_bytes()[:200_000]
        ):
            raise Mendable(
                f"{path.name} is protected by a password or in an old format; open it in your "
                "spreadsheet and save a copy as .xlsx without a password."
            )
        raise Mendable(
            f"{path.name} is in an old format; open it in your spreadsheet and save it as .xlsx."
        )
    if head.startswith(b"%PDF"):
        raise Mendable(f"{path.name} is a PDF; bring in the table that it was printed from.")
    if head.startswith((b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"Rar!", b"7z\xbc\xaf", b"\x1f\x8b")):
        raise Mendable(f"{path.name} is no table; choose a workbook, CSV or vCard file.")
    text = head.lstrip(b"\xef\xbb\xbf\xff\xfe\x00 \r\n\t")[:40].replace(b"\0", b"").upper()
    if text.startswith(b"BEGIN:VCARD") or ending in CARD_ENDINGS:
        return "cards"
    if ending in WORKBOOK_ENDINGS:
        raise Mendable(
            f"{path.name} is damaged or is no workbook; open it in your spreadsheet, save it again "
            "as .xlsx and try that."
        )
    if text.startswith((b"<!DOCTYPE", b"<HTML", b"<?XML", b"{\\RTF")):
        raise Mendable(
            f"{path.name} is no table of text; open it in your spreadsheet and save it as .xlsx."
        )
    return "text"


def _from_grids(
    path: Path, grids: Sequence[Grid], options: Options, progress: Progress | None
) -> FileReading:
    notes: list[str] = []
    tables: list[Table] = []
    found = [(grid, find_tables(grid)) for grid in grids if not is_how_to(grid)]
    step = Step(progress, sum(len(raw.rows) for _, raws in found for raw in raws))
    for grid, raws in found:
        notes.extend(grid.notes)
        read = [_table(path.name, grid, raw, options, step) for raw in raws]
        known = [table for table in read if table.kind]
        tables.extend(known)
        where = f"Sheet {grid.sheet}" if grid.sheet else path.name
        if grid.hidden and known:
            notes.append(
                f"Sheet {grid.sheet} is hidden in the workbook; it was read but is not brought in "
                "unless you choose it."
            )
        for table in read:
            if not table.kind:
                notes.append(
                    f"{where}: the table from row {table.heading_row or 1} was not understood; "
                    "give its columns their meaning by hand."
                )
        notes.extend(_left_out(where, grid, raws))
        if not raws and any(grid.rows):
            notes.append(f"{where}: no table with a heading was found.")
        tables.extend(table for table in read if not table.kind)
    if not tables and not notes:
        notes.append(f"{path.name} holds no table.")
    step.say()
    return FileReading(path, tuple(tables), tuple(dict.fromkeys(notes)))


def _left_out(where: str, grid: Grid, raws: Sequence[RawTable]) -> Iterator[str]:
    """Which rows of a sheet become no line though they say something, and why."""
    told = {index for raw in raws for index in raw.heading_rows}
    told.update(row.index for raw in raws for row in raw.rows)
    for why in ("a total", "a note below the table"):
        rows = sorted({index for raw in raws for index, said in raw.skipped if said == why})
        if rows:
            yield f"{where}: {_rows(rows)} left out as {why}."
    told.update(index for raw in raws for index, _ in raw.skipped)
    lost = [
        index
        for index, row in enumerate(grid.rows)
        if raws and index not in told and filled_cells(row) > 1
    ]
    if lost:
        yield f"{where}: {_rows(lost)} not read: outside every table that was understood."


def _rows(indexes: Sequence[int]) -> str:
    """ "row 5 was", "rows 5, 9 and 12 were", of many the first ones."""
    numbers = [str(index + 1) for index in indexes[:_ROWS_NAMED]]
    if len(indexes) > _ROWS_NAMED:
        return f"rows {', '.join(numbers)} and {len(indexes) - _ROWS_NAMED:,} more were"
    if len(numbers) == 1:
        return f"row {numbers[0]} was"
    return f"rows {', '.join(numbers[:-1])} and {numbers[-1]} were"


def reread(
    table: Table,
    meanings: Mapping[int, str] | None = None,
    *,
    date_order: str = "",
    progress: Progress | None = None,
) -> Table:
    """The table read anew with meanings given by hand.

    `meanings` maps a column's position to a meaning's key, "" leaves the column out; `date_order`
    (MDY or DMY) fixes the order of day and month for every column that does not prove its own.
    """
    if table.raw is None:
        return table
    for position, key in (meanings or {}).items():
        if not 0 <= position < len(table.columns):
            raise Mendable(f"The table has no column {position + 1}.")
        if key and key not in MEANINGS:
            raise Mendable(f"No column can mean “{key}”.")
    fixed = {**dict(table.fixed), **(meanings or {})}
    options = replace(table.options, date_order=date_order) if date_order else table.options
    grid = Grid(table.sheet, [], hidden=table.hidden)
    step = Step(progress, len(table.raw.rows))
    return _table(table.file, grid, table.raw, options, step, fixed)


def _table(
    file: str,
    grid: Grid,
    raw: RawTable,
    options: Options,
    step: Step,
    fixed: Mapping[int, str] | None = None,
) -> Table:
    fixed = dict(fixed or {})
    columns = [seen(h, raw.values(position)) for position, h in enumerate(raw.headings)]
    what = recognise(columns, raw.named, fixed)
    if what.score < 0.9:
        what = replace(what, kind="", meanings=("",) * len(columns))
    meanings, how = _with_kept(what.kind, what.meanings, raw, columns, fixed)
    orders = tuple(
        _order(meaning, raw, position, options) for position, meaning in enumerate(meanings)
    )
    layout = Layout(
        file=file,
        sheet=grid.sheet,
        kind=what.kind,
        columns=raw.columns,
        headings=raw.headings,
        meanings=meanings,
        units=tuple(heading.unit for heading in raw.headings),
        orders=orders,
        options=options,
        year=year_in(raw.title, grid.sheet),
        hours_in=_hours_unit(meanings, raw),
    )
    if what.kind:
        layout = replace(
            layout,
            groups=hands_down(layout, raw.rows),
            days_go_on=days_go_on(layout, raw.rows),
        )
    lines = tuple(lines_of(layout, raw.rows, step)) if what.kind else ()
    return Table(
        file=file,
        sheet=grid.sheet,
        title=raw.title,
        kind=what.kind,
        columns=_columns(raw, columns, layout, how),
        heading_row=raw.heading_rows[-1] + 1 if raw.heading_rows else 0,
        lines=lines,
        skipped=tuple((index + 1, why) for index, why in raw.skipped),
        hidden=grid.hidden,
        raw=raw,
        options=options,
        fixed=tuple(sorted(fixed.items())),
    )


def _columns(
    raw: RawTable, columns: Sequence[Seen], layout: Layout, how: Sequence[str]
) -> tuple[ReadColumn, ...]:
    """The columns as they are shown, each with what it was taken to mean and why."""
    return tuple(
        ReadColumn(
            letter=letter(raw.columns[position]),
            heading=heading.text,
            meaning=layout.meanings[position],
            how=how[position],
            samples=_samples(raw, position),
            unit=heading.unit,
            date_order=order.order if order and order.numeric else "",
            date_order_sure=order.sure if order else True,
            money=columns[position].looks.money > 0.5,
        )
        for position, (heading, order) in enumerate(zip(raw.headings, layout.orders, strict=True))
    )


def _with_kept(
    kind: str,
    meanings: Sequence[str],
    raw: RawTable,
    columns: Sequence[Seen],
    fixed: Mapping[int, str],
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Columns that nobody knows go to the notes with their heading, so that nothing is lost."""
    kept = list(meanings)
    how = []
    for position, meaning in enumerate(meanings):
        heading = raw.headings[position]
        if position in fixed:
            how.append("by hand" if fixed[position] else "left out")
        elif (
            meaning
            and MEANINGS[meaning].form == "skip"
            and how_known(columns[position], meaning) == "heading"
        ):
            kept[position] = ""
            how.append("left out")
        elif meaning and MEANINGS[meaning].form != "skip":
            how.append(how_known(columns[position], meaning))
        elif kind and _worth_keeping(heading, kind, raw, position):
            kept[position] = f"{kind}.notes"
            how.append("kept")
        else:
            kept[position] = ""
            how.append("left out")
    return tuple(kept), tuple(how)


def _worth_keeping(heading: Heading, kind: str, raw: RawTable, position: int) -> bool:
    """False for counters, balances and the like, and for columns without values."""
    values = [value for value in raw.values(position) if not says_nothing(value)]
    if not values or not heading.text:
        return bool(values) and looks_of(values).words > 0.5
    if heading.words in ("number", "id", "index", "row", "line", "key", "lfd number", "pos"):
        return False
    for key, sure in heading.candidates:
        meaning = MEANINGS[key]
        if meaning.kind in BESIDE[kind] and meaning.form == "skip" and sure >= 0.9:
            return False
    counted = [v for v in values if isinstance(v, int) and not isinstance(v, bool)]
    return not (
        len(counted) == len(values) > 2
        and counted == list(range(counted[0], counted[0] + len(counted)))
    )


def _order(meaning: str, raw: RawTable, position: int, options: Options) -> DayOrder | None:
    """The order of day and month in a column of dates."""
    if not meaning or MEANINGS[meaning].form not in ("date", "paid"):
        return None
    order = decide_order(raw.values(position), options.usual_order(), options.today)
    if not order.sure and options.date_order in ("MDY", "DMY"):
        return DayOrder(options.date_order, True, order.numeric)
    return order


def _hours_unit(meanings: Sequence[str], raw: RawTable) -> str:
    """h or min for a column of times whose heading names no unit: more than a day is minutes."""
    for position, meaning in enumerate(meanings):
        if meaning != "job.hours":
            continue
        numbers = sorted(
            v
            for v in raw.values(position)
            if isinstance(v, int | float) and not isinstance(v, bool)
        )
        if numbers and numbers[len(numbers) // 2] > 24:
            return "min"
    return "h"


def _samples(raw: RawTable, position: int) -> tuple[str, ...]:
    """The first four values of a column, each once."""
    texts = (shown(row.cells[position])[:60] for row in raw.rows[:200])
    return tuple(islice(dict.fromkeys(text for text in texts if text), 4))
