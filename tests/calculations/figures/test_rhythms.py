"""The rhythm of customers: against scipy's normal, at its edges, and what must hold of anyone."""

from __future__ import annotations

from datetime import date, timedelta
from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from app.calculations.figures.rhythms import QUIET, gaps_of, rhythms

TODAY = date(2026, 8, 14)


def came(*ago: int) -> list[date]:
    """Visits so many days ago."""
    return [TODAY - timedelta(days=days) for days in ago]


def test_once_is_no_rhythm_and_two_visits_of_a_day_are_one() -> None:
    assert rhythms({1: came(90), 2: came(60, 60)}, TODAY) == {}
    assert gaps_of(came(10, 40, 40, 100)) == [60, 30]


def test_visits_after_the_day_are_not_known_on_it() -> None:
    visits = {1: [*came(90, 60, 30), TODAY + timedelta(days=5)]}
    found = rhythms(visits, TODAY)[1]
    assert (found.visits, found.away) == (3, 30)


def test_many_even_gaps_speak_for_themselves() -> None:
    """With forty gaps of 28 to 32 days among yearly customers, the rhythm is their own."""
    rng = np.random.default_rng(1)
    ago = np.cumsum(rng.integers(28, 33, 41))
    others = {at: came(30 + at, 395 + at, 760 + at) for at in range(2, 12)}
    found = rhythms({1: came(*(int(one) - 10 for one in ago)), **others}, TODAY)
    assert found[1].usual == pytest.approx(30, abs=1)
    assert found[1].low > 22
    assert found[1].high < 42


def test_few_visits_are_drawn_toward_the_others_and_are_called_few() -> None:
    others = {at: came(20 + at, 50 + at, 80 + at, 110 + at, 140 + at) for at in range(2, 12)}
    found = rhythms({1: came(10, 210), **others}, TODAY)
    assert 30 < found[1].usual < 200
    assert found[1].few
    assert not found[2].few
    spans = [log(found[who].high / found[who].low) for who in (1, 2)]
    assert spans[0] > spans[1], "two visits know less than five"


def test_the_chance_is_that_of_a_normal_logarithm() -> None:
    """From the span that it tells, by scipy: four gaps in five lie within it."""
    visits = {who: came(*range(5 * who, 400, 17 * who)) for who in range(1, 6)}
    for one in rhythms(visits, TODAY).values():
        wide = log(one.high / one.low) / (2 * norm.ppf(0.9))
        assert one.chance == pytest.approx(norm.sf(log(one.away / one.usual) / wide), rel=1e-9)
        assert one.quiet == (one.away > one.high)


@given(st.lists(st.lists(st.integers(0, 3000), min_size=1, max_size=8), min_size=1, max_size=8))
def test_staying_away_longer_is_never_taken_for_a_better_sign(all_ago: list[list[int]]) -> None:
    visits = dict(enumerate(came(*ago) for ago in all_ago))
    then, later = rhythms(visits, TODAY), rhythms(visits, TODAY + timedelta(days=30))
    for who, one in then.items():
        assert later[who].chance <= one.chance
        assert 0 < one.low < one.usual < one.high
        assert one.quiet == (one.chance < QUIET)
