"""Gallon or pint: which pack of a supply to buy, and how much of it keeps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from app.calculations.chances import Floats
from app.calculations.shelf_state import OrderSettings, PackOffer, SupplyState

KEEP_SHARE = 0.75  # of its life within which a purchase should be used up: common practice


@dataclass(frozen=True, slots=True)
class PackChoice:
    """The pack to buy, and the stock (base units) that still is used within 0.75 of its life."""

    offer: PackOffer
    most: float
    outlives: bool  # even one pack is not used up within 0.75 of its life


def used_within(mean: Floats, per_day: float, days: float) -> float:
    """Mean need of so many days: from the cumulated need (`mean`, of 1, 2, 3… days), beyond its
    end at the usual rate."""
    if days < 1:
        return 0.0
    whole = min(int(days), mean.size)
    return float(mean[whole - 1]) + max(days - mean.size, 0.0) * per_day


def choose_pack(
    supply: SupplyState,
    offers: Sequence[PackOffer],
    mean: Floats,
    per_day: float,
    missing: float,
    settings: OrderSettings,
) -> PackChoice:
    """The offer that costs least in use: its price by the unit, and the money that lies in half a
    pack on average.

    Left out are packs that last longer than 0.75 of the life once opened or of the shelf life; if
    every pack does, the smallest is taken. Without any forecast the pack is taken that covers the
    `missing` quantity at the least price. `mean`: cumulated need of 1, 2, 3… days.
    """
    most = inf
    if supply.shelf_life_days:
        most = used_within(mean, per_day, KEEP_SHARE * supply.shelf_life_days)
    open_most = inf
    if supply.opened_life_days:
        open_most = used_within(mean, per_day, KEEP_SHARE * supply.opened_life_days)
    lasting = min(most, open_most)
    keeping = [offer for offer in offers if offer.size <= lasting]
    if not keeping:
        smallest = min(offers, key=lambda offer: (offer.size, offer.price, offer.pack))
        return PackChoice(smallest, most, True)
    per_year = 365.0 * per_day if per_day > 0 else 0.0

    def cost(offer: PackOffer) -> tuple[float, int, int]:
        if per_year > 0:
            yearly = offer.price * (per_year / offer.size + settings.money_per_year / 2.0)
        else:
            yearly = offer.price * float(np.ceil(max(missing, 1.0) / offer.size))
        return yearly, offer.size, offer.pack

    return PackChoice(min(keeping, key=cost), most, False)
