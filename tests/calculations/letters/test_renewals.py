"""Due spans: counted from the last judgement, in whole days."""

from __future__ import annotations

from datetime import date, timedelta
from math import log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.calculations.layers.layers import Verdict
from app.calculations.layers.lives import fit
from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.calculations.layers.sightings import Label, Observation
from app.calculations.letters.renewals import WearingLayer, due_spans
from app.errors import Mendable
from tests.steps import steps

TODAY = date(2026, 8, 14)
WAX = Label(1, "wax", 50.0, 100.0)
LABELS_ALONE = fit([], [WAX])
# Layers that end between 95 and 105 days leave next to no doubt about the life.
SURE = fit([Observation(1, 95.0 + n % 5, 100.0 + n % 5) for n in range(400)], [WAX])


def candidate(age, seen=None, verdict=None, exposure=1.0, **more):
    applied = TODAY - timedelta(days=age)
    return WearingLayer(
        household="Ferrowe",
        customer=1,
        vehicle=1,
        layer=1,
        supply=1,
        protection_class=ProtectionClass.CARNAUBA_WAX,
        group=SurfaceGroup.UPPER_HORIZONTALS,
        applied=applied,
        judged=None if seen is None else applied + timedelta(days=seen),
        verdict=verdict,
        exposure=exposure,
        **more,
    )


def due(*args, lives=SURE, **more):
    (found,) = due_spans([candidate(*args, **more)], lives, TODAY)
    return found


def test_the_span_ends_where_half_such_layers_are_worn_out():
    found = due(10)
    assert (found.due_to - found.candidate.applied).days == pytest.approx(
        float(SURE.median(1)), abs=0.6
    )


def test_the_chance_on_the_two_ends_is_80_and_50_percent():
    found = due(10, lives=LABELS_ALONE)
    for day, level in ((found.due_from, 0.8), (found.due_to, 0.5)):
        age = (day - found.candidate.applied).days
        assert float(LABELS_ALONE.survival(1, age)) == pytest.approx(level, abs=0.01)


def test_the_letter_day_lies_in_the_span():
    found = due(10, lives=LABELS_ALONE)
    assert found.due_from < found.write_on <= found.due_to


def test_a_layer_seen_holding_is_due_later_than_one_never_seen():
    never, seen = due(90, lives=LABELS_ALONE), due(90, 88, Verdict.HOLDING, lives=LABELS_ALONE)
    assert seen.due_from > never.due_from
    assert seen.due_to > never.due_to
    assert seen.still > never.still


def test_survival_counts_from_the_last_judgement_and_not_from_application():
    # Weibull, toy: given S(seen), the chance at t is S(t) / S(seen).
    summary = SURE.summary(1)
    found = due(100, 98, Verdict.HOLDING)
    hazard = [log(2) * (age / summary.median_days) ** summary.shape for age in (98, 100)]
    assert found.still == pytest.approx(np.exp(hazard[0] - hazard[1]), abs=0.03)


def test_a_layer_seen_fading_is_due_sooner_than_one_seen_holding():
    assert due(60, 55, Verdict.FADING).due_to < due(60, 55, Verdict.HOLDING).due_to


def test_a_layer_seen_gone_is_due_from_that_day():
    found = due(60, 55, Verdict.GONE)
    seen = TODAY - timedelta(days=5)
    assert (found.due_from, found.write_on, found.due_to, found.still) == (seen, seen, seen, 0.0)


def test_a_vehicle_on_the_street_is_due_in_its_share_of_the_time():
    garaged, street = due(10), due(10, exposure=0.5)
    days = [(one.due_to - one.candidate.applied).days for one in (street, garaged)]
    assert days[0] == pytest.approx(days[1] / 2, abs=1)


def test_in_span_and_overdue_tell_the_two_ends_apart():
    found = due(10)
    assert not found.in_span(found.due_from - timedelta(days=1))
    assert found.in_span(found.due_from)


def test_a_life_beyond_the_calendar_ends_with_it():
    lives = fit([], [Label(1, "stone", 4e6, 5e6)])
    assert due(10, lives=lives).due_to.year < 2200


def test_a_layer_judged_before_it_was_put_on_is_refused_in_a_sentence():
    with pytest.raises(Mendable, match="judged before it was put on"):
        due(10, -1, Verdict.HOLDING, vehicle_title="blue wagon")


def test_the_one_that_was_judged_too_early_is_named_among_others():
    fine = [candidate(10, 5, Verdict.HOLDING), candidate(300, 2, Verdict.HOLDING)]
    wrong = candidate(100, -1, Verdict.HOLDING, vehicle_title="blue wagon")
    with pytest.raises(Mendable, match="blue wagon was judged"):
        due_spans([*fine, wrong], SURE, TODAY)


def test_no_candidates_make_no_spans():
    assert due_spans([], SURE, TODAY) == []


@settings(max_examples=60, deadline=None)
@given(
    age=st.integers(0, 800),
    seen=st.one_of(st.none(), st.integers(0, 800)),
    verdict=st.sampled_from(Verdict),
    exposure=st.floats(0.35, 1.1),
)
def test_a_span_starts_after_what_was_seen_and_runs_forward(age, seen, verdict, exposure):
    if seen is not None and seen > age:
        seen = age
    found = due(age, seen, verdict if seen is not None else None, exposure, lives=LABELS_ALONE)
    assert found.due_from <= found.write_on <= found.due_to
    assert found.due_from >= (found.candidate.judged or found.candidate.applied)
    assert 0.0 <= found.still <= 1.0


def test_ten_times_the_layers_are_dated_in_ten_times_the_steps_at_the_most():
    many = [
        candidate(number % 300, number % 100 if number % 3 else None)
        for number in range(8000)
        if number % 300 >= number % 100
    ]
    many = (many * 2)[:8000]
    assert len(due_spans(many, LABELS_ALONE, TODAY)) == 8000
    taken = [
        steps(lambda some=some: due_spans(some, LABELS_ALONE, TODAY)) for some in (many[:800], many)
    ]
    assert taken[1] <= 10 * taken[0]
