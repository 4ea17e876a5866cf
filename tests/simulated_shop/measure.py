"""The three figures of a way of ordering, beside those of hand-set minimums."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from tests.simulated_shop.rivals import hand_set
from tests.simulated_shop.run import Figures, Rule, run
from tests.simulated_shop.world import Plan, World, draw


@dataclass(frozen=True)
class Score:
    """Means over shops: jobs that met a missing supply, stock and freight against hand-set."""

    missed: float  # share of jobs
    value: float  # mean stock value, 1 is that of hand-set minimums
    freight: float  # 1 is that of hand-set minimums
    orders: float  # in a year
    paid: float  # for goods, 1 is what hand-set minimums pay


def shops(plan: Plan, seeds: Iterable[int]) -> list[tuple[World, Figures]]:
    """Shops of a kind, each with the figures of hand-set minimums."""
    worlds = [draw(plan, seed) for seed in seeds]
    return [(world, run(world, hand_set(world))) for world in worlds]


def score(drawn: list[tuple[World, Figures]], way: Callable[[World], Rule]) -> Score:
    """The figures of a way of ordering in these shops."""
    found = [run(world, way(world)) for world, _ in drawn]
    by_hand = [figures for _, figures in drawn]
    years = drawn[0][0].plan.years
    return Score(
        sum(one.missed_share for one in found) / len(found),
        sum(one.value for one in found) / sum(one.value for one in by_hand),
        sum(one.freight for one in found) / sum(one.freight for one in by_hand),
        sum(one.orders for one in found) / len(found) / years,
        sum(one.bought for one in found) / sum(one.bought for one in by_hand),
    )
