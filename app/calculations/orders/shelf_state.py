"""What the reorder rule reads: the shelf at a day's end, as plain numbers.

Quantities are whole base units of a supply (microlitres, milligrams, thousandths of a piece),
money is whole minor units, days are proleptic day ordinals (`date.toordinal()`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from app.calculations.plan.expected_use import SPREAD
from app.errors import Mendable

# Goods bought early cost so many times what the money in them does: they take the room and the cash
# of a small shop, and some are never needed. Judgement, chosen so that money in a pack costs a
# quarter in a year (Silver, Pyke and Peterson name 0.1 to 0.4 a year; from memory).
EARLY = 12.0

Span = tuple[int, int]  # first and last day, both counted in


@dataclass(frozen=True, slots=True)
class PackOffer:
    """A pack that can be bought: `size` base units for `price`.

    `breaks` are (packs, price of one): from so many packs on each of them costs that.
    """

    pack: int
    size: int
    price: int
    supplier: int | None = None  # none: the supply's own supplier
    breaks: tuple[tuple[int, int], ...] = ()
    containers: int = 1  # in the pack, each opened on its own

    def each(self, packs: int) -> int:
        """The price of one where so many are ordered at once."""
        return max(((0, self.price), *(one for one in self.breaks if one[0] <= packs)))[1]


@dataclass(frozen=True, slots=True)
class OnOrder:
    """What is still to come of an order: base units, and the day it is expected.

    `comes` is the chance that it comes at all (`lead_times.comes_at_all`): what is more likely lost
    is not counted on.
    """

    quantity: int
    expected_day: int
    comes: float = 1.0


@dataclass(frozen=True, slots=True)
class BookedNeed:
    """What a booked job will use of a supply.

    `amount` is the middle use (median, base units); `spread` is the standard deviation of the
    natural logarithm of the use: 0 is certain, `SPREAD` is usual (0.35: four in five within 0.64 to
    1.57 times). A day that is past counts as tomorrow: the work is not done yet.
    """

    day: int
    amount: int
    spread: float = SPREAD
    job: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyState:
    """One supply at the day's end.

    `use` is what was used on each of the last days, oldest first, the last entry being today;
    a bounded window (180 to 365 days) is enough and only the last `OrderSettings.window_days`
    are read. Entries before the supply existed are left out, not filled with zeros.
    """

    supply: int
    supplier: int | None
    on_hand: int  # may be below zero: an unrecorded delivery or a miscount
    packs: tuple[PackOffer, ...] = ()
    on_order: tuple[OnOrder, ...] = ()
    booked: tuple[BookedNeed, ...] = ()
    use: Sequence[int] = ()
    shelf_life_days: int | None = None
    opened_life_days: int | None = None
    stopped: bool = False  # use it up, don't reorder
    hazardous: bool = False  # its parcel costs the supplier's hazard fee
    # Where on hand and on order together come to less than this, an order is due: pieces that a
    # shop wants to stand there whatever is used.
    floor: int = 0
    no_frost: bool = False  # must not freeze: not ordered in a supplier's cold stop
    # Days between booking and work of the latest jobs that took it (the last hundred are enough).
    notice: Sequence[int] = ()

    @property
    def coming(self) -> tuple[OnOrder, ...]:
        """What is on order and can be counted on."""
        return tuple(one for one in self.on_order if one.comes >= 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierState:
    """One supplier: how long deliveries take and what an order costs beside the goods.

    `lead_days` are the days from order to shelf of past orders (the last fifty are enough);
    `promised_days` is the lead time as promised, the prior while little was seen.
    """

    supplier: int
    lead_days: Sequence[int] = ()
    promised_days: int | None = None
    freight: int = 0
    free_freight_from: int | None = None  # goods from which freight is free
    minimum_order: int = 0
    hazard_fee: int = 0
    order_weekdays: tuple[int, ...] = ()  # 0 Monday to 6 Sunday; empty: any day
    cold_spans: tuple[Span, ...] = ()  # days in which nothing is sent that must not freeze
    sale_spans: tuple[Span, ...] = ()  # announced sales
    # Days that parcels on their way have taken so far: an overdue one speaks for longer lead times.
    waiting_days: Sequence[int] = ()


@dataclass(frozen=True, slots=True)
class OrderSettings:
    """What the shop chooses."""

    quantile: float = 0.99  # of deliveries that come before anything has run short
    # The one price of money on the shelf: goods bought before they are due cost their own worth in
    # so many days, and are worth buying where they save more freight. More days: less freight,
    # larger packs, more stock.
    freight_days: float = 125.0
    longest_days: int = 56  # nothing is bought along that is needed later than this
    window_days: int = 365  # how much of `use` is read

    @property
    def money_per_year(self) -> float:
        """What money in a pack costs in a year, as a share of it: the money alone."""
        return 365.0 / self.freight_days / EARLY


@dataclass(frozen=True, slots=True)
class ShelfState:
    """All supplies of all suppliers at one day's end.

    `notice` are the days between booking and work of recent jobs (the last hundred are enough):
    from them comes how much of the work of the days ahead is not booked yet, of a supply as far as
    its own `SupplyState.notice` does not say it.
    """

    day: int
    supplies: tuple[SupplyState, ...]
    suppliers: tuple[SupplierState, ...]
    notice: Sequence[int] = ()
    settings: OrderSettings = field(default_factory=OrderSettings)


def check_shelf(state: ShelfState) -> None:
    """Raise `Mendable` for a shelf that cannot be."""
    settings = state.settings
    if not 0.0 < settings.quantile < 1.0:
        raise Mendable("The share of deliveries in time must lie between 0 and 100 %.")
    if settings.freight_days <= 0 or settings.longest_days < 1 or settings.window_days < 1:
        raise Mendable("The days of the order rule must be at least 1.")
    for what, numbers in (
        ("Supply", [one.supply for one in state.supplies]),
        ("Supplier", [one.supplier for one in state.suppliers]),
    ):
        if len(set(numbers)) < len(numbers):
            twice = next(one for one in numbers if numbers.count(one) > 1)
            raise Mendable(f"{what} {twice} stands on the shelf twice; keep one of them.")
    for supplier in state.suppliers:
        if any(first > last for first, last in (*supplier.cold_spans, *supplier.sale_spans)):
            raise Mendable(f"Announced days of supplier {supplier.supplier} end before they begin.")
    for supply in state.supplies:
        if supply.floor < 0:
            raise Mendable(f"The least of supply {supply.supply} cannot be below zero.")
        for pack in supply.packs:
            if pack.size <= 0 or pack.price < 0 or pack.containers < 1:
                raise Mendable(
                    f"Pack {pack.pack} of supply {supply.supply} needs a content above zero "
                    "and a price of zero or more."
                )
            froms = [packs for packs, _ in pack.breaks]
            if any(one < 2 for one in froms) or len(set(froms)) < len(froms):
                raise Mendable(
                    f"Each price break of pack {pack.pack} begins at a number of packs of its own, "
                    "two at least."
                )
            if any(price < 0 for _, price in pack.breaks):
                raise Mendable(f"A price break of pack {pack.pack} cannot be below zero.")
        for need in supply.booked:
            if need.amount < 0 or not 0.0 <= need.spread < 5.0:
                raise Mendable(
                    f"The booked need of supply {supply.supply} must be zero or more, "
                    "its spread between 0 and 5."
                )
