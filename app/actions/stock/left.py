"""What is left of each supply when a day ends, and what the day takes."""

from __future__ import annotations

from datetime import date, timedelta

from app.actions.desk.desk import Desk, kept
from app.actions.plan.job_plan import plans_on
from app.actions.stock import pool_stock
from app.records import stock as ledger
from app.records.queries import days as day_queries
from app.records.queries import uses as use_queries


@kept("left")
def left_on(desk: Desk, day: date) -> dict[int, int]:
    """What is left of each supply when this day ends, base units.

    For a closed day what stood on the shelf then. For an open day what stands in the ledger, less
    what this day takes and what was typed on earlier days that are not closed yet.
    """
    today = used_on(desk, day)
    with desk.book.reading() as session:
        sheet = day_queries.sheet(session, day)
        if sheet is not None and sheet.state == "closed":
            return {one: stand[0] for one, stand in ledger.balances(session, day).items()}
        left = dict(_standing(desk))
        typed = use_queries.unbooked_before(session, day, day - timedelta(days=60))
    pools = pool_stock.pool_ids(desk)  # what is taken of them comes back
    for taken in (today, typed):
        for supply, amount in taken.items():
            if supply in pools:
                continue
            left[supply] = left.get(supply, 0) - amount
    return left


@kept("balances")
def _standing(desk: Desk) -> dict[int, int]:
    """What the ledger says stands there, base units."""
    with desk.book.reading() as session:
        return {one: stand[0] for one, stand in ledger.balances(session).items()}


def used_on(desk: Desk, day: date) -> dict[int, int]:
    """What this day takes of each supply: typed, or filled in where nothing was."""
    used: dict[int, int] = {}
    for plan in plans_on(desk, day):
        for supply in plan.supplies_on(day):
            entered = plan.entered_use(day, supply)
            amount = entered.quantity if entered is not None else plan.filled_in(day, supply)[0]
            used[supply] = used.get(supply, 0) + amount
    return used
