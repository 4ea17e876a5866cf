"""What stands on the shelf and earns nothing: dead stock, and use that nobody recorded."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.orders.shelf_state import open_plans
from app.actions.stock.left import left_on
from app.actions.stock.lots import lots_there, past_life
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.rounding import half_away
from app.calculations.stock.shelf_order import quarter, unrecorded_shares
from app.records.queries import pools as pool_queries
from app.records.queries import stock_figures
from app.records.queries.stock import SupplyRow
from app.records.stock import balances

IDLE_DAYS = 180  # half a year without use (common practice, no source)
QUARTERS = 4


@dataclass(frozen=True)
class DeadStock:
    """A supply that stands idle or is past its life; base units and minor units."""

    supply_id: int
    amount: int
    value: int
    why: str
    past: bool = False  # its life is over: it can be written off


@dataclass(frozen=True)
class QuarterShare:
    """Use without a record in a quarter."""

    label: str
    amount: int
    share_text: str  # of all that went; "" where nothing did


def dead_stock(desk: Desk, day: date) -> tuple[DeadStock, ...]:
    """What is idle or past its life, the dearest first.

    Idle: nothing used in 180 days, in the book for as long, and no booked job needs it. Past its
    life: lots that expired, or are open longer than they keep.
    """
    left = left_on(desk, day)
    with desk.book.reading() as session:
        moved = stock_figures.last_moved(session)
        touched = pool_queries.last_days(session)  # pieces that are used stay, so no line says so
        worth = balances(session)
    lots = lots_there(desk)
    needed = {supply for plan in open_plans(desk, day) for supply in plan.needs}
    found = []
    for supply in all_supplies(desk).values():
        number = supply.supply_id
        amount = left.get(number, 0)
        if amount <= 0:
            continue
        quantity, value = worth.get(number, (0, 0))
        used, came = moved.get(number, (None, None))
        used = touched.get(number, used) if supply.pool else used
        last = max((one for one in (used, came) if one is not None), default=None)
        past = [part for lot in lots.get(number, ()) if (part := past_life(supply, lot, day))[0]]
        if not past and number not in needed and last and (day - last).days >= IDLE_DAYS:
            why = f"not used since {day_year(used)}" if used else "never used, and no job needs it"
            share = value * amount // quantity if quantity > 0 else value
            found.append(DeadStock(number, amount, max(0, share), why))
            continue
        if past:
            why = "; ".join(dict.fromkeys(reason for *_, reason in past))
            amount = min(amount, sum(part[0] for part in past))
            found.append(DeadStock(number, amount, sum(part[1] for part in past), why, past=True))
    return tuple(sorted(found, key=lambda one: (-one.value, one.supply_id)))


def unrecorded(desk: Desk, day: date, supply: SupplyRow) -> tuple[QuarterShare, ...]:
    """Use that only counts found, in the last four quarters, the newest first.

    What a count of a pool does not find is lost, not used; the pool itself says how much.
    """
    if supply.pool:
        return ()
    wanted = []
    year, number = quarter(day)
    for _ in range(QUARTERS):
        wanted.append((year, number))
        year, number = (year, number - 1) if number > 1 else (year - 1, 4)
    since = date(wanted[-1][0], 3 * wanted[-1][1] - 2, 1)
    with desk.book.reading() as session:
        lines = stock_figures.uses_and_counts(session, supply.supply_id, since)
    shares = unrecorded_shares(lines, wanted)
    return tuple(
        QuarterShare(
            f"{_ORDINAL[one[1]]} quarter {one[0]}",
            shares[one][0],
            "" if (share := shares[one][1]) is None else f"{half_away(share * 100)} %",
        )
        for one in wanted
    )


_ORDINAL = {1: "First", 2: "Second", 3: "Third", 4: "Fourth"}
