"""A wrong order of layers, said where it is chosen, with the reason; nothing is ever forbidden.

What may go over what and the waits are common practice, no source; the label of the product comes
before either.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from app.actions.desk.desk import Desk
from app.actions.layers.protection_state import class_of, means_word, standing_on
from app.calculations.layers.layers import (
    EFFECTS,
    GroupEvent,
    Happening,
    Layer,
    follow,
    layering_advice,
)
from app.calculations.layers.protection import CLASSES, ProtectionClass, SurfaceGroup
from app.records.models import Job, JobStep
from app.records.queries import days as day_queries
from app.records.queries import protection as queries
from app.records.queries.days import StepRow

LABEL_WINS = "The label wins wherever it says something else."


@dataclass(frozen=True)
class StepAdvice:
    """What is to be said of a step that puts a layer on."""

    step_id: int
    name: str
    against: tuple[str, ...]  # sentences; empty when nothing speaks against it
    waits: str  # before water and before the next layer


def advice_on_step(desk: Desk, step_id: int) -> StepAdvice | None:
    """What is to be said of one step of a job; None for one that puts no layer on."""
    with desk.book.reading() as session:
        step = session.get(JobStep, step_id)
        if step is None or step.effect != "applies":
            return None
        job_id = step.job_id
        vehicle_id = session.get_one(Job, job_id).vehicle_id
        steps = day_queries.steps_of(session, [job_id]).get(job_id, [])
    found = advice_on_steps(desk, job_id, vehicle_id, steps)
    return next((one for one in found if one.step_id == step_id), None)


@dataclass(frozen=True)
class _Label:
    """A supply's class, and the waits that its label states where the owner entered them."""

    kind: ProtectionClass
    next_hours: int | None
    water_hours: int | None


def advice_on_steps(
    desk: Desk, job_id: int, vehicle_id: int | None, steps: Iterable[StepRow]
) -> tuple[StepAdvice, ...]:
    """What is to be said of each step of a job that puts a layer on, in the order of the steps.

    Steps that a closed day has written into the vehicle's history are part of what stands; the
    others are taken as done one after the other, now.
    """
    rows = [step for step in steps if step.state != "not done"]
    if not any(step.effect == "applies" for step in rows):
        return ()
    labels = _labels(desk)
    layers = dict(standing_on(desk, desk.today, vehicle_id).layers) if vehicle_id else {}
    with desk.book.reading() as session:
        written = queries.written_steps(session, job_id)
    now = desk.clock()
    found: list[StepAdvice] = []
    for number, step in enumerate(rows):
        kind = EFFECTS.get(step.effect)
        if kind is None or (step.state == "done" and (step.day, kind) in written):
            continue
        groups = [SurfaceGroup(one) for one in step.surface_groups if one in _GROUPS]
        label = labels.get(step.supply_id or -1)
        means = None
        if kind is not Happening.APPLIED:
            means = means_word(kind, step.name)
        elif label is None:
            continue
        else:
            against = _against(layers, label.kind, groups, now, labels)
            found.append(StepAdvice(step.step_id, step.name, against, waits_words(label)))
        for group in groups:
            event = GroupEvent(
                happening=kind,
                group=group,
                at=now,
                layer=-1 - number,  # a layer of this job goes by a number that no event has
                supply=step.supply_id,
                protection_class=label.kind if label else None,
                means=means,
            )
            layers[group] = follow(layers.get(group, ()), event)
    return tuple(found)


def waits_words(label: _Label) -> str:
    """How long to wait before water and before the next layer: by the label, else by the class."""
    facts = CLASSES[label.kind]
    water = _hours(label.water_hours, facts.first_water_hours)
    following = _hours(label.next_hours, facts.next_layer_hours)
    rest = "" if label.next_hours is not None and label.water_hours is not None else LABEL_WINS
    return f"First water after {water}; the next layer after {following}. {rest}".strip()


def _hours(by_label: int | None, usual: tuple[float, float]) -> str:
    return f"{by_label} h by its label" if by_label is not None else _span(usual)


def _span(hours: tuple[float, float]) -> str:
    soonest, better = (f"{value:g}" if value >= 1 else f"{value * 60:.0f} min" for value in hours)
    plain = f"{soonest} h" if hours[0] >= 1 else soonest
    if hours[0] == 0:
        return "no wait" if hours[1] == 0 else f"no wait, better {better} h"
    if hours[0] == hours[1]:
        return plain
    return f"{plain} or more, better {better}{' h' if hours[1] >= 1 else ''}"


def _against(
    layers: dict[SurfaceGroup, tuple[Layer, ...]],
    kind: ProtectionClass,
    groups: Collection[SurfaceGroup],
    when: datetime,
    labels: dict[int, _Label],
) -> tuple[str, ...]:
    """Each sentence once, with its surfaces where it does not hold for all of them."""
    next_hours = {
        supply: float(label.next_hours)
        for supply, label in labels.items()
        if label.next_hours is not None
    }
    sentences: dict[str, list[SurfaceGroup]] = {}
    for group in groups:
        for sentence in layering_advice(layers, kind, group, when, next_hours=next_hours):
            sentences.setdefault(sentence, []).append(group)
    return tuple(
        sentence
        if len(where) == len(groups) or any(group in sentence for group in where)
        else f"On {' and '.join(where)}: {sentence[:1].lower()}{sentence[1:]}"
        for sentence, where in sentences.items()
    )


_GROUPS = frozenset(group.value for group in SurfaceGroup)


def _labels(desk: Desk) -> dict[int, _Label]:
    with desk.book.reading() as session:
        rows = queries.protections(session)
    return {
        row.supply_id: _Label(kind, row.wait_next_hours, row.wait_water_hours)
        for row in rows
        if (kind := class_of(row)) is not None
    }
