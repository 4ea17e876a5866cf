"""The charges of a job beside what its estimate says of them, and how the whole stands to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.jobs.agreed import Agreed
from app.actions.jobs.by_time import hours_text
from app.actions.jobs.job_card import JobCard, rate_text
from app.calculations.numbers.dates import near
from app.window.jobs.money_bar import MoneyStands
from app.window.paper.cells import Cell, State, TableRow, entry, row_of

if TYPE_CHECKING:
    from app.records.queries.estimates import LineRow
    from app.records.queries.jobs import ChargeRow


def charge_row(desk: Desk, one: ChargeRow, likely: int | None, *, issued: bool) -> TableRow:
    """A charge, strong where it is not what was likely; issued it stays as it was printed."""
    said = Cell("" if likely is None else money(desk, likely), State.QUIET)
    differs = likely is not None and likely != one.amount
    rate, amount = rate_text(one.tax_rate), money(desk, one.amount)
    if issued:
        return row_of(
            ("charge", one.charge_id),
            Cell(one.text, tip=one.text, detail=_by_time(desk, one)),
            Cell(rate, State.QUIET),
            said,
            Cell(amount, bold=differs),
        )
    return row_of(
        ("charge", one.charge_id),
        Cell(one.text, tip=one.text, detail=_by_time(desk, one), editable=True),
        entry(rate, State.QUIET),
        said,
        entry(amount, bold=differs),
    )


def _by_time(desk: Desk, one: ChargeRow) -> str:
    """`2.50 hours at 84.00`, of what is charged by time."""
    if not one.minutes:
        return ""
    return f"{hours_text(one.minutes)} hours at {money(desk, one.hour_rate)}"


def missing_row(desk: Desk, line: LineRow) -> TableRow:
    """A line that they said yes to and that no charge stands for; typing its amount charges it."""
    return row_of(
        ("agreed", line.line_id),
        Cell(line.text, State.QUIET, detail="agreed, not charged yet", tip=line.text),
        Cell(rate_text(line.tax_rate), State.QUIET),
        Cell(money(desk, line.likely), State.QUIET),
        entry("", State.UNUSED),
    )


def stands_of(desk: Desk, card: JobCard, agreed: Agreed) -> MoneyStands:
    """The job's money against its estimate, with tax."""
    version, sums = agreed.version, card.money.sums
    row = version.row
    wall = row.high if version.ceiling is None else version.ceiling
    said = f"version {row.version}, {row.state}"
    if row.approved_on is not None:
        said = f"agreed by {row.approved_how}, {near(row.approved_on, desk.today)}"
    amounts = (sums.gross, card.money.paid, row.low, row.likely, wall, abs(wall - sums.gross))
    charged, came, low, likely, ceiling, rest = (money(desk, one) for one in amounts)
    return MoneyStands(
        sums.gross, card.money.paid, row.low, row.likely, wall, said,
        (charged, came, low, likely, ceiling, rest),
    )  # fmt: skip
