"""Why a line stands in an order, in a sentence with its numbers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from app.actions.desk.amounts import need_said, stock_said
from app.actions.desk.desk import Desk
from app.actions.stock import pool_stock
from app.calculations.numbers.dates import near
from app.calculations.numbers.wording import capital, words_of
from app.calculations.orders.reorder import ProposedLine
from app.records.queries.stock import SupplyRow

BY_HAND = "Added by hand."


def reason_text(
    desk: Desk,
    supply: SupplyRow,
    line: ProposedLine,
    day: date,
    names: Mapping[int, str],
    seller: int,
) -> str:
    """`Two booked jobs need 56 mL before 22 August, 32 mL left.`

    names: of the suppliers; seller: from whom it is ordered.
    """
    if supply.pool and line.reason.kind not in ("filler", "minimum"):
        return pool_stock.reason_text(desk, supply, line)
    why = line.reason
    before = near(date.fromordinal(why.before_day), day)
    until = f"before {before}"
    left = f"{stock_said(desk, supply, why.left)} left"
    if why.coming:
        left += f" and {stock_said(desk, supply, why.coming)} on order"
    if why.kind == "filler":
        due = date.fromordinal(why.needed_day)
        text = f"bought along: due about {near(due, day)} anyway, {left}"
    elif why.kind == "minimum":
        text = f"bought along to reach the minimum order, {left}"
    elif why.kind == "floor":
        text = f"{stock_said(desk, supply, why.floor)} are to stand there at least, {left}"
    elif why.jobs and why.booked:
        jobs = words_of(why.jobs, "booked job needs", "booked jobs need")
        text = f"{jobs} {need_said(desk, supply, why.booked)} {until}"
        if why.unbooked:
            text += f", usual work about {need_said(desk, supply, why.unbooked)} more"
        text += f"; {left}"
    else:
        text = f"usual work takes about {need_said(desk, supply, why.unbooked)} {until}"
        text += f"; {left}"
    if why.late:
        text = f"should the next delivery be late, {text}"
    text = _with_stop(text, line, day, names, seller)
    if why.keeps_only:
        text += ". More would not keep so long"
    elif line.outlives:
        on_shelf = supply.shelf_life_days or 0
        opened = not on_shelf or 0 < (supply.opened_life_days or 0) < on_shelf
        text += f". Even so it may outlive its {'life once opened' if opened else 'shelf life'}"
    return capital(text) + "."


def _with_stop(
    text: str, line: ProposedLine, day: date, names: Mapping[int, str], seller: int
) -> str:
    """The sentence behind what a cold stop has to do with it."""
    why = line.reason
    if why.stop is None:
        return text
    first, last = (date.fromordinal(one) for one in why.stop)
    if why.instead_of is not None:
        usual = names.get(why.instead_of, "its supplier")
        return (
            f"{usual} sends nothing that freezes until {near(last, day)}, "
            f"so from {names.get(seller, 'another')}: {text}"
        )
    if why.kind == "cold":
        until = near(last, day)
        return (
            f"{names.get(seller, 'its supplier')} sends nothing that freezes from "
            f"{near(first, day)} to {until}: {text}"
        )
    return text
