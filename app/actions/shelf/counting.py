"""Counting the shelf: what each count found, as use that nobody recorded, and its share."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.calculations.numbers.rounding import half_away
from app.calculations.stock.shelf_order import quarter, unrecorded_shares
from app.records.queries import stock_figures

LOOK_BACK_DAYS = 400  # counts of longer ago are no news; it bounds what is read


@dataclass(frozen=True)
class Counted:
    """What the counts of a supply found; base units and minor units.

    `gone` is what the day's counts found missing without a record (below zero: more than the
    book said), `share_text` its quarter's share of all that went.
    """

    last: date
    today: bool
    gone: int = 0
    value: int = 0
    share_text: str = ""


def counts(desk: Desk, day: date) -> dict[int, Counted]:
    """By supply: when it was counted last, and what the counts of this day found."""
    with desk.book.reading() as session:
        lasts = stock_figures.last_counts(session, day - timedelta(days=LOOK_BACK_DAYS), day)
        found = stock_figures.counts_on(session, day)
        year, number = quarter(day)
        begin = date(year, 3 * number - 2, 1)
        lines = stock_figures.uses_and_counts_of(session, found.keys(), begin)
    supplies = all_supplies(desk)
    result = {}
    for supply_id, last in lasts.items():
        supply = supplies.get(supply_id)
        if supply is None:
            continue
        if supply_id not in found:
            result[supply_id] = Counted(last, False)
            continue
        quantity, value = found[supply_id]
        share = ""
        if quantity and not supply.pool:  # the pieces of a pool that jobs took are still there
            share = _share(lines.get(supply_id, ()), (year, number))
        result[supply_id] = Counted(last, True, -quantity, -value, share)
    return result


def _share(lines: Collection[tuple[date, str, int]], when: tuple[int, int]) -> str:
    share: Fraction | None = unrecorded_shares(lines, [when])[when][1]
    return "" if share is None else f"{half_away(share * 100)} %"
