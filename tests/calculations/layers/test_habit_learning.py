"""What a shop's habits are learnt as: a product of normals, and likelihoods summed one by one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import inf, log, sqrt
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.polynomial.hermite_e import hermegauss

from app.calculations.layers import habit_learning
from app.calculations.layers.habit_learning import STRENGTH_SPREAD, Shop, learn_habits
from app.calculations.layers.habits import Fading, Habits
from app.calculations.layers.layers import Verdict
from app.calculations.layers.life_evidence import Sights
from app.calculations.layers.life_posterior import Posterior
from app.calculations.layers.prompted_visits import Looks
from app.calculations.layers.sightings import Observation, gather, in_order, observe

STANDS = (Verdict.HOLDING, Verdict.FADING)
STANDING_APART = [Observation(1, 40.0, exposure=0.5), Observation(1, 40.0)]


def shop_of(seen: list[Observation], supplies: tuple[int, ...] = (1,)) -> Shop:
    count = len(supplies)
    order = {supply: row for row, supply in enumerate(supplies)}
    return Shop(
        evidence=gather(seen, order),
        looks=Looks.of(in_order(seen, order), order),
        classes=np.zeros(count, dtype=np.int64),
        promised=np.full(count, log(75.0)),
        spread=np.full(count, 0.2),
    )


def saying(worth: float) -> Posterior:
    return Posterior(np.zeros(0), np.zeros(0), np.zeros(0), worth, 0.01)


def strength(monkeypatch: pytest.MonkeyPatch, said) -> tuple[float, float]:
    """The strength learnt, with its doubt, where `said` is the log evidence of each strength."""

    def evidence_of(_seen, _classes, _promised, _spread, habits, _changes, **_more):
        return saying(said(habits.strength))

    monkeypatch.setattr(habit_learning, "infer", evidence_of)
    shop = shop_of(STANDING_APART)
    return habit_learning._strength(shop, Habits(), [], saying(said(1.0)))


@pytest.mark.parametrize("peak", [0.3, 0.8, 1.0, 1.15, 1.4])
@pytest.mark.parametrize("spread", [0.1, 0.3, 1.0])
def test_the_strength_is_where_the_prior_and_what_was_seen_meet(monkeypatch, peak, spread):
    """The product of two normals has the mean of both, weighted by their precisions."""
    prior = 1 / STRENGTH_SPREAD**2
    middle = (prior * 1.0 + peak / spread**2) / (prior + 1 / spread**2)
    found, doubt = strength(monkeypatch, lambda at: -(((at - peak) / spread) ** 2) / 2)
    assert found == pytest.approx(middle, abs=1e-6)
    assert doubt == pytest.approx((prior + 1 / spread**2) ** -0.5)


@pytest.mark.parametrize(("peak", "ends"), [(-40.0, -0.2), (40.0, 2.2)])
def test_a_strength_beyond_all_reason_is_not_followed(monkeypatch, peak, ends):
    """From 0.1 to 1.9 in steps, and one more step at the most between them."""
    found, _ = strength(monkeypatch, lambda at: -(((at - peak) / 0.02) ** 2) / 2)
    assert found == pytest.approx(ends)


@pytest.mark.parametrize("bends", [25, 50])  # more than the prior bends down
def test_where_what_was_seen_bends_upwards_the_last_step_is_as_far_as_is_gone(monkeypatch, bends):
    found = strength(monkeypatch, lambda at: bends * (at - 1.0) ** 2 + 5 * (at - 1.0))
    assert found == (pytest.approx(1.9), STRENGTH_SPREAD)


@pytest.mark.parametrize(
    ("worth", "top"),
    [
        # steps of 0.3 from 0.1 to 1.9, and one more on either side
        ([-9, -5, -4, 0.0, 1.0, 0.9, 1.5, -3, -9], 1.0 + 0.3 * 0.9 / 2.2),
        ([-9, -5, -4, 0.9, 1.0, 0.0, -3, -4, -9], 1.0 - 0.3 * 0.9 / 2.2),
        ([-9, -5, -4, 0.0, 1.0, 2.0, 1.5, -3, -9], 1.3 + 0.3 * 0.5 / 3.0),
    ],
)
def test_the_nearest_top_is_found_by_the_parabola_through_three_steps(monkeypatch, worth, top):
    """By hand: of values l, m and h around a top it lies (l - h) / (2 (l - 2 m + h)) steps on."""

    def said(at):
        away = at - 1.0
        return worth[4 + round(away / 0.3)] + (away / STRENGTH_SPREAD) ** 2 / 2

    found, doubt = strength(monkeypatch, said)
    assert found == pytest.approx(top)
    assert doubt == STRENGTH_SPREAD, "so flat a top leaves as much doubt as before, and no more"


@pytest.mark.parametrize(
    ("exposures", "doubt"),
    [([0.5, 0.5], STRENGTH_SPREAD), ([0.7], STRENGTH_SPREAD), ([1.0, 1.0], 0.0), ([], 0.0)],
)
def test_vehicles_that_all_stand_alike_tell_nothing_of_exposure(monkeypatch, exposures, doubt):
    def never(*_given, **_more):
        raise AssertionError("asked all the same")

    monkeypatch.setattr(habit_learning, "infer", never)
    shop = shop_of([Observation(1, 40.0, exposure=one) for one in exposures])
    assert habit_learning._strength(shop, Habits(), [], saying(0.0)) == (1.0, doubt)


def test_a_doubt_is_carried_by_the_three_points_of_gauss_and_hermite():
    places, weights = hermegauss(3)
    found = np.array(habit_learning._DOUBTS)
    assert found[:, 0] == pytest.approx(places, abs=1e-12)
    assert found[:, 1] == pytest.approx(weights / sqrt(2 * np.pi))


def test_lives_are_held_under_each_strength_that_may_be():
    rng = np.random.default_rng(4)
    seen = [
        Observation(1, factor * life * 0.8, factor * life * 1.2, factor)
        for factor in (0.5, 1.0)
        for life in 90.0 * rng.weibull(3.5, 15)
    ]
    learnt = learn_habits(shop_of(seen))
    habits, points = learnt.habits, learnt.doubted_points(0, learnt=True)
    assert 0 < habits.strength_doubt <= STRENGTH_SPREAD
    powers, weights = np.asarray(points.strengths), points.weights
    assert len(np.unique(powers)) == 3
    middle = np.average(powers, weights=weights)
    assert middle == pytest.approx(habits.strength, abs=1e-3)
    spread = sqrt(np.average((powers - middle) ** 2, weights=weights))
    assert spread == pytest.approx(habits.strength_doubt, rel=0.01)
    sure = learnt.points(0, learnt=True)
    assert np.unique(sure.strengths).tolist() == [habits.strength]
    # the stronger exposure is held to be, the longer is the life at the label's: 90 of it
    assert points.unit == pytest.approx(sure.unit, rel=0.02)


def looked_at(part: float, seed: int, *, one_by_one: bool, count: int = 120) -> list[Observation]:
    """Two supplies whose layers look faded from this part of their life on."""
    rng = np.random.default_rng(seed)
    seen = []
    for place, life in enumerate(90.0 * rng.weibull(3.5, count)):
        ages = np.cumsum(rng.exponential(25, 30))
        held = max((age for age in ages if age < part * life), default=0.0)
        faded = min((age for age in ages if part * life <= age < life), default=inf)
        low = max((age for age in ages if age < life), default=0.0)
        high = min((age for age in ages if age >= life), default=inf)
        if one_by_one:
            words = [
                (age, Verdict.HOLDING if age < part * life else Verdict.FADING)
                for age in ages
                if age < life
            ]
            seen.append(observe(place % 2, [*words, (high, Verdict.GONE)]))
        else:
            seen.append(Observation(place % 2, low, high, held_days=held, faded_days=faded))
    return [one for one in seen if one is not None]


@pytest.mark.parametrize("one_by_one", [False, True])
@pytest.mark.parametrize(("part", "count"), [(0.7, 120), (0.85, 120), (0.7, 14)])
def test_what_is_meant_by_fading_is_the_mean_of_all_shares_by_how_likely_each_makes_it(
    part, count, one_by_one
):
    seen = looked_at(part, 3, one_by_one=one_by_one, count=count)
    shop, habits = shop_of(seen, (0, 1)), Habits(wrong=0.02)
    changes = shop.changes(habits)
    found = shop.infer(habits, changes)
    seen = shop.evidence.at_label(1.0)
    shares = habit_learning._FADING
    likely = np.ones(len(shares))
    for supply in range(2):
        rows = seen.of(supply)
        medians, shapes = np.unique(found.median[supply]), np.unique(found.shape[supply])
        weight = found.weight[supply].reshape(len(medians), len(shapes))

        at = (medians, shapes, rows, log(75.0))

        def told(fading, at=at):
            return Sights(*at, fading).logs(0.02).sum(axis=2)

        plain = told(habits.fading)
        ratios = np.array(
            [(weight * np.exp(told(Fading.lasting(one)) - plain)).sum() for one in shares]
        )
        likely *= ratios
    expected = (likely * np.array(shares)).sum() / likely.sum()
    habit = habit_learning._fading(shop, found, habits, changes)
    assert habit.trusted
    assert habit.share == pytest.approx(expected, rel=1e-6)
    assert habit.share == pytest.approx(1 - part, abs=0.12)


def test_words_said_at_random_mean_nothing_where_supplies_changed_as_where_none_did():
    """Two supplies that last a good third as long since five months; each layer that stands is
    called holding or fading by the toss of a coin."""
    rng = np.random.default_rng(4)
    seen = []
    for number in range(120):
        put_on = date(2024, 1, 1) + timedelta(days=6 * number)
        life = (160.0 if number < 96 else 60.0) * rng.weibull(4.0)
        judged = []
        for age in np.cumsum(rng.exponential(20, 20)).tolist():
            judged.append((age, Verdict.GONE if age >= life else STANDS[rng.integers(2)]))
            if age >= life:
                break
        seen.append(observe(number % 2, judged, day=put_on + timedelta(days=round(judged[-1][0]))))
    habits = learn_habits(shop_of([one for one in seen if one is not None], (0, 1))).habits
    assert not habits.fading.trusted
    assert habits.wrong < 0.02


def test_a_shop_that_never_says_fading_keeps_what_was_assumed():
    habits = learn_habits(shop_of([Observation(1, 40.0, 90.0, held_days=40.0)])).habits
    assert not habits.fading.trusted
    assert habits.strength == 1.0


def test_how_many_judgements_are_wrong_is_learnt_again_once_it_is_known_how_far_standing_matters():
    """Lives that hardly depend on where a vehicle stands look like wrong judgements until then."""
    rng = np.random.default_rng(1)
    seen = []
    for place in range(120):
        factor = (0.5, 1.0)[place % 2]
        life = 75.0 * factor**0.2 * (rng.exponential() / log(2)) ** (1 / 5)
        ages = np.cumsum(rng.exponential(20.0, 40))
        looks = ages[: np.searchsorted(ages, 1.3 * life) + 1]
        words = [(age, Verdict.GONE if age >= life else Verdict.HOLDING) for age in looks]
        seen.append(observe(1, words, factor))
    shop = shop_of([one for one in seen if one is not None])
    at_first = shop.infer(Habits(), shop.changes(Habits()), learn_wrong=True)
    learnt = learn_habits(shop)
    assert learnt.habits.wrong < at_first.wrong


@given(st.tuples(*[st.integers(-20, 20)] * 3))
def test_three_heights_have_the_summit_of_their_parabola_and_a_valley_has_none(
    heights: tuple[int, int, int],
) -> None:
    """Against numpy's parabola through them, tried at points as fine as 1/1000."""
    square, slope, _ = np.polyfit([-1, 0, 1], heights, 2)
    offset, bend = habit_learning._summit(*map(float, heights))
    assert bend == pytest.approx(2 * square, abs=1e-9)
    places = np.linspace(-1, 1, 2001)
    highest = places[np.argmax(square * places**2 + slope * places)]
    assert offset == (pytest.approx(highest, abs=1e-3) if bend < 0 else 0.0)


@dataclass
class _Prompting:
    """A shop whose evidence is a parabola over the logarithm of what prompts its looks."""

    top: float  # doublings of one look in eighty days
    height: float
    evidence: Any = None
    looks: Any = None

    def changes(self, _habits: Habits) -> list[Any]:
        return []

    def infer(self, _habits: Habits, _changes: list[Any], _near: Any, *, loose: float) -> Posterior:
        assert loose > 1
        return saying(self.height - 3.0 * (np.log2(80.0 * self.evidence) - self.top) ** 2)


@pytest.mark.parametrize("top", [-1.3, -0.4, 0.3, 1.75, 2.2])
@pytest.mark.parametrize("height", [4.9, 5.1, 300.0])
def test_what_prompts_looks_is_taken_from_the_top_of_the_parabola_where_that_gains_enough(
    monkeypatch, top, height
):
    looks = SimpleNamespace(doubt=lambda *_: 9.0, worth=lambda prompt: 2.0 * (prompt > 0) - 2.0)
    monkeypatch.setattr(habit_learning, "prompted", lambda _seen, _looks, prompt: prompt)
    shop = _Prompting(top, height, SimpleNamespace(at_label=lambda _: None), looks)
    usual = Posterior(np.zeros((1, 1)), np.zeros((1, 1)), np.ones((1, 1)), 2.0, 0.01)
    found, lives = habit_learning._prompted(shop, Habits(), usual)  # type: ignore[arg-type]
    near = max(-3.0 * (place - top) ** 2 for place in (0, -2))
    if height > 5 and height + near >= 0:
        assert np.log2(80.0 * found.evidence) == pytest.approx(top)
        assert lives.evidence == pytest.approx(height)
    else:
        assert (found, lives) == (shop, usual)


@pytest.mark.parametrize("start", [-3, 0, 2])
@pytest.mark.parametrize("top", range(-9, 10))
def test_the_search_goes_uphill_so_many_steps_from_where_it_starts(start, top):
    found = habit_learning._highest(lambda place: -float((place - top) ** 2), 4, start)
    assert found == min(max(top, start - 4), start + 4)
