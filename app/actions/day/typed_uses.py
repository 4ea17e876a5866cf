"""How a use that was typed was read: the weighing before it, and its meaning in a sentence."""

from __future__ import annotations

from fractions import Fraction

from app.actions.desk.amounts import amount_said, entry_setting, number_of
from app.actions.desk.desk import Desk
from app.actions.stock.pool_lines import taken_as_typed
from app.calculations.numbers.entries import read_use
from app.calculations.numbers.units import Kind, base_amount
from app.errors import Mendable
from app.records.queries.stock import SupplyRow
from app.records.queries.uses import UseRow


def weight_before(desk: Desk, supply: SupplyRow, before: UseRow | None) -> int | None:
    """What the container weighed before the use that stands was typed, if that was a weighing.

    A cell that is typed anew is compared with the weight before the day's work, not with the one
    that the first try left behind.
    """
    if before is None or not before.typed or supply.last_weight is None:
        return supply.last_weight
    mass = before.quantity
    if supply.kind == Kind.LIQUID:
        mass = base_amount(Fraction(mass), "uL", Kind.PASTE, supply.density)
    prior = supply.last_weight + mass
    try:
        entry = read_use(before.typed, entry_setting(desk, supply, on_hand=None, last_weight=prior))
    except Mendable:
        return supply.last_weight
    return prior if entry.weight_mg == supply.last_weight else supply.last_weight


def meaning_of(desk: Desk, supply: SupplyRow, told: UseRow, left: int) -> str:
    """How what was typed came to its amount; "" where it is the bare number that is shown.

    `left` is what stands on the shelf after it, base units.
    """
    typed = told.typed.strip()
    if not typed or typed == number_of(desk, supply, told.quantity):
        return ""
    if supply.pool:
        pieces = taken_as_typed(supply, typed)
        return "" if pieces is None else f"{typed}: {amount_said(desk, supply, pieces)}."
    weight = weight_before(desk, supply, told)
    setting = entry_setting(desk, supply, on_hand=left + told.quantity, last_weight=weight)
    try:
        entry = read_use(typed, setting)
    except Mendable:
        return ""
    # What was read otherwise since (another bottle, another strength) is not explained wrongly.
    return f"{entry.meaning}." if entry.amount == told.quantity else ""
