"""The answer of the reorder rule: what to order, why, and how long everything lasts.

Quantities are whole base units, money is whole minor units, days are day ordinals.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """The numbers of a line's sentence: "two booked jobs need 56 mL before the 22nd, 32 mL left".

    All quantities are base units. `before_day` is the day until which the present stock has to
    last: the delivery that a later order would bring.
    """

    kind: str  # booked, usual, floor, cold, filler, minimum
    jobs: int  # booked jobs that need it before that day
    booked: int  # what they need (mean)
    unbooked: int  # what work not booked yet will need until then (mean)
    left: int  # on hand
    coming: int  # on order
    before_day: int
    needed_day: int  # the day an order for it could not wait any longer (today for what is due)
    floor: int = 0  # what is to stand there in any case
    late: bool = (
        False  # `before_day` is that of a late delivery; the stock would last to a usual one
    )
    # The cold stop (first day, last day) that counts: of this supplier, ahead or on; or of the one
    # instead of whom this one is asked.
    stop: tuple[int, int] | None = None
    keeps_only: bool = False  # more would be needed through the stop, but would not keep
    instead_of: int | None = None  # the usual supplier, who sends nothing that freezes now
    break_saved: int = 0  # by price breaks, against the list price
    break_tied: int = 0  # in packs that are bought for the break only


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedLine:
    """So many packs of one supply."""

    supply: int
    pack: int
    count: int
    quantity: int  # count x pack size, base units
    price: int  # of one pack, at this count
    cost: int
    filler: bool  # bought along, not due yet
    outlives: bool  # even so few packs last longer than they keep
    reason: Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierProposal:
    """What to order from one supplier now (no lines: nothing), and when it would come."""

    supplier: int
    lines: tuple[ProposedLine, ...]
    goods: int
    freight: int
    hazard_fee: int
    total: int
    freight_saved: int  # what the fillers saved on this order
    tied_up: int  # money in fillers
    tied_days: int  # how much earlier than due they are bought, weighted by money
    below_minimum: bool  # the supplier's minimum could not be reached sensibly
    delivery_day: int  # half of deliveries have come by then, if ordered at the first chance
    delivery_late_day: int  # nine in ten
    following_day: int  # half of deliveries, if ordered at the chance after that
    next_order_day: int  # the next chance to order after today
    sale_day: int | None = None  # the first day of a sale that is on or begins soon
    sale_last_day: int | None = None
    held_lines: int = 0  # supplies of which something waits for the sale
    held_worth: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyCover:
    """How long one supply lasts and where its reorder level stands.

    Run-out days are None where they lie beyond the horizon of a year.
    """

    supply: int
    per_day: float  # forecast use a day, base units, mean of the next four weeks
    runs_out_early: int | None  # one in ten has run out by this day
    runs_out: int | None  # half
    runs_out_late: int | None  # nine in ten
    reorder_level: int  # order when on hand and on order together fall to this
    order_day: int | None  # the day that is expected
    risk: float  # chance of running short if nothing is ordered before the next chance
    next_delivery_day: int | None  # of what is on order
    short_before_delivery: int  # base units expected to lack before the first delivery
    short_day: int | None  # from when
    count_it: bool  # below zero
    due: bool = False  # on hand and on order are below the reorder level
    # Why it cannot be ordered today: weekday, cold, no pack, no supplier, stopped; empty: it can
    why_not: str = ""
    chance_day: int = 0  # the first day on which it can be ordered, today counted
    stop: tuple[int, int] | None = None  # the cold stop that is on or comes next
    supplier: int | None = None  # whom it would be ordered from now


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondSource:
    """Another supplier's packs that come in time where the usual delivery comes too late."""

    supply: int
    supplier: int
    pack: int
    count: int
    quantity: int
    price: int  # of one pack
    cost: int
    freight: int  # what it adds to what goes to that supplier anyway
    dearer: int | None  # than the same quantity from the usual supplier, freight left out
    order_day: int  # the first chance to order there, today counted
    delivery_day: int  # half of deliveries have come by then
    short_day: int  # from when it would lack


@dataclass(frozen=True, slots=True)
class Proposal:
    """Answer for one day's end; suppliers and supplies by rising number."""

    day: int
    suppliers: tuple[SupplierProposal, ...]
    covers: tuple[SupplyCover, ...]
    sooner: tuple[SecondSource, ...] = ()

    @property
    def orders(self) -> tuple[SupplierProposal, ...]:
        """The suppliers from whom something is to be ordered now."""
        return tuple(s for s in self.suppliers if s.lines)
