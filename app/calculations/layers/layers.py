"""Layers: what was put on, what took it off, what therefore stands, and what may go over it.

What takes off what is common practice, no source: washing chemistry always takes a wax, a
sealant only when it is repeated or strong, a ceramic never; polishing and sanding take all.
So is what may go over what, and how long to wait: it is said when it is chosen and never
forbidden. The product's label comes first; waits from a label replace those of the class.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from app.calculations.layers.protection import (
    CERAMICS,
    CLASSES,
    PAINT,
    ProtectionClass,
    SurfaceGroup,
)
from app.calculations.numbers.instants import elapsed, in_utc
from app.errors import Mendable


class Happening(StrEnum):
    """What can happen to the layers of a surface group."""

    APPLIED = "applied"
    STRIPPED = "stripped"
    ABRADED = "abraded"
    JUDGED = "judged"


# What a step of a job does to the layers, and what so happens to them.
EFFECTS = {
    "applies": Happening.APPLIED,
    "strips": Happening.STRIPPED,
    "abrades": Happening.ABRADED,
}


class Means(StrEnum):
    """What stripped or abraded."""

    STRIP_WASH = "strip wash"
    SOLVENT = "solvent"
    PANEL_WIPE = "panel wipe"
    CLAY = "clay"
    POLISH = "polish"
    SANDING = "sanding"


class Verdict(StrEnum):
    """What was seen of a layer, after decontamination where that was done."""

    HOLDING = "holding"
    FADING = "fading"
    GONE = "gone"


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupEvent:
    """One thing that happened to the layers of one surface group.

    `layer` is the id an applied layer goes by afterwards; a judgement names it, or leaves it
    None and then speaks of the lowest layer standing there (the one that protects). Without
    `means` a strip is a strip wash and an abrasion a polish.
    """

    happening: Happening
    group: SurfaceGroup
    at: datetime
    layer: int | None = None
    supply: int | None = None
    protection_class: ProtectionClass | None = None
    means: Means | None = None
    verdict: Verdict | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer that stands, of one or more `coats`.

    `weakened` by a strip that did not take it; `gloss_only` when it lies over something longer
    lived: such a topper adds gloss, not life. A layer seen gone still stands here, with that
    verdict, until something else is done, for it is what should be renewed.
    """

    layer: int | None
    group: SurfaceGroup
    supply: int | None
    protection_class: ProtectionClass
    applied_at: datetime
    verdict: Verdict | None = None
    judged_at: datetime | None = None
    weakened: bool = False
    gloss_only: bool = False
    coats: int = 1


# Within this time the same supply put on again is another coat, later it is a renewal.
FURTHER_COAT = timedelta(days=3)

_ABRASIVE = frozenset({Means.POLISH, Means.SANDING})
_CHEMICAL = frozenset({Means.STRIP_WASH, Means.SOLVENT, Means.PANEL_WIPE, Means.CLAY})
_NOTHING: frozenset[Means] = frozenset()

# (takes it off, only weakens it: the second time takes it off). Abrasion takes everything.
_TAKEN: dict[ProtectionClass, tuple[frozenset[Means], frozenset[Means]]] = {
    ProtectionClass.CARNAUBA_WAX: (_CHEMICAL, _NOTHING),
    ProtectionClass.SPRAY_SEALANT: (_CHEMICAL, _NOTHING),
    ProtectionClass.SYNTHETIC_SEALANT: (
        frozenset({Means.SOLVENT, Means.PANEL_WIPE}),
        frozenset({Means.STRIP_WASH, Means.CLAY}),
    ),
    ProtectionClass.GLASS_COATING: (_NOTHING, frozenset({Means.STRIP_WASH})),
    ProtectionClass.WHEEL_COATING: (_NOTHING, frozenset({Means.SOLVENT})),
    ProtectionClass.TRIM_COATING: (frozenset({Means.SOLVENT}), frozenset({Means.STRIP_WASH})),
    ProtectionClass.LEATHER_PROTECTANT: (_CHEMICAL, _NOTHING),
    ProtectionClass.FABRIC_PROTECTOR: (_CHEMICAL, _NOTHING),
    ProtectionClass.TIRE_DRESSING: (_CHEMICAL, _NOTHING),
}


def standing(events: Iterable[GroupEvent]) -> dict[SurfaceGroup, tuple[Layer, ...]]:
    """The layers that stand on each surface group after these events, lowest first.

    Events may come in any order; those of one moment keep theirs. Groups on which nothing
    stands are left out. Raises `Mendable` for an applied layer without its class.
    """
    stacks: dict[SurfaceGroup, list[Layer]] = {}
    # Another coat goes by its own id too; a judgement may name any coat of its layer.
    names: dict[int, int] = {}
    for event in sorted(events, key=lambda one: in_utc(one.at)):
        stack = stacks.setdefault(event.group, [])
        if event.happening is Happening.APPLIED:
            _apply(stack, event, names)
        elif event.happening is Happening.JUDGED:
            _judge(stack, event, names)
        else:
            stacks[event.group] = _take(stack, event)
    return {group: tuple(_with_toppers(stack)) for group, stack in stacks.items() if stack}


def follow(stack: Iterable[Layer], event: GroupEvent) -> tuple[Layer, ...]:
    """The layers of one surface group after one more event, lowest first."""
    layers = [replace(layer, gloss_only=False) for layer in stack]
    if event.happening is Happening.APPLIED:
        _apply(layers, event, {})
    elif event.happening is Happening.JUDGED:
        _judge(layers, event, {})
    else:
        layers = _take(layers, event)
    return tuple(_with_toppers(layers))


def _apply(stack: list[Layer], event: GroupEvent, names: dict[int, int]) -> None:
    kind = event.protection_class
    if kind is None:
        raise Mendable(
            f"A layer on the {event.group} has no class of protection; choose one for its supply."
        )
    for place, old in enumerate(stack):
        if (old.supply, old.protection_class) != (event.supply, kind):
            continue
        if elapsed(old.applied_at, event.at) <= FURTHER_COAT and old.verdict is not Verdict.GONE:
            if event.layer is not None and old.layer is not None:
                names[event.layer] = old.layer
            stack[place] = replace(old, coats=old.coats + 1)
            return
    # What lies under something that lives as long or longer no longer counts by itself, and
    # what was seen gone is no layer any more once something new is put on.
    life = CLASSES[kind].middle_days
    stack[:] = [
        old
        for old in stack
        if CLASSES[old.protection_class].middle_days > life and old.verdict is not Verdict.GONE
    ]
    stack.append(
        Layer(
            layer=event.layer,
            group=event.group,
            supply=event.supply,
            protection_class=kind,
            applied_at=event.at,
        )
    )


def _judge(stack: list[Layer], event: GroupEvent, names: dict[int, int]) -> None:
    if not stack or event.verdict is None:
        return
    place = 0
    if event.layer is not None:
        name = names.get(event.layer, event.layer)
        named = [at for at, layer in enumerate(stack) if layer.layer == name]
        if not named:
            return  # it speaks of a layer that no longer stands
        place = named[0]
    stack[place] = replace(stack[place], verdict=event.verdict, judged_at=event.at, weakened=False)


def _take(stack: list[Layer], event: GroupEvent) -> list[Layer]:
    """What is left of a stack after a strip or an abrasion."""
    if event.happening is Happening.ABRADED or event.means in _ABRASIVE:
        return []
    means = event.means or Means.STRIP_WASH
    left = []
    for layer in stack:
        takes, weakens = _TAKEN.get(layer.protection_class, (_NOTHING, _NOTHING))
        if means in takes or (means in weakens and layer.weakened):
            continue
        left.append(replace(layer, weakened=layer.weakened or means in weakens))
    return left


def _with_toppers(stack: list[Layer]) -> list[Layer]:
    """The stack with those layers marked that only add gloss to what protects beneath them."""
    marked: list[Layer] = []
    protects = False
    for layer in stack:
        gloss = layer.gloss_only is not protects
        marked.append(replace(layer, gloss_only=protects) if gloss else layer)
        protects = protects or layer.verdict is not Verdict.GONE
    return marked


class Ground(StrEnum):
    """What the surface is, where it is not simply sound paint."""

    FRESH_PAINT = "fresh paint"
    GLAZE = "glaze or filler oils"
    PAINT_FILM = "paint film"
    WRAP = "wrap"


_WAX = ProtectionClass.CARNAUBA_WAX
_SEALANT = ProtectionClass.SYNTHETIC_SEALANT
_SPRAY = ProtectionClass.SPRAY_SEALANT


def layering_advice(
    layers: Mapping[SurfaceGroup, tuple[Layer, ...]],
    going_on: ProtectionClass,
    group: SurfaceGroup,
    when: datetime,
    ground: Ground | None = None,
    next_hours: Mapping[int, float] | None = None,
) -> list[str]:
    """Sentences about order and waits for putting `going_on` there; it never forbids.

    `layers` as `standing` gives them, `ground` what the surface is, `next_hours` the wait before
    the next layer by supply, where a label states it. Empty when nothing speaks against it.
    """
    found: list[str] = []
    if group not in CLASSES[going_on].groups:
        found.append(f"A {going_on} is not usual on {group}; its label says whether it may.")
    if ground is not None:
        found += _on_ground(ground, going_on)
    there = [layer for layer in layers.get(group, ()) if layer.verdict is not Verdict.GONE]
    for layer in there:
        advice = _over(layer, going_on, when)
        if advice:
            found.append(advice)
    if there:
        wait = _wait(there[-1], when, next_hours or {})
        if wait:
            found.append(wait)
    return found


def _on_ground(ground: Ground, going_on: ProtectionClass) -> list[str]:
    if ground is Ground.FRESH_PAINT:
        return [
            f"On fresh paint a {going_on} waits until the painter's data sheet allows it; "
            "waits in print differ from a week to three months."
        ]
    if ground is Ground.GLAZE:
        if going_on is _WAX:
            return []
        return [f"A {going_on} does not bond over glaze or filler oils; wipe the panel first."]
    surface = "paint film" if ground is Ground.PAINT_FILM else "wrap"
    if going_on in CERAMICS:
        return [f"On {surface} only a coating that is made for it; its label says so."]
    return [f"On {surface} a {going_on} goes on only if the maker of the {surface} allows it."]


def _over(layer: Layer, going_on: ProtectionClass, when: datetime) -> str:
    """What is to be said about one class over another; empty when it is usual."""
    there = layer.protection_class
    if there in CERAMICS:
        return _over_ceramic(layer, going_on, when)
    if going_on in CERAMICS:
        return (
            f"A {going_on} needs bare polished paint and a panel wipe; the {there} that stands "
            "there has to come off first."
        )
    if going_on is _SEALANT and there is _WAX:
        return "A synthetic sealant does not hold over wax; strip the wax first."
    if going_on is _SPRAY and there is _WAX:
        return "A spray sealant holds poorly over wax; strip the wax, or renew the wax instead."
    if going_on is _WAX and there is _SPRAY:
        return "A wax over a spray sealant takes away its slickness; it adds gloss, not life."
    return ""


def _over_ceramic(layer: Layer, going_on: ProtectionClass, when: datetime) -> str:
    there = layer.protection_class
    age = elapsed(layer.applied_at, when)
    if going_on is there:
        soon = timedelta(hours=max(24.0, CLASSES[there].next_layer_hours[1]))
        if age <= soon:
            return ""
        return (
            f"The {there} has cured; another coat needs decontamination and a light polish first, "
            "unless its maker sells a top coat for this."
        )
    if going_on in CERAMICS:
        return (
            f"A {going_on} over the {there} needs decontamination and a light polish first, "
            "unless both makers allow it."
        )
    cure = CLASSES[there].cure_days
    if age < timedelta(days=cure):
        return (
            f"The {there} went on {_ago(age)} and cures for {cure} days; "
            f"a {going_on} comes after that."
        )
    if going_on is _WAX:
        return f"A wax over a {there} adds gloss and hides how the coating itself behaves."
    if going_on is _SEALANT:
        return f"A synthetic sealant over a {there} is rarely of use."
    return ""


def _wait(top: Layer, when: datetime, next_hours: Mapping[int, float]) -> str:
    """The wait after the topmost layer, while it lasts."""
    kind, age = top.protection_class, elapsed(top.applied_at, when)
    if kind in CERAMICS and top.group in PAINT and age >= timedelta(days=1):
        return ""
    label = next_hours.get(top.supply) if top.supply is not None else None
    usual = CLASSES[kind].next_layer_hours if label is None else (label, label)
    soonest, better = (timedelta(hours=hours) for hours in usual)
    if age < soonest:
        rest = "" if better == soonest else f", better {_hours(better)}"
        return (
            f"The {kind} went on {_ago(age)}; wait {_hours(soonest)} or more before the next "
            f"layer{rest}."
        )
    if age < better:
        return f"The {kind} went on {_ago(age)}; the next layer is better after {_hours(better)}."
    return ""


def _hours(span: timedelta) -> str:
    minutes = round(span.total_seconds() / 60)
    if minutes < 60:
        return f"{minutes} minutes"
    hours = minutes / 60
    return f"{hours:g} hours" if hours != 1 else "1 hour"


def _ago(span: timedelta) -> str:
    hours = span.total_seconds() / 3600
    if hours < 1:
        return "just now"
    if hours < 48:
        count = int(hours)
        return f"{count} hours ago" if count != 1 else "an hour ago"
    return f"{int(hours // 24)} days ago"
