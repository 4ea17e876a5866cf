"""Judging what is left when a vehicle is back: by surface group, before and after decontamination.

What recovers in the wash was dirty, not gone; so both are kept, and what was seen after counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.layers.protection_state import standing_on
from app.calculations.layers.bodies import Body, body_of
from app.calculations.layers.layers import Verdict
from app.calculations.layers.protection import SurfaceGroup
from app.calculations.numbers.dates import near
from app.errors import Mendable
from app.records.models import Judgement, Vehicle
from app.records.queries import protection as queries

VERDICTS = tuple(verdict.value for verdict in Verdict)
BEFORE, AFTER = "before", "after"
KINDS = frozenset({"layers"})
_ORDER = {group: place for place, group in enumerate(SurfaceGroup)}
_WORSE = {Verdict.HOLDING.value: 0, Verdict.FADING.value: 1, Verdict.GONE.value: 2}


@dataclass(frozen=True, kw_only=True)
class JudgingRow:
    """One surface group with the layer that protects it and what was seen of it on the day."""

    group: str
    layer: str
    over: tuple[str, ...]  # what lies over it for gloss
    applied_text: str
    before: str
    after: str
    meaning: str  # what the two together say
    last: str  # what was seen of it on earlier days


@dataclass(frozen=True)
class Judging:
    """The table for one vehicle on one day."""

    title: str
    rows: tuple[JudgingRow, ...]
    body: Body


def judging(desk: Desk, day: date, vehicle_id: int) -> Judging:
    """The surface groups on which something stands, with what was seen of them on the day."""
    layers = standing_on(desk, day, vehicle_id)
    with desk.book.reading() as session:
        vehicle = there(session.get(Vehicle, vehicle_id), "This vehicle")
        title, size = vehicle.description, vehicle.size_outside
        seen = queries.judgements(session, vehicle_id=vehicle_id)
    rows = []
    for group, stack in sorted(layers.layers.items(), key=lambda item: _ORDER[item[0]]):
        first = stack[0]
        of_layer = [row for row in seen if row.layer_event_id == first.layer and row.day <= day]
        today = next((row for row in reversed(of_layer) if row.day == day), None)
        earlier = next((row for row in reversed(of_layer) if row.day < day), None)
        before, after = (today.before, today.after) if today else ("", "")
        rows.append(
            JudgingRow(
                group=group.value,
                layer=layers.name_of(first),
                over=tuple(layers.name_of(one) for one in stack[1:]),
                applied_text=f"{layers.put_on(first):%b %Y}",
                before=before,
                after=after,
                meaning=what_it_says(before, after),
                last=f"{near(earlier.day, day)}: {earlier.after or earlier.before}"
                if earlier
                else "",
            )
        )
    return Judging(title, tuple(rows), body_of(title, size))


def what_it_says(before: str, after: str) -> str:
    """What the two verdicts together say, in words."""
    if not (before and after):
        return ""
    if _WORSE[after] < _WORSE[before]:
        return "it was dirty, not gone" if before == Verdict.GONE else "it was dirty, not worn"
    if _WORSE[after] > _WORSE[before]:
        return "it did not outlast the cleaning"
    return {"holding": "clean and holding", "fading": "it is wearing", "gone": "it is gone"}[after]


def read_verdict(typed: str) -> str:
    """A verdict from its first letters: h, f or g; nothing typed is none."""
    plain = typed.strip().casefold()
    if not plain:
        return ""
    found = [word for word in VERDICTS if word.startswith(plain)]
    if len(found) != 1:
        raise Mendable(
            f"“{typed.strip()[:20]}” is no judgement; say holding, fading or gone (h, f or g)."
        )
    return found[0]


def set_judged(
    desk: Desk, day: date, vehicle_id: int, group: str, when: str, typed: str
) -> Changed:
    """Write one cell of the table: what was seen `before` or `after` decontamination.

    Nothing typed takes it back; a judgement of which nothing is left is taken out.
    """
    verdict = read_verdict(typed)
    if verdict:
        before, after = (verdict, "") if when == BEFORE else ("", verdict)
        return judge(desk, day, vehicle_id, group, before=before, after=after)
    layer_id = protecting(desk, day, vehicle_id, group)
    name = f"Took back what was seen {when} on the {group}"
    with desk.book.change(name, day=day, kinds=KINDS, at=desk.clock()) as session:
        row = queries.judgement_of(session, vehicle_id, layer_id, day)
        if row is None or not getattr(row, when):
            return NOTHING
        setattr(row, when, "")
        if not (row.before or row.after):
            session.delete(row)
    return Changed(name, KINDS)


def judge(
    desk: Desk,
    day: date,
    vehicle_id: int,
    group: str,
    *,
    after: str = "",
    before: str = "",
) -> Changed:
    """Note what was seen of a surface group: holding, fading or gone; before decontamination too.

    It is the lowest layer standing there that is meant, the one that protects. There is one
    judgement of a layer a day: a second one completes or replaces the first.
    """
    for word in (after, before):
        if word and word not in VERDICTS:
            raise Mendable(f"“{word}” is no judgement; say holding, fading or gone.")
    if not (after or before):
        raise Mendable("Nothing was judged; say holding, fading or gone.")
    layer = protecting(desk, day, vehicle_id, group)
    with desk.book.reading() as session:
        vehicle = session.get(Vehicle, vehicle_id)
        title = vehicle.description if vehicle else "vehicle"
    when = "" if after else " before decontamination"
    name = f"Judged the {group} of the {title}{when}: {after or before}"
    with desk.book.change(name, day=day, kinds=KINDS, at=desk.clock()) as session:
        note_judgement(session, day, vehicle_id, layer, group, before, after)
    return Changed(name, KINDS)


def note_judgement(
    session: queries.Session,
    day: date,
    vehicle_id: int,
    layer_event_id: int | None,
    group: str,
    before: str = "",
    after: str = "",
    note: str = "",
) -> None:
    """Complete or replace the day's judgement of a layer, or write it."""
    row = queries.judgement_of(session, vehicle_id, layer_event_id, day)
    if row is None:
        row = Judgement(
            vehicle_id=vehicle_id, layer_event_id=layer_event_id, day=day, surface_group=group
        )
        session.add(row)
    row.before = before or row.before or ""
    row.after = after or row.after or ""
    row.note = note or row.note or ""


def protecting(desk: Desk, day: date, vehicle_id: int, group: str) -> int:
    """The layer that protects a surface group: the lowest one that stands there."""
    for found, stack in standing_on(desk, day, vehicle_id).layers.items():
        if found == group and stack[0].layer is not None:
            return stack[0].layer
    raise Mendable(f"No layer stands on the {group} of this vehicle; nothing to judge.")
