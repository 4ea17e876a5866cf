"""Simulated shops: layers that wear out when chance says so, and are seen when vehicles come.

Nothing here is data from anywhere: every shop is drawn from the plan of its world, so that the
true wear-out of every layer is known and a letter can be judged against it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from math import inf, log

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from app.calculations.layers.layers import Verdict
from app.calculations.layers.lives import Lives, fit
from app.calculations.layers.sightings import Label, Observation, observe

Floats = NDArray[np.float64]

TODAY = date(2026, 6, 1)

STANDING = (1.25, 1.0, 0.72)  # garage, carport, street
CLASSES = (
    ("wax", 50.0, 100.0),
    ("spray sealant", 80.0, 160.0),
    ("sealant", 180.0, 300.0),
    ("coating, one year", 270.0, 460.0),
    ("coating, two years", 450.0, 750.0),
)


@dataclass(frozen=True)
class Plan:
    """What a world is like. `deviation` is that of the true scale off the label, as a log."""

    name: str
    classes: tuple[tuple[str, float, float], ...] = CLASSES
    supplies_a_class: int = 1
    vehicles_a_supply: int = 300
    days_between_visits: float = 110.0
    days: float = 730.0
    deviation: float = 0.30
    shapes: tuple[float, float] = (2.5, 5.0)
    strays: float = 0.0  # layers that end early by something that is not wear
    strength: float = 1.0  # power to which the factors of standing truly hold
    fading_from: float = 1.0  # part of its life after which a layer looks fading
    standings: tuple[float, ...] = STANDING  # factors of where vehicles stand
    at_factor: float = 1.0  # the factor for which labels are meant
    wrong: float = 0.0  # judgements that say the opposite of what is so
    sold: float = 0.0  # vehicles that some day are sold and not seen again
    seasons: bool = False  # vehicles come in spring and autumn, else at any time
    # How long ago each first supply of a class was reformulated: its life is drawn anew.
    reformulated_days_ago: float | None = None
    reformulated_by: float = 0.4  # at least so far from what it was, as a logarithm
    # Of one supply alone, not drawn anew: how many times as long it lasts since then.
    became: float = 1.0
    # Days from wear-out to a visit made because of it, on average; besides the usual ones.
    prompted_days: float | None = None
    holding_written: float = 1.0  # judgements of holding layers that are written down


@dataclass(frozen=True)
class History:
    """All that was judged of a layer: the day it was put on (0: the first), ages, whether gone.

    `until` is the age up to which it would have been seen.
    """

    supply: int
    exposure: float
    applied: float
    ages: tuple[float, ...]
    gone: tuple[bool, ...]
    until: float


@dataclass(frozen=True)
class Standing:
    """A layer that was not yet seen gone when the letters are written; ages in days."""

    supply: int
    exposure: float
    age: float
    last_seen: float
    verdict: Verdict | None
    wears_out_at: float


@dataclass
class Shop:
    """One shop after its years of looking, with what is true and what was seen."""

    plan: Plan
    labels: list[Label]
    scales: Floats  # at the factor that labels are meant for
    shapes: Floats
    old_scales: Floats  # those of layers put on before a supply was reformulated
    old_shapes: Floats
    histories: list[History] = field(default_factory=list)
    observations: list[Observation] = field(default_factory=list)
    standing: list[Standing] = field(default_factory=list)
    judgements: int = 0

    @cached_property
    def learnt(self) -> Lives:
        """What this book learns of the lives there; all groups of letters rest on it."""
        return fit(self.observations, self.labels)

    @property
    def reformulated(self) -> list[int]:
        """The supplies that were reformulated."""
        return [
            one.supply
            for one in self.labels
            if self.scales[one.supply] != self.old_scales[one.supply]
        ]

    def factor(self, exposure: float) -> float:
        """What a vehicle's standing truly does to a life."""
        return float((exposure / self.plan.at_factor) ** self.plan.strength)

    def true_median(self, supply: int, exposure: float) -> float:
        """The age by which half of such layers are truly worn out, put on today."""
        shape = float(self.shapes[supply])
        return float(self.scales[supply] * log(2.0) ** (1.0 / shape) * self.factor(exposure))

    def wear_outs(
        self, rng: Generator, supply: int, exposure: float, count: int, *, old: bool = False
    ) -> Floats:
        """True ages at wear-out of new layers, or of `old` ones before the reformulation."""
        scales, shapes = (self.old_scales, self.old_shapes) if old else (self.scales, self.shapes)
        factor = self.factor(exposure)
        return np.asarray(factor * scales[supply] * rng.weibull(float(shapes[supply]), count))


def open_shop(plan: Plan, rng: Generator) -> Shop:
    """Draw a shop and let it look at its vehicles until the letters are due to be written."""
    labels = [
        Label(number, name, low, high, plan.at_factor)
        for number, (name, low, high) in enumerate(
            one for one in plan.classes for _ in range(plan.supplies_a_class)
        )
    ]
    middles = np.array([(label.low_days + label.high_days) / 2 for label in labels])
    scales = middles * np.exp(plan.deviation * rng.standard_normal(len(labels)))
    shapes = rng.uniform(*plan.shapes, len(labels))
    new_scales, new_shapes = scales.copy(), shapes.copy()
    if plan.became != 1.0:
        new_scales[int(rng.integers(len(labels)))] *= plan.became
    elif plan.reformulated_days_ago is not None:
        for supply in range(0, len(labels), plan.supplies_a_class):
            while abs(log(new_scales[supply] / scales[supply])) < plan.reformulated_by:
                new_scales[supply] = middles[supply] * np.exp(
                    plan.deviation * rng.standard_normal()
                )
            new_shapes[supply] = rng.uniform(*plan.shapes)
    shop = Shop(plan, labels, new_scales, new_shapes, scales, shapes)
    for label in labels:
        for _ in range(plan.vehicles_a_supply):
            _look_at_one_vehicle(shop, label.supply, rng)
    return shop


def _visits(plan: Plan, rng: Generator) -> Floats:
    """Days on which a vehicle comes, in order."""
    if plan.seasons:
        # Around day 90 and day 270 of each year, some of them left out.
        years = int(plan.days // 365) + 1
        days = np.array([365.0 * year + day for year in range(years) for day in (90.0, 270.0)])
        days = days[rng.random(days.size) < min(182.5 / plan.days_between_visits, 1.0)]
        days = days + 25.0 * rng.standard_normal(days.size)
        days = days[(days > 0.0) & (days < plan.days)]
    else:
        days = rng.uniform(0.0, plan.days, rng.poisson(plan.days / plan.days_between_visits))
    if plan.sold and rng.random() < plan.sold:
        days = days[days < rng.uniform(0.0, plan.days)]
    return np.sort(days)


def _look_at_one_vehicle(shop: Shop, supply: int, rng: Generator) -> None:
    """A vehicle gets its layer some day, comes back at random, and gets a new layer whenever the
    old one is seen gone."""
    plan = shop.plan
    exposure = plan.standings[int(rng.integers(len(plan.standings)))]
    visits = _visits(plan, rng)
    applied = now = rng.uniform(0.0, plan.days)
    life = _life(shop, supply, exposure, applied, rng)
    seen: list[tuple[float, Verdict]] = []
    while (visit := _next_visit(plan, visits, now, applied + life, rng)) < plan.days:
        now, age = visit, visit - applied
        verdict = _verdict(plan, age, life)
        if plan.wrong and rng.random() < plan.wrong:
            verdict = Verdict.HOLDING if verdict is Verdict.GONE else Verdict.GONE
        seldom = plan.holding_written < 1.0 and verdict is not Verdict.GONE
        if seldom and rng.random() >= plan.holding_written:
            continue
        shop.judgements += 1
        seen.append((age, verdict))
        if verdict is Verdict.GONE:
            _note(shop, supply, seen, exposure, applied, age)
            applied, seen = visit, []
            life = _life(shop, supply, exposure, applied, rng)
    _note(shop, supply, seen, exposure, applied, plan.days - applied)
    last, verdict = seen[-1] if seen else (0.0, None)
    shop.standing.append(Standing(supply, exposure, plan.days - applied, last, verdict, life))


def _next_visit(plan: Plan, visits: Floats, now: float, worn: float, rng: Generator) -> float:
    """The day of the next visit after `now`, of a vehicle whose layer wears out on day `worn`."""
    later = visits[visits > now]
    usual = float(later[0]) if later.size else inf
    if plan.prompted_days is None:
        return usual
    return min(usual, max(now, worn) + rng.exponential(plan.prompted_days))


def _life(shop: Shop, supply: int, exposure: float, applied: float, rng: Generator) -> float:
    ago = shop.plan.reformulated_days_ago
    old = ago is not None and applied < shop.plan.days - ago
    life = float(shop.wear_outs(rng, supply, exposure, 1, old=old)[0])
    if shop.plan.strays and rng.random() < shop.plan.strays:
        life *= float(rng.uniform(0.05, 0.6))
    return life


def _verdict(plan: Plan, age: float, life: float) -> Verdict:
    if age >= life:
        return Verdict.GONE
    return Verdict.FADING if age >= plan.fading_from * life else Verdict.HOLDING


def _note(
    shop: Shop,
    supply: int,
    seen: list[tuple[float, Verdict]],
    exposure: float,
    applied: float,
    until: float,
) -> None:
    ages = tuple(age for age, _ in seen)
    gone = tuple(verdict is Verdict.GONE for _, verdict in seen)
    shop.histories.append(History(supply, exposure, applied, ages, gone, until))
    if not seen:
        return
    day = TODAY - timedelta(days=round(shop.plan.days - applied - ages[-1]))
    noted = observe(supply, seen, exposure, day)
    if noted is not None:
        assert noted.low_days >= 0
        assert noted.high_days == inf or noted.high_days > noted.low_days
        shop.observations.append(noted)


STATED = Plan("as stated")
WORLDS = (
    STATED,
    Plan("forty vehicles a supply", vehicles_a_supply=40),
    Plan("six supplies a class, sixty vehicles each", supplies_a_class=6, vehicles_a_supply=60),
    Plan("labels far off", deviation=0.50),
    Plan("labels true", deviation=0.0),
    Plan("loose wear, shapes 1.3 to 3", shapes=(1.3, 3.0)),
    Plan("even wear, shapes 5 to 9", shapes=(5.0, 9.0)),
    Plan("seldom seen, every 250 days", days_between_visits=250.0),
    Plan("one layer in twenty-five a stray", strays=0.04),
    Plan("standing matters half as much", strength=0.5),
    Plan("fading is noticed from 80 %", fading_from=0.8),
    Plan(
        "lives up to five years",
        classes=(
            ("wax", 21.0, 120.0),
            ("spray sealant", 30.0, 180.0),
            ("sealant", 90.0, 365.0),
            ("coating, two years", 365.0, 900.0),
            ("coating, five years", 900.0, 1800.0),
        ),
    ),
)
