"""Gallon or pint: which pack of a supply to buy, how many at once, and how much of it keeps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from app.calculations.numbers.chances import Floats
from app.calculations.orders.shelf_state import OrderSettings, PackOffer, SupplyState

KEEP_SHARE = 0.75  # of its life within which a purchase should be used up: common practice


@dataclass(frozen=True, slots=True)
class PackChoice:
    """The pack to buy, and the stock (base units) that still is used within 0.75 of its life."""

    offer: PackOffer
    most: float
    outlives: bool  # even one pack is not used up within 0.75 of its life
    at_once: int = 1  # packs that are bought together for their price break


@dataclass(frozen=True, slots=True)
class PackStep:
    """The next packs to buy of a supply: from the `nth` (from 0) so many, and what they add to
    the cost of those before them."""

    nth: int
    packs: int
    price: int


@dataclass(frozen=True, slots=True)
class PackWeight:
    """What speaks for or against a pack."""

    pack: int
    each: float  # minor units by the base unit, at its list price
    finish_days: float | None  # to use it up; none: nothing is used
    keeps_days: int | None  # once opened, or on the shelf where that is less
    keeps: bool  # used up within 0.75 of that, each container for itself once opened
    year_cost: (
        float  # of a year's use, with the money that lies in it; without use the pack's price
    )


def used_within(mean: Floats, per_day: float, days: float) -> float:
    """Mean need of so many days: from the cumulated need (`mean`, of 1, 2, 3… days), beyond its
    end at the usual rate."""
    if days < 1:
        return 0.0
    whole = min(int(days), mean.size)
    known = float(mean[whole - 1]) if whole else 0.0
    return known + max(days - mean.size, 0.0) * per_day


def keeps_for(supply: SupplyState, mean: Floats, per_day: float) -> float:
    """The stock (base units) that is used within 0.75 of the shelf life; infinite if it keeps."""
    if not supply.shelf_life_days:
        return inf
    return used_within(mean, per_day, KEEP_SHARE * supply.shelf_life_days)


def choose_pack(
    supply: SupplyState,
    offers: Sequence[PackOffer],
    mean: Floats,
    per_day: float,
    missing: float,
    settings: OrderSettings,
    position: float = 0.0,
) -> PackChoice:
    """The offer that costs least in use: its price by the unit, and the money that lies in half a
    pack on average.

    Left out are packs that last longer than 0.75 of the life once opened or of the shelf life; if
    every pack does, the smallest is taken. A price break counts as a larger pack, so far as the
    last of its packs is due within `longest_days` and all of them keep beside what is there
    (`position`; of what is due its reorder level, so that the choice is the same however little is
    left). Without any forecast that is taken which covers the `missing` quantity at the
    least price. `mean`: cumulated need of 1, 2, 3… days.
    """
    most, opened = _lasting(supply, mean, per_day)
    keeping = [offer for offer in offers if _keeps(offer, most, opened)]
    if not keeping:
        smallest = min(offers, key=lambda offer: (offer.size, offer.price, offer.pack))
        return PackChoice(smallest, most, True)
    soon = used_within(mean, per_day, settings.longest_days) if per_day > 0 else max(missing, 0.0)
    ways = [(offer, 1) for offer in keeping]
    ways += [
        (offer, packs)
        for offer in keeping
        for packs, _ in offer.breaks
        if (packs - 1) * offer.size <= soon and position + packs * offer.size <= most
    ]
    per_year = 365.0 * per_day if per_day > 0 else 0.0

    def cost(way: tuple[PackOffer, int]) -> tuple[float, int, int]:
        offer, packs = way
        if per_year > 0:
            yearly = _year_cost(offer, packs, per_year, settings)
        else:
            packs = max(packs, int(np.ceil(max(missing, 1.0) / offer.size)))
            yearly = float(packs * offer.each(packs))
        return yearly, packs * offer.size, offer.pack

    offer, packs = min(ways, key=cost)
    return PackChoice(offer, most, False, packs)


def _lasting(supply: SupplyState, mean: Floats, per_day: float) -> tuple[float, float]:
    """(what keeps on the shelf, what keeps once opened), base units."""
    most = keeps_for(supply, mean, per_day)
    if not supply.opened_life_days:
        return most, inf
    return most, used_within(mean, per_day, KEEP_SHARE * supply.opened_life_days)


def _keeps(offer: PackOffer, most: float, opened: float) -> bool:
    """Whether a pack is used up in time: all of it on the shelf, each container once opened."""
    return offer.size <= most and offer.size <= opened * offer.containers


def _year_cost(offer: PackOffer, packs: int, per_year: float, settings: OrderSettings) -> float:
    """A year's use at the price of so many at once, and the money that lies in half of them."""
    paid = packs * offer.each(packs)
    return paid * (per_year / (packs * offer.size) + settings.money_per_year / 2.0)


def pack_steps(choice: PackChoice, most: int) -> list[PackStep]:
    """The first `most` packs of an offer one by one, or together where that costs no more.

    The packs of a price break that was chosen come together; and where a break makes more packs
    cost no more than fewer, they come together as well.
    """
    offer = choice.offer
    froms = [packs for packs, _ in offer.breaks]

    def cost(packs: int) -> int:
        return packs * offer.each(packs)

    steps: list[PackStep] = []
    have = 0
    while have < most:
        then = choice.at_once if have == 0 else have + 1
        then = max([then, *(one for one in froms if one > then and cost(one) <= cost(then))])
        steps.append(PackStep(have, then - have, cost(then) - cost(have)))
        have = then
    return steps


def weigh_packs(
    supply: SupplyState,
    offers: Sequence[PackOffer],
    per_day: float,
    settings: OrderSettings,
    mean: Floats | None = None,
) -> tuple[PackWeight, ...]:
    """What speaks for or against each pack, the smallest first; the grounds of `choose_pack`."""
    mean = np.zeros(0) if mean is None else mean
    most, opened = _lasting(supply, mean, per_day)
    lives = [one for one in (supply.opened_life_days, supply.shelf_life_days) if one]
    return tuple(
        PackWeight(
            offer.pack,
            offer.price / offer.size,
            _days_for(offer.size, mean, per_day),
            min(lives, default=None),
            _keeps(offer, most, opened),
            _year_cost(offer, 1, 365.0 * per_day, settings) if per_day > 0 else float(offer.price),
        )
        for offer in sorted(offers, key=lambda one: (one.size, one.pack))
    )


def _days_for(size: int, mean: Floats, per_day: float) -> float | None:
    """Days in which so much is used in the mean."""
    if mean.size and mean[-1] >= size:
        return float(np.searchsorted(mean, size)) + 1.0
    if per_day <= 0:
        return None
    return mean.size + (size - (float(mean[-1]) if mean.size else 0.0)) / per_day
