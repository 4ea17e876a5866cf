"""Looks that a layer's failure brought about, against shops drawn here and integrals by scipy."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, inf, log

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from app.calculations.layers.habits import TRUST, UNLEARNT, Fading
from app.calculations.layers.layers import Verdict
from app.calculations.layers.life_evidence import Sights
from app.calculations.layers.lives import fit
from app.calculations.layers.prompted_visits import _ALIKE, Looks, prompted
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
    known = observe(1, [(40.0, Verdict.GONE)])
    assert known is not None
    assert Looks.of([known], {1: 0}).gap.size == 1
    assert Looks.of([known, *bare], {1: 0}).gap.size == 0
    looks = Looks.of(bare, {1: 0})
    assert looks.gap.size == 0
    assert looks.doubt(gather(bare, {1: 0}), np.array([4.0]), np.array([1.2]), 0.01) == 0.0


@pytest.mark.parametrize("trusted", [False, True])
def test_of_layers_whose_word_is_trusted_each_end_has_that_chance_within_what_the_word_leaves(
    trusted: bool,
) -> None:
    """By quadrature, for two layers; holding at 60 leaves the ends from 60 / part on."""
    prompt, habit = 1 / 25.0, Fading.lasting(0.2, trusted)
    spans = ((60.0, 160.0), (30.0, 90.0))
    noted = [observe(1, [(low, Verdict.HOLDING), (high, Verdict.GONE)]) for low, high in spans]
    layers = in_order([one for one in noted if one is not None], {1: 0})
    seen = prompted(gather(layers, {1: 0}), Looks.of(layers, {1: 0}), prompt)
    life = stats.weibull_min(3.5, scale=110.0 / log(2) ** (1 / 3.5))
    words = [(1.0, 1.0)] if not trusted else [(1.0, 1.0 - TRUST)]
    if trusted:
        words += [(part, TRUST * weight) for part, weight in ((0.9, 0.25), (0.8, 0.5), (0.7, 0.25))]
    grid = np.array([log(110.0)]), np.array([log(3.5)])
    found = Sights(*grid, seen, log(75.0), habit).logs(1e-9)[0, 0]
    for chance, (low, high) in zip(found, spans, strict=True):
        exact = sum(
            weight * integrate.quad(lambda t: life.pdf(t) * exp(-prompt * (high - t)),  # noqa: B023
                                    low / part, high)[0]
            for part, weight in words
        )  # fmt: skip
        assert chance == pytest.approx(log(exact), abs=0.05)


@pytest.mark.parametrize("prompt", [0.0, 0.05])
def test_the_usual_chance_of_a_look_is_the_likeliest_by_scipys_search(prompt: float) -> None:
    """Looks of a stream of so many a day, times a number for each supply that is one or so."""
    seen = shop(by_supply)[:380]  # few layers of the second supply, so that the prior tells
    looks = Looks.of(seen, ORDER)
    often = (looks.held + looks.gone).sum(axis=0) > 0
    held, gone, waited = (one[:, often] for one in (looks.held, looks.gone, looks.waited))

    def loss(at: np.ndarray) -> tuple[float, np.ndarray]:
        times, rate = np.exp(at[:2])[:, None], np.exp(at[2:])
        chance = times * rate
        gain = held * np.log(chance) + gone * np.log(chance + prompt) - chance * waited
        prior = _ALIKE * (np.log(times) - times)  # as if so many looks came as often as all
        slope = chance * (held / chance + gone / (chance + prompt) - waited)
        slopes = [slope.sum(axis=1) + _ALIKE * (1 - times[:, 0]), slope.sum(axis=0)]
        return -float(gain.sum() + prior.sum()), -np.concatenate(slopes)

    best = optimize.minimize(loss, [0, 0, *[log(0.01)] * often.sum()], jac=True).x
    exact = np.exp(best[:2, None] + best[2:])
    enough = held.sum(axis=0) > 10
    assert enough.sum() > 5
    assert looks.usual(prompt)[:, often][:, enough] == pytest.approx(exact[:, enough], rel=0.01)


@pytest.mark.parametrize("wrong", [1e-12, 0.2])
def test_the_doubt_is_how_far_days_worn_fall_short_of_the_usual_wait(wrong: float) -> None:
    """One end between 60 and 160 days: the days it was worn are an integral over its life."""
    noted = [
        observe(1, [(60.0, Verdict.HOLDING), (160.0, Verdict.GONE)]),
        observe(1, [(50.0, Verdict.HOLDING), (90.0, Verdict.HOLDING)]),
    ]
    layers = in_order([one for one in noted if one is not None], {1: 0})
    looks = Looks.of(layers, {1: 0})
    life = stats.weibull_min(3.5, scale=110.0 / log(2) ** (1 / 3.5))
    fell = life.sf(60.0) - life.sf(160.0)
    worn = integrate.quad(lambda t: (160.0 - t) * life.pdf(t), 60.0, 160.0)[0] / fell
    right = (1 - wrong) * fell / ((1 - wrong) * fell + wrong * life.sf(160.0))
    (chance,) = looks.usual_at_ends(0.0)
    lives = np.array([log(110.0)]), np.array([log(3.5)])
    found = looks.doubt(gather(layers, {1: 0}), *lives, wrong)
    assert found == pytest.approx(right**0.5 * (1 - worn * chance), rel=1e-3)


def test_the_first_look_at_a_layer_is_counted_apart_however_soon_it_came() -> None:
    (noted,) = [observe(1, [(1.0, Verdict.HOLDING), (21.0, Verdict.HOLDING)])]
    assert noted is not None
    looks = Looks.of([noted], {1: 0})
    first, later = np.split(looks.held[0], 2)
    assert (first.sum(), later.sum()) == (1, 1)
    assert np.array_equal(np.split(looks.waited[0], 2)[1][:3], [7, 7, 6])


def test_an_end_after_a_look_on_the_first_day_is_no_first_look() -> None:
    (noted,) = [observe(1, [(1.0, Verdict.HOLDING), (21.0, Verdict.GONE)])]
    assert noted is not None
    looks = Looks.of([noted], {1: 0})
    first, later = np.split(looks.gone[0], 2)
    assert (first.sum(), later.sum()) == (0, 1)
    assert looks.gap.tolist() == [20.0]
