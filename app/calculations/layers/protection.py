"""What protects a vehicle: surface groups, classes of protection, and the facts of each class.

Every number in this table is common practice, no source: what working shops find, a range and
never a promise. The product's own label comes first wherever it says something else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
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


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassFacts:
    """What is usual for one class; all of it common practice, no source.

    `low_days` is the short end of the life seen on daily drivers outdoors, `high_days` the long
    end on garaged, hand-washed vehicles. Waits are hours, (soonest, better). `cure_days` is how
    long it stays without a wash or anything over it but its own other coats.
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
_CERAMIC = partial(
    ClassFacts,
    groups=PAINT | {SurfaceGroup.WHEELS, SurfaceGroup.TRIM},
    shortened_by="brush washes, neglect, minerals, bird droppings",
    cure_days=7,
)

# Months are taken as 30.4 days and rounded.
_FACTS = (
    ClassFacts(
        protection_class=ProtectionClass.CARNAUBA_WAX,
        groups=_ON_PAINT_WHEELS,
        low_days=21,  # 3 to 8 weeks outdoors
        high_days=120,  # 3 to 4 months garaged
        next_layer_hours=(0.0, 12.0),
        first_water_hours=(1.0, 12.0),
        shortened_by="hot panels, detergent, automatic washes",
        hand_over="at once; keep it dry that day",
    ),
    ClassFacts(
        protection_class=ProtectionClass.SYNTHETIC_SEALANT,
        groups=_ON_PAINT_WHEELS,
        low_days=90,  # 3 to 6 months outdoors
        high_days=365,  # 6 to 12 garaged
        next_layer_hours=(12.0, 24.0),
        first_water_hours=(4.0, 24.0),
        shortened_by="brushes, alkaline pre-wash, salt",
        hand_over="keep it dry for 12 to 24 hours",
    ),
    ClassFacts(
        protection_class=ProtectionClass.SPRAY_SEALANT,
        groups=_OUTSIDE,
        low_days=30,  # 1 to 3 months outdoors
        high_days=180,  # 3 to 6 garaged
        next_layer_hours=(1.0, 24.0),
        first_water_hours=(0.0, 12.0),
        shortened_by="washes",
        hand_over="at once",
    ),
    _CERAMIC(
        protection_class=ProtectionClass.CERAMIC_1_YEAR,
        low_days=183,  # 6 to 12 months outdoors
        high_days=548,  # 12 to 18 garaged
        next_layer_hours=(1.0, 2.0),
        first_water_hours=(12.0, 24.0),
        hand_over="dry for 12 to 24 hours, no wash for 7 days",
    ),
    _CERAMIC(
        protection_class=ProtectionClass.CERAMIC_2_YEAR,
        low_days=365,  # 12 to 20 months outdoors
        high_days=913,  # 24 to 30 garaged
        next_layer_hours=(1.0, 4.0),
        first_water_hours=(24.0, 24.0),
        hand_over="dry for 12 to 24 hours, no wash for 7 days",
    ),
    _CERAMIC(
        protection_class=ProtectionClass.CERAMIC_3_YEAR,
        low_days=608,  # 20 to 30 months outdoors
        high_days=1278,  # 36 to 42 garaged
        next_layer_hours=(1.0, 24.0),
        first_water_hours=(24.0, 24.0),
        hand_over="dry for 24 hours, no wash for 7 days",
    ),
    _CERAMIC(
        protection_class=ProtectionClass.CERAMIC_5_YEAR,
        low_days=913,  # 30 to 45 months outdoors
        high_days=1826,  # 60 garaged, with yearly care
        next_layer_hours=(1.0, 24.0),
        first_water_hours=(24.0, 48.0),
        hand_over="dry for 24 to 48 hours, no wash for 14 days",
        cure_days=14,  # 7 to 14; the longer, so that nothing goes over it too soon
    ),
    ClassFacts(
        protection_class=ProtectionClass.GLASS_COATING,
        groups=GLASS,
        low_days=183,  # side glass 6 to 18 months; the front glass wears faster, see `wear`
        high_days=548,
        next_layer_hours=(1.0, 1.0),
        first_water_hours=(1.0, 12.0),
        shortened_by="wipers, alcohol in washer fluid, grit",
        hand_over="keep it dry for 1 to 12 hours",
        reminding=Reminding.ALONGSIDE,
    ),
    ClassFacts(
        protection_class=ProtectionClass.WHEEL_COATING,
        groups=frozenset({SurfaceGroup.WHEELS}),
        low_days=183,
        high_days=730,
        next_layer_hours=(1.0, 2.0),
        first_water_hours=(12.0, 24.0),
        shortened_by="brake heat and dust, acid cleaner",
        hand_over="no strong wheel cleaner for 14 days",
    ),
    ClassFacts(
        protection_class=ProtectionClass.TRIM_COATING,
        groups=frozenset({SurfaceGroup.TRIM}),
        low_days=183,
        high_days=730,
        next_layer_hours=(1.0, 12.0),
        first_water_hours=(12.0, 24.0),
        shortened_by="sunlight, touchless alkaline washes",
        hand_over="keep it dry for 12 to 24 hours",
        reminding=Reminding.NEVER,
    ),
    ClassFacts(
        protection_class=ProtectionClass.LEATHER_PROTECTANT,
        groups=frozenset({SurfaceGroup.LEATHER}),
        # A protectant 1 to 3 months; a leather coating 6 to 18, then its label is entered.
        low_days=30,
        high_days=180,
        next_layer_hours=(1.0, 2.0),
        first_water_hours=(1.0, 12.0),
        shortened_by="denim, body oils, sunscreen, hand gel",
        hand_over="nobody sits on it for 1 to 4 hours",
    ),
    ClassFacts(
        protection_class=ProtectionClass.FABRIC_PROTECTOR,
        groups=frozenset({SurfaceGroup.FABRIC}),
        low_days=122,
        high_days=365,
        next_layer_hours=(2.0, 2.0),
        first_water_hours=(6.0, 24.0),
        shortened_by="rubbing, extraction, detergents",
        hand_over="when it is dry, after 6 to 24 hours",
    ),
    ClassFacts(
        protection_class=ProtectionClass.TIRE_DRESSING,
        groups=frozenset({SurfaceGroup.TIRES}),
        low_days=7,
        high_days=35,
        next_layer_hours=(0.2, 0.33),
        first_water_hours=(0.5, 1.0),
        shortened_by="rain, driving off too soon",
        hand_over="wait 20 to 30 minutes before driving",
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
