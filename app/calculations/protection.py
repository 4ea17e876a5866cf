"""What protects a vehicle: surface groups, classes of protection, and the facts of each class.

Every number in this table is common practice, no source: what working shops find, a range and
never a promise. The product's own label comes first wherever it says something else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class SurfaceGroup(StrEnum):
    """Parts of a vehicle that wear alike and are judged together."""

    UPPER_HORIZONTALS = "upper horizontals"
    UPPER_SIDES = "upper sides"
    LOWERS = "lowers"
    FRONT_GLASS = "front glass"
    OTHER_GLASS = "other glass"
    WHEELS = "wheels"
    TRIM = "trim"
    LEATHER = "leather"
    FABRIC = "fabric"
    TIRES = "tires"


class ProtectionClass(StrEnum):
    """Kinds of protection, by what they are made of and how long they are meant to last."""

    CARNAUBA_WAX = "carnauba wax"
    SYNTHETIC_SEALANT = "synthetic sealant"
    SPRAY_SEALANT = "spray sealant"
    CERAMIC_1_YEAR = "ceramic 1 year"
    CERAMIC_2_YEAR = "ceramic 2 year"
    CERAMIC_3_YEAR = "ceramic 3 year"
    CERAMIC_5_YEAR = "ceramic 5 year"
    GLASS_COATING = "glass coating"
    WHEEL_COATING = "wheel coating"
    TRIM_COATING = "trim coating"
    LEATHER_PROTECTANT = "leather protectant"
    FABRIC_PROTECTOR = "fabric protector"
    TIRE_DRESSING = "tire dressing"


class Reminding(StrEnum):
    """Whether a letter may be written because of a class."""

    OF_ITSELF = "of itself"
    ALONGSIDE = "alongside"  # only when the household is written to anyway
    NEVER = "never"


CERAMICS = frozenset(
    {
        ProtectionClass.CERAMIC_1_YEAR,
        ProtectionClass.CERAMIC_2_YEAR,
        ProtectionClass.CERAMIC_3_YEAR,
        ProtectionClass.CERAMIC_5_YEAR,
    }
)
PAINT = frozenset({SurfaceGroup.UPPER_HORIZONTALS, SurfaceGroup.UPPER_SIDES, SurfaceGroup.LOWERS})
GLASS = frozenset({SurfaceGroup.FRONT_GLASS, SurfaceGroup.OTHER_GLASS})


@dataclass(frozen=True, slots=True)
class ClassFacts:
    """What is usual for one class; all of it common practice, no source.

    `low_days` is the short end of the life seen on daily drivers outdoors, `high_days` the long
    end on garaged, hand-washed vehicles. Waits are hours, (soonest, better).
    """

    protection_class: ProtectionClass
    groups: frozenset[SurfaceGroup]
    low_days: int
    high_days: int
    next_layer_hours: tuple[float, float]
    first_water_hours: tuple[float, float]
    shortened_by: str
    hand_over: str
    reminding: Reminding = Reminding.OF_ITSELF


CLASSES: Mapping[ProtectionClass, ClassFacts] = MappingProxyType({})
