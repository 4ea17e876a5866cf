"""What of a job is still to be done, and how long it stands between: from its steps and supplies.

A step that says how long the vehicle stands after it is believed, none at all too. One that puts a
layer on and says nothing stands as long as the supply asks: until the next layer where another
follows on the same surfaces, else until water where it stands for that; by its label, or by its
class (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.plan.job_plan import JobPlan
from app.calculations.bay.opening import OpenHours
from app.calculations.bay.runs import Kind, Piece
from app.calculations.layers.protection import CLASSES, ProtectionClass
from app.calculations.numbers.money import allocate
from app.records.queries import services as service_queries
from app.records.queries.stock import SupplyRow

LEAST = 15  # minutes that a job which is not done yet still takes, though its hours are used up
# What leaves as soon as it is on, to be kept dry by its driver; all else stands until it is dry
# or cured (common practice, no source).
DRIVEN_OFF = frozenset(
    {
        ProtectionClass.CARNAUBA_WAX,
        ProtectionClass.SYNTHETIC_SEALANT,
        ProtectionClass.SPRAY_SEALANT,
        ProtectionClass.TRIM_COATING,
    }
)
HOLDS = {"cures": Kind.CURES, "dries": Kind.DRIES}


class Step(Protocol):
    """A step of a job or of a service, as far as its time goes."""

    @property
    def minutes(self) -> int: ...
    @property
    def hold(self) -> str: ...
    @property
    def hold_minutes(self) -> int: ...
    @property
    def effect(self) -> str: ...
    @property
    def supply_id(self) -> int | None: ...
    @property
    def surface_groups(self) -> tuple[str, ...]: ...


def pieces_of(
    desk: Desk, plan: JobPlan, holds: Mapping[int, int], hours: OpenHours, now: int, yard: bool
) -> tuple[Piece, ...]:
    """The pieces of a job that are still to come, in their order; the way there and back with
    them. `holds` puts other minutes in the place of a step's hold."""
    steps = [step for step in plan.steps if step.state == "to do"]
    told = [holds.get(step.step_id) for step in steps]
    pieces = _of_steps(steps, left_of(plan), all_supplies(desk), told)
    return _there_and_back(
        [*_still_standing(desk, plan, hours, now), *pieces],
        plan.job.travel_minutes if yard else 0,
    )


def worked(plan: JobPlan) -> int:
    """Minutes that were worked on a job so far."""
    return sum(
        row.minutes for row in plan.hours if row.state != "expected" or row.day in plan.closed
    )


def left_of(plan: JobPlan) -> int:
    """Minutes of hands on that are expected yet."""
    return max(LEAST, plan.expected_minutes - worked(plan))


def pieces_of_services(
    desk: Desk, services: Sequence[tuple[int, int]], minutes: int, travel: int = 0
) -> tuple[Piece, ...]:
    """The pieces of a job of these (service, layers) that is not booked yet; `minutes` of all."""
    steps: list[Step] = []
    with desk.book.reading() as session:
        for service, layers in services:
            for step in service_queries.steps_of_service(session, service):
                steps += [step] * (layers if step.effect == "applies" else 1)
    pieces = _of_steps(steps, minutes, all_supplies(desk), [None] * len(steps))
    return _there_and_back(pieces, travel)


def shares(steps: Sequence[Step], minutes: int) -> list[int]:
    """What each step takes of so many minutes: as it says, or as much as the others."""
    told = [step.minutes for step in steps if step.minutes]
    usual = max(1, sum(told) // len(told)) if told else 1
    return allocate(minutes, [step.minutes or usual for step in steps])


def _there_and_back(pieces: Sequence[Piece], way: int) -> tuple[Piece, ...]:
    if not way:
        return tuple(pieces)
    back = way - way // 2
    return (Piece(Kind.HANDS, way // 2), *pieces, Piece(Kind.HANDS, back))


def _of_steps(
    steps: Sequence[Step],
    minutes: int,
    supplies: Mapping[int, SupplyRow],
    told: Sequence[int | None],
) -> list[Piece]:
    if not steps:
        return [Piece(Kind.HANDS, minutes)]
    pieces = []
    for at, (step, share, other) in enumerate(
        zip(steps, shares(steps, minutes), told, strict=True)
    ):
        pieces.append(Piece(Kind.HANDS, share))
        kind, hold = hold_after(step, steps[at + 1 :], supplies)
        pieces.append(Piece(kind, hold if other is None else other))
    return [piece for piece in pieces if piece.minutes]


def hold_after(
    step: Step, later: Sequence[Step], supplies: Mapping[int, SupplyRow]
) -> tuple[Kind, int]:
    """How the vehicle stands after a step, and for how many minutes."""
    if step.hold:
        return HOLDS[step.hold], step.hold_minutes
    return Kind.CURES, _asked_by_supply(step, later, supplies)


def _asked_by_supply(step: Step, later: Sequence[Step], supplies: Mapping[int, SupplyRow]) -> int:
    supply = supplies.get(step.supply_id or 0)
    if step.effect != "applies" or supply is None or not supply.protection:
        return 0
    facts = CLASSES[ProtectionClass(supply.protection)]
    groups = set(step.surface_groups)
    again = any(one.effect == "applies" and groups & set(one.surface_groups) for one in later)
    if again:
        label, usual = supply.wait_next_hours, facts.next_layer_hours[0]
    elif facts.protection_class in DRIVEN_OFF:
        return 0
    else:
        label, usual = supply.wait_water_hours, facts.first_water_hours[0]
    return round(60 * (usual if label is None else label))


def _still_standing(desk: Desk, plan: JobPlan, hours: OpenHours, now: int) -> list[Piece]:
    """What is left of the hold after the last step that was done: a step has a day and no clock,
    so the hold is counted from when the shop closed on it."""
    done = [step for step in plan.steps if step.state == "done" and step.day is not None]
    if not done:
        return []
    last = done[-1]
    assert last.day is not None
    later = [step for step in plan.steps if step.position > last.position]
    kind, hold = hold_after(last, later, all_supplies(desk))
    windows = hours.windows(last.day, last.day)
    if not windows:
        return []
    left = min(now, windows[-1][1]) + hold - now
    return [Piece(kind, left)] if left > 0 else []
