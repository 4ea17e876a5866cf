"""One shop, one way of ordering, day by day; and the figures that come of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.simulated_shop.world import YEAR, Ints, World

STORE_TRIP = 500  # cents

# Asked at a day's end: day, on hand, on order -> packs of each supply to order; a second row, if
# there is one, from the store.
Rule = Callable[["Shop", int], Ints]


@dataclass
class Shop:
    """A shop's shelf on one day, as a rule may see it."""

    world: World
    on_hand: Ints
    coming: list[tuple[int, int, int, int, int]]  # arrival day, order day, supply, amount, from
    lead_seen: list[list[int]]  # by supplier, the store last
    came: Ints  # days x supplies: what was delivered, and the first day's shelf

    @property
    def on_order(self) -> Ints:
        total = np.zeros_like(self.on_hand)
        for _, _, supply, quantity, _ in self.coming:
            total[supply] += quantity
        return total


@dataclass(frozen=True)
class Figures:
    """What five years came to."""

    jobs: int
    missed: int  # jobs that met a missing supply
    value: float  # mean value of the stock, cents
    freight: float  # paid, cents
    orders: int
    bought: float

    @property
    def missed_share(self) -> float:
        return self.missed / self.jobs


def run(world: World, rule: Rule) -> Figures:
    """Deliveries come in the morning, jobs are done, at the day's end the rule is asked."""
    plan = world.plan
    n = world.pack.size
    unit_value = world.price / world.pack
    # the shelf of the first day: a pack of each, and what the first weeks will need
    on_hand = world.pack.copy()
    store = int(world.supplier.max()) + 1
    came = np.zeros((world.days, n), dtype=np.int64)
    came[0] = on_hand
    shop = Shop(world, on_hand, [], [[] for _ in range(store + 1)], came)
    next_lead = [0] * len(shop.lead_seen)
    jobs = missed = orders = 0
    value = freight = bought = 0.0
    for day in range(world.days):
        arrived = [c for c in shop.coming if c[0] <= day]
        if arrived:
            shop.coming = [c for c in shop.coming if c[0] > day]
            seen = set()
            for arrival, ordered, supply, quantity, supplier in arrived:
                shop.on_hand[supply] += quantity
                came[day, supply] += quantity
                seen.add((supplier, ordered, arrival - ordered))
            for supplier, _, lead in sorted(seen):
                shop.lead_seen[supplier].append(lead)
        if plan.shelf_life:
            # what came within its life is all that can be good, the oldest being used first
            fresh = came[max(0, day - plan.shelf_life) : day + 1].sum(axis=0)
            shop.on_hand = np.minimum(shop.on_hand, fresh)
        for j in world.day_jobs[day]:
            jobs += 1
            if (world.use[j] > shop.on_hand).any():
                missed += 1
            shop.on_hand -= np.minimum(world.use[j], shop.on_hand)
        value += float(shop.on_hand @ unit_value)
        asked = np.atleast_2d(rule(shop, day))
        packs = asked[0]
        if plan.cold[1] and plan.refused(day):
            packs = np.where(world.no_frost, 0, packs)
        if packs.any():
            cost = packs * world.each(packs)
            for supplier in range(store):
                lines = np.flatnonzero((world.supplier == supplier) & (packs > 0))
                if not lines.size:
                    continue
                goods = float(cost[lines].sum())
                orders += 1
                bought += goods
                if goods < plan.free_from:
                    freight += plan.freight
                lead = int(world.leads[supplier, next_lead[supplier] % 4096])
                lead *= 2 if day >= plan.doubles * YEAR else 1
                next_lead[supplier] += 1
                for i in lines:
                    quantity = int(packs[i] * world.pack[i])
                    shop.coming.append((day + lead, day, int(i), quantity, supplier))
        if plan.store and asked.shape[0] > 1 and asked[1].any():
            orders += 1
            bought += float(asked[1] @ world.store_price)
            freight += STORE_TRIP
            lead = int(world.leads[store, next_lead[store] % 4096])
            next_lead[store] += 1
            for i in np.flatnonzero(asked[1]):
                quantity = int(asked[1][i] * world.store_pack[i])
                shop.coming.append((day + lead, day, int(i), quantity, store))
    assert n == shop.on_hand.size
    return Figures(jobs, missed, value / world.days, freight, orders, bought)
