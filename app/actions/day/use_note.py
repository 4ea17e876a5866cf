"""The margin beside a use: where its number comes from, and what it leaves on the shelf."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from app.actions.day.typed_uses import meaning_of
from app.actions.desk.amounts import (
    all_supplies,
    amount_said,
    amount_text,
    stock_text,
    supply_of,
    unit_of,
)
from app.actions.desk.desk import Desk
from app.actions.orders.shelf_state import cover_days, covers, proposal
from app.actions.plan.job_needs import Need
from app.actions.plan.job_plan import JobPlan, plans_on
from app.actions.plan.learnt_uses import observations
from app.actions.stock import pool_stock
from app.actions.stock.left import left_on, used_on
from app.actions.stock.lots import taking_text
from app.actions.stock.neighbors import OVERRIDES, caution_beside
from app.calculations.numbers.units import Kind, in_unit
from app.calculations.numbers.wording import counted, words_of
from app.calculations.plan.expected_use import ConfirmedUse, fit
from app.errors import Mendable
from app.records.queries import stock as queries
from app.records.queries.stock import SupplyRow

FEW = 3  # confirmed uses below which a filled-in number is worth a look


@dataclass(frozen=True, kw_only=True)
class UseNote:
    """What the margin says of one cell; numbers are in `unit`."""

    title: str
    origin: tuple[str, ...]  # where the filled-in number comes from, and its range
    advice: tuple[str, ...]  # which containers it takes; how yours compares, and what it teaches
    read_as: str  # how what was typed came to its amount
    past: tuple[float, ...]  # confirmed uses of such jobs, latest first
    low: float
    high: float
    filled: float
    yours: float | None
    unit: str
    facts: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]


def use_note(desk: Desk, day: date, job_id: int, supply_id: int) -> UseNote:
    """Everything that stands behind a number of the station *Supplies used*."""
    plan = next((one for one in plans_on(desk, day) if one.job_id == job_id), None)
    if plan is None:
        raise Mendable("This job does not stand on that day.")
    supply = supply_of(desk, supply_id)
    entered = plan.entered_use(day, supply_id)
    filled = plan.filled_in(day, supply_id)[0]
    if entered is not None and day in plan.closed:
        filled = entered.expected
    need = _share(plan.needs.get(supply_id), filled)
    typed = entered is not None and entered.state == "confirmed"
    yours = entered.quantity if entered is not None and typed else None
    unit = unit_of(desk, supply)
    whose = f"{plan.job.customer}, {plan.job.vehicle}".strip(", ")
    return UseNote(
        title=f"{supply.name} on {whose}" if whose else supply.name,
        origin=tuple(_origin(desk, plan, supply, need, filled)),
        advice=tuple(_advice(desk, day, plan, supply, need, filled, yours)),
        read_as=meaning_of(desk, supply, entered, left_on(desk, day).get(supply_id, 0))
        if entered
        else "",
        past=tuple(_in(supply, unit, one) for one in need.past) if need else (),
        low=_in(supply, unit, need.low) if need else 0.0,
        high=_in(supply, unit, need.high) if need else 0.0,
        filled=_in(supply, unit, filled),
        yours=None if yours is None else _in(supply, unit, yours),
        unit=unit,
        facts=tuple(_facts(desk, day, supply)),
        cautions=tuple(cautions(desk, plan, day, supply)),
    )


def _in(supply: SupplyRow, unit: str, amount: int) -> float:
    """An amount as a plain number for a drawing."""
    kind = Kind(supply.kind)
    try:
        return float(in_unit(amount, unit, kind))
    except Mendable:
        return amount / 1000


def _share(need: Need | None, filled: int) -> Need | None:
    """The part of a whole job's need that falls on the day, with its range and past."""
    if need is None or need.amount == 0 or filled in (0, need.amount):
        return need
    part = filled / need.amount
    return replace(
        need,
        amount=filled,
        low=round(need.low * part),
        high=round(need.high * part),
        past=tuple(round(one * part) for one in need.past),
    )


def _origin(
    desk: Desk, plan: JobPlan, supply: SupplyRow, need: Need | None, filled: int
) -> list[str]:
    if need is None or not filled:
        return ["No recipe of this job asks for it."]
    text = f"Filled in with {amount_said(desk, supply, filled)}"
    if need.whole_container:
        return [f"{text}: the recipe opens the whole container."]
    if need.n == 0:
        return [f"{text}, from the recipe: no such job was confirmed yet."]
    service = next(
        (one.name for one in plan.services if one.service_id == need.service_id), "such work"
    )
    return [
        f"{text}, from {words_of(need.n, 'confirmed job')} of {service}.",
        f"Four in five use {amount_said(desk, supply, need.low)} to "
        f"{amount_said(desk, supply, need.high)}.",
    ]


def _advice(
    desk: Desk,
    day: date,
    plan: JobPlan,
    supply: SupplyRow,
    need: Need | None,
    filled: int,
    yours: int | None,
) -> list[str]:
    if need is not None and filled and need.whole_container:
        if day in plan.closed:
            return []
        return list(taking_text(desk, day, supply, filled if yours is None else yours, filled))
    if yours is None or need is None or need.whole_container or not need.recipe:
        return []
    sentences = []
    if need.past:
        below = sum(one < yours for one in need.past)
        sentences.append(
            f"Your {amount_said(desk, supply, yours)} is more than {counted(below)} of the last "
            f"{counted(len(need.past))}."
        )
    sentences.append(
        "If it stays, the next such job is filled in with "
        f"{amount_said(desk, supply, _next_time(desk, plan, need, filled, yours))}."
    )
    return sentences


def _next_time(desk: Desk, plan: JobPlan, need: Need, filled: int, yours: int) -> int:
    """What a job just like this one would be filled in with, were this use confirmed."""
    service = next(one for one in plan.services if one.service_id == need.service_id)
    size = plan.job.size_outside if service.outside else plan.job.size_inside
    whole = plan.needs[need.supply_id]
    recipe = whole.recipe * filled // whole.amount if whole.amount else whole.recipe
    seen = [one for one in observations(desk) if one.supply == need.supply_id]
    mine = ConfirmedUse(
        need.supply_id, need.service_id, size, recipe, yours, desk.today.toordinal()
    )
    return fit([*seen, mine]).expect(need.supply_id, need.service_id, size, recipe).amount


def _facts(desk: Desk, day: date, supply: SupplyRow) -> list[tuple[str, str]]:
    left = left_on(desk, day).get(supply.supply_id, 0)
    used = used_on(desk, day).get(supply.supply_id, 0)
    if supply.pool:
        return pool_stock.facts_on(desk, day, supply, used)
    facts = [
        ("On the shelf before", stock_text(desk, supply, left + used)),
        ("Used today", amount_text(desk, supply, used)),
        ("Left", stock_text(desk, supply, left)),
    ]
    days = cover_days(covers(desk, day).get(supply.supply_id), day)
    facts.append(("Enough for about", "over a year" if days is None else _days(days)))
    with desk.book.reading() as session:
        supplier = queries.suppliers(session).get(supply.supplier_id or 0)
    for one in proposal(desk, day).suppliers:
        if supplier is not None and one.supplier == supplier.supplier_id:
            wait = one.delivery_day - day.toordinal()
            facts.append(("Ordered today, comes in", _days(wait)))
    return facts


def _days(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"


def cautions(desk: Desk, plan: JobPlan, day: date, supply: SupplyRow) -> list[str]:
    """The usual cautions, once, where the supply is chosen; they defer to label and data sheet."""
    sentences = []
    if supply.signal_word:
        hazards = "; ".join(supply.hazard_statements[:3])
        sentences.append(f"{supply.signal_word}{': ' + hazards if hazards else ''}. {OVERRIDES}")
    neighbor = neighbors(desk, plan, day, supply)
    if neighbor:
        sentences.append(neighbor)
    return sentences


def neighbors(desk: Desk, plan: JobPlan, day: date, supply: SupplyRow) -> str:
    """The caution about what this supply does with another of the job; "" where none is known."""
    supplies = all_supplies(desk)
    return caution_beside(supply, [supplies[other] for other in plan.supplies_on(day)])
