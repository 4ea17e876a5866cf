"""Lives learnt from judgements: against classical fits, and what must hold of any such thing."""

from __future__ import annotations

import warnings
from datetime import date, timedelta
from math import inf, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.calculations.layers import lives as lives_module
from app.calculations.layers.layers import Verdict
from app.calculations.layers.lives import differs_since, fit
from app.calculations.layers.sightings import Label, Observation, observe
from app.calculations.numbers.dates import age_words, span_words
from app.calculations.numbers.wording import words_of
from app.errors import Mendable
from tests.calculations.layers.weibull import weibull_mle
from tests.steps import steps

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from lifelines import WeibullFitter

WAX = Label(1, "wax", 50.0, 100.0)


def _looked_at(
    rng: np.random.Generator, supply: int, scale: float, shape: float, count: int, every: float = 60
) -> list[Observation]:
    """Layers of a known life, each looked at at random until it is seen gone or looking ends."""
    seen = []
    for life in scale * rng.weibull(shape, count):
        ages = np.cumsum(rng.exponential(every, 40))
        ages = ages[ages < 4 * scale]
        low = max((age for age in ages if age < life), default=0.0)
        high = min((age for age in ages if age >= life), default=inf)
        if low > 0 or high < inf:
            seen.append(Observation(supply, float(low), float(high)))
    return seen


def test_with_many_layers_the_label_is_forgotten_and_the_classical_fit_found():
    seen = _looked_at(np.random.default_rng(1), 1, 140.0, 3.5, 1500)
    low = np.array([one.low_days for one in seen])
    high = np.array([one.high_days for one in seen])
    reference = WeibullFitter().fit_interval_censoring(low, high)
    summary = fit(seen, [WAX]).summary(1)
    assert summary.median_days == pytest.approx(reference.median_survival_time_, rel=0.02)
    assert summary.shape == pytest.approx(reference.rho_, rel=0.08)
    assert summary.low_days < reference.median_survival_time_ < summary.high_days


def test_the_survival_curve_agrees_with_the_classical_one_where_there_is_much_to_see():
    seen = _looked_at(np.random.default_rng(2), 1, 80.0, 2.5, 1500, every=30)
    reference = weibull_mle([one.low_days for one in seen], [one.high_days for one in seen])
    lives = fit(seen, [WAX])
    ages = np.array([20.0, 50.0, 80.0, 110.0])
    classical = np.exp(-((ages / reference.scale) ** reference.shape))
    assert lives.survival(1, ages) == pytest.approx(classical, abs=0.02)
    given_50 = np.exp(
        (50 / reference.scale) ** reference.shape - (ages / reference.scale) ** reference.shape
    )
    assert lives.survival(1, ages, 1.0, 50.0)[2:] == pytest.approx(given_50[2:], abs=0.03)


def test_without_any_layer_the_label_speaks():
    summary = fit([], [WAX]).summary(1)
    assert summary.median_days == pytest.approx(75 * np.exp(-0.10), rel=0.02)
    assert summary.low_days < 50 < 100 < summary.high_days * 1.05
    assert (summary.layers, summary.gone, summary.differs) == (0, 0, False)
    assert "none of its layers has been seen again" in summary.sentence


def test_the_band_holds_the_true_median_about_as_often_as_it_says():
    # Calibration by simulation: 80 % bands of shops drawn as the prior has them.
    rng = np.random.default_rng(3)
    inside = 0
    for _ in range(120):
        scale, shape = 75.0 * np.exp(0.3 * rng.standard_normal()), rng.uniform(2.5, 5)
        summary = fit(_looked_at(rng, 1, scale, shape, 25), [WAX]).summary(1)
        inside += summary.low_days <= scale * log(2) ** (1 / shape) <= summary.high_days
    assert 0.70 <= inside / 120 <= 0.90


def test_supplies_of_a_class_lend_each_other_what_they_know():
    rng = np.random.default_rng(4)
    labels = [Label(supply, "wax", 50.0, 100.0) for supply in range(5)]
    seen = [one for supply in range(4) for one in _looked_at(rng, supply, 120.0, 3.5, 80)]
    alone = fit([], labels).median(4)
    lent = fit(seen, labels).median(4)
    strange = fit(seen, [*labels[:4], Label(4, "glass", 50.0, 100.0)]).median(4)
    assert alone < strange < lent < 125


def test_exposure_scales_time():
    lives = fit([], [WAX])
    assert lives.survival(1, 40.0, 0.5, 10.0) == pytest.approx(lives.survival(1, 80.0, 1.0, 20.0))
    assert lives.median(1, 0.5) == pytest.approx(lives.median(1) / 2)


def test_the_exposure_scale_is_followed_only_as_far_as_it_holds_here():
    rng = np.random.default_rng(5)
    seen = []
    for factor in (0.5, 1.0):
        for one in _looked_at(rng, 1, 90.0, 4.0, 400, every=25):  # the same life for both
            seen.append(Observation(1, one.low_days, one.high_days, factor))
    lives = fit(seen, [WAX])
    assert abs(lives.habits.strength) < 0.25
    assert fit(seen[:400], [WAX]).habits.strength == 1.0  # one kind of standing tells nothing


def test_what_a_shop_means_by_fading_is_learnt():
    rng = np.random.default_rng(6)
    seen = []
    for life in 90.0 * rng.weibull(3.5, 300):
        ages = np.cumsum(rng.exponential(25, 30))
        held = max((age for age in ages if age < 0.7 * life), default=0.0)
        faded = min((age for age in ages if 0.7 * life <= age < life), default=inf)
        low = max((age for age in ages if age < life), default=0.0)
        seen.append(
            Observation(
                1,
                float(low),
                float(min((age for age in ages if age >= life), default=inf)),
                held_days=float(held),
                faded_days=float(faded),
            )
        )
    habit = fit(seen, [WAX]).habits.fading
    assert habit.trusted
    assert habit.share == pytest.approx(0.30, abs=0.06)


def test_a_word_said_at_random_is_not_trusted():
    rng = np.random.default_rng(7)
    seen = [
        Observation(1, one.low_days, one.high_days, faded_days=one.low_days * 0.2)
        if rng.random() < 0.5 and one.low_days > 0
        else Observation(1, one.low_days, one.high_days, held_days=one.low_days)
        for one in _looked_at(rng, 1, 90.0, 3.5, 300)
    ]
    assert not fit(seen, [WAX]).habits.fading.trusted


def test_a_few_early_ends_that_are_no_wear_do_not_pull_a_supply_down():
    seen = _looked_at(np.random.default_rng(8), 1, 90.0, 4.0, 150)
    clean = fit(seen, [WAX]).summary(1).median_days
    spoilt = fit([*seen, *[Observation(1, 0.0, 3.0)] * 3], [WAX]).summary(1).median_days
    assert spoilt == pytest.approx(clean, rel=0.03)


def _judged(
    rng: np.random.Generator,
    scale: float,
    count: int,
    wrong: float = 0.0,
    put_on: date = date(2025, 1, 1),
) -> list[Observation]:
    """Layers looked at until one is called gone, a share of judgements being wrong."""
    seen = []
    for life in scale * rng.weibull(3.5, count):
        judgements = []
        for age in np.cumsum(rng.exponential(scale / 3, 40)):
            gone = bool(age >= life) != bool(rng.random() < wrong)
            judgements.append((float(age), Verdict.GONE if gone else Verdict.HOLDING))
            if gone:
                break
        applied = put_on + timedelta(days=int(rng.integers(365)))
        day = applied + timedelta(days=int(judgements[-1][0]))
        seen.append(observe(1, judgements, day=day))
    return [one for one in seen if one is not None]


@pytest.mark.parametrize("wrong", [0.0, 0.1])
def test_how_many_judgements_are_wrong_here_is_learnt_and_lives_are_not_led_astray(wrong):
    seen = _judged(np.random.default_rng(31), 90.0, 1000, wrong)
    lives = fit(seen, [WAX])
    assert lives.habits.wrong == pytest.approx(wrong, abs=0.02)
    truth = 90.0 * log(2) ** (1 / 3.5)
    assert lives.summary(1).median_days == pytest.approx(truth, rel=0.05)
    assert lives.summary(1).shape == pytest.approx(3.5, rel=0.15)


def test_a_supply_that_was_reformulated_is_learnt_within_a_year():
    rng = np.random.default_rng(32)
    old = _judged(rng, 120.0, 400, put_on=date(2023, 1, 1))
    new = _judged(rng, 60.0, 120, put_on=date(2024, 1, 1))
    both = fit([*old, *new], [WAX]).summary(1)
    assert both.median_days == pytest.approx(60.0 * log(2) ** (1 / 3.5), rel=0.06)
    assert both.median_days == pytest.approx(fit(new, [WAX]).summary(1).median_days, rel=0.04)


def test_what_was_seen_long_ago_counts_in_full_where_nothing_changed():
    rng = np.random.default_rng(33)
    old = _judged(rng, 90.0, 200, put_on=date(2023, 1, 1))
    new = _judged(rng, 90.0, 50, put_on=date(2024, 1, 1))
    both, alone = fit([*old, *new], [WAX]).summary(1), fit(new, [WAX]).summary(1)
    assert both.high_days / both.low_days < (alone.high_days / alone.low_days) ** 0.7


def test_the_band_is_wider_for_vehicles_unlike_those_that_were_seen():
    # How far the exposure scale holds is known only roughly; that doubt is in the band.
    rng = np.random.default_rng(34)
    seen = [
        Observation(1, one.low_days * factor, one.high_days * factor, factor)
        for factor in (0.45, 0.5, 0.55)
        for one in _looked_at(rng, 1, 90.0, 4.0, 60, every=25)
    ]
    lives = fit(seen, [WAX])
    assert lives.habits.strength_doubt > 0.05
    near, far = (lives.summary(1, factor) for factor in (0.5, 1.0))
    assert log(far.high_days / far.low_days) > 1.3 * log(near.high_days / near.low_days)


@settings(max_examples=15, deadline=None)
@given(unit=st.floats(0.05, 20.0), seed=st.integers(0, 2**32 - 1))
def test_counting_in_another_unit_only_rescales_the_life(unit, seed):
    seen = _looked_at(np.random.default_rng(seed), 1, 80.0, 3.0, 25)
    other = [Observation(1, one.low_days * unit, one.high_days * unit) for one in seen]
    days = fit(seen, [WAX])
    scaled = fit(other, [Label(1, "wax", 50.0 * unit, 100.0 * unit)])
    assert scaled.summary(1).median_days == pytest.approx(
        days.summary(1).median_days * unit, rel=1e-6
    )
    assert scaled.summary(1).shape == pytest.approx(days.summary(1).shape, rel=1e-6)
    assert np.array(scaled.due(1, 1.0, 30.0 * unit)) == pytest.approx(
        np.array(days.due(1, 1.0, 30.0)) * unit, rel=1e-6
    )


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), low=st.floats(1.0, 150.0), longer=st.floats(1.0, 6.0))
def test_a_layer_seen_holding_later_never_shortens_the_expected_life(seed, low, longer):
    # The mean, not the median: one layer that lasts far longer than all others also says that
    # lives differ widely, and then half of them may well end sooner.
    seen = _looked_at(np.random.default_rng(seed), 1, 80.0, 3.0, 12)
    ages = np.linspace(0, 4000, 4001)
    means = [
        np.trapezoid(fit([*seen, Observation(1, age)], [WAX]).survival(1, ages), ages)
        for age in (low, low * longer)
    ]
    assert means[1] >= means[0] * 0.9999


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), first=st.floats(0.0, 250.0), more=st.floats(0.0, 100.0))
def test_being_seen_later_never_brings_the_due_span_nearer(seed, first, more):
    lives = fit(_looked_at(np.random.default_rng(seed), 1, 80.0, 3.0, 12), [WAX])
    early, late, write = lives.due(1, 1.0, np.array([first, first + more]))
    assert early[1] >= early[0] - 1e-6
    assert late[1] >= late[0] - 1e-6
    assert np.all((early <= write) & (write <= late))
    assert np.all(early >= np.array([first, first + more]))


def test_survival_falls_with_age_and_starts_at_one():
    lives = fit(_looked_at(np.random.default_rng(9), 1, 80.0, 3.0, 30), [WAX])
    chance = lives.survival(1, np.linspace(0, 400, 60), 1.0, 40.0)
    assert chance[0] == pytest.approx(1.0)
    assert np.all(np.diff(chance) <= 1e-12)
    assert chance[-1] < 0.01


def test_the_curve_lies_inside_its_band():
    lives = fit(_looked_at(np.random.default_rng(10), 1, 80.0, 3.0, 30), [WAX])
    curve = lives.curve(1)
    assert np.all(curve.low <= curve.survival + 1e-9)
    assert np.all(curve.survival <= curve.high + 1e-9)
    assert curve.survival == pytest.approx(lives.survival(1, curve.ages_days))


def test_a_life_off_the_label_is_said_with_the_month_since_when():
    rng = np.random.default_rng(11)
    seen = _looked_at(rng, 1, 190.0, 4.0, 40)
    start = date(2024, 1, 15)
    dated = [
        Observation(
            one.supply, one.low_days, one.high_days, day=start + timedelta(days=20 * number)
        )
        for number, one in enumerate(seen)
    ]
    assert fit(dated, [WAX]).summary(1).differs
    since = differs_since(dated, [WAX], 1)
    assert since is not None
    assert start < since < dated[-1].day
    assert differs_since(dated, [Label(1, "wax", 120.0, 240.0)], 1) is None


def test_a_supply_without_a_label_is_refused_in_a_sentence():
    lives = fit([Observation(2, 30.0)], [WAX])
    with pytest.raises(Mendable, match="no life on its label"):
        lives.survival(2, 10.0)
    with pytest.raises(Mendable, match="no life on its label"):
        lives.due([2], 1.0, 0.0)


def test_a_shop_without_supplies_has_no_lives():
    lives = fit([], [])
    assert lives.supplies == ()
    assert lives.due([], [], [])[0].size == 0


def test_an_exposure_of_zero_is_refused_in_a_sentence():
    with pytest.raises(Mendable, match="above zero"):
        fit([], [WAX]).survival(1, 10.0, 0.0)


def test_ten_times_the_layers_are_learnt_in_ten_times_the_steps_at_the_most():
    rng = np.random.default_rng(12)
    labels = [Label(supply, f"class {supply % 5}", 50.0, 100.0) for supply in range(60)]
    seen = [one for supply in range(60) for one in _looked_at(rng, supply, 90.0, 3.5, 84)][:5000]
    few, many = (steps(lambda some=some: fit(some, labels)) for some in (seen[::10], seen))
    assert many <= 10 * few


def test_what_was_learnt_is_said_in_a_sentence():
    seen = _looked_at(np.random.default_rng(13), 1, 120.0, 3.5, 12)
    found = fit(seen, [WAX]).summary(1)
    gone = sum(one.high_days < inf for one in seen)
    assert found.sentence == (
        f"The label says 7 to 14 weeks; here half of them last {age_words(found.median_days)} "
        f"({span_words(found.low_days, found.high_days)}), from {words_of(len(seen), 'layer')} "
        f"seen again, {gone} of them gone."
    )
    (one,) = (fit([Observation(1, 20.0)], [WAX]).summary(1),)
    assert one.sentence.endswith("from one layer seen again, none of them gone.")
    assert (one.layers, one.gone) == (1, 0)


def test_many_layers_asked_about_together_are_due_as_each_alone():
    labels = [Label(supply, "wax", 40.0 + 10 * supply, 90.0 + 20 * supply) for supply in range(4)]
    lives = fit(_looked_at(np.random.default_rng(14), 2, 100.0, 3.0, 20), labels)
    supplies = [0, 1, 1, 2, 0, 3, 2, 3]
    fading = [False, True, False, False, True, False, True, True]
    seen = [0.0, 30.0, 30.0, 10.0, 50.0, 0.0, 60.0, 20.0]
    exposure = [1.0, 0.5, 0.8, 1.0, 0.7, 1.1, 0.9, 0.6]
    together = np.array(lives.due(supplies, exposure, seen, fading))
    chances = lives.survival(supplies, 65.0, exposure, seen, fading)
    for at, asked in enumerate(zip(supplies, exposure, seen, fading, strict=True)):
        assert together[:, at] == pytest.approx(np.array(lives.due(*asked)).ravel())
        supply, factor, age, faded = asked
        assert chances[at] == pytest.approx(float(lives.survival(supply, 65.0, factor, age, faded)))


def test_the_band_of_a_curve_leaves_a_tenth_of_the_weight_on_either_side():
    lives = fit(_looked_at(np.random.default_rng(15), 1, 80.0, 3.0, 20), [WAX])
    curve, points = lives.curve(1), lives._points[1]
    assert curve.ages_days[0] == 0
    assert curve.survival[-1] < 0.05
    for at in (20, 60, 100):
        each, weights = points.chances(
            curve.ages_days[at : at + 1], np.zeros(1), False, lives.habits.fading
        )
        for edge, level in ((curve.low[at], 0.1), (curve.high[at], 0.9)):
            below, upto = weights[0, each[0] < edge].sum(), weights[0, each[0] <= edge].sum()
            assert below < level <= upto + 1e-12


@pytest.mark.parametrize(
    ("low", "high", "off"),
    [(20.0, 49.9, True), (20.0, 50.0, False), (100.0, 150.0, False), (100.1, 150.0, True)],
)
@pytest.mark.parametrize("factor", [1.0, 0.5])
def test_a_band_differs_where_it_lies_wholly_off_the_label(low, high, factor, off):
    """Band and range are both of the exposure that the label is meant for."""
    middle = (low + high) / 2
    label = Label(1, "wax", 50.0, 100.0, factor)
    assert lives_module._outside(low, middle, high, label) is off


@pytest.mark.parametrize("stands_at", [0.5, 1.0])
def test_a_label_for_other_vehicles_differs_by_what_its_own_vehicles_would_show(stands_at):
    """The label's 50 to 100 days are meant at factor 0.5: at factor 1 they would be 100 to 200."""
    rng = np.random.default_rng(16)
    seen = [
        Observation(1, one.low_days, one.high_days, stands_at)
        for one in _looked_at(rng, 1, 80.0, 4.0, 120, every=25)
    ]
    lives = fit(seen, [Label(1, "wax", 50.0, 100.0, 0.5)])
    assert lives.summary(1).differs is (stands_at == 1.0)
    truth = 80.0 * log(2) ** (1 / 4.0)
    at_its_own, as_seen = lives.summary(1, None), lives.summary(1, stands_at)
    assert as_seen.median_days == pytest.approx(truth, rel=0.05)
    assert at_its_own.median_days == pytest.approx(truth * 0.5 / stands_at, rel=0.05)


def test_supplies_that_were_learnt_are_named_and_a_shop_s_lives_are_whole():
    lives = fit([], [WAX, Label(7, "glass", 100.0, 300.0)])
    assert lives.supplies == (1, 7)
    assert float(lives.survival(7, 0.0)) == pytest.approx(1.0, abs=1e-12)
    assert 100 < float(lives.median(7)) < 300


def test_since_when_it_differs_is_told_by_the_last_look_of_a_month():
    assert lives_module._last(date(2026, 1, 30), date(2026, 2, 1))
    assert lives_module._last(date(2026, 1, 30), date(2027, 1, 31))
    assert not lives_module._last(date(2026, 1, 5), date(2026, 1, 30))
    assert lives_module._last(date(2026, 1, 5), None)


def test_one_layer_seen_again_is_something_learnt():
    assert not fit([], [WAX])._points[1].learnt
    assert fit([Observation(1, 20.0)], [WAX])._points[1].learnt


def test_a_label_for_a_worse_place_and_one_for_a_garage_may_say_the_same():
    """36 to 72 days where six tenths are left are 60 to 120 in a garage."""
    garage, street = Label(7, "wax", 60.0, 120.0), Label(7, "wax", 36.0, 72.0, at_factor=0.6)
    factors = np.array([0.4, 0.6, 1.0])
    medians = [fit([], [label]).median(7, factors) for label in (garage, street)]
    assert medians[0] == pytest.approx(medians[1])
    assert medians[0] == pytest.approx(garage.median_days * factors, rel=0.05)
