"""Supplies filled into a draft of an estimate: what the job will use, and packs to be bought.

Worked out from the recipes of the job's services and what the shop's own uses taught of them. They
are proposals: an estimate does not count them until a person takes or changes them, for a service's
price may hold its supplies already.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.jobs.estimate_rounding import rounded
from app.actions.plan.job_plan import plans
from app.actions.stock.left import left_on
from app.actions.stock.stock_lines import last_unit_cost
from app.calculations.numbers.rounding import half_away
from app.records.queries import days as day_queries
from app.records.queries import stock as stock_queries
from app.records.queries.stock import PackRow

SUPPLIES = "Supplies"
Three = list[int]


def proposed_supplies(desk: Desk, job_id: int, rate: int, kind: str) -> list[dict[str, Any]]:
    """Lines of a job's supplies, low, likely and most, before tax; none where no recipe says any.

    What stands on the shelf is charged by what is used of it; of a supply that the shelf has too
    little of, whole packs are, each supply on its own line.
    """
    known, shelf = all_supplies(desk), left_on(desk, desk.today)
    used, bought = [0, 0, 0], []
    with desk.book.reading() as session:
        rows = day_queries.jobs_by_id(session, [job_id])
        needs = plans(desk, session, rows)[job_id].needs if rows else {}
        packs = stock_queries.packs(session)
        for supply_id, need in needs.items():
            supply = known.get(supply_id)
            if supply is None or need.washed:
                continue  # cloths are washed, not used up
            three = sorted((min(need.low, need.amount), need.amount, max(need.high, need.amount)))
            there_is = max(0, shelf.get(supply_id, 0))
            pack = _cheapest(packs.get(supply_id, ()))
            if three[2] > there_is and pack is not None:
                counts = [max(0, -(-(one - there_is) // pack.size)) for one in three]
                costs = [one * pack.price for one in counts]
                words = f"{supply.name}, {_packs_text(counts, pack)} to be bought"
                bought.append(_line(desk, words, costs, rate, kind, exact=True))
                three = [0, 0, 0] if counts[0] else [min(one, there_is) for one in three]
            each = last_unit_cost(session, supply)
            used = [so_far + half_away(each * one) for so_far, one in zip(used, three, strict=True)]
    found = [_line(desk, SUPPLIES, used, rate, kind)] if used[2] else []
    return [*found, *bought]


def _cheapest(packs: Iterable[PackRow]) -> PackRow | None:
    """The pack that costs least by what is in it."""
    priced = [one for one in packs if one.size > 0 and one.price > 0]
    return min(priced, key=lambda one: (Fraction(one.price, one.size), one.size), default=None)


def _packs_text(counts: Three, pack: PackRow) -> str:
    label = pack.label or "pack"
    return label if counts[2] == 1 else f"{counts[2]} × {label}"


def _line(
    desk: Desk, text: str, costs: Three, rate: int, kind: str, *, exact: bool = False
) -> dict[str, Any]:
    # A pack costs what it costs; what is worked out is rounded as every such price.
    low, likely, high = costs if exact else (rounded(desk, one) or one for one in costs)
    return {
        "text": text[:200], "low": low, "likely": likely, "high": high, "tax_rate": rate,
        "tax_kind": kind, "proposed": True,
    }  # fmt: skip
