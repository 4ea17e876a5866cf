"""Other ways of ordering, to measure against."""

from __future__ import annotations

import numpy as np

from tests.simulated_shop.run import Rule, Shop
from tests.simulated_shop.world import YEAR, Ints, World


def _up_to_level(level: Ints) -> Rule:
    """Order as many packs as lift stock and orders to the level again."""

    def rule(shop: Shop, day: int) -> Ints:
        lack = level - shop.on_hand - shop.on_order
        return np.where(lack > 0, -(-lack // shop.world.pack), 0)

    return rule


def hand_set(world: World, factor: float = 2.0) -> Rule:
    """Minimums set by hand with hindsight: a multiple of the 0.9 quantile of six days' use."""
    use = world.daily_use[world.plan.history :]
    total = np.vstack([np.zeros((1, use.shape[1]), dtype=np.int64), use.cumsum(axis=0)])
    six = total[6:] - total[:-6]
    level = np.rint(factor * np.quantile(six, 0.9, axis=0)).astype(np.int64)
    return _laying_in(world, level, use) if world.plan.cold[1] else _up_to_level(level)


def _laying_in(world: World, level: Ints, use: Ints) -> Rule:
    """With hindsight a winter's use, the largest of these years, is laid in before each stop."""
    first, length = world.plan.cold
    total = np.vstack([np.zeros((1, use.shape[1]), dtype=np.int64), use.cumsum(axis=0)])
    begins = [day for day in range(first, world.days - length, YEAR)]
    winter = np.max([total[day + length] - total[day] for day in begins], axis=0)
    usual = _up_to_level(level)
    before = _up_to_level(np.where(world.no_frost, level + winter, level))

    def rule(shop: Shop, day: int) -> Ints:
        near = not world.plan.refused(day) and world.plan.in_cold(day + 4)
        return before(shop, day) if near else usual(shop, day)

    return rule


def last_pack(world: World) -> Rule:
    """Order one when the last pack is opened."""

    def rule(shop: Shop, day: int) -> Ints:
        return ((shop.on_hand + shop.on_order) <= world.pack).astype(np.int64)

    return rule


def textbook(world: World) -> Rule:
    """Reorder point from the normal distribution, 98 %, demand and lead time from hindsight."""
    use = world.daily_use[world.plan.history :].astype(float)
    mean, var = use.mean(axis=0), use.var(axis=0)
    lead, lead_sd = world.plan.lead_mean, world.plan.lead_sd
    sd = np.sqrt(lead * var + mean**2 * lead_sd**2)
    return _up_to_level(np.rint(mean * lead + 2.0537489 * sd).astype(np.int64))
