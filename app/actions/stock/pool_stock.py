"""Pools as the order rule, the day sheet and tomorrow's list read them.

The rule's stock of a pool are the pieces of its first step, clean and in use; its use is what left
that step for good, down, out or lost; and it has a floor of two loads, one in use and one in the
wash. What jobs take is no use here: it comes back. The day sheet reads what is clean.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.amounts import all_supplies, stock_said
from app.actions.desk.desk import Desk, kept
from app.actions.plan.job_plan import plans_on
from app.actions.stock.pool_lines import load_of
from app.calculations.numbers.wording import capital, counted
from app.calculations.orders.proposal import ProposedLine
from app.calculations.stock.pools import PIECE, Moved, Tally, clean, in_use, tally
from app.records.queries import days as day_queries
from app.records.queries import pools as queries
from app.records.queries import uses as use_queries
from app.records.queries.stock import SupplyRow

USES_DAYS = 60  # typed uses of longer ago that were never booked are not waited for


@dataclass(frozen=True)
class PoolStock:
    """A pool as it stands: pieces of its first step, how many of them are clean, two loads."""

    supply_id: int
    pieces: int
    clean: int
    two_loads: int  # 0 while the pool has no pieces at all


@kept("supplies", "pools")
def pool_ids(desk: Desk) -> frozenset[int]:
    """The supplies that are pools."""
    return frozenset(one for one, supply in all_supplies(desk).items() if supply.pool)


@kept("pools")
def pool_stocks(desk: Desk, until: date | None = None) -> dict[int, PoolStock]:
    """Every pool, now or when a day ended."""
    ids = pool_ids(desk)
    if not ids:
        return {}
    with desk.book.reading() as session:
        moved = queries.moved(session, ids, until)
    supplies = all_supplies(desk)
    return {
        one: _stock(supplies[one], tally(Moved(*line) for line in moved.get(one, ())))
        for one in ids
    }


def _stock(supply: SupplyRow, standing: Tally) -> PoolStock:
    return PoolStock(
        supply.supply_id,
        standing.of_rung(supply.pool),
        standing.at(clean(supply.pool)),
        2 * load_of(supply) if standing.came_in > 0 else 0,
    )


def floor_of(desk: Desk, supply_id: int) -> int:
    """Base units below which a pool's pieces must not fall; 0 for what is no pool."""
    stock = pool_stocks(desk).get(supply_id)
    return stock.two_loads * PIECE if stock is not None else 0


@kept("pools gone")
def use_until(desk: Desk, day: date, days: int) -> dict[int, list[int]]:
    """Base units that left the first step of each pool for good on each of the last days, oldest
    first, from when the pool began.

    A day on which more was found again than left counts as none.
    """
    first = day - timedelta(days=days - 1)
    ids = pool_ids(desk)
    if not ids:
        return {}
    supplies = all_supplies(desk)
    with desk.book.reading() as session:
        began = queries.began(session, ids)
        rows = queries.left_by_day(session, ids, first)
    found: dict[int, list[int]] = {one: [] for one in ids}
    for one, begin in began.items():
        found[one] = [0] * max(0, (day - max(first, begin)).days + 1)
    for one, when, source, target, pieces in rows:
        top = (clean(supplies[one].pool), in_use(supplies[one].pool))
        place = (when - max(first, began[one])).days
        if not 0 <= place < len(found[one]):
            continue
        if source in top and target not in top and target:
            found[one][place] += pieces * PIECE
        elif target in top and source not in top and source:
            found[one][place] -= pieces * PIECE
    return {one: [max(0, amount) for amount in days] for one, days in found.items()}


def clean_left(desk: Desk, day: date) -> dict[int, int]:
    """Clean pieces of each pool when a day ends, base units: less what is taken and not booked yet.

    Below zero where jobs take more than is clean.
    """
    ids = pool_ids(desk)
    if not ids:
        return {}
    with desk.book.reading() as session:
        sheet = day_queries.sheet(session, day)
        if sheet is not None and sheet.state == "closed":
            stocks = pool_stocks(desk, day)
            return {one: stock.clean * PIECE for one, stock in stocks.items()}
        typed = use_queries.unbooked_before(session, day, day - timedelta(days=USES_DAYS))
    left = {}
    for one, stock in pool_stocks(desk).items():
        taken = typed.get(one, 0)
        for plan in plans_on(desk, day):
            entered = plan.entered_use(day, one)
            if entered is None:
                taken += plan.filled_in(day, one)[0]
            elif not entered.booked:
                taken += entered.quantity
        left[one] = stock.clean * PIECE - taken
    return left


def facts_on(desk: Desk, day: date, supply: SupplyRow, taken: int) -> list[tuple[str, str]]:
    """What the margin beside a use of a pool says of its pieces."""
    left = clean_left(desk, day).get(supply.supply_id, 0)
    stock = pool_stocks(desk).get(supply.supply_id)
    pieces = stock.pieces if stock is not None else 0
    return [
        ("Clean before", stock_said(desk, supply, left + taken)),
        ("Taken today", stock_said(desk, supply, taken)),
        ("Clean after", stock_said(desk, supply, left)),
        ("In the pool", stock_said(desk, supply, pieces * PIECE)),
    ]


def lacking_text(short: int, supply: SupplyRow) -> str:
    """What tomorrow's list says where fewer pieces are clean than the job takes."""
    return f"{counted(max(1, -(-short // PIECE)))} more of {supply.name} to wash first"


def reason_text(desk: Desk, supply: SupplyRow, line: ProposedLine) -> str:
    """`41 paint towels left of 60; two loads are 50.`"""
    stock = pool_stocks(desk).get(supply.supply_id)
    if stock is None or not stock.two_loads:
        return ""
    full = _full(desk, supply, stock.pieces)
    text = f"{stock.pieces} {supply.name[:1].lower()}{supply.name[1:]} left"
    if full > stock.pieces:
        text += f" of {full}"
    if line.reason.coming:
        text += f" and {stock_said(desk, supply, line.reason.coming)} on order"
    text += f"; two loads are {stock.two_loads}"
    if stock.pieces >= stock.two_loads:
        text += ", and some wear out or get lost before the delivery"
    return capital(text) + "."


def _full(desk: Desk, supply: SupplyRow, pieces: int) -> int:
    """Pieces of the first step right after the last delivery: those now, and what left since."""
    with desk.book.reading() as session:
        lines = queries.since_last_delivery(session, supply.supply_id)
    top = (clean(supply.pool), in_use(supply.pool))
    return pieces + sum(one.pieces * ((one.source in top) - (one.target in top)) for one in lines)
