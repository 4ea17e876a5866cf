"""Plain survival estimates against published data sets, lifelines and scipy."""

from __future__ import annotations

import warnings
from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from app.calculations.layers.survival import turnbull
from app.errors import Mendable
from tests.calculations.layers.weibull import weibull_mle

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import lifelines
    from lifelines.datasets import load_diabetes, load_leukemia

# Remission in weeks, 6-MP arm: Freireich et al., Blood 21 (1963), 699-716.
WEEKS = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
RELAPSED = [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0]

# Millions of revolutions of 23 ball bearings: Lieblein and Zelen (1956).
BEARINGS = [
    17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.48, 51.84, 51.96, 54.12, 55.56, 67.80,
    68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40,
]  # fmt: skip

# Months to breast retraction after radiotherapy, (last seen without, first seen with]:
# Finkelstein and Wolfe, Biometrics 41 (1985), 933-945, as the R package KMsurv has it (bcdeter).
COSMESIS = [
    (45, inf), (6, 10), (0, 7), (46, inf), (46, inf), (7, 16), (17, inf), (7, 14), (37, 44),
    (0, 8), (4, 11), (15, inf), (11, 15), (22, inf), (46, inf), (46, inf), (25, 37), (46, inf),
    (26, 40), (46, inf), (27, 34), (36, 44), (46, inf), (36, 48), (37, inf), (40, inf), (17, 25),
    (46, inf), (11, 18), (38, inf), (5, 12), (37, inf), (0, 5), (18, inf), (24, inf), (36, inf),
    (5, 11), (19, 35), (17, 25), (24, inf), (32, inf), (33, inf), (18, 26), (37, inf), (34, inf),
    (36, inf),
]  # fmt: skip


def _by_scipy(low: np.ndarray, high: np.ndarray) -> tuple[float, float, float]:
    """Shape, scale and log likelihood by scipy's own Weibull and its own search."""
    exact = low == high

    def loss(logs: np.ndarray) -> float:
        life = stats.weibull_min(np.exp(logs[0]), scale=np.exp(logs[1]))
        chance = life.sf(low[~exact]) - life.sf(high[~exact])
        return float(-np.log(chance).sum() - life.logpdf(low[exact]).sum())

    start = np.log([1.3, np.median(low)])
    found = optimize.minimize(
        loss, start, method="Nelder-Mead", options={"fatol": 1e-12, "xatol": 1e-9, "maxiter": 4000}
    )
    return float(np.exp(found.x[0])), float(np.exp(found.x[1])), float(-found.fun)


# The same in R's package interval, printed by Fay and Shaw (J. Statist. Software 36(2), 2010):
# the mass of Turnbull's curve in each span.
COSMESIS_MASS = {
    (4, 5): 0.0463, (6, 7): 0.0334, (7, 8): 0.0887, (11, 12): 0.0708, (24, 25): 0.0926,
    (33, 34): 0.0818, (38, 40): 0.1209, (46, 48): 0.4656,
}  # fmt: skip


def _right_censored(times, worn):
    """Times known exactly where worn out, else only exceeded."""
    when = np.array(times, dtype=float)
    return when, np.where(np.array(worn, dtype=bool), when, inf)


def test_the_survival_of_the_6_mp_arm_is_the_one_in_print():
    # Printed by R's survfit and in textbooks.
    table = turnbull(*_right_censored(WEEKS, RELAPSED))
    assert table.ends[:7].tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert table.survival[:7] == pytest.approx(
        [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482], abs=5e-5
    )
    assert table.median() == 23


def test_the_survival_of_the_6_mp_arm_agrees_with_scipy():
    data = stats.CensoredData.right_censored(WEEKS, [not one for one in RELAPSED])
    reference = stats.ecdf(data).sf
    table = turnbull(*_right_censored(WEEKS, RELAPSED))
    assert table.survival[:7] == pytest.approx(reference.evaluate(table.ends[:7]), abs=1e-6)


def test_the_control_arm_agrees_with_lifelines_and_has_median_8():
    arm = load_leukemia().query("Rx == 1")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        reference = lifelines.KaplanMeierFitter().fit(arm["t"], arm["status"])
    table = turnbull(*_right_censored(arm["t"], arm["status"]))
    assert table.survival == pytest.approx(
        reference.survival_function_at_times(table.ends).to_numpy(), abs=1e-6
    )
    assert table.median() == 8


def test_the_interval_censored_cosmesis_arm_has_the_printed_masses():
    table = turnbull(*np.array(COSMESIS, dtype=float).T)
    mass = -np.diff([1.0, *table.survival])
    spans = zip(table.starts.tolist(), table.ends.tolist(), strict=True)
    found = {span: part for span, part in zip(spans, mass, strict=True) if part > 5e-5}
    assert found == pytest.approx(COSMESIS_MASS, abs=5e-5)


def test_the_interval_censored_cosmesis_arm_agrees_with_lifelines():
    low, high = np.array(COSMESIS, dtype=float).T
    # lifelines has its spans closed at both ends, and steps at the time that follows a span.
    fitter = lifelines.KaplanMeierFitter().fit_interval_censoring(low + 1e-6, high, tol=1e-9)
    reference = np.unique(fitter.survival_function_["NPMLE_estimate_upper"].round(3))
    found = np.unique(np.array([1.0, *turnbull(low, high).survival]).round(3))
    assert found == pytest.approx(reference, abs=0.0015)


def test_ends_between_visits_are_not_put_at_the_later_visit():
    # Kaplan and Meier's curve with each end on the day it was seen is a third too long here.
    rng = np.random.default_rng(20)
    low, high = [], []
    for life in 240.0 * rng.weibull(3.5, 1200):
        visits = np.cumsum(rng.exponential(110.0, 20))
        visits = visits[visits < 700.0]
        low.append(max((one for one in visits if one < life), default=0.0))
        high.append(min((one for one in visits if one >= life), default=inf))
    gone = np.isfinite(high)
    as_seen = lifelines.KaplanMeierFitter().fit(np.where(gone, high, low), gone)
    truth = 240.0 * np.log(2.0) ** (1 / 3.5)
    assert as_seen.median_survival_time_ > 1.25 * truth
    assert turnbull(low, high).median() == pytest.approx(truth, rel=0.04)


def test_the_median_lies_on_a_straight_line_through_its_span():
    assert turnbull([0, 0, 10, 10], [10, 10, 20, 20]).median() == 10
    assert turnbull([0, 10, 10, 10], [10, 20, 20, 20]).median() == pytest.approx(10 + 10 / 3)


def test_a_curve_on_which_nothing_wore_out_has_no_median():
    assert turnbull([3, 5], [inf, inf]).median() == inf
    assert turnbull([], []).median() == inf


@pytest.mark.parametrize(
    ("low", "high"), [([1, 2], [3]), ([-1], [2]), ([inf], [inf]), ([4], [3]), ([1], [np.nan])]
)
def test_a_curve_of_impossible_times_is_refused(low, high):
    with pytest.raises(Mendable):
        turnbull(low, high)


def test_the_weibull_of_the_6_mp_arm_agrees_with_lifelines():
    high = np.where(RELAPSED, WEEKS, inf)
    found = weibull_mle(WEEKS, high)
    reference = lifelines.WeibullFitter().fit(WEEKS, RELAPSED)
    assert found.shape == pytest.approx(reference.rho_, rel=1e-5)
    assert found.scale == pytest.approx(reference.lambda_, rel=1e-5)
    assert found.log_likelihood == pytest.approx(reference.log_likelihood_, rel=1e-9)
    assert found.median == pytest.approx(reference.median_survival_time_, rel=1e-5)


def test_the_ball_bearings_have_the_printed_shape_2_10_and_scale_81_88():
    # Lawless, Statistical Models and Methods for Lifetime Data (from memory of the figures).
    found = weibull_mle(BEARINGS, BEARINGS)
    assert round(found.shape, 2) == 2.10
    assert round(found.scale, 2) == 81.88
    shape, _, scale = stats.weibull_min.fit(BEARINGS, floc=0)
    assert found.shape == pytest.approx(shape, rel=1e-4)
    assert found.scale == pytest.approx(scale, rel=1e-4)


def test_the_interval_censored_cosmesis_arm_agrees_with_scipy_and_lifelines():
    low, high = np.array(COSMESIS, dtype=float).T
    found = weibull_mle(low, high)
    assert (found.shape, found.scale, found.log_likelihood) == pytest.approx(
        _by_scipy(low, high), rel=1e-5
    )
    assert (found.shape, found.scale) == pytest.approx((1.12041, 57.5245), rel=2e-6)
    reference = lifelines.WeibullFitter().fit_interval_censoring(low, high)
    assert found.shape == pytest.approx(reference.rho_, rel=1e-4)
    assert found.scale == pytest.approx(reference.lambda_, rel=1e-4)


def test_the_diabetes_data_with_exact_and_interval_times_agree_with_lifelines():
    data = load_diabetes()
    low, high = data["left"].to_numpy(float), data["right"].to_numpy(float)
    found = weibull_mle(low, high)
    reference = lifelines.WeibullFitter().fit_interval_censoring(low, high)
    assert found.shape == pytest.approx(reference.rho_, rel=1e-5)
    assert found.scale == pytest.approx(reference.lambda_, rel=1e-5)
    assert found.log_likelihood == pytest.approx(reference.log_likelihood_, rel=1e-8)


@settings(max_examples=40, deadline=None)
@given(unit=st.floats(1e-3, 1e3), seed=st.integers(0, 2**32 - 1))
def test_counting_in_another_unit_only_rescales_the_scale(unit, seed):
    rng = np.random.default_rng(seed)
    low = rng.uniform(1, 40, 30)
    high = np.where(rng.random(30) < 0.6, low + rng.uniform(1, 30, 30), inf)
    if np.isinf(high).all():
        return
    one, other = weibull_mle(low, high), weibull_mle(low * unit, high * unit)
    assert other.shape == pytest.approx(one.shape, rel=1e-6)
    assert other.scale == pytest.approx(one.scale * unit, rel=1e-6)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ([3, 5], [inf, inf], "known to have worn out"),
        ([5, 5, 5], [5, 5, 5], "too much alike"),
        ([5], [5], "too much alike"),
        ([5], [4], "latest not before"),
        ([-1], [4], "from zero on"),
        ([0], [0], "age zero"),
        ([1, 2], [3], "as many"),
    ],
)
def test_what_cannot_be_fitted_is_refused_in_a_sentence(low, high, words):
    with pytest.raises(Mendable, match=words):
        weibull_mle(low, high)


def test_a_layer_that_was_worn_out_at_once_counts_and_one_before_its_time_is_refused():
    times, worn = [0.0, 0.5, 2.0, 2.0], [1, 1, 0, 1]
    fitter = lifelines.KaplanMeierFitter().fit(times, worn)
    table = turnbull(*_right_censored(times, worn))
    expected = fitter.survival_function_["KM_estimate"]
    assert table.ends[:3].tolist() == [0.0, 0.5, 2.0]
    assert table.survival[:3] == pytest.approx(
        [expected.loc[time] for time in (0.0, 0.5, 2.0)], abs=1e-6
    )
    with pytest.raises(Mendable, match="zero or more"):
        turnbull([-0.5, 1.0], [-0.5, 1.0])


def test_the_median_is_the_first_time_at_which_half_are_left():
    assert turnbull([1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0, 4.0]).median() == 2.0
    assert turnbull(*_right_censored([1.0, 2.0, 3.0], [1, 0, 0])).median() == inf


def test_the_median_of_a_curve_that_begins_to_fall_at_once_lies_in_its_first_span():
    assert turnbull([0, 0, 0, 10], [10, 10, 10, 20]).median() == pytest.approx(10 * 2 / 3)
    assert turnbull([2, 2, 2, 2], [6, 6, 6, 6]).median() == pytest.approx(4)


def test_the_curve_of_a_mixture_of_times_is_of_the_greatest_likelihood():
    """Against scipy's own search over all ways to share the mass among the spans, for ends that are
    exact, early, between visits and not seen, some of them at the same time as another's visit."""
    rng = np.random.default_rng(6)
    for _ in range(6):
        low = rng.integers(0, 12, 14).astype(float)
        high = low + rng.choice([0.0, 2.0, 5.0, inf], 14, p=[0.3, 0.3, 0.2, 0.2])
        low[:3], high[:3] = 0.0, rng.integers(2, 9, 3)
        table = turnbull(low, high)
        exact = low == high
        within = (table.starts >= low[:, None]) & (table.ends <= high[:, None])
        within &= np.where(exact[:, None], table.ends == table.starts, table.ends > low[:, None])
        assert within.any(axis=1).all()
        assert np.all(table.starts <= table.ends)

        def loss(logs, inside=within):
            share = np.exp(logs - logs.max())
            return -np.log(inside @ (share / share.sum())).sum()

        best = min(
            optimize.minimize(loss, rng.normal(size=table.ends.size), tol=1e-10).fun
            for _ in range(2)
        )
        mass = -np.diff([1.0, *table.survival])
        assert -np.log(within @ mass).sum() == pytest.approx(best, abs=2e-3)
