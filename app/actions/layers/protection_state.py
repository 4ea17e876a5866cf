"""What is known of the layers out there: which stand, how long such layers live, when they are due.

One assembly serves the Renewals place, the station *Whom to remind* and the pages of vehicles and
supplies, so that all of them say the same.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from functools import lru_cache

from app.actions.desk.desk import Desk, kept
from app.actions.layers.histories import LOOK_BACK_DAYS, History, histories
from app.calculations.layers.exposure import MIDDLE_OF_RANGE, exposure
from app.calculations.layers.layers import (
    EFFECTS,
    GroupEvent,
    Happening,
    Layer,
    Means,
    Verdict,
    standing,
)
from app.calculations.layers.life_memory import Memory
from app.calculations.layers.lives import Lives, fit
from app.calculations.layers.protection import CLASSES, ProtectionClass, SurfaceGroup, wear
from app.calculations.layers.sightings import Label, Observation, observe
from app.calculations.letters.renewals import Due, WearingLayer, due_spans
from app.errors import Mendable, check_stop
from app.records.queries import protection as queries
from app.records.queries.protection import EventRow, HolderRow, JudgementRow, ProtectionRow

# Of each supply, the layers seen again that its life is learnt from, the newest: more make it no
# surer, ways of working change, and the fit does not take longer with the years.
LEARN_FROM = 600
FITS_KEPT = 4
# By their words: an enumeration is asked a hundred thousand times in a book of ten years.
_CLASSES = {one.value: one for one in ProtectionClass}
_VERDICTS = {one.value: one for one in Verdict}
_GROUPS = {one.value: one for one in SurfaceGroup}
_HAPPENINGS = {one.value: one for one in EFFECTS.values()}


@dataclass(frozen=True)
class LayerOnVehicle:
    """A layer on a held vehicle, with its holder and its supply's name."""

    layer: Layer
    vehicle_id: int
    holder: HolderRow
    supply_name: str
    exposure: float
    applied_on: date
    judged_on: date | None


@dataclass(frozen=True, kw_only=True)
class Protection:
    """All of it, for one day."""

    day: date
    lives: Lives
    dues: tuple[Due, ...]  # one a layer that protects, in the order of `candidates`
    candidates: tuple[LayerOnVehicle, ...]
    names: dict[int, str]  # supply id -> name
    checks: dict[int, tuple[date, ...]]  # layer event id -> days on which it was seen
    observations: list[Observation]  # of layers seen again: what the lives were learnt from
    labels: list[Label]


@kept("protection")
def protection(desk: Desk, day: date) -> Protection:
    """The state of all layers on the day; after a change it is mended by what that touched."""
    held, factors = _held(desk, day), _factors(desk)
    with desk.book.reading() as session:
        supplies = {row.supply_id: row for row in queries.protections(session)}
    told = _told(desk, histories(desk, day), supplies, factors)
    labels = [label for row in supplies.values() if (label := label_of(row)) is not None]
    observations = _observations(told)
    lives = _lives(desk, observations, labels)
    candidates = [
        LayerOnVehicle(
            layer,
            vehicle,
            held[vehicle],
            supplies[layer.supply].name if layer.supply in supplies else "layer",
            factors[vehicle] * wear(layer.group),
            one.put_on[layer.layer or 0],
            desk.day_of(layer.judged_at) if layer.judged_at else None,
        )
        for vehicle, one in told.items()
        if vehicle in held
        for layer in one.layers
    ]
    return Protection(
        day=day,
        lives=lives,
        dues=tuple(due_spans([_candidate(one) for one in candidates], lives, day)),
        candidates=tuple(candidates),
        names={supply: row.name for supply, row in supplies.items()},
        checks={layer: days for one in told.values() for layer, days in one.checks.items()},
        observations=observations,
        labels=labels,
    )


def seen_layers(desk: Desk, day: date) -> list[Observation]:
    """What is known of the layers that were seen again; no lives are fitted."""
    with desk.book.reading() as session:
        supplies = {row.supply_id: row for row in queries.protections(session)}
    return _observations(_told(desk, histories(desk, day), supplies, _factors(desk)))


def _observations(told: Mapping[int, _Told]) -> list[Observation]:
    return newest([seen for one in told.values() for seen in one.observations])


def _held(desk: Desk, day: date) -> dict[int, HolderRow]:
    """By vehicle, who holds it on the day."""

    def read() -> dict[int, HolderRow]:
        with desk.book.reading() as session:
            return {row.vehicle_id: row for row in queries.holders(session, day)}

    return desk.lasting("holders", day, {"owner_links", "vehicles", "customers"}, read)


def _factors(desk: Desk) -> Mapping[int, float]:
    """The factors on time of all vehicles, whoever holds them: what was seen was seen there."""

    def read() -> Mapping[int, float]:
        with desk.book.reading() as session:
            lived = queries.exposures(session)
        unknown = exposure_factor(desk, {})
        known = {vehicle: exposure_factor(desk, answers) for vehicle, answers in lived.items()}
        return defaultdict(lambda: unknown, known)

    return desk.lasting("factors", desk.settings.exposure_factors, {"vehicles"}, read)


@dataclass(frozen=True)
class _Told:
    """What one vehicle's history says, and what it was read from."""

    read: tuple[History, float]  # its factor on time
    layers: tuple[Layer, ...]  # that protect
    put_on: dict[int, date]  # layer event id -> day
    observations: list[Observation]
    checks: dict[int, tuple[date, ...]]


def _told(
    desk: Desk,
    histories: Mapping[int, History],
    supplies: dict[int, ProtectionRow],
    factors: Mapping[int, float],
) -> dict[int, _Told]:
    """By vehicle what its history says; of those where nothing changed, what was found before."""
    ground = (tuple(supplies.values()), desk.settings.zone)
    known = {row.supply_id for row in supplies.values() if label_of(row) is not None}

    def tell(history: History, factor: float) -> _Told:
        observations, checks = _observed(history.events, history.seen, known, factor)
        found = standing(_as_events(desk, _since_bare(history.events), history.seen, supplies))
        return _Told(
            (history, factor),
            tuple(
                layer
                for stack in found.values()
                for layer in stack
                if layer.supply and not layer.gloss_only
            ),
            {event.id: event.day for event in history.events},
            observations,
            checks,
        )

    def mend(
        last: tuple[object, dict[int, _Told]] | None, _touched: object
    ) -> tuple[object, dict[int, _Told]]:
        before = last[1] if last is not None and last[0] == ground else {}
        found = {}
        for vehicle, history in histories.items():
            check_stop()
            one = before.get(vehicle)
            if one is None or one.read != (history, factors[vehicle]):
                one = tell(history, factors[vehicle])
            found[vehicle] = one
        return ground, found

    return desk.mended("told of vehicles", mend)[1]


def _lives(desk: Desk, observations: list[Observation], labels: list[Label]) -> Lives:
    """The lives learnt from them, anew where they are not what they were learnt from lately.

    Another day is looked at and the first again, something is judged and that undone. What the
    layers of a supply say, where they are the same, is kept besides.
    """
    read = (observations, labels)
    Known = list[tuple[object, Lives]]  # the latest first

    def mend(last: tuple[Known, Memory] | None, _touched: object) -> tuple[Known, Memory]:
        known, memory = last or ([], Memory())
        here = next((one for one in known if one[0] == read), None) or (read, fit(*read, memory))
        return [here, *(one for one in known if one is not here)][:FITS_KEPT], memory

    return desk.mended("lives", mend)[0][0][1]


@dataclass(frozen=True)
class VehicleLayers:
    """What stands on one vehicle, read for it alone: no lives are fitted."""

    layers: dict[SurfaceGroup, tuple[Layer, ...]]  # lowest first
    names: dict[int, str]  # supply id -> name
    days: dict[int, date]  # layer event id -> the shop's day

    def name_of(self, layer: Layer) -> str:
        """The name of the layer's supply."""
        return self.names.get(layer.supply or -1, "layer")

    def put_on(self, layer: Layer) -> date:
        """The shop's day on which a layer was put on."""
        return self.days[layer.layer or 0]


def standing_on(desk: Desk, day: date, vehicle_id: int) -> VehicleLayers:
    """The layers that stand on one vehicle on a day."""
    since = day - timedelta(days=LOOK_BACK_DAYS)
    with desk.book.reading() as session:
        history = History(
            tuple(queries.layer_events(session, since, vehicle_id)),
            tuple(queries.judgements(session, since, vehicle_id)),
        ).within(since, day)
        supplies = {row.supply_id: row for row in queries.protections(session)}
    return VehicleLayers(
        standing(_as_events(desk, history.events, history.seen, supplies)),
        {supply: row.name for supply, row in supplies.items()},
        {event.id: event.day for event in history.events},
    )


def exposure_factor(desk: Desk, answers: dict[str, object]) -> float:
    """A vehicle's factor on time; answers that are no longer on the scale count as none."""
    try:
        return exposure(answers, desk.settings.exposure_factors or None).factor
    except Mendable:
        return MIDDLE_OF_RANGE


def class_of(row: ProtectionRow) -> ProtectionClass | None:
    """The class of a supply that protects; None where the book holds an unknown word."""
    return _CLASSES.get(row.protection)


def label_of(row: ProtectionRow) -> Label | None:
    """The life range that the owner entered from the label, else that of the class.

    A class's range runs from a daily driver outdoors to a garaged, hand-washed vehicle, so its
    middle stands at a middling exposure (common practice, no source).
    """
    kind = class_of(row)
    if kind is None:
        return None
    facts = CLASSES[kind]
    low = row.low_days or facts.low_days
    high = row.high_days or facts.high_days
    return Label(
        row.supply_id,
        kind.value,
        float(min(low, high)),
        float(max(low, high)),
        at_factor=MIDDLE_OF_RANGE,
    )


def _observed(
    events: Sequence[EventRow],
    seen: Sequence[JudgementRow],
    known: Collection[int],
    exposed: float,
) -> tuple[list[Observation], dict[int, tuple[date, ...]]]:
    """What was seen of a vehicle's layers of `known` supplies, and on which days each was.

    `exposed` is the vehicle's factor on time.
    """
    applied = {e.id: e for e in events if e.kind == "applied" and e.supply_id in known}
    sightings: dict[int, list[tuple[date, Verdict]]] = {}
    for row in seen:
        event = applied.get(row.layer_event_id or -1)
        verdict = _verdict(row)
        if event is not None and verdict is not None and row.day >= event.day:
            sightings.setdefault(event.id, []).append((row.day, verdict))
    found = []
    for number, verdicts in sightings.items():
        event = applied[number]
        assert event.supply_id is not None
        factor = exposed * wear(_GROUPS[event.surface_group])
        ages = [(float((day - event.day).days), verdict) for day, verdict in verdicts]
        found.append(observe(event.supply_id, ages, factor, verdicts[-1][0]))
    checks = {number: tuple(day for day, _ in days) for number, days in sightings.items()}
    return [one for one in found if one is not None], checks


def newest(observations: Sequence[Observation]) -> list[Observation]:
    """At most `LEARN_FROM` of each supply, those seen last, in the order they came in."""
    taken: Counter[int] = Counter()
    kept = []
    for at in sorted(
        range(len(observations)), key=lambda at: observations[at].day or date.min, reverse=True
    ):
        supply = observations[at].supply
        taken[supply] += 1
        if taken[supply] <= LEARN_FROM:
            kept.append(at)
    return [observations[at] for at in sorted(kept)]


def _verdict(row: JudgementRow) -> Verdict | None:
    """What counts is what was seen after decontamination: dull may have been dirty, not gone."""
    return _VERDICTS.get(row.after or row.before)


def _as_events(
    desk: Desk,
    history: Sequence[EventRow],
    seen: Sequence[JudgementRow],
    supplies: dict[int, ProtectionRow],
) -> list[GroupEvent]:
    """One vehicle's rows as events of the pure calculation, in no order of time."""
    events = []
    for row in history:
        supply = supplies.get(row.supply_id or -1)
        kind = class_of(supply) if supply else None
        happening = _HAPPENINGS.get(row.kind)
        applied = happening is Happening.APPLIED
        if happening is None or (applied and kind is None):
            continue
        events.append(
            GroupEvent(
                happening=happening,
                group=_GROUPS[row.surface_group],
                at=row.at,
                layer=row.id if applied else None,
                supply=row.supply_id,
                protection_class=kind if applied else None,
                means=means_of(row),
            )
        )
    by_layer = {row.id: row for row in history}
    washed = {(row.day, row.surface_group): row.at for row in history if row.kind == "stripped"}
    for judgement in seen:
        verdict = _verdict(judgement)
        layer = by_layer.get(judgement.layer_event_id or -1)
        if verdict is None or layer is None:
            continue
        # Seen on a day, not at a moment: when the vehicle came, but after what decontaminated the
        # surface on that day and never before the layer itself was put on.
        came = desk.instant(judgement.day, time())
        at = max(layer.at, washed.get((judgement.day, judgement.surface_group), came))
        events.append(
            GroupEvent(
                happening=Happening.JUDGED,
                group=_GROUPS[judgement.surface_group],
                at=at,
                layer=judgement.layer_event_id,
                verdict=verdict,
            )
        )
    return events


def _since_bare(history: Sequence[EventRow]) -> list[EventRow]:
    """One vehicle's rows in order of time, of each surface group those since it was last abraded:
    abrasion takes everything, so what was before leaves nothing standing."""
    bare = {row.surface_group: row.at for row in history if row.kind == Happening.ABRADED}
    if not bare:
        return list(history)
    return [row for row in history if row.at >= bare.get(row.surface_group, row.at)]


def means_of(row: EventRow) -> Means | None:
    """What stripped or abraded, read from the step's name that the event notes."""
    return means_word(row.kind, row.note) if row.kind in ("stripped", "abraded") else None


@lru_cache(maxsize=1000)  # a shop has few names for its steps
def means_word(kind: str, name: str) -> Means:
    """What a step that strips or abrades does it with, by its name."""
    # Whole words: a "start wash" is no tar remover.
    for words, means in (
        (r"(?:wet)?sand(?:s|ed|ing)?", Means.SANDING),
        (r"clay(?:s|ed|ing|bar)?", Means.CLAY),
        (r"wip(?:e|es|ed|ing)", Means.PANEL_WIPE),
        (r"solvents?|(?:de)?tar", Means.SOLVENT),
    ):
        if re.search(rf"\b(?:{words})\b", name, re.IGNORECASE):
            return means
    return Means.STRIP_WASH if kind == "stripped" else Means.POLISH


def _candidate(one: LayerOnVehicle) -> WearingLayer:
    layer, holder = one.layer, one.holder
    assert layer.layer is not None
    assert layer.supply is not None
    return WearingLayer(
        household=holder.household,
        customer=holder.customer_id,
        vehicle=one.vehicle_id,
        layer=layer.layer,
        supply=layer.supply,
        protection_class=layer.protection_class,
        group=layer.group,
        applied=one.applied_on,
        judged=max(one.applied_on, one.judged_on) if one.judged_on else None,
        verdict=layer.verdict,
        exposure=one.exposure,
        vehicle_title=holder.description,
        stored_until=holder.stored_until,
        lease_ends=holder.lease_ends,
    )
