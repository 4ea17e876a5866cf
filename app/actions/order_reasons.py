"""Why a line stands in an order, in a sentence with its numbers."""

from __future__ import annotations

from datetime import date

from app.actions import pool_stock
from app.actions.amounts import amount_said, capital, counted
from app.actions.desk import Desk
from app.calculations.dates import near
from app.calculations.reorder import OrderLine
from app.records.queries.stock import SupplyRow


def reason_text(desk: Desk, supply: SupplyRow, line: OrderLine, day: date) -> str:
    """`Two booked jobs need 56 mL before 22 August, 32 mL left.`"""
    if supply.pool and line.reason.kind not in ("filler", "minimum"):
        return pool_stock.reason_text(desk, supply, line)
    why = line.reason
    before = near(date.fromordinal(why.before_day), day)
    left = f"{amount_said(desk, supply, why.left)} left"
    if why.coming:
        left += f" and {amount_said(desk, supply, why.coming)} on order"
    if why.kind == "filler":
        due = date.fromordinal(why.needed_day)
        said = f"bought along: due about {near(due, day)} anyway, {left}"
    elif why.kind == "minimum":
        said = f"bought along to reach the minimum order, {left}"
    elif why.kind == "floor":
        said = f"{amount_said(desk, supply, why.floor)} are to stand there at least, {left}"
    elif why.jobs and why.booked:
        jobs = f"{counted(why.jobs)} booked job{'' if why.jobs == 1 else 's'}"
        need = "needs" if why.jobs == 1 else "need"
        said = f"{jobs} {need} {amount_said(desk, supply, why.booked)} before {before}"
        if why.unbooked:
            said += f", usual work about {amount_said(desk, supply, why.unbooked)} more"
        said += f"; {left}"
    else:
        said = f"usual work takes about {amount_said(desk, supply, why.unbooked)} before {before}"
        said += f"; {left}"
    if line.outlives:
        said += ". Even so it may outlive its shelf life"
    return capital(said) + "."
