"""What of a job is still to be done, and how long it stands between: from its steps and supplies.

A step that says how long the vehicle stands after it is believed. One that puts a layer on and says
nothing stands as long as the supply asks: until the next layer where another follows on the same
surfaces, else until water; by its label, or by its class (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.plan.job_plan import JobPlan
from app.calculations.bay.runs import Kind, Piece
from app.calculations.layers.protection import CLASSES, ProtectionClass
from app.calculations.numbers.money import allocate
from app.records.queries.days import StepRow
from app.records.queries.stock import SupplyRow

LEAST = 15  # minutes that a job which is not done yet still takes, though its hours are used up
HOLDS = {"cures": Kind.CURES, "dries": Kind.DRIES}


def pieces_of(desk: Desk, plan: JobPlan) -> tuple[Piece, ...]:
    """The pieces of a job that are still to come, in their order; the way there and back with
    them."""
    left = max(LEAST, plan.expected_minutes - sum(row.minutes for row in plan.hours))
    steps = [step for step in plan.steps if step.state == "to do"]
    way = plan.job.travel_minutes if plan.job.place == "yard" else 0
    pieces = [Piece(Kind.HANDS, way // 2), *_of_steps(steps, left, all_supplies(desk))]
    return (*pieces, Piece(Kind.HANDS, way - way // 2))


def _of_steps(
    steps: Sequence[StepRow], minutes: int, supplies: Mapping[int, SupplyRow]
) -> list[Piece]:
    if not steps:
        return [Piece(Kind.HANDS, minutes)]
    told = any(step.minutes for step in steps)
    shares = allocate(minutes, [step.minutes if told else 1 for step in steps])
    pieces = []
    for at, (step, share) in enumerate(zip(steps, shares, strict=True)):
        pieces.append(Piece(Kind.HANDS, share))
        if step.hold:
            pieces.append(Piece(HOLDS[step.hold], step.hold_minutes))
        else:
            pieces.append(Piece(Kind.CURES, _asked_by_supply(step, steps[at + 1 :], supplies)))
    return [piece for piece in pieces if piece.minutes]


def _asked_by_supply(
    step: StepRow, later: Sequence[StepRow], supplies: Mapping[int, SupplyRow]
) -> int:
    supply = supplies.get(step.supply_id or 0)
    if step.effect != "applies" or supply is None or not supply.protection:
        return 0
    facts = CLASSES[ProtectionClass(supply.protection)]
    groups = set(step.surface_groups)
    again = any(one.effect == "applies" and groups & set(one.surface_groups) for one in later)
    if again:
        label, usual = supply.wait_next_hours, facts.next_layer_hours[0]
    else:
        label, usual = supply.wait_water_hours, facts.first_water_hours[0]
    return round(60 * (usual if label is None else label))
