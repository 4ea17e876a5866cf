"""What goes into one supplier's order beside what is due: the next goods up to the freight line.

Goods that are not due yet fill the parcel of one that is, as with can-order levels (Balintfy,
*Management Science* 10, 1964, 287-297), and how far it is filled is judged by the cost a day up to
the next order, the criterion of Silver and Meal (*Production and Inventory Management* 14, 1973,
64-74); both from memory.

Every pack that could be bought is a candidate with the day it would be due on its own. They are
taken in the order of that day, so a basket reaches up to some day: the next order is due about
when the first pack that was left out is. Of all such days that of the least cost a day is chosen,
the cost being freight and fees, and the goods bought early (money x days) at the shop's own
exchange rate, `OrderSettings.freight_days`; and all packs due before it are bought.

The day is chosen as if what is due stood at its reorder level just now. So it does not depend on
how much of that is left, and less of it never brings a smaller order, as with any level up to
which one orders (Arrow, Harris and Marschak, *Econometrica* 19, 1951, 250-272; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from app.calculations.orders.shelf_state import OrderSettings, SupplierState


@dataclass(frozen=True, slots=True, order=True)
class PackCandidate:
    """One more pack of a supply, or the `packs` that a price break asks for at once; `due_in`
    days from now it would be due on its own.

    `price` is what it adds to the cost of those before it, breaks included.
    """

    due_in: int  # 0 or less: due now
    supply: int
    nth: int  # the how manieth pack of that supply, from 0
    price: int
    hazardous: bool = False
    packs: int = 1

    @property
    def rank(self) -> tuple[int, int, int]:
        """Soonest due first; the rest only so that the order is always the same."""
        return max(self.due_in, 0), self.nth, self.supply


@dataclass(frozen=True, slots=True)
class Basket:
    """The packs to order, what the goods cost, and which of them only serve the minimum order."""

    packs: tuple[PackCandidate, ...]
    goods: int
    for_minimum: tuple[PackCandidate, ...]


def freight_of(supplier: SupplierState, goods: int) -> int:
    """What sending goods of this worth costs."""
    free = supplier.free_freight_from
    return 0 if goods <= 0 or (free is not None and goods >= free) else supplier.freight


def fill(
    supplier: SupplierState,
    candidates: Sequence[PackCandidate],
    settings: OrderSettings,
    sale_in: int | None = None,
    at_level: Sequence[PackCandidate] | None = None,
) -> Basket:
    """The basket up to the day of least cost a day, holding at least all that is due.

    at_level: the candidates if what is due stood at its reorder level; none: as they are.
    Hazardous goods are bought along only when the fee is paid anyway, or where they reach the
    minimum order for less. What is not due before a sale that begins in `sale_in` days waits for
    it, unless the minimum order needs it. Where no goods that are needed soon enough reach the
    minimum, nothing is bought for it: it is the person who asks the supplier, or waits. Without
    anything due the basket is empty.
    """
    due = [one for one in candidates if one.due_in <= 0]
    if not due:
        return Basket((), 0, ())
    fee_paid = any(one.hazardous for one in due) or not supplier.hazard_fee
    fee = supplier.hazard_fee if any(one.hazardous for one in due) else 0
    order = sorted(
        (one for one in candidates if fee_paid or not one.hazardous), key=lambda one: one.rank
    )
    judged = order if at_level is None else at_level
    until = _until(
        supplier, [one for one in judged if fee_paid or not one.hazardous], fee, settings, sale_in
    )
    basket = [one for one in order if one.due_in < until]
    total = sum(one.price for one in basket)
    there = set(basket)
    others = [
        sorted((one for one in some if one not in there), key=lambda one: one.rank)
        for some in ((order, candidates) if not fee_paid else (order,))
    ]
    ways = [_to_minimum(supplier, total, some, settings, fee_paid) for some in others]
    added = min((way for way in ways if way is not None), default=(0.0, ()))[1]
    return Basket((*basket, *added), total + sum(one.price for one in added), added)


def _until(
    supplier: SupplierState,
    candidates: Sequence[PackCandidate],
    fee: int,
    settings: OrderSettings,
    sale_in: int | None,
) -> int:
    """The day, counted from today, before which all that is due is bought: at least 1."""
    by_day: dict[int, int] = {}
    for one in candidates:
        if one.due_in <= settings.longest_days:
            day = max(one.due_in, 0)
            by_day[day] = by_day.get(day, 0) + one.price
    days = sorted(by_day)
    goods = early = 0
    best, until = inf, 1
    for day, following in zip(days, [*days[1:], settings.longest_days + 1], strict=True):
        if sale_in and day >= sale_in:
            break
        goods += by_day[day]
        early += by_day[day] * day
        cost = freight_of(supplier, goods) + fee + early / settings.freight_days
        rate = cost / min(following, settings.longest_days)
        if rate < best - 1e-9:
            best, until = rate, following
    return min(until, sale_in) if sale_in else until


def _to_minimum(
    supplier: SupplierState,
    total: int,
    others: Sequence[PackCandidate],
    settings: OrderSettings,
    fee_paid: bool,
) -> tuple[float, tuple[PackCandidate, ...]] | None:
    """(cost, packs) of reaching the minimum order with goods of rising rank; none: they do not."""
    added: list[PackCandidate] = []
    for one in others:
        if total >= supplier.minimum_order:
            break
        added.append(one)
        total += one.price
    if total < supplier.minimum_order:
        return None
    early = sum(one.price * max(one.due_in, 0) for one in added)
    fee = supplier.hazard_fee if not fee_paid and any(one.hazardous for one in added) else 0
    return fee + early / settings.freight_days, tuple(added)
