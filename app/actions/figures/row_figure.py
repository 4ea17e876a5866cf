"""A figure of plain rows: a name, a bar, and numbers that its table and its workbook have too."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.money import shown_money, shown_whole

CAPTION = 46  # letters that a finding has room for
FEW = 5  # of what is counted: below it a list stands, no average or share
MOST_ROWS = 8  # that a figure draws

Cell = int | float | str | None


@dataclass(frozen=True)
class Column:
    """A column of numbers: `kind` is text, count, money, time (minutes), days, percent or ratio.

    `short`: its head beside a drawing, where the whole one has no room.
    """

    head: str
    kind: str = "count"
    short: str = ""

    @property
    def brief(self) -> str:
        """The head over a drawing."""
        return self.short or self.head.lower()


@dataclass(frozen=True)
class Row:
    """A row: a cell for each column, how long its bar is, and the ids of what stands behind it.

    `look`: worth a look; `open`: a part that is not certain, drawn hatched.
    """

    name: str
    cells: tuple[Cell, ...]
    ids: tuple[int, ...]
    size: float = 0.0
    look: bool = False
    open: bool = False


@dataclass(frozen=True, kw_only=True)
class RowFigure:
    """`beside`: which columns the drawing writes beside a bar; `of`: what the ids are of.

    `rest`: rows that the table lists and the drawing does not; they are said in `others`.
    """

    finding: str
    columns: tuple[Column, ...] = ()
    rows: tuple[Row, ...] = ()
    rest: tuple[Row, ...] = ()
    first_head: str = ""
    beside: tuple[int, ...] = ()
    of: str = "jobs"
    subtitle: str = ""
    voice: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    others: str = ""

    @property
    def all_rows(self) -> tuple[Row, ...]:
        """Those that are drawn and those that are not."""
        return self.rows + self.rest


def shown_cell(cell: Cell, kind: str, currency: str, *, short: bool = False) -> str:
    """A cell as it is read; `short` has money in whole units."""
    if cell is None or isinstance(cell, str):
        return cell or ""
    return _telling(kind, currency, short=short)(cell)


def _telling(kind: str, currency: str, *, short: bool) -> Callable[[float], str]:
    money = partial(shown_whole if short else shown_money, currency=currency)
    return {
        "count": lambda n: f"{n:,.0f}",
        "money": lambda n: money(round(n)),
        "time": lambda n: shown_duration(round(n)),
        "days": lambda n: f"{n:,.0f}",
        "percent": lambda n: f"{n:.0f} %",
        "ratio": lambda n: f"{n:.2f}",
    }[kind]


def fitting(finding: str, otherwise: str) -> str:
    """A finding where it has room, else one that names nothing."""
    return finding if len(finding) <= CAPTION else otherwise


def cut(rows: Sequence[Row]) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """The rows that a drawing has room for, and the others."""
    return tuple(rows[:MOST_ROWS]), tuple(rows[MOST_ROWS:])


def share_of(part: float, whole: float) -> float | None:
    """Percent of a whole; none of nothing."""
    return 100 * part / whole if whole > 0 else None
