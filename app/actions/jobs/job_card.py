"""A job's card: everything about one job, station by station."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from app.actions.desk.amounts import (
    all_supplies,
    column_decimals,
    money,
    number_of,
    totals,
    unit_of,
)
from app.actions.desk.desk import Desk, there
from app.actions.desk.open_day import numbered
from app.actions.jobs.estimate_calls import CallDue, calls_due
from app.actions.jobs.estimate_versions import Version, versions
from app.actions.jobs.estimates import Estimate, estimate
from app.actions.jobs.invoices import Papers, papers_of
from app.actions.jobs.jobs import span_text
from app.actions.layers.layering_advice import StepAdvice, advice_on_steps
from app.actions.plan.job_plan import OFF, JobPlan, plans
from app.calculations.numbers.dates import day_short, near, weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.tax import Totals
from app.calculations.numbers.wording import count_of
from app.records.models import Vehicle
from app.records.queries import days as day_queries
from app.records.queries import invoices as invoice_queries
from app.records.queries import jobs as queries
from app.records.queries import people as people_queries
from app.records.queries import takings


@dataclass(frozen=True, kw_only=True)
class CardSupply:
    """A supply over the whole job: expected and used so far, with what it cost as closed."""

    supply_id: int
    name: str
    unit: str
    expected_text: str
    used_text: str
    cost: int
    state: str  # expected, used, mixed ("some from recipe")
    far: bool  # used three times off what was expected


@dataclass(frozen=True)
class CardDay:
    """A day of the job: minutes expected and worked."""

    day: date
    day_text: str
    expected_text: str
    worked_text: str
    state: str  # worked, booked, expected, off
    closed: bool


@dataclass(frozen=True)
class CardMoney:
    """What is charged, what came, and their sums; minor units."""

    charges: tuple[queries.ChargeRow, ...]
    receipts: tuple[takings.ReceiptRow, ...]
    sums: Totals
    paid: int


@dataclass(frozen=True, kw_only=True)
class JobCard:
    """Everything about one job. `stations` gives each entry's (result, alert, state)."""

    job: day_queries.JobRow
    plate: str  # "" where the vehicle is called by it
    services: tuple[day_queries.ServiceRow, ...]
    when_text: str
    promised_text: str
    promised_short: str
    promised_before: bool  # before its last day, as it may stand when the job was moved
    expected_minutes: int
    worked_minutes: int
    steps: tuple[day_queries.StepRow, ...]
    supplies: tuple[CardSupply, ...]
    hours: tuple[CardDay, ...]
    money: CardMoney
    papers: Papers
    estimate: Estimate
    stations: dict[str, tuple[str, str, str]]
    before: tuple[tuple[int, str, str, str], ...]  # earlier jobs on the vehicle
    log: tuple[tuple[str, str], ...]
    versions: tuple[Version, ...] = ()  # of its estimate
    call: CallDue | None = None
    payer: str = ""  # who pays, where that is not its customer
    advice: tuple[StepAdvice, ...] = ()  # on steps that put a layer on


def job_card(desk: Desk, job_id: int) -> JobCard:
    """Everything about one job; `Mendable` when it is not in the book."""
    today = desk.today
    with desk.book.reading() as session:
        found = day_queries.jobs_by_id(session, [job_id])
        there(found[0] if found else None, "This job")
        plan = plans(desk, session, found)[job_id]
        charges = queries.charges_of(session, job_id)
        nets = takings.nets_of(session, [job_id]).get(job_id, takings.Nets())
        receipts = takings.receipts_of(session, [job_id]).get(job_id, [])
        beside = takings.beside_of(session, [job_id]).get(job_id, [])
        vehicle = session.get(Vehicle, plan.job.vehicle_id) if plan.job.vehicle_id else None
        plate = vehicle.plate if vehicle is not None else ""
        if vehicle is not None and plate in vehicle.description:
            plate = ""  # a vehicle that nobody described is called by it
        on = plan.job.vehicle_id
        history = people_queries.history(session, vehicle_id=on) if on else []
        log = queries.actions_on(session, plan.job.number_text)
        payer = invoice_queries.payers_of(session, [job_id]).get(job_id)
    cash = _money(desk, charges, nets, receipts, beside)
    worked = sum(
        row.minutes
        for row in plan.hours
        if row.state != OFF and (row.state == "confirmed" or row.day in plan.closed)
    )
    supplies = _supplies(desk, plan)
    guess = estimate(
        desk,
        [(one.service_id, one.layers) for one in plan.services],
        plan.job.size_outside,
        plan.job.size_inside,
        plan.job.condition,
        agreed=cash.sums.net if charges else None,
    )
    promised = plan.job.promised_at
    due = desk.day_of(promised) if promised is not None else None
    clock = desk.clock_of(promised) if promised is not None else ""
    found_versions = versions(desk, job_id)
    call = calls_due(desk, [job_id]).get(job_id) if found_versions else None
    advice = advice_on_steps(desk, job_id, plan.job.vehicle_id, plan.steps)
    return JobCard(
        job=plan.job,
        plate=plate,
        services=plan.services,
        when_text=span_text(plan.job.first_day, plan.job.last_day, today),
        promised_text=f"promised {weekday_day(due)}, {clock}" if due else "",
        promised_short=f"{due:%a} {day_short(due)}, {clock}" if due else "",
        promised_before=bool(due and plan.job.last_day and due < plan.job.last_day),
        expected_minutes=plan.expected_minutes,
        worked_minutes=worked,
        steps=tuple(plan.steps),
        supplies=supplies,
        hours=_days(plan, today),
        money=cash,
        papers=papers_of(desk, job_id),
        estimate=guess,
        stations={
            **_stations(desk, plan, supplies, worked, cash),
            "estimate": _estimate_station(desk, found_versions, call),
        },
        before=_before(history, job_id, today),
        log=tuple(
            (near(desk.day_of(at), today), name + (" (undone)" if state == "undone" else ""))
            for at, name, state in log
        ),
        versions=found_versions,
        call=call,
        payer=payer[1] if payer is not None and payer[0] != plan.job.customer_id else "",
        advice=advice,
    )


def _before(
    history: Sequence[people_queries.HistoryRow], job_id: int, today: date
) -> tuple[tuple[int, str, str, str], ...]:
    """The other jobs on the vehicle: (job, number, when, what)."""
    return tuple(
        (
            row.job_id,
            numbered(row.number),
            near(row.day, today) if row.day else "no day yet",
            _few(row.services) or row.state,
        )
        for row in history
        if row.job_id != job_id
    )


def _few(services: Sequence[str]) -> str:
    """The first service, and how many more."""
    if len(services) <= 1:
        return "".join(services)
    return f"{services[0]} and {len(services) - 1} more"


def _supplies(desk: Desk, plan: JobPlan) -> tuple[CardSupply, ...]:
    known = all_supplies(desk)
    used: dict[int, int] = {}
    cost: dict[int, int] = {}
    states: dict[int, set[str]] = {}
    for use in plan.uses:
        if use.booked or use.state == "confirmed":
            used[use.supply_id] = used.get(use.supply_id, 0) + use.quantity
            cost[use.supply_id] = cost.get(use.supply_id, 0) + use.cost
            states.setdefault(use.supply_id, set()).add(use.state)
    rows = []
    needed = {one: need.amount for one, need in plan.needs.items()}
    expected_decimals, used_decimals = (
        column_decimals(desk, ((known[one], size) for one, size in some.items() if one in known))
        for some in (needed, used)
    )
    for supply_id in dict.fromkeys([*plan.needs, *used]):
        supply = known.get(supply_id)
        if supply is None:
            continue
        need = needed.get(supply_id, 0)
        amount = used.get(supply_id)
        kinds = states.get(supply_id, set())
        far = bool(amount and need and (amount >= 3 * need or 3 * amount <= need))
        rows.append(
            CardSupply(
                supply_id=supply_id,
                name=supply.name,
                unit=unit_of(desk, supply),
                expected_text=number_of(desk, supply, need, expected_decimals) if need else "",
                used_text="" if amount is None else number_of(desk, supply, amount, used_decimals),
                cost=cost.get(supply_id, 0),
                state="expected" if amount is None else "recipe" if "recipe" in kinds else "used",
                far=far and plan.job.state == "done",
            )
        )
    return tuple(rows)


def _days(plan: JobPlan, today: date) -> tuple[CardDay, ...]:
    days = sorted({*plan.days, *(row.day for row in plan.hours)})
    found = []
    for day in days:
        entered = plan.entered_hours(day)
        closed = day in plan.closed
        off = plan.is_off(day)
        expected = entered.expected if entered is not None and closed else plan.expected_on(day)
        state = "expected"
        if off:
            state = "off"
        elif entered:
            state = "booked" if closed else "worked"
        found.append(
            CardDay(
                day,
                f"{day:%A} {near(day, today)}",
                "" if off else shown_duration(expected),
                "not worked" if off else shown_duration(entered.minutes) if entered else "",
                state,
                closed,
            )
        )
    return tuple(found)


def rate_text(rate: int) -> str:
    """A rate in thousandths of a percent as `7.25 %`, `no tax`."""
    if not rate:
        return "no tax"
    return f"{float(Fraction(rate, 1000)):g} %"


def _money(
    desk: Desk,
    charges: Sequence[queries.ChargeRow],
    nets: takings.Nets,
    receipts: Sequence[takings.ReceiptRow],
    beside: Sequence[takings.ReceiptRow],
) -> CardMoney:
    sums = totals(desk, nets, receipts)
    shown = sorted([*receipts, *beside], key=lambda one: (one.day, one.receipt_id))
    return CardMoney(tuple(charges), tuple(shown), sums, sum(one.amount for one in receipts))


def _estimate_station(
    desk: Desk, found: tuple[Version, ...], call: CallDue | None
) -> tuple[str, str, str]:
    if not found:
        return "none made", "", "to come"
    row = found[-1].row
    waits = sum(not one.answered_on for one in found[-1].holds) if row.given_on else 0
    text = f"version {row.version} {row.state}, likely {money(desk, row.likely)}"
    text += f", {waits} to answer" if waits else ""
    return text, "look" if call else "", "done" if row.state == "approved" else "to come"


def _stations(
    desk: Desk,
    plan: JobPlan,
    supplies: Sequence[CardSupply],
    worked: int,
    cash: CardMoney,
) -> dict[str, tuple[str, str, str]]:
    steps, sums = plan.steps, cash.sums
    finished = plan.job.state == "done"
    done = sum(step.state == "done" for step in steps)
    open_steps = sum(step.state == "to do" for step in steps)
    skipped = len(steps) - done - open_steps
    text = f"{done} of {len(steps)} done" + (f", {skipped} left out" if skipped else "")
    used = [one for one in supplies if one.used_text]
    cost = sum(one.cost for one in supplies)
    if used:
        goods = f"{count_of(len(used), 'kind')} used"
        goods += f", {money(desk, cost)}" if cost else ""
    else:
        kinds = len(supplies)
        goods = f"{count_of(kinds, 'kind')} expected" if kinds else "none expected"
    expected = shown_duration(plan.expected_minutes)
    over = worked > plan.expected_minutes * 1.15 > 0
    if finished:
        hours = f"{shown_duration(worked)}, {expected} expected"
    else:
        hours = f"{shown_duration(worked)} of {expected} expected" if worked else expected
    paid = f"{money(desk, cash.paid)} paid" if cash.paid else ""
    owing = finished and sums.due > 0
    if sums.due > 0:
        due = f"{money(desk, sums.due)} {'owed' if finished else 'to come'}"
        paid = f"{paid}, {due}" if paid else due
    notes = plan.job.notes
    first = notes.strip().splitlines()[0] if notes.strip() else "none"
    return {
        "steps": (
            text if steps else "none",
            "",
            "done" if steps and not open_steps else "to come",
        ),
        "supplies": (goods, "", "done" if finished else "to come"),
        "hours": (hours, "look" if over else "", "done" if finished and not over else "to come"),
        "money": (
            paid or "nothing agreed yet",
            "look" if owing else "",
            "done" if sums.gross and sums.due <= 0 else "to come",
        ),
        "notes": (first, "", "done" if notes.strip() else "to come"),
    }
