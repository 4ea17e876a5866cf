"""All figures of a time as sheets of a workbook: their numbers, and the formulas between them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path

from app.actions.desk.desk import Desk
from app.actions.figures import figures
from app.actions.figures.figures import Figures, MoreFigures
from app.actions.figures.kinds import KindBar, KindFigure
from app.actions.figures.more_pages import shelf_page, work_page
from app.actions.figures.row_figure import Cell, RowFigure
from app.actions.figures.shelf_figures import DeliveryFigure
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.money import minor_digits
from app.documents.export.figures_book import FigureSheet, write_figures
from app.documents.export.live_book import Live, Value
from app.records.queries.figures import DoneJob

_EXACT = Decimal(1).scaleb(-9)


def write_all(desk: Desk, shown: Figures, path: Path) -> Path:
    """Write the workbook of the time shown; returns where it stands.

    A file that stands there already is moved aside.
    """
    path = path if path.suffix else path.with_suffix(".xlsx")
    write_figures(sheets_of(desk, shown), shown.currency, path)
    return path


def sheets_of(desk: Desk, shown: Figures) -> list[FigureSheet]:
    """A sheet for each of the fifteen figures."""
    more = figures.more_figures(desk, shown)
    work, shelf = work_page(desk, shown), shelf_page(desk, shown)
    jobs = {job.job_id: job for job in shown.jobs}
    digits = minor_digits(shown.currency)
    titles = ("8 Estimates", "9 Bookings", "10 Done again", "11 Lives", "12 Prices", "13 Stock",
              "14 Unrecorded")  # fmt: skip
    rows = (*work.all, shelf.prices, shelf.stock, shelf.unrecorded)
    return [
        _money(shown),
        _services(shown.services, jobs, digits),
        _hours(shown.hours, jobs),
        _supplies(shown),
        *_second(more),
        *(_of_rows(title, figure) for title, figure in zip(titles, rows, strict=True)),
        _deliveries(shelf.deliveries),
    ]


def _sum(letter: str, rows: Sequence[object], result: int | Decimal) -> Live:
    return Live(f"SUM({letter}2:{letter}{len(rows) + 1})", result)


def _plain(number: float) -> Decimal:
    return Decimal(number).quantize(_EXACT)


def _hours_of(minutes: int) -> Decimal:
    return Decimal(minutes) / 60


def _money(shown: Figures) -> FigureSheet:
    bars = shown.money.bars
    rows = tuple(
        (
            f"{bar.first:%b %Y}" if bar.first != bar.last else f"{bar.first:%Y-%m-%d}",
            Decimal(len(bar.job_ids)), bar.earned, bar.received, bar.supplies,
            Live(f"C{at}-E{at}", bar.earned - bar.supplies),
        )
        for at, bar in enumerate(bars, 2)
    )  # fmt: skip
    earned, supplies = sum(bar.earned for bar in bars), sum(bar.supplies for bar in bars)
    total = (
        "Together",
        _sum("B", bars, Decimal(sum(len(bar.job_ids) for bar in bars))),
        _sum("C", bars, earned),
        _sum("D", bars, sum(bar.received for bar in bars)),
        _sum("E", bars, supplies),
        _sum("F", bars, earned - supplies),
    )
    heads = ("Period", "Jobs", "Earned", "Received", "Supplies", "Left")
    return FigureSheet(title="1 Money", finding=shown.money.finding, heads=heads, rows=rows,
                       total=total, drawn=(3, 5), lying=False)  # fmt: skip


def _spans(
    title: str,
    finding: str,
    head: str,
    bars: Sequence[KindBar],
    beside_heads: tuple[str, ...],
    beside: Mapping[str, Sequence[tuple[Value, ...]]],
    first_head: str = "Kind of job",
    count_head: str = "Jobs",
    unit: float = 1.0,
) -> FigureSheet:
    """Middles and spans, worked out of the last column of what stands beside, kind by kind."""
    heads = (first_head, count_head, head, "Four in five from", "to")
    letter = "ABCDEFGHIJKLMNOP"[len(heads) + len(beside_heads)]
    rows: list[tuple[Value, ...]] = []
    listed: list[tuple[Value, ...]] = []
    at = 2
    for bar in bars:
        some = beside[bar.name]
        span = f"{letter}{at}:{letter}{at + len(some) - 1}"
        rows.append((
            bar.name,
            Live(f"COUNT({span})", Decimal(bar.jobs)),
            Live(f"MEDIAN({span})", _plain(bar.middle / unit)),
            Live(f"PERCENTILE({span},0.1)", _plain(bar.low / unit)),
            Live(f"PERCENTILE({span},0.9)", _plain(bar.high / unit)),
        ))  # fmt: skip
        listed += some
        at += len(some)
    return FigureSheet(title=title, finding=finding, heads=heads, rows=tuple(rows), drawn=(3,),
                       beside_heads=beside_heads, beside=tuple(listed))  # fmt: skip


def _by_kind(
    figure: KindFigure, make: Callable[[str, int], tuple[Value, ...]]
) -> dict[str, list[tuple[Value, ...]]]:
    """What stands beside of each job; `make` gets the kind and the job, and its row as a number."""
    found: dict[str, list[tuple[Value, ...]]] = {}
    for bar in figure.kinds:
        found[bar.name] = [make(bar.name, job) for job in bar.job_ids]
    return found


def _services(figure: KindFigure, jobs: Mapping[int, DoneJob], digits: int) -> FigureSheet:
    at = 1

    def row(kind: str, job_id: int) -> tuple[Value, ...]:
        nonlocal at
        at += 1
        job = jobs[job_id]
        left = Decimal(job.stands - job.supplies).scaleb(-digits) * 60 / job.minutes
        return (kind, Decimal(job.number), job.stands, job.supplies, _hours_of(job.minutes),
                Live(f"(I{at}-J{at})/K{at}", left.quantize(_EXACT)))  # fmt: skip

    beside = _by_kind(figure, row)
    heads = ("Kind of job", "Job", "Earned", "Supplies", "Hours", "Left an hour")
    return _spans("2 An hour", figure.finding, "Left an hour", figure.kinds, heads, beside,
                  unit=10.0**digits)  # fmt: skip


def _hours(figure: KindFigure, jobs: Mapping[int, DoneJob]) -> FigureSheet:
    at = 1

    def row(kind: str, job_id: int) -> tuple[Value, ...]:
        nonlocal at
        at += 1
        job = jobs[job_id]
        return (kind, Decimal(job.number), _hours_of(job.minutes), _hours_of(job.expected_minutes),
                Live(f"I{at}/J{at}", _plain(job.minutes / job.expected_minutes)))  # fmt: skip

    heads = ("Kind of job", "Job", "Worked", "Expected", "Worked ÷ expected")
    return _spans("3 Hours", figure.finding, "Worked ÷ expected", figure.kinds, heads,
                  _by_kind(figure, row))  # fmt: skip


def _supplies(shown: Figures) -> FigureSheet:
    parts = shown.supplies.parts
    end, whole = len(parts) + 1, sum(bar.cost for bar in parts)
    rows = tuple(
        (
            bar.name, bar.cost,
            Live(f"100*B{at}/SUM(B$2:B${end})", _plain(bar.share)),
            Live(f"SUM(C$2:C{at})", _plain(bar.running)),
        )
        for at, bar in enumerate(parts, 2)
    )  # fmt: skip
    return FigureSheet(
        title="4 Supplies", finding=shown.supplies.finding,
        heads=("Supply", "Cost", "Share, %", "Running, %"), rows=rows,
        total=("Together", _sum("B", parts, whole)) if parts else (), drawn=(2,),
    )  # fmt: skip


def _second(more: MoreFigures) -> tuple[FigureSheet, ...]:
    steps, parts, days = more.letters.steps, more.referrals.parts, more.ahead.days
    letters = tuple(
        (
            step.name, Decimal(step.count),
            Live(f"100*B{at}/B$2", _plain(100 * step.count / steps[0].count)),
        )
        for at, step in enumerate(steps, 2)
    )  # fmt: skip
    senders = tuple(
        (bar.name, Decimal(bar.customers), Decimal(bar.new), Decimal(len(bar.job_ids)), bar.earned)
        for bar in parts
    )
    open_days = tuple(
        (
            weekday_day(one.day), _hours_of(one.booked), _hours_of(one.open_minutes),
            Live(f"MAX(0,C{at}-B{at})", _plain(max(0, one.open_minutes - one.booked) / 60)),
        )
        for at, one in enumerate(days, 2)
    )  # fmt: skip
    sums = [
        _sum(letter, parts, Decimal(sum(of)))
        for letter, of in (
            ("B", [bar.customers for bar in parts]), ("C", [bar.new for bar in parts]),
            ("D", [len(bar.job_ids) for bar in parts]),
        )
    ]  # fmt: skip
    hours = [
        _sum(letter, days, _plain(sum(of) / 60))
        for letter, of in (
            ("B", [one.booked for one in days]), ("C", [one.open_minutes for one in days]),
            ("D", [max(0, one.open_minutes - one.booked) for one in days]),
        )
    ]  # fmt: skip
    earned = _sum("E", parts, sum(bar.earned for bar in parts))
    return (
        FigureSheet(title="5 Letters", finding=more.letters.finding,
                    heads=("Letters", "How many", "Of those sent, %"), rows=letters, drawn=(2,)),
        FigureSheet(title="6 Who sends", finding=more.referrals.finding,
                    heads=("Sent by", "Customers", "New", "Jobs", "Earned"), rows=senders,
                    total=("Together", *sums, earned) if parts else (), drawn=(5,)),
        FigureSheet(title="7 Hours ahead", finding=more.ahead.finding,
                    heads=("Day", "Booked, h", "Open, h", "Free, h"), rows=open_days,
                    total=("Together", *hours) if days else (), drawn=(2, 3), lying=False),
    )  # fmt: skip


_SUMMED = {"count", "money", "time"}
# What is worked out of the columns beside it: by title the column, and how, from its row.
_WORKED: dict[str, tuple[int, Callable[[int, int], str]]] = {
    "12 Prices": (2, lambda at, _end: f"D{at}-E{at}-F{at}"),
    "13 Stock": (3, lambda at, end: f"100*C{at}/SUM(C$2:C${end})"),
}
_NO_TOTAL = {"11 Lives", "12 Prices"}  # means and middles do not add up


def _of_rows(title: str, figure: RowFigure) -> FigureSheet:
    """A figure of plain rows; sums under what adds up."""
    worked, how = _WORKED.get(title, (-1, lambda _at, _end: ""))
    all_rows, kinds = figure.all_rows, [column.kind for column in figure.columns]
    rows = []
    for at, row in enumerate(all_rows, 2):
        values: list[Value] = [_value(*one) for one in zip(row.cells, kinds, strict=True)]
        was = row.cells[worked - 1]
        if worked > 0 and not isinstance(was, str) and was is not None:
            result = int(was) if kinds[worked - 1] == "money" else _plain(was)
            values[worked - 1] = Live(how(at, len(all_rows) + 1), result)
        rows.append((row.name, *values))
    total: list[Value] = ["Together"]
    for at, kind in enumerate(kinds):
        numbers = [cell for row in all_rows if isinstance(cell := row.cells[at], int | float)]
        added = sum(numbers) if kind != "time" else sum(numbers) / 60
        result = int(added) if kind == "money" else _plain(added)
        total.append(_sum("BCDEFGH"[at], all_rows, result) if kind in _SUMMED else None)
    drawn = figure.beside[0] + 2 if figure.beside else 2
    heads = (f"{column.head}{_UNITS.get(column.kind, '')}" for column in figure.columns)
    return FigureSheet(
        title=title, finding=figure.finding, heads=(figure.first_head or "What", *heads),
        rows=tuple(rows), total=tuple(total) if rows and title not in _NO_TOTAL else (),
        drawn=(drawn,),
    )  # fmt: skip


_UNITS = {"time": ", h", "percent": ", %"}


def _value(cell: Cell, kind: str) -> Value:
    """A cell as the workbook has it: money in minor units, time in hours."""
    if cell is None or isinstance(cell, str):
        return cell
    if kind == "money":
        return int(cell)
    return _hours_of(int(cell)) if kind == "time" else _plain(cell)


def _deliveries(figure: DeliveryFigure) -> FigureSheet:
    beside = {name: [(name, Decimal(days)) for days in some] for name, some in figure.days.items()}
    return _spans("15 Deliveries", figure.spans.finding, "Days", figure.spans.kinds,
                  ("Supplier", "Days"), beside, "Supplier", "Deliveries")  # fmt: skip
