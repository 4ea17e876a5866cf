"""Station 2, *Supplies used*: what each job took, filled in and changed by exception."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from app.actions.day.jobs_worked import plan_of
from app.actions.day.typed_uses import Typed, move_on, read_typed, resting_on
from app.actions.day.use_note import FEW, neighbors
from app.actions.desk.amounts import (
    all_supplies,
    amount_said,
    column_decimals,
    number_of,
    stock_number,
    stock_said,
    supply_of,
    unit_of,
)
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import UNTOUCHED, UNTOUCHED_BY_TYPING, numbered, writing_on
from app.actions.orders.shelf_state import alert_of, cover_days, covers, proposal
from app.actions.plan.job_plan import JobPlan, plans_on
from app.actions.stock.left import left_on
from app.actions.stock.pool_lines import taken_as_typed, whole
from app.actions.stock.pool_stock import clean_left
from app.calculations.numbers.entries import UseEntry, far_off
from app.errors import Mendable
from app.records.models import Use
from app.records.queries import uses as queries
from app.records.queries.days import JobRow
from app.records.queries.stock import SupplyRow

KINDS = frozenset({"uses", "days"})


@dataclass(frozen=True)
class JobHead:
    """A column: a job."""

    job: JobRow
    name: str
    services: str


@dataclass(frozen=True, kw_only=True)
class UseCell:
    """What one job takes of one supply on this day; base units.

    `state`: recipe (filled in), confirmed, unused (confirmed that nothing was used), blank.
    """

    job_id: int
    amount: int
    text: str
    expected: int
    expected_text: str
    state: str
    few: bool
    changed: bool
    far: bool = False  # three times off what is expected, or more


@dataclass(frozen=True, kw_only=True)
class SupplyUsed:
    """A row: one supply."""

    supply_id: int
    name: str
    unit: str
    cells: tuple[UseCell, ...]
    today: int
    today_text: str
    left: int
    left_text: str
    cover_days: int | None
    alert: str  # "", look, wrong
    pool: bool = False  # `left` is then what is clean


@dataclass(frozen=True)
class SuppliesUsed:
    """The station."""

    heads: tuple[JobHead, ...]
    rows: tuple[SupplyUsed, ...]
    few_count: int
    changed_count: int


def supplies_counted(desk: Desk, day: date) -> tuple[int, int, bool]:
    """How many supplies a day uses, how many amounts were changed, whether any is below zero."""
    used, left = _used(desk, day), left_on(desk, day) | clean_left(desk, day)
    changed = sum(cell.changed for cells in used.values() for cell in cells)
    return len(used), changed, any(left.get(one, 0) < 0 for one in used)


def _used(desk: Desk, day: date) -> dict[int, tuple[UseCell, ...]]:
    """By supply, what each job of the day takes of it."""
    plans, supplies = plans_on(desk, day), all_supplies(desk)
    ids = dict.fromkeys(supply for plan in plans for supply in plan.supplies_on(day))
    return {one: tuple(_cell(desk, plan, day, supplies[one]) for plan in plans) for one in ids}


def supplies_used(desk: Desk, day: date) -> SuppliesUsed:
    """Supplies by jobs for a day, with what is left and for how long it lasts."""
    plans = plans_on(desk, day)
    supplies = all_supplies(desk)
    left = left_on(desk, day) | clean_left(desk, day)
    lasting = covers(desk, day)
    deliveries = {one.supplier: one.delivery_day for one in proposal(desk, day).suppliers}
    rows = []
    used = _used(desk, day)
    columns = [
        column_decimals(
            desk,
            ((supplies[one], size) for one in used for size in _sizes(used[one][at])),
        )
        for at in range(len(plans))
    ]
    totals = {one: sum(cell.amount for cell in cells) for one, cells in used.items()}
    total_decimals = column_decimals(desk, ((supplies[one], size) for one, size in totals.items()))
    for supply_id in used:
        supply = supplies[supply_id]
        cells = tuple(
            _written(desk, supply, cell, decimals)
            for cell, decimals in zip(used[supply_id], columns, strict=True)
        )
        today = totals[supply_id]
        standing = left.get(supply_id, 0)
        cover = lasting.get(supply_id)
        rows.append(
            SupplyUsed(
                supply_id=supply_id,
                name=supply.name,
                unit=unit_of(desk, supply),
                cells=cells,
                today=today,
                today_text=number_of(desk, supply, today, total_decimals),
                left=standing,
                left_text=stock_number(desk, supply, standing),
                cover_days=cover_days(cover, day),
                # A pool that is short is washed, not ordered: worth a look.
                alert=("look" if standing < 0 else "")
                if supply.pool
                else alert_of(cover, standing, deliveries.get(supply.supplier_id or 0)),
                pool=bool(supply.pool),
            )
        )
    every = [cell for row in rows for cell in row.cells]
    return SuppliesUsed(
        tuple(
            JobHead(
                plan.job,
                last_name(plan.job.customer) or plan.job.vehicle,
                plan.services_text,
            )
            for plan in plans
        ),
        tuple(rows),
        sum(cell.few for cell in every),
        sum(cell.changed for cell in every),
    )


def last_name(name: str) -> str:
    """The name by which a customer stands at the head of a narrow column."""
    if "," in name:
        return name.split(",")[0].strip()
    return name.split()[-1] if name.split() else ""


def _cell(desk: Desk, plan: JobPlan, day: date, supply: SupplyRow) -> UseCell:
    entered = plan.entered_use(day, supply.supply_id)
    expected, _ = plan.filled_in(day, supply.supply_id)
    if entered is None:
        amount, state = expected, "recipe" if expected else "blank"
    else:
        if day in plan.closed:
            expected = entered.expected
        amount, state = entered.quantity, entered.state
        if state != "recipe":
            state = "confirmed" if amount else "unused"
    need = plan.needs.get(supply.supply_id)
    few = state == "recipe" and need is not None and not need.whole_container and need.n < FEW
    return UseCell(
        job_id=plan.job_id,
        amount=amount,
        text="",
        expected=expected,
        expected_text="",
        state=state,
        few=few,
        changed=entered is not None and entered.state == "confirmed" and amount != expected,
        far=state == "confirmed" and bool(far_off(amount, expected, "", str)),
    )


def _sizes(cell: UseCell) -> tuple[int, ...]:
    """What a cell shows: its amount, and the expected one where that stands struck beside it."""
    return tuple(filter(None, (cell.amount, cell.expected)))


def _written(desk: Desk, supply: SupplyRow, cell: UseCell, decimals: dict[str, int]) -> UseCell:
    """The cell with its numbers as its column writes them."""
    shown = cell.state in ("recipe", "confirmed")
    return replace(
        cell,
        text=number_of(desk, supply, cell.amount, decimals) if shown else "",
        expected_text=number_of(desk, supply, cell.expected, decimals) if cell.expected else "",
    )


def set_use(desk: Desk, day: date, job_id: int, supply_id: int, typed: str) -> Changed:
    """Note what a job took of a supply; nothing typed fills the number in again.

    What was typed is kept beside the amount it came to, a weighing with the weight before and
    after. A number three times off the usual is kept and asked about.
    """
    if not typed.strip():
        return clear_use(desk, day, job_id, supply_id)
    plan = plan_of(desk, day, job_id)
    supply = supply_of(desk, supply_id)
    before = plan.entered_use(day, supply_id)
    noted = 0 if before is None else before.quantity
    filled = plan.filled_in(day, supply_id)[0] if before is None else 0
    left = clean_left(desk, day) if supply.pool else left_on(desk, day)
    on_hand = left.get(supply_id, 0) + noted + filled
    uses = taken_as_typed(supply, typed)
    if uses is not None:
        read = Typed(UseEntry(uses, typed.strip(), amount_said(desk, supply, uses).capitalize()))
    else:
        read = read_typed(desk, day, supply, before, typed, on_hand)
        whole(supply, read.entry.amount)
    entry = read.entry
    expected, recipe = plan.filled_in(day, supply_id)
    number = numbered(plan.job.number)
    words = amount_said(desk, supply, entry.amount) if entry.amount else "nothing"
    name = f"{supply.name} on {number}: {words}"
    # A weighing may change the next one, on whatever day.
    untouched = UNTOUCHED_BY_TYPING if read.at is None else UNTOUCHED
    then = ""
    with writing_on(desk, day, name, KINDS, untouched=untouched) as session:
        row = queries.use_to_write(session, day, job_id, supply_id)
        if row is None:
            row = Use(day=day, job_id=job_id, supply_id=supply_id)
            session.add(row)
        row.quantity, row.expected, row.recipe = entry.amount, expected, recipe
        row.state, row.typed = "confirmed", typed.strip()[:60]
        row.weight_before, row.weight_after, row.weighed_at = (
            read.before, entry.weight_mg, read.at,
        )  # fmt: skip
        later = resting_on(session, supply_id, day, before, read)
        if later is not None and entry.weight_mg is not None:
            then = move_on(session, desk, supply, later, entry.weight_mg)
    caution = neighbors(desk, plan, day, supply)
    sentences = [_sentence(desk, supply, entry, on_hand - entry.amount, caution), then]
    asked = far_off(entry.amount, expected, "usual", partial(amount_said, desk, supply))
    question = f"{supply.name} on {number}: {asked}" if asked else ""
    return Changed(name, KINDS, " ".join(filter(None, sentences)), question)


def add_supply(desk: Desk, day: date, job_id: int, supply_id: int, typed: str) -> Changed:
    """Note a supply that the recipe did not foresee."""
    if not typed.strip():
        raise Mendable("Type how much of it was used, such as 2 oz or 1/4 bottle.")
    return set_use(desk, day, job_id, supply_id, typed)


def clear_use(desk: Desk, day: date, job_id: int, supply_id: int) -> Changed:
    """Put the filled-in number back."""
    plan = plan_of(desk, day, job_id)
    supply = supply_of(desk, supply_id)
    before = plan.entered_use(day, supply_id)
    if before is None:
        return Changed("", frozenset())
    name = f"{supply.name} on {numbered(plan.job.number)} filled in again"
    with writing_on(desk, day, name, KINDS) as session:
        row = queries.use_to_write(session, day, job_id, supply_id)
        if row is not None:
            session.delete(row)
    return Changed(name, KINDS)


def _sentence(desk: Desk, supply: SupplyRow, entry: UseEntry, left: int, caution: str) -> str:
    sentences = [f"{entry.meaning}."]
    if left < 0 and supply.pool:
        sentences.append(
            f"That is {stock_said(desk, supply, -left)} more than are clean: note the loads that "
            "were washed, or count the pool."
        )
    elif left < 0:
        sentences.append(
            f"That leaves {stock_said(desk, supply, left)} on the shelf: count it when you can."
        )
    if caution:
        sentences.append(caution)
    return " ".join(sentences)
