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
    end on garaged, hand-washed vehicles. Waits are hours, (soonest, better). `cure_days` is how
    long it stays without a wash or anything over it but its own further coats.
    """

    protection_class: ProtectionClass
    groups: frozenset[SurfaceGroup]
    low_days: int
    high_days: int
    next_layer_hours: tuple[float, float]
    first_water_hours: tuple[float, float]
    shortened_by: str
    hand_over: str
    cure_days: int = 0
    reminding: Reminding = Reminding.OF_ITSELF

    @property
    def middle_days(self) -> float:
        """The middle of the range."""
        return (self.low_days + self.high_days) / 2


_ON_PAINT_WHEELS = PAINT | {SurfaceGroup.WHEELS}
_OUTSIDE = PAINT | GLASS | {SurfaceGroup.WHEELS, SurfaceGroup.TRIM}
_CERAMIC_ON = PAINT | {SurfaceGroup.WHEELS, SurfaceGroup.TRIM}
_CERAMIC_SHORTENED = "brush washes, neglect, minerals, bird droppings"

# Months are taken as 30.4 days and rounded.
_FACTS = (
    ClassFacts(
        ProtectionClass.CARNAUBA_WAX,
        _ON_PAINT_WHEELS,
        21,  # 3 to 8 weeks outdoors
        120,  # 3 to 4 months garaged
        (0.0, 12.0),
        (1.0, 12.0),
        "hot panels, detergent, automatic washes",
        "at once; keep it dry that day",
    ),
    ClassFacts(
        ProtectionClass.SYNTHETIC_SEALANT,
        _ON_PAINT_WHEELS,
        90,  # 3 to 6 months outdoors
        365,  # 6 to 12 garaged
        (12.0, 24.0),
        (4.0, 24.0),
        "brushes, alkaline pre-wash, salt",
        "keep it dry for 12 to 24 hours",
    ),
    ClassFacts(
        ProtectionClass.SPRAY_SEALANT,
        _OUTSIDE,
        30,  # 1 to 3 months outdoors
        180,  # 3 to 6 garaged
        (1.0, 24.0),
        (0.0, 12.0),
        "washes",
        "at once",
    ),
    ClassFacts(
        ProtectionClass.CERAMIC_1_YEAR,
        _CERAMIC_ON,
        183,  # 6 to 12 months outdoors
        548,  # 12 to 18 garaged
        (1.0, 2.0),
        (12.0, 24.0),
        _CERAMIC_SHORTENED,
        "dry for 12 to 24 hours, no wash for 7 days",
        cure_days=7,
    ),
    ClassFacts(
        ProtectionClass.CERAMIC_2_YEAR,
        _CERAMIC_ON,
        365,  # 12 to 20 months outdoors
        913,  # 24 to 30 garaged
        (1.0, 4.0),
        (24.0, 24.0),
        _CERAMIC_SHORTENED,
        "dry for 12 to 24 hours, no wash for 7 days",
        cure_days=7,
    ),
    ClassFacts(
        ProtectionClass.CERAMIC_3_YEAR,
        _CERAMIC_ON,
        608,  # 20 to 30 months outdoors
        1278,  # 36 to 42 garaged
        (1.0, 24.0),
        (24.0, 24.0),
        _CERAMIC_SHORTENED,
        "dry for 24 hours, no wash for 7 days",
        cure_days=7,
    ),
    ClassFacts(
        ProtectionClass.CERAMIC_5_YEAR,
        _CERAMIC_ON,
        913,  # 30 to 45 months outdoors
        1826,  # 60 garaged, with yearly care
        (1.0, 24.0),
        (24.0, 48.0),
        _CERAMIC_SHORTENED,
        "dry for 24 to 48 hours, no wash for 7 to 14 days",
        cure_days=7,
    ),
    ClassFacts(
        ProtectionClass.GLASS_COATING,
        GLASS,
        183,  # side glass 6 to 18 months; the front glass wears faster, see `wear`
        548,
        (1.0, 1.0),
        (1.0, 12.0),
        "wipers, alcohol in washer fluid, grit",
        "keep it dry for 1 to 12 hours",
        reminding=Reminding.ALONGSIDE,
    ),
    ClassFacts(
        ProtectionClass.WHEEL_COATING,
        frozenset({SurfaceGroup.WHEELS}),
        183,
        730,
        (1.0, 2.0),
        (12.0, 24.0),
        "brake heat and dust, acid cleaner",
        "no strong wheel cleaner for 14 days",
    ),
    ClassFacts(
        ProtectionClass.TRIM_COATING,
        frozenset({SurfaceGroup.TRIM}),
        183,
        730,
        (1.0, 12.0),
        (12.0, 24.0),
        "sunlight, touchless alkaline washes",
        "keep it dry for 12 to 24 hours",
        reminding=Reminding.NEVER,
    ),
    ClassFacts(
        ProtectionClass.LEATHER_PROTECTANT,
        frozenset({SurfaceGroup.LEATHER}),
        30,  # a protectant 1 to 3 months; a leather coating 6 to 18, then its label is entered
        180,
        (1.0, 2.0),
        (1.0, 12.0),
        "denim, body oils, sunscreen, hand gel",
        "nobody sits on it for 1 to 4 hours",
    ),
    ClassFacts(
        ProtectionClass.FABRIC_PROTECTOR,
        frozenset({SurfaceGroup.FABRIC}),
        122,
        365,
        (2.0, 2.0),
        (6.0, 24.0),
        "rubbing, extraction, detergents",
        "when it is dry, after 6 to 24 hours",
    ),
    ClassFacts(
        ProtectionClass.TIRE_DRESSING,
        frozenset({SurfaceGroup.TIRES}),
        7,
        35,
        (0.2, 0.33),
        (0.5, 1.0),
        "rain, driving off too soon",
        "wait 20 to 30 minutes before driving",
        reminding=Reminding.NEVER,
    ),
)
CLASSES: Mapping[ProtectionClass, ClassFacts] = MappingProxyType(
    {facts.protection_class: facts for facts in _FACTS}
)

# How much sooner a surface group wears than the one its class is usually judged by; the hood,
# the lowers and the glass under the wipers go first. Judgement, no source.
_WEAR: Mapping[SurfaceGroup, float] = MappingProxyType(
    {
        SurfaceGroup.UPPER_HORIZONTALS: 0.90,
        SurfaceGroup.LOWERS: 0.85,
        SurfaceGroup.FRONT_GLASS: 0.42,  # 2 to 8 months against 6 to 18 on the other glass
    }
)


def wear(group: SurfaceGroup) -> float:
    """The factor on life of a surface group, to be multiplied with its vehicle's exposure."""
    return _WEAR.get(group, 1.0)
