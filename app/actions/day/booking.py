"""Booking a day: what the sheet says becomes lines of the ledgers, and back again.

Everything here runs within the one transaction of the close (or of reopening); `work_of` first,
which reads the book as it is while nobody else can write.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

from app.actions.day.jobs_worked import other_minutes
from app.actions.day.money_taken import MoneyRow, money_taken
from app.actions.day.money_taken import take_back as take_back_receipt
from app.actions.desk.amounts import all_supplies, money
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import moment_on
from app.actions.orders.order_proposal import SupplierOrder, what_to_order
from app.actions.plan.job_plan import JobPlan, plans_on
from app.actions.stock import pool_lines
from app.actions.stock.stock_lines import last_unit_cost, take_back, take_out, wear_out
from app.calculations.layers.layers import EFFECTS, Happening
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of
from app.calculations.stock.pools import Tally
from app.records.asking import to_write
from app.records.models import (
    CONFIRMED,
    EXPECTED,
    DaySheet,
    Hours,
    Job,
    JobStep,
    LayerEvent,
    Receipt,
    Use,
)
from app.records.queries import days as day_queries
from app.records.queries import takings
from app.records.queries import uses as use_queries
from app.records.queries.days import Session
from app.records.queries.stock import SupplyRow
from app.records.stock import balances, snapshot
from app.records.undo.ledgers import countering


@dataclass(frozen=True)
class Work:
    """What a day is going to book."""

    plans: tuple[JobPlan, ...]
    other_minutes: int
    other_state: str
    money: tuple[MoneyRow, ...]
    orders: tuple[SupplierOrder, ...]


@dataclass(frozen=True)
class Booked:
    """What a day booked, one line each, and its summary."""

    lines: tuple[str, ...]
    summary: str


def work_of(desk: Desk, day: date) -> Work:
    """Everything that closing the day will book, as it stands now."""
    return Work(
        plans_on(desk, day),
        *other_minutes(desk, day),
        money_taken(desk, day).rows,
        orders_to_write(desk, day),
    )


def orders_to_write(desk: Desk, day: date) -> tuple[SupplierOrder, ...]:
    """The orders of a day in which anything is left to order."""
    found = what_to_order(desk, day).suppliers
    return tuple(one for one in found if any(line.packs for line in one.lines))


def book_day(session: Session, desk: Desk, day: date, sheet: DaySheet, work: Work) -> Booked:
    """Write the day into the ledgers; what nobody confirmed is marked so."""
    stations = set(sheet.stations)
    minutes = _book_hours(session, day, work, "jobs" in stations)
    for plan in work.plans:
        _book_steps(session, desk, day, plan)
    supplies, cost = _book_uses(session, desk, day, work, "supplies" in stations)
    finished = [plan for plan in work.plans if plan.finishes_on(day)]
    for plan in work.plans:
        job = session.get_one(Job, plan.job_id)
        if plan.finishes_on(day):
            job.state, job.done_on = "done", day
        elif job.state == "booked":
            job.state = "working"
    taken = _book_money(session, desk, day, work, "money" in stations)
    session.flush()
    snapshot(session, day)
    jobs = len(work.plans)
    summary = [
        f"{count_of(jobs, 'job')}",
        shown_duration(minutes),
        f"supplies {money(desk, cost)}",
        f"taken {money(desk, taken)}",
    ]
    lines = [
        f"{count_of(jobs, 'job')} worked, {shown_duration(minutes)}",
        f"{count_of(len(supplies), 'supply')} used, {money(desk, cost)} off the shelf",
        f"{money(desk, taken)} taken",
    ]
    if finished:
        numbers = ", ".join(f"{plan.job.number:04d}" for plan in finished)
        lines.insert(1, f"Finished: {numbers}")
    lines += [f"Order to {one.name}: {one.lines_text}; written, you send it" for one in work.orders]
    return Booked(tuple(lines), ", ".join(summary))


def _book_hours(session: Session, day: date, work: Work, confirmed: bool) -> int:
    total = 0
    state = CONFIRMED if confirmed else EXPECTED
    filled: list[tuple[int | None, int]] = []
    for plan in work.plans:
        minutes = plan.minutes_on(day)
        total += minutes
        if plan.entered_hours(day) is None:
            filled.append((plan.job_id, minutes))
    if work.other_state == "expected":
        filled.append((None, work.other_minutes))
    for job_id, minutes in filled:
        if minutes:
            hours = Hours(day=day, job_id=job_id, minutes=minutes, expected=minutes, state=state)
            session.add(hours)
    return total


def _book_steps(session: Session, desk: Desk, day: date, plan: JobPlan) -> None:
    """Steps ticked become done; on a finished job the others were not done. What they do to the
    layers on the vehicle becomes events; those of an earlier close that no longer hold are taken
    back, those that do are left as they stand."""
    wanted: dict[_Layer, str] = {}
    for one in plan.steps_on(day):
        step = one.step
        if one.state == "done":
            if step.state != "done":
                row = session.get_one(JobStep, step.step_id)
                row.state, row.day = "done", day
            effect = EFFECTS.get(step.effect)
            if effect is not None:
                supply = step.supply_id if effect is Happening.APPLIED else None
                wanted |= {
                    _layer(step.step_id, effect.value, group, supply, step.name): step.name
                    for group in step.surface_groups
                }
        elif one.state == "later" and plan.finishes_on(day):
            row = session.get_one(JobStep, step.step_id)
            row.state, row.day = "not done", day
    if plan.job.vehicle_id is None:
        return
    for event in day_queries.layers_of(session, [plan.job_id], day):
        layer = _layer(event.step_id, event.kind, event.surface_group, event.supply_id, event.note)
        if wanted.pop(layer, None) is None:
            why = "Taken back when the day was closed again"
            session.add(countering(event, day=day, at=desk.clock(), note=why))
    begin = moment_on(desk, day)
    for place, ((step_id, kind, group, supply, _), name) in enumerate(wanted.items()):
        session.add(
            LayerEvent(
                vehicle_id=plan.job.vehicle_id,
                job_id=plan.job_id,
                step_id=step_id,
                day=day,
                at=begin + timedelta(seconds=place),
                kind=kind,
                surface_group=group,
                supply_id=supply,
                note=name[:300],
            )
        )


# What tells a layer event of a job from its others: its step, what it did where, with what; and
# the means, where it took layers off (see `_layer`).
_Layer = tuple[int | None, str, str, int | None, str]


def _layer(step: int | None, kind: str, group: str, supply: int | None, name: str) -> _Layer:
    """A layer put on is its step's, whatever the step is called. What strips or abrades says by
    its name what it does it with, so there another name is another event."""
    return (step, kind, group, supply, "" if kind == "applied" else name)


def _book_uses(
    session: Session, desk: Desk, day: date, work: Work, confirmed: bool
) -> tuple[set[int], int]:
    """Uses become lines of the stock ledger; (supplies, their cost in minor units)."""
    rows = {(row.job_id, row.supply_id): row for row in to_write(session, Use, day=day)}
    for plan in work.plans:
        for supply_id in plan.supplies_on(day):
            if plan.entered_use(day, supply_id) is not None:
                continue
            amount, recipe = plan.filled_in(day, supply_id)
            row = rows.get((plan.job_id, supply_id))
            if row is None:
                row = Use(day=day, job_id=plan.job_id, supply_id=supply_id)
                session.add(row)
                rows[plan.job_id, supply_id] = row
            row.quantity = row.expected = amount
            row.recipe, row.typed = recipe, ""
            row.state = "confirmed" if confirmed else "recipe"
    session.flush()
    filled = {(plan.job_id, one) for plan in work.plans for one in plan.supplies_on(day)}
    used: set[int] = set()
    cost = 0
    known = balances(session)
    supplies, pools = all_supplies(desk), dict[int, tuple[Tally, Fraction]]()
    for key, row in rows.items():
        if row.booked:
            cost += row.cost
            used.add(row.supply_id)
            continue
        if key not in filled and row.state == "recipe":
            session.delete(row)  # filled in before the day was reopened, and not expected any more
            continue
        supply = supplies.get(row.supply_id)
        if supply is not None and supply.pool:
            row.cost = _book_pool_use(session, desk, day, supply, row, known, pools)
        else:
            named: dict[str, Any] = {"job_id": row.job_id, "use_id": row.id}
            taken = row.supply_id, row.quantity
            row.cost = take_out(session, desk, day, *taken, "used", known=known, **named)
        row.booked = True
        cost += row.cost
        if row.quantity:
            used.add(row.supply_id)
    return used, cost


def _book_pool_use(
    session: Session,
    desk: Desk,
    day: date,
    supply: SupplyRow,
    row: Use,
    known: dict[int, tuple[int, int]],
    pools: dict[int, tuple[Tally, Fraction]],
) -> int:
    """What a job took of a pool: its pieces are set out, its wear goes off their worth."""
    before, each = pools.get(supply.supply_id) or (
        pool_lines.standing_in(session, supply.supply_id),
        last_unit_cost(session, supply),
    )
    job = session.get(Job, row.job_id) if row.job_id is not None else None
    whose = f"Job {job.number:04d}" if job is not None else "The shop"
    after = pool_lines.book_use(session, desk, day, supply, row, before, whose)
    pools[supply.supply_id] = after, each
    named = {"job_id": row.job_id, "use_id": row.id}
    return wear_out(session, desk, day, supply, row.quantity, each, known, **named)


def _book_money(session: Session, desk: Desk, day: date, work: Work, confirmed: bool) -> int:
    total = 0
    for row in work.money:
        total += row.taken
        if row.state != "expected":
            continue
        session.add(
            Receipt(
                job_id=row.job.job_id,
                customer_id=row.job.customer_id,
                day=day,
                at=desk.clock(),
                amount=row.taken,
                method=row.method,
                kind="payment",
                state=CONFIRMED if confirmed else EXPECTED,
            )
        )
    return total


def take_back_day(session: Session, desk: Desk, day: date, reason: str) -> int:
    """Take the day's lines out of the ledgers by counter-entries; how many were written.

    What was typed stays typed; what was filled in is filled in again. Layers stay until the day is
    closed again: then those that no longer hold are taken back.
    """
    lines, uses = [], []
    for use in to_write(session, Use, day=day):
        if use.booked:
            lines += use_queries.lines_of_use(session, use.id)
            uses.append(use.id)
            use.booked, use.cost = False, 0
    take_back(session, desk, lines, reason)
    written = len(lines) + pool_lines.take_back(session, desk, reason, use_ids=uses)
    for hours in to_write(session, Hours, day=day):
        if hours.state == EXPECTED:
            session.delete(hours)
    jobs = takings.jobs_with_receipts(session, day)
    for receipts in takings.receipts_of(session, jobs).values():
        for one in receipts:
            if one.day == day and one.state == EXPECTED:
                row = session.get_one(Receipt, one.receipt_id)
                take_back_receipt(session, desk, row, reason)
                written += 1
    for job_id in day_queries.done_on(session, day):
        job = session.get_one(Job, job_id)
        job.state, job.done_on = "working", None
    session.flush()
    return written
