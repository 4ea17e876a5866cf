"""What a layer's judgements say of its wear-out: an interval in which it lies.

Last seen without and first seen with, as interval-censored times stand in Finkelstein and Wolfe,
*Biometrics* 41 (1985), 933-945.
"""

from __future__ import annotations

from datetime import date
from math import exp, inf, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.layers.layers import Verdict
from app.calculations.layers.sightings import (
    MOST_WRONG,
    NEVER,
    Label,
    Observation,
    _steps,
    checked,
    gather,
    observe,
)
from app.errors import Mendable

HOLDING, FADING, GONE = Verdict.HOLDING, Verdict.FADING, Verdict.GONE

verdicts = st.sampled_from([HOLDING, FADING, GONE])
sightings = st.lists(st.tuples(st.floats(0, 3000), verdicts), max_size=8)


def test_a_layer_never_seen_again_says_nothing():
    assert observe(1, []) is None


def test_a_layer_seen_holding_twice_outlived_the_later_day():
    seen = observe(1, [(40.0, HOLDING), (10.0, HOLDING)], 0.8, date(2026, 5, 3))
    assert seen == Observation(
        1, 40.0, inf, 0.8, date(2026, 5, 3), held_days=40.0, seen=((10.0, False), (40.0, False))
    )


def test_a_layer_seen_holding_and_then_gone_wore_out_in_between():
    seen = observe(1, [(40.0, HOLDING), (90.0, GONE)])
    assert seen is not None
    assert (seen.low_days, seen.high_days, seen.gone) == (40.0, 90.0, True)


def test_a_layer_seen_gone_at_once_wore_out_some_time_before():
    seen = observe(1, [(90.0, GONE), (120.0, GONE)])
    assert seen is not None
    assert (seen.low_days, seen.high_days) == (0.0, 90.0)


def test_a_layer_was_put_on_so_long_before_it_was_last_judged_as_it_was_old_then():
    """Left as it was and seen gone again: the day is that of the last look, and so is its age."""
    seen = observe(1, [(40.0, HOLDING), (90.0, GONE), (120.0, GONE)], day=date(2026, 5, 1))
    assert seen is not None
    assert seen.applied == date(2026, 1, 1).toordinal()


def test_dull_was_dirty_and_not_gone_when_it_holds_again_later():
    seen = observe(1, [(60.0, GONE), (80.0, FADING), (90.0, HOLDING)])
    assert seen is not None
    assert (seen.low_days, seen.high_days, seen.faded_days) == (90.0, inf, inf)


def test_every_judgement_is_kept_since_the_later_may_be_the_wrong_one():
    seen = observe(1, [(60.0, GONE), (80.0, FADING), (70.0, HOLDING), (95.0, GONE)])
    assert seen is not None
    assert seen.seen == ((60.0, True), (70.0, False), (80.0, False), (95.0, True))


def test_the_day_a_layer_was_put_on_is_told_from_its_last_judgement():
    day = date(2026, 5, 3)
    assert Observation(1, 40.0, 90.0, day=day).applied == day.toordinal() - 90
    assert Observation(1, 40.0, day=day).applied == day.toordinal() - 40


def test_of_two_verdicts_on_one_day_the_later_one_stands():
    before_and_after = observe(1, [(60.0, GONE), (60.0, HOLDING)])
    assert before_and_after is not None
    assert not before_and_after.gone


def test_a_layer_seen_holding_and_gone_on_the_same_day_ended_that_day():
    seen = observe(1, [(60.0, HOLDING), (60.0, GONE)])
    assert seen is not None
    assert seen.low_days < seen.high_days <= 61.0


def test_the_first_day_of_fading_is_kept():
    seen = observe(1, [(30.0, HOLDING), (60.0, FADING), (80.0, FADING)])
    assert seen is not None
    assert (seen.held_days, seen.faded_days, seen.low_days) == (30.0, 60.0, 80.0)


def test_a_judgement_before_the_layer_is_refused_in_a_sentence():
    with pytest.raises(Mendable, match="before it was put on"):
        observe(1, [(-1.0, HOLDING)])


def test_a_layer_called_fading_on_its_first_day_is_no_trouble():
    seen = observe(1, [(0.0, FADING), (0.0, GONE)])
    assert seen is not None
    assert 0 < seen.faded_days <= seen.high_days
    gather([seen], {1: 0})


@given(sightings)
def test_whatever_was_seen_the_earliest_end_lies_before_the_latest(seen):
    found = observe(7, seen)
    if found is None:
        assert all(age == 0 for age, _ in seen)  # its first day says nothing
        return
    assert 0 <= found.held_days <= found.low_days < found.high_days
    gather([found], {7: 0})


@given(sightings, st.floats(3001, 4000))
def test_one_more_day_of_holding_never_brings_the_end_nearer(seen, later):
    before, after = observe(7, seen), observe(7, [*seen, (later, HOLDING)])
    assert after is not None
    assert after.high_days == inf
    assert before is None or after.low_days > before.low_days


def test_the_median_a_label_promises_lies_a_tenth_below_its_middle():
    assert Label(1, "wax", 50.0, 100.0).median_days == pytest.approx(75.0 * exp(-0.10))
    assert Label(1, "wax", 50.0, 100.0, at_factor=0.5).median_days == pytest.approx(
        150.0 * exp(-0.10)
    )


def test_a_wide_label_lets_a_supply_stray_further_than_a_narrow_one():
    assert Label(1, "wax", 90.0, 100.0).spread == 0.15
    assert Label(1, "wax", 50.0, 100.0).spread == pytest.approx(log(2) / 4)
    assert Label(1, "wax", 20.0, 200.0).spread == 0.35


@pytest.mark.parametrize("label", [(0.0, 5.0), (9.0, 5.0), (1.0, inf)])
def test_a_label_that_cannot_be_is_refused_in_a_sentence(label):
    with pytest.raises(Mendable, match="two numbers of days"):
        checked([Label(1, "wax", *label)])


def test_two_labels_for_one_supply_are_refused_in_a_sentence():
    with pytest.raises(Mendable, match="two labels"):
        checked([Label(1, "wax", 1.0, 2.0), Label(1, "wax", 1.0, 3.0)])


@pytest.mark.parametrize(
    "seen",
    [
        Observation(7, -1.0),
        Observation(7, 5.0, 5.0),
        Observation(7, 5.0, 9.0, exposure=0.0),
        Observation(7, inf),
        Observation(7, 5.0, held_days=6.0),
    ],
)
def test_an_observation_that_cannot_be_is_refused_in_a_sentence(seen):
    with pytest.raises(Mendable, match="cannot be"):
        gather([seen], {7: 0})


def test_ages_stand_as_logarithms_by_supply_and_words_with_how_often_they_are_said():
    seen = [
        Observation(9, 20.0, held_days=20.0, exposure=0.5),
        Observation(4, 50.0, 80.0, faded_days=30.0),
        Observation(9, 30.0, 45.0),
        Observation(4, 60.0, held_days=10.0),
    ]
    found = gather(seen, {4: 0, 9: 1})
    assert found.first.tolist() == [0, 2, 4]
    assert np.exp(found.low).tolist() == pytest.approx([50, 60, 20, 30])
    assert np.exp(found.high).tolist() == pytest.approx([80, inf, inf, 45])
    assert np.exp(found.held).tolist() == pytest.approx([0, 10, 20, 0])
    assert np.exp(found.faded).tolist() == pytest.approx([30, inf, inf, inf])
    assert np.exp(found.exposure).tolist() == pytest.approx([1, 1, 0.5, 1])
    # of the three layers of which a word was said, one was called fading
    assert found.said.tolist() == pytest.approx([1 / 3, 2 / 3, 2 / 3, 2 / 3])


def test_where_no_word_was_said_none_is_rare():
    found = gather([Observation(1, 20.0), Observation(1, 0.0, 30.0)], {1: 0})
    assert found.said.tolist() == [1, 1]


@pytest.mark.parametrize(
    "seen",
    [
        Observation(1, 0.0, 0.1), Observation(1, 5.0, held_days=5.0),
        Observation(1, 5.0, faded_days=0.1), Observation(1, 5.0, exposure=0.01),
    ],
)  # fmt: skip
def test_observations_at_the_edge_are_taken(seen):
    assert len(gather([seen], {1: 0}).low) == 1


@pytest.mark.parametrize(
    "seen",
    [
        Observation(1, 5.0, faded_days=0.0), Observation(1, 5.0, exposure=inf),
        Observation(1, 5.0, 4.9), Observation(1, -0.1), Observation(1, 5.0, held_days=5.1),
    ],
)  # fmt: skip
def test_the_first_observation_that_cannot_be_is_the_one_that_is_named(seen):
    with pytest.raises(Mendable, match="supply 1"):
        gather([Observation(2, 5.0), seen], {1: 0, 2: 1})


def test_an_end_is_known_to_half_a_day_at_best():
    """An age of half a day and less cannot be told from none; our choice."""
    seen = observe(1, [(60.0, HOLDING), (60.2, GONE)])
    assert seen is not None
    assert (seen.low_days, seen.high_days) == (60.0, 60.5)
    seen = observe(1, [(0.1, FADING), (20.0, GONE)])
    assert seen is not None
    assert (seen.faded_days, seen.low_days) == (0.5, 0.1)
    assert seen.seen == ((0.5, False), (20.0, True))
    assert not Observation(1, 5.0).gone
    assert Observation(1, 5.0, 9e9).gone


def test_a_label_of_one_day_is_taken_and_one_alike_at_both_ends():
    assert checked([Label(1, "wax", 5.0, 5.0)])[1].spread == 0.15
    with pytest.raises(Mendable, match="two numbers of days"):
        checked([Label(1, "wax", 5.0, 9.0, 0.0)])


def test_layers_stand_by_the_day_they_were_put_on_and_exposure_as_parts_of_the_label_s():
    day = date(2026, 5, 3)
    seen = [
        Observation(1, 20.0, exposure=0.5, day=day),
        Observation(2, 20.0, exposure=0.5, day=day),
        Observation(1, 90.0, exposure=0.25, day=day),
        Observation(1, 30.0),
    ]
    found = gather(seen, {1: 0, 2: 1}, [0.5, 1.0])
    # the earliest first, what has no day last
    assert np.exp(found.low).tolist() == pytest.approx([90, 20, 30, 20])
    assert found.applied[:2].tolist() == [day.toordinal() - 90, day.toordinal() - 20]
    assert np.isnan(found.applied[2])
    assert np.exp(found.exposure).tolist() == pytest.approx([0.5, 1.0, 2.0, 0.5])


@pytest.mark.parametrize("low", [0.5, 1.0, 40.0])
def test_a_layer_known_to_have_stood_so_long_cannot_have_ended_before(low: float) -> None:
    assert _steps((), low, inf) == [(low, NEVER, 0)]
    assert _steps((), 0.0, inf) == []


@pytest.mark.parametrize("held", range(1, 9))
def test_of_a_layer_seen_holding_often_the_first_judgement_and_the_last_few_are_counted(
    held: int,
) -> None:
    """Against the count of wrong ones laid out for every span between judgements."""
    seen = (*((10.0 * at, False) for at in range(1, held + 1)), (100.0, True))
    spans = [min(held - at, MOST_WRONG) if at <= held else 1 for at in range(held + 2)]
    counted = [
        (age, spans[at], spans[at + 1])
        for at, (age, _) in enumerate(seen)
        if at == 0 or spans[at] != spans[at + 1]
    ]
    assert _steps(seen, 10.0 * held, 100.0) == counted
