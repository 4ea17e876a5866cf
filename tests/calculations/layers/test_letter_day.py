"""The letter day and the due span of one supply, against plain simulation and root finding."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar

from app.calculations.layers import letter_day
from app.calculations.layers.habits import UNLEARNT, Fading
from app.calculations.layers.letter_day import (
    SEEN_FROM,
    SEEN_PRICE,
    WELCOME,
    _best_day,
    due_table,
    price,
)
from app.calculations.layers.life_points import LifePoints


def _known(median: float, shape: float) -> LifePoints:
    """A life without any doubt."""
    return LifePoints(np.array([median]), np.array([shape]), np.array([1.0]), True, 1.0)


def _doubtful(spread: float, learnt: bool = True) -> LifePoints:
    """Medians around 100 days and shapes around 3.5."""
    medians, shapes = np.meshgrid(
        100.0 * np.exp(spread * np.linspace(-3, 3, 25)), 3.5 * np.exp(np.linspace(-0.3, 0.3, 7))
    )
    weights = np.exp(-(np.linspace(-3, 3, 25) ** 2) / 2)[None, :] * np.ones((7, 1))
    return LifePoints(
        medians.ravel(), shapes.ravel(), (weights / weights.sum()).ravel(), learnt, 1.0
    )


@pytest.mark.parametrize("shape", [1.5, 2.5, 3.5, 5.0])
def test_the_due_span_of_a_known_life_runs_from_80_to_50_percent(shape):
    # S(t) = 0.5 ** ((t / median) ** shape), solved for t.
    table = due_table(_known(200.0, shape), False, UNLEARNT)
    early, late, _ = table.at(np.array([0.0]))
    assert early[0] == pytest.approx(200.0 * (np.log(0.8) / np.log(0.5)) ** (1 / shape), rel=2e-3)
    assert late[0] == pytest.approx(200.0, rel=2e-3)


@pytest.mark.parametrize("seen", [20.0, 90.0, 140.0, 260.0])
def test_the_due_span_counts_from_the_last_judgement(seen):
    # Given S(seen), survival has halved where (t/m)**k = (seen/m)**k + 1.
    table = due_table(_known(100.0, 3.0), False, UNLEARNT)
    early, late, write = (column[0] for column in table.at(np.array([seen])))
    after = 100.0 * ((seen / 100.0) ** 3 + 1.0) ** (1 / 3)
    assert late == pytest.approx(after, rel=5e-3)
    assert seen < early <= write <= late


def test_the_span_of_a_doubtful_life_is_where_its_mean_survival_falls_so_far():
    points = _doubtful(0.2)
    table = due_table(points, False, UNLEARNT)
    for seen in (0.0, 60.0, 110.0):

        def survival(age: float, level: float, seen: float = seen) -> float:
            each, weights = points.chances(np.array([age]), np.array([seen]), False, UNLEARNT)
            return float((each * weights).sum()) - level

        early, late, _ = (column[0] for column in table.at(np.array([seen])))
        assert early == pytest.approx(brentq(survival, seen, 900, args=(0.8,)), rel=4e-3)
        assert late == pytest.approx(brentq(survival, seen, 900, args=(0.5,)), rel=4e-3)


@pytest.mark.parametrize("shape", [2.5, 3.0, 3.5, 4.0, 5.0])
def test_a_shop_that_knows_the_life_writes_close_to_its_median(shape):
    table = due_table(_known(100.0, shape), False, UNLEARNT)
    assert 93.0 < table.write[0] <= 100.0


def test_the_less_a_shop_knows_the_earlier_it_writes():
    days = [due_table(_doubtful(spread), False, UNLEARNT).write[0] for spread in (0.02, 0.2, 0.4)]
    assert days == sorted(days, reverse=True)
    assert days[2] < 0.9 * days[0]


def test_no_other_day_does_better_in_a_simulation_of_the_same_doubt():
    points = _doubtful(0.15)
    rng = np.random.default_rng(5)
    drawn = rng.choice(len(points.weights), 400_000, p=points.weights)
    ends = points.medians[drawn] * (
        rng.weibull(points.shapes[drawn]) / np.log(2) ** (1 / points.shapes[drawn])
    )
    cost = price(points.shapes, points.weights)
    table = due_table(points, False, UNLEARNT)

    def worth(day: float) -> float:
        welcome = np.mean(np.abs(day - ends) <= WELCOME * ends)
        return float(welcome - cost * np.mean(np.maximum(day - ends, 0.0)) / table.late[0])

    best = worth(float(table.write[0]))
    assert best == pytest.approx(max(worth(day) for day in np.linspace(40, 160, 121)), abs=2e-3)


def test_the_price_is_the_one_at_which_the_median_is_best():
    # Slope of S(d / 1.2) - S(d / 0.8) at the median over that of the unprotected time, a half.
    for shape in (2.5, 3.5, 4.5):
        step = 1e-6
        welcome = [
            0.5 ** ((d / 1.2) ** shape) - 0.5 ** ((d / 0.8) ** shape) for d in (1 - step, 1 + step)
        ]
        slope = (welcome[1] - welcome[0]) / (2 * step)
        found = price(np.array([shape]), np.array([1.0]))
        assert found == pytest.approx(slope / 0.5, rel=1e-4)


def test_a_layer_seen_fading_is_due_sooner_than_one_seen_holding():
    for points in (_doubtful(0.2), _doubtful(0.2, learnt=False)):
        holding = due_table(points, False, UNLEARNT).at(np.array([60.0]))
        fading = due_table(points, True, UNLEARNT).at(np.array([60.0]))
        for sooner, later in zip(fading, holding, strict=True):
            assert sooner[0] < later[0]


def test_where_the_word_fading_is_used_holding_means_that_the_end_is_not_near():
    habit = Fading.lasting(0.2)
    silent = due_table(_doubtful(0.2), False, UNLEARNT).at(np.array([90.0]))
    spoken = due_table(_doubtful(0.2), False, habit).at(np.array([90.0]))
    assert spoken[0][0] > silent[0][0]


@pytest.mark.parametrize("fading", [False, True])
@pytest.mark.parametrize("habit", [UNLEARNT, Fading.lasting(0.2)])
@pytest.mark.parametrize("learnt", [False, True])
def test_the_table_and_the_single_chances_agree(fading, habit, learnt):
    points = _doubtful(0.2, learnt)
    ages, seen = np.array([50.0, 80.0, 115.0, 150.0, 300.0]), np.array([0.0, 45.0, 100.0])
    table = points.table(ages, seen, fading, habit)
    for column, age in enumerate(seen):
        each, weights = points.chances(ages, np.full(len(ages), age), fading, habit)
        single = np.minimum.accumulate((each * weights).sum(axis=1))
        assert table[:, column] == pytest.approx(single, abs=1e-9)


def test_labels_alone_give_way_to_a_layer_that_outlived_them():
    # A shop with no other layers learns from the one in hand; the weights move to longer lives.
    stubborn, moved = _doubtful(0.3), _doubtful(0.3, learnt=False)
    late = [
        due_table(one, False, UNLEARNT).at(np.array([180.0]))[1][0] for one in (stubborn, moved)
    ]
    assert late[1] > late[0] > 180.0


def test_beyond_the_table_spans_grow_in_proportion():
    table = due_table(_known(100.0, 3.0), False, UNLEARNT)
    last, double = (table.at(np.array([seen]))[0][0] for seen in (300.0, 600.0))
    assert double == pytest.approx(2 * last)


@pytest.mark.parametrize("shape", [2.2, 3.1, 4.3])
@pytest.mark.parametrize("part", [0.0, 0.25, 0.6])
def test_the_letter_day_is_where_the_sum_is_greatest_by_scipys_search(shape, part):
    """A life known exactly: the sum of the module's first lines, with the integral in full."""
    median = 137.0
    seen = part * median
    life = stats.weibull_min(shape, scale=median / np.log(2) ** (1 / shape))
    cost = price(np.array([shape]), np.array([1.0]))
    cost += min(part / SEEN_FROM, 1.0) * max(SEEN_PRICE - cost, 0.0)

    def holds(age: float) -> float:
        return float(life.sf(max(age, seen)) / life.sf(seen))

    def loss(day: float) -> float:
        welcome = holds(day / (1 + WELCOME)) - holds(day / (1 - WELCOME))
        unprotected = quad(lambda age: 1.0 - holds(age), seen, day, limit=200)[0]
        return cost * unprotected / median - welcome

    early, late, write = (
        column[0]
        for column in due_table(_known(median, shape), False, UNLEARNT).at(np.array([seen]))
    )
    best = minimize_scalar(loss, bounds=(early, late), method="bounded", options={"xatol": 1e-4})
    assert write == pytest.approx(best.x, abs=0.12)


def test_where_every_day_is_as_good_the_search_still_names_one():
    times, never = np.exp(np.linspace(0.0, 3.0, 50)), np.ones((50, 2))
    seen, costs = np.zeros(2), np.full(2, 0.5)
    assert np.isfinite(_best_day(never, times, seen, costs, 10.0)).all()


@pytest.mark.parametrize("rows", [-2.5, -1.0, 0.0, 0.25, 3.0, 9.5])
def test_a_shifted_curve_is_that_of_numpy_and_stays_at_its_ends(rows: float) -> None:
    curve = np.array([1.0, 0.9, 0.5, 0.2, 0.1])
    at = np.arange(5.0)
    shifted = letter_day._shifted(curve[:, None], rows)[:, 0]
    assert shifted == pytest.approx(np.interp(at + rows, at, curve))
