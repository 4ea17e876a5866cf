"""One shop, one way of ordering, day by day; and the figures that come of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.simulated_shop.world import Ints, World

# Asked at a day's end: day, on hand, on order -> packs of each supply to order.
Rule = Callable[["Shop", int], Ints]


@dataclass
class Shop:
    """A shop's shelf on one day, as a rule may see it."""

    world: World
    on_hand: Ints
    coming: list[tuple[int, int, int, int]]  # arrival day, order day, supply, quantity
    lead_seen: list[list[int]]  # by supplier

    @property
    def on_order(self) -> Ints:
        total = np.zeros_like(self.on_hand)
        for _, _, supply, quantity in self.coming:
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
    shop = Shop(world, on_hand, [], [[] for _ in range(int(world.supplier.max()) + 1)])
    next_lead = [0] * len(shop.lead_seen)
    jobs = missed = orders = 0
    value = freight = bought = 0.0
    for day in range(world.days):
        arrived = [c for c in shop.coming if c[0] <= day]
        if arrived:
            shop.coming = [c for c in shop.coming if c[0] > day]
            seen = set()
            for arrival, ordered, supply, quantity in arrived:
                shop.on_hand[supply] += quantity
                seen.add((int(world.supplier[supply]), ordered, arrival - ordered))
            for supplier, _, lead in sorted(seen):
                shop.lead_seen[supplier].append(lead)
        for j in world.day_jobs[day]:
            jobs += 1
            if (world.use[j] > shop.on_hand).any():
                missed += 1
            shop.on_hand -= np.minimum(world.use[j], shop.on_hand)
        value += float(shop.on_hand @ unit_value)
        packs = rule(shop, day)
        if packs.any():
            for supplier in range(len(shop.lead_seen)):
                lines = np.flatnonzero((world.supplier == supplier) & (packs > 0))
                if not lines.size:
                    continue
                goods = float(packs[lines] @ world.price[lines])
                orders += 1
                bought += goods
                if goods < plan.free_from:
                    freight += plan.freight
                lead = int(world.leads[supplier, next_lead[supplier] % 4096])
                next_lead[supplier] += 1
                for i in lines:
                    shop.coming.append((day + lead, day, int(i), int(packs[i] * world.pack[i])))
    assert n == shop.on_hand.size
    return Figures(jobs, missed, value / world.days, freight, orders, bought)
