"""Looks that a layer's failure brought about, against shops drawn here and integrals by scipy."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, inf, log

import numpy as np
import pytest
from scipy import integrate, stats

from app.calculations.layers.habits import UNLEARNT
from app.calculations.layers.layers import Verdict
from app.calculations.layers.life_evidence import Sights
from app.calculations.layers.lives import fit
from app.calculations.layers.prompted_visits import Looks, prompted
from app.calculations.layers.sightings import Label, Observation, gather, in_order, observe

SPRAY, SEALANT = Label(1, "spray sealant", 60.0, 120.0), Label(2, "sealant", 180.0, 330.0)
ORDER = {1: 0, 2: 1}
MEDIANS, SHAPE = {1: 110.0, 2: 200.0}, 3.5

Next = Callable[[np.random.Generator, float, float, int], float]


def shop(next_look: Next, holding_written: float = 1.0) -> list[Observation]:
    """Three hundred layers of each supply; `next_look` names the age at the look after another."""
    rng = np.random.default_rng(3)
    seen = []
    for supply, median in MEDIANS.items():
        for _ in range(300):
            life = median * (rng.exponential() / log(2)) ** (1 / SHAPE)
            age, looks = 0.0, []
            while age < life:
                age = next_look(rng, age, life, supply)
                if age >= life:
                    looks.append((age, Verdict.GONE))
                elif rng.random() < holding_written:
                    looks.append((age, Verdict.HOLDING))
            noted = observe(supply, looks)
            assert noted is not None
            seen.append(noted)
    return in_order(seen, ORDER)


def at_random(rng: np.random.Generator, age: float, _life: float, _supply: int) -> float:
    return age + rng.exponential(90.0)


def twice_a_year(rng: np.random.Generator, age: float, _life: float, _supply: int) -> float:
    return age + 182.0 + 20.0 * rng.standard_normal()


def by_supply(rng: np.random.Generator, age: float, _life: float, supply: int) -> float:
    """Vehicles with the short-lived supply come far more often."""
    return age + rng.exponential({1: 40.0, 2: 160.0}[supply])


def because_it_failed(rng: np.random.Generator, age: float, life: float, _supply: int) -> float:
    return min(age + rng.exponential(400.0), max(age, life) + rng.exponential(20.0))


def medians(seen: list[Observation]) -> list[float]:
    lives = fit(seen, [SPRAY, SEALANT])
    return [lives.summary(supply).median_days for supply in MEDIANS]


@pytest.mark.parametrize("next_look", [at_random, twice_a_year, by_supply])
def test_usual_looks_are_not_taken_for_prompted_ones(next_look: Next) -> None:
    seen = shop(next_look)
    looks = Looks.of(seen, ORDER)
    lives = np.log(list(MEDIANS.values())), np.full(2, log(SHAPE))
    assert looks.doubt(gather(seen, ORDER), *lives, 0.01) < 3.0
    assert medians(seen) == pytest.approx(list(MEDIANS.values()), rel=0.15)


@pytest.mark.parametrize(
    ("next_look", "holding_written"), [(because_it_failed, 1.0), (at_random, 0.2)]
)
def test_lives_are_found_where_looks_or_what_is_written_depend_on_failure(
    next_look: Next, holding_written: float
) -> None:
    seen = shop(next_look, holding_written)
    looks = Looks.of(seen, ORDER)
    lives = np.log(list(MEDIANS.values())), np.full(2, log(SHAPE))
    assert looks.doubt(gather(seen, ORDER), *lives, 0.01) > 3.0
    assert medians(seen) == pytest.approx(list(MEDIANS.values()), rel=0.15)


def test_an_end_has_the_chance_of_wearing_out_and_not_being_seen_until_then() -> None:
    """By scipy's Weibull and quadrature, for one layer seen holding at 60 and gone at 160 days."""
    (noted,) = [observe(1, [(60.0, Verdict.HOLDING), (160.0, Verdict.GONE)])]
    assert noted is not None
    prompt = 1 / 25.0
    seen = gather([noted], {1: 0})
    piecewise = prompted(seen, Looks.of([noted], {1: 0}), prompt)
    for median, shape in ((60.0, 2.0), (110.0, 3.5), (150.0, 5.0)):
        life = stats.weibull_min(shape, scale=median / log(2) ** (1 / shape))
        exact, _ = integrate.quad(lambda t: life.pdf(t) * exp(-prompt * (160.0 - t)), 60.0, 160.0)  # noqa: B023
        grid = np.array([log(median)]), np.array([log(shape)])
        found = Sights(*grid, piecewise, log(75.0), UNLEARNT).logs(1e-9)[0, 0, 0]
        assert found == pytest.approx(log(exact), abs=0.03)


def test_the_usual_chance_of_a_look_is_that_of_a_steady_stream() -> None:
    looks = Looks.of(shop(at_random), ORDER)
    often = looks.held.sum() + looks.gone.sum() > 50
    assert often
    busy = (looks.held + looks.gone) > 30
    assert looks.usual(0.0)[busy] == pytest.approx(1 / 90.0, rel=0.35)
    total = (looks.usual(0.0) * looks.waited).sum()
    assert total == pytest.approx(looks.held.sum() + looks.gone.sum(), rel=0.02)


def test_where_not_every_look_is_known_nothing_is_said_of_looks() -> None:
    bare = [Observation(1, 40.0, 60.0), Observation(1, 80.0, inf)]
    looks = Looks.of(bare, {1: 0})
    assert looks.gap.size == 0
    assert looks.doubt(gather(bare, {1: 0}), np.array([4.0]), np.array([1.2]), 0.01) == 0.0
