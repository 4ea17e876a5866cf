"""Simulated shops: layers that wear out when chance says so, and are seen when vehicles come.

Nothing here is data from anywhere: every shop is drawn from the plan of its world, so that the
true wear-out of every layer is known and a letter can be judged against it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf, log

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from app.calculations.layers.layers import Verdict
from app.calculations.layers.sightings import Label, Observation, observe

Floats = NDArray[np.float64]

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
    scales: Floats
    shapes: Floats
    observations: list[Observation] = field(default_factory=list)
    standing: list[Standing] = field(default_factory=list)
    judgements: int = 0

    def true_median(self, supply: int, exposure: float) -> float:
        """The age by which half of such layers are truly worn out."""
        shape = float(self.shapes[supply])
        return float(self.scales[supply] * log(2.0) ** (1.0 / shape) * exposure**self.plan.strength)

    def wear_outs(self, rng: Generator, supply: int, exposure: float, count: int) -> Floats:
        """True ages at wear-out of new layers."""
        factor = exposure**self.plan.strength
        return np.asarray(
            factor * self.scales[supply] * rng.weibull(float(self.shapes[supply]), count)
        )


def open_shop(plan: Plan, rng: Generator) -> Shop:
    """Draw a shop and let it look at its vehicles until the letters are due to be written."""
    labels = [
        Label(number, name, low, high)
        for number, (name, low, high) in enumerate(
            one for one in plan.classes for _ in range(plan.supplies_a_class)
        )
    ]
    middles = np.array([(label.low_days + label.high_days) / 2 for label in labels])
    scales = middles * np.exp(plan.deviation * rng.standard_normal(len(labels)))
    shop = Shop(plan, labels, scales, rng.uniform(*plan.shapes, len(labels)))
    for label in labels:
        for _ in range(plan.vehicles_a_supply):
            _look_at_one_vehicle(shop, label.supply, rng)
    return shop


def _look_at_one_vehicle(shop: Shop, supply: int, rng: Generator) -> None:
    """A vehicle gets its layer some day, comes back at random, and gets a new layer whenever the
    old one is seen gone."""
    plan = shop.plan
    exposure = STANDING[int(rng.integers(len(STANDING)))]
    visits = np.sort(rng.uniform(0.0, plan.days, rng.poisson(plan.days / plan.days_between_visits)))
    applied = rng.uniform(0.0, plan.days)
    life = _life(shop, supply, exposure, rng)
    seen: list[tuple[float, Verdict]] = []
    for visit in visits[visits > applied].tolist():
        age = visit - applied
        shop.judgements += 1
        seen.append((age, _verdict(plan, age, life)))
        if age >= life:
            _note(shop, supply, seen, exposure)
            applied, seen = visit, []
            life = _life(shop, supply, exposure, rng)
    _note(shop, supply, seen, exposure)
    last, verdict = seen[-1] if seen else (0.0, None)
    shop.standing.append(Standing(supply, exposure, plan.days - applied, last, verdict, life))


def _life(shop: Shop, supply: int, exposure: float, rng: Generator) -> float:
    life = float(shop.wear_outs(rng, supply, exposure, 1)[0])
    if shop.plan.strays and rng.random() < shop.plan.strays:
        life *= float(rng.uniform(0.05, 0.6))
    return life


def _verdict(plan: Plan, age: float, life: float) -> Verdict:
    if age >= life:
        return Verdict.GONE
    return Verdict.FADING if age >= plan.fading_from * life else Verdict.HOLDING


def _note(shop: Shop, supply: int, seen: list[tuple[float, Verdict]], exposure: float) -> None:
    noted = observe(supply, seen, exposure)
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
