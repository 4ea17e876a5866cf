"""What is left on one vehicle, surface group by surface group: the numbers that Renewals has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Desk
from app.actions.layers.protection_state import protection
from app.actions.letters.renewing import curve_of, drawing_span


@dataclass(frozen=True, kw_only=True)
class LeftOn:
    """The layer that protects one surface group: the chance that it still does, and its curve.

    `cut_left` when it was put on before the drawing's left edge; `due` from 80 to 50 %.
    """

    layer: str
    still: float
    due: tuple[date, date]
    curve: tuple[tuple[date, float], ...]
    cut_left: bool
    checks: tuple[date, ...]


@dataclass(frozen=True)
class LeftOnVehicle:
    """All of them by surface group, and the span of days that is drawn."""

    first: date
    last: date
    groups: Mapping[str, LeftOn]


def left_on_vehicle(desk: Desk, day: date, vehicle_id: int) -> LeftOnVehicle:
    """The layers that stand on a vehicle on a day; of several on a group the one due first."""
    state = protection(desk, day)
    first, last = drawing_span(day)
    found: dict[str, LeftOn] = {}
    for one, due in zip(state.candidates, state.dues, strict=True):
        group = one.layer.group.value
        before = found.get(group)
        if one.vehicle_id != vehicle_id or (before and before.due[0] <= due.due_from):
            continue
        found[group] = LeftOn(
            layer=one.supply_name,
            still=due.still,
            due=(due.due_from, due.due_to),
            curve=curve_of(state, one, due, first, last),
            cut_left=one.applied_on < first,
            checks=state.checks.get(one.layer.layer or 0, ()),
        )
    return LeftOnVehicle(first, last, found)
