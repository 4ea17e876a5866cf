"""The three tables of the page on which files are brought in: files, headings, lines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from app.actions.exchange import headings_by_hand
from app.actions.exchange.line_words import KIND_WORDS
from app.actions.exchange.preview_lines import OUTCOMES, LinePreview, Preview
from app.window.exchange.title_table import TITLE_KEYS
from app.window.paper.cells import Cell, Column, GroupRow, State, TableRow, quiet, row_of
from app.window.paper.notes import Alert, Block, Facts, Offer, Rule

MOST_SHOWN = 3000  # lines of a preview that stand in the table; all of them are brought in
_MARKS = {"new": "add", "changed": "changed", "same": "done", "cannot": "wrong"}
KEYS = {
    "files": (
        ("Ins", "choose files"),
        ("Del", "leave a file out"),
        ("F4", "an empty workbook to fill in"),
        ("Ctrl ↵", "bring it in"),
    ),
    "headings": (
        ("↵", "say what a column means"),
        ("F8", "next one not sure"),
        ("Alt ↑↓", "next entry"),
        ("Ctrl ↵", "bring it in"),
    ),
    "lines": (
        ("Del", "leave out, or take in"),
        ("F6", "a near name is the same"),
        ("F7", "a near name is another"),
        ("F8", "next one worth a look"),
        ("F5", "all, or without the same"),
        ("Ctrl ↵", "bring it in"),
    ),
    "titles": TITLE_KEYS,
}
FILE_COLUMNS = (
    Column("file", "File", width=240, least=140),
    Column("found", "Found in it", width=0, least=160),
    Column("lines", "Lines", width=80, least=60, right=True),
)
HEADING_COLUMNS = (
    Column("letter", "", width=36, least=30, dense=True),
    Column("heading", "Heading", width=190, least=110),
    Column("samples", "Such as", width=0, least=140, dense=True),
    Column("meaning", "Means", width=190, least=120),
    Column("how", "Known", width=130, least=90, dense=True, aside=1),
)
LINE_COLUMNS = (
    Column("what", "What", width=0, least=160),
    Column("kind", "Kind", width=96, least=70, dense=True),
    Column("outcome", "Becomes", width=136, least=130),
    Column("details", "", width=210, least=90, dense=True, aside=1),
    Column("place", "Stands in", width=132, least=70, dense=True, aside=2),
)


def sum_words(plan: Preview | None) -> str:
    """How many lines become what; nothing while they are not looked at yet."""
    if plan is None:
        return ""
    parts = [
        f"{plan.total(outcome):,} {OUTCOMES[outcome]}"
        for outcome in ("new", "changed", "same", "left", "cannot")
        if plan.total(outcome)
    ]
    return ", ".join(parts) or "nothing"


def file_row(at: int, reading: Any) -> TableRow:
    """A file that was read, by its place among the files."""
    name = Cell(reading.path.name, bold=True, tip=str(reading.path))
    return row_of(at, name, quiet(_found(reading)), f"{len(reading.lines):,}")


def heading_rows(
    tables: Sequence[headings_by_hand.TableView],
) -> tuple[list[TableRow | GroupRow], int]:
    """The columns of all tables under their titles, and how many are little certain."""
    rows: list[TableRow | GroupRow] = []
    unsure = 0
    for table in tables:
        rows.append(GroupRow(table.title + table.note, table.title, table.note))
        for column in table.columns:
            doubt = bool(column.doubt)
            unsure += doubt
            meaning = State.FEW if doubt else State.PLAIN
            rows.append(
                row_of(
                    column.at,
                    quiet(column.letter),
                    Cell(column.heading or "no heading", tip=column.heading),
                    quiet(column.samples, tip=column.samples),
                    Cell(column.label, meaning, bold=bool(column.meaning)),
                    quiet(column.how),
                )
            )
    return rows, unsure


def explain_column(
    tables: Sequence[headings_by_hand.TableView],
    at: Hashable,
    blocks: list[Block],
    say_dates: Callable[[tuple[int, int], str], object],
) -> str:
    """What there is to know of a column; its title. `say_dates` reads its table's days anew."""
    for table in tables:
        for column in table.columns:
            if column.at != at:
                continue
            blocks += [Alert(column.doubt, "look")] if column.doubt else []
            blocks.append(Facts((("Means", column.label), ("Known", column.how))))
            if table.date_question:
                place = column.at[:2]
                blocks += [
                    Rule(),
                    Alert(table.date_question),
                    Offer("", "Month first", partial(say_dates, place, "MDY")),
                    Offer("", "Day first", partial(say_dates, place, "DMY")),
                ]
            return column.heading or f"Column {column.letter}"
    return ""


def _found(reading: Any) -> str:
    kinds = Counter(
        headings_by_hand.KINDS.get(table.kind, "")
        for table in reading.tables
        if table.lines and not table.hidden
    )
    words = ", ".join(kind for kind in kinds if kind)
    if not reading.lines:
        return "nothing that is understood"
    return words or "a whole book"


def asks(line: LinePreview) -> bool:
    """True for a line with a near name that nobody has answered."""
    return line.asks is not None and not line.asks.answered


def in_order(
    lines: Iterable[LinePreview], before: Sequence[LinePreview], *, without_same: bool
) -> list[LinePreview]:
    """The lines as they stand in the table: what asks for a look first.

    Lines that stood there `before` keep their place, so that nothing jumps from under the focus.
    """
    order = {"cannot": 0, "changed": 1, "new": 2, "left": 3, "same": 4}
    stood = {line.key: at for at, line in enumerate(before)}
    kept = [
        line
        for line in lines
        if line.key in stood
        or not (without_same and line.outcome == "same" and not line.problems and not asks(line))
    ]
    return sorted(
        kept,
        key=lambda line: (
            stood.get(line.key, len(stood)),
            not asks(line),
            order[line.outcome],
            not line.problems,
        ),
    )


def line_row(at: int, line: LinePreview) -> TableRow:
    """A line that would come in: what becomes of it, and what was found in it."""
    words = OUTCOMES[line.outcome]
    said = "; ".join((*line.problems, *line.details))
    quietly = line.outcome in ("same", "left")
    outcome = Cell(
        words, State.QUIET if quietly else State.PLAIN, mark=_MARKS.get(line.outcome, "")
    )
    if line.outcome == "cannot":
        outcome = Cell(words, State.ALARM, mark="wrong")
    elif asks(line):
        outcome = Cell("the same?", State.LOOK, mark="look")
    elif line.problems:
        outcome = Cell(words, State.LOOK, mark="look")
    return row_of(
        at,
        Cell(line.what, tip=line.what),
        quiet(KIND_WORDS.get(line.kind, (line.kind, ""))[0]),
        outcome,
        quiet(said, tip=said),
        quiet(line.place, tip=f"{line.file}, {line.place}"),
    )


@dataclass(frozen=True)
class Laid:
    """The lines of a preview as they stand in the table: the first of them, and how many of all."""

    shown: tuple[LinePreview, ...]
    rows: tuple[TableRow, ...]
    count: int
    without_same: bool


def lay_out(
    lines: Iterable[LinePreview], before: Sequence[LinePreview], *, without_same: bool
) -> Laid:
    """Lay them out, at most `MOST_SHOWN`."""
    ordered = in_order(lines, before, without_same=without_same)
    shown = tuple(ordered[:MOST_SHOWN])
    rows = tuple(line_row(at, line) for at, line in enumerate(shown))
    return Laid(shown, rows, len(ordered), without_same)
