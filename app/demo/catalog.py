"""What the made-up shop buys and sells, and what its people wish for."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from app.calculations.numbers.units import Kind


@dataclass(frozen=True, kw_only=True)
class SupplierItem:
    """A supplier, with how long its deliveries really take (days) and how often they go wrong."""

    id: int
    columns: dict[str, Any]
    name: str
    weekdays: frozenset[int]
    promised: int
    lead: tuple[float, float, float]  # low, usual, high
    late_share: float
    part_share: float
    freight: int
    free_from: int | None
    minimum: int
    store: bool


@dataclass(frozen=True, kw_only=True)
class PackItem:
    """A size a supply is sold in; `weight` in milligrams."""

    id: int
    supply: int
    supplier: int
    label: str
    size: int
    price: int
    weight: int
    code: str
    breaks: tuple[tuple[int, int], ...] = ()  # from so many packs on, one costs so much


@dataclass(frozen=True)
class AnnouncedItem:
    """Days that a supplier announces each year: (month, day) of the first and the last."""

    supplier: int
    kind: str
    first: tuple[int, int]
    last: tuple[int, int]
    note: str


@dataclass(frozen=True, kw_only=True)
class SupplyItem:
    """A supply, with how this shop really uses it.

    `habit` is what the shop truly takes over what the recipe says, `spread` the standard deviation
    of its logarithm; `step` is how finely it is read off, as an exact number of base units, and
    `step_number` and `step_unit` how that is written.
    """

    id: int
    columns: dict[str, Any]
    name: str
    kind: Kind
    density: int
    dilution: int | None
    by_lot: bool
    whole: bool
    keeps: int | None
    supplier: int
    protection: str
    life: tuple[int, int] | None
    habit: float
    spread: float
    step: Fraction
    step_number: Fraction
    step_unit: str
    pool: str = ""  # where its pieces begin on the ladder; empty for what is used up
    load: int = 0
    uses: int = 0
    packs: tuple[PackItem, ...] = ()
    store_packs: tuple[PackItem, ...] = ()


@dataclass(frozen=True)
class StepItem:
    """A step of a service and what it does to layers."""

    name: str
    effect: str
    supply: int | None
    groups: tuple[str, ...]
    minutes: int = 0
    hold: str = ""  # cures, dries
    hold_minutes: int = 0


@dataclass(frozen=True)
class LineItem:
    """A recipe's line; base units."""

    supply: int
    scaling: str
    amount: int


@dataclass(frozen=True)
class ServiceItem:
    """A service, its steps and its recipe."""

    id: int
    name: str
    outside: bool
    minutes: int
    price: int
    steps: tuple[StepItem, ...]
    lines: tuple[LineItem, ...]
    in_bay: bool = True

    @property
    def coats(self) -> bool:
        """Whether the vehicle has to stand overnight after it."""
        return "coating" in self.name.lower() and self.minutes >= 100


@dataclass(frozen=True)
class Wish:
    """What people come for."""

    title: str
    services: tuple[ServiceItem, ...]
    weight: float
    kinds: frozenset[str]
    lead: tuple[int, int]
    months: dict[int, float]
    old: bool


@dataclass(frozen=True)
class Habit:
    """How often someone comes: days between visits, and the share that does not come back."""

    name: str
    share: float
    days: tuple[int, int]
    gone: float


@dataclass(frozen=True)
class Extra:
    """A service that is often added to others."""

    service: ServiceItem
    with_: frozenset[str]
    share: float


@dataclass(frozen=True)
class Body:
    """A kind of vehicle, described without a brand."""

    description: str
    outside: str
    inside: str
    weight: float
    old: bool


@dataclass(frozen=True)
class FleetItem:
    """A firm with several like vehicles."""

    name: str
    contact: str
    units: int
    description: str
    outside: str
    inside: str
    every_days: int


@dataclass(frozen=True, kw_only=True)
class Catalog:
    """All of it."""

    settings: dict[str, Any]
    rates: tuple[dict[str, Any], ...]
    town: dict[str, Any]
    given_names: tuple[str, ...]
    family_names: tuple[str, ...]
    streets: tuple[str, ...]
    colors: tuple[tuple[str, float], ...]
    bodies: tuple[Body, ...]
    fleets: tuple[FleetItem, ...]
    suppliers: dict[int, SupplierItem]
    announced: tuple[AnnouncedItem, ...]
    supplies: dict[int, SupplyItem]
    services: dict[str, ServiceItem]
    wishes: tuple[Wish, ...]
    fleet_wish: Wish
    extras: tuple[Extra, ...]
    habits: tuple[Habit, ...]

    @property
    def store(self) -> SupplierItem:
        """The shop around the corner, for what is missing today."""
        return next(one for one in self.suppliers.values() if one.store)
