"""Layers: what was put on, what took it off, and what therefore stands on each surface group."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from app.calculations.protection import ProtectionClass, SurfaceGroup


class Happening(StrEnum):
    """What can happen to the layers of a surface group."""

    APPLIED = "applied"
    STRIPPED = "stripped"
    ABRADED = "abraded"
    JUDGED = "judged"


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


@dataclass(frozen=True, slots=True)
class LayerEvent:
    """One thing that happened to the layers of one surface group.

    `layer` is the id an applied layer goes by afterwards; a judgement names it, or leaves it
    None and then speaks of the lowest layer standing there (the one that protects).
    """

    happening: Happening
    group: SurfaceGroup
    at: datetime
    layer: int | None = None
    supply: int | None = None
    protection_class: ProtectionClass | None = None
    means: Means | None = None
    verdict: Verdict | None = None


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer that stands; `gloss_only` when it lies over something longer lived."""

    layer: int | None
    group: SurfaceGroup
    supply: int | None
    protection_class: ProtectionClass
    applied: datetime
    verdict: Verdict | None = None
    judged: datetime | None = None
    weakened: bool = False
    gloss_only: bool = False


def standing(events: Iterable[LayerEvent]) -> dict[SurfaceGroup, tuple[Layer, ...]]:
    """The layers that stand on each surface group after these events, lowest first."""
    raise NotImplementedError


def order_advice(
    layers: Mapping[SurfaceGroup, tuple[Layer, ...]],
    going_on: ProtectionClass,
    group: SurfaceGroup,
    when: datetime,
) -> list[str]:
    """Sentences about order and waits for putting `going_on` there; it never forbids."""
    raise NotImplementedError
