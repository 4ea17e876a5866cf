"""How a plan stands on the page: rows in groups, one for each bay, then what is elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.bay.plan_of_shop import PlannedJob, ShopPlan, Unplaced
from app.calculations.bay.planning import Clash


@dataclass(frozen=True)
class PlanGroup:
    """A bay with its jobs and clashes, what is done elsewhere, or what has no place."""

    title: str
    note: str = ""
    rows: tuple[PlannedJob | Unplaced, ...] = ()
    in_bay: bool = False
    clashes: tuple[Clash, ...] = ()


def groups_of(plan: ShopPlan) -> tuple[PlanGroup, ...]:
    """The groups of a plan, without those in which nothing stands; bays always stand."""
    found = []
    for bay in range(plan.bays):
        title = "The bay" if plan.bays == 1 else f"Bay {bay + 1}"
        rows = tuple(row for row in plan.rows if row.bay == bay)
        clashes = tuple(one for one in plan.clashes if one.bay == bay)
        note = "one at a time" if plan.bays == 1 else ""
        found.append(PlanGroup(title, note, rows, True, clashes))
    out = tuple(row for row in plan.rows if row.bay is None)
    if out:
        yard = any(row.place == "yard" for row in out)
        found.append(PlanGroup("Outside or in a yard" if yard else "Outside", "", out))
    waiting = tuple(one for one in plan.unplaced if one.waits)
    beyond = tuple(one for one in plan.unplaced if not one.waits)
    if beyond:
        found.append(PlanGroup("No place within what is planned", "", beyond))
    if waiting:
        found.append(PlanGroup("Waiting for a day", "", waiting))
    return tuple(found)


def was_booked(plan: ShopPlan) -> dict[date, int]:
    """What each day held before the move that is tried."""
    days = plan.effect.days if plan.effect is not None else plan.days
    return {day.day: day.booked for day in days}


def hours_of(plan: ShopPlan) -> str:
    """Hours booked of those open: `78 of 84`."""
    booked, is_open = (
        sum(minutes) / 60
        for minutes in zip(*((day.booked, day.open_minutes) for day in plan.days), strict=True)
    )
    return f"{round(booked)} of {round(is_open)}"


def plan_sentence(plan: ShopPlan) -> str:
    """The plan in short, as its folded entry says it."""
    if plan.clashes:
        return plan.said.rstrip(".")
    return f"{hours_of(plan)} open hours booked" if plan.rows else "nothing booked"
