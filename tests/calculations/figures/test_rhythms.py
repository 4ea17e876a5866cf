"""The rhythm of customers: against scipy's normal, at its edges, and what must hold of anyone."""

from __future__ import annotations

from datetime import date, timedelta
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from app.calculations.figures.rhythms import BETWEEN, QUIET, Rhythm, gaps_of, rhythms

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


def _variances(one: Rhythm, own: float, middle: float) -> tuple[float, float]:
    """(within, between) from what is said of somebody with a single gap of logarithm `own`.

    The middle is drawn from theirs by b / (b + w), and a gap is wide by w + b w / (b + w) (best
    linear unbiased prediction: Robinson, Statistical Science 6, 1991, 15-32).
    """
    heard = (log(one.usual) - middle) / (own - middle)
    wide = (log(one.high / one.usual) / norm.ppf(0.9)) ** 2
    within = wide / (1 + heard)
    return within, heard * within / (1 - heard)


def test_how_far_customers_differ_is_told_from_how_far_their_own_gaps_do() -> None:
    """Simulated truth, logarithms 0.3 apart within and 0.6 between; and for the same visits the
    moments of one-way analysis of variance (Searle, Casella and McCulloch 1992, section 3.6)."""
    rng = np.random.default_rng(12)
    centres = rng.normal(log(150.0), 0.6, 400)
    gaps = [np.maximum(np.exp(rng.normal(one, 0.3, 8)).round(), 1).astype(int) for one in centres]
    visits = {who: came(*[5, *(5 + np.cumsum(own)).tolist()]) for who, own in enumerate(gaps)}
    visits[999] = came(5, 905)
    found = rhythms(visits, TODAY)[999]
    logs = np.log(np.array(gaps))
    within, between = _variances(found, log(900), float(np.median(logs.mean(axis=1))))
    by_moments = logs.var(axis=1, ddof=1).mean()
    assert within == pytest.approx(by_moments, rel=0.02)
    assert within == pytest.approx(0.3**2, rel=0.1)
    assert between == pytest.approx(logs.mean(axis=1).var() - by_moments / 8, rel=0.03)
    assert between == pytest.approx(0.6**2, rel=0.15)


def test_where_all_come_alike_customers_are_still_taken_to_differ_by_half_of_the_usual() -> None:
    visits = {who: came(5, 65, 125, 185) for who in range(300)} | {99: came(5, 405)}
    found = rhythms(visits, TODAY)[99]
    _, between = _variances(found, log(400), log(60))
    assert between == pytest.approx((BETWEEN / 2) ** 2, rel=1e-6)


def test_on_the_day_of_a_visit_nobody_has_stayed_away() -> None:
    found = rhythms({1: came(0, 30, 60)}, TODAY)[1]
    assert (found.away, found.chance, found.quiet) == (0, 1.0, False)
    tomorrow = rhythms({1: came(0, 30, 60)}, TODAY + timedelta(days=1))[1]
    assert 0.99 < tomorrow.chance < 1


def test_of_two_customers_the_middle_is_that_of_both() -> None:
    """Two gaps alike but for 20 and 80: exp of the mean logarithm is 40, and each is drawn to it
    as far as the other."""
    found = rhythms({1: came(3, 23), 2: came(3, 83)}, TODAY)
    assert found[1].usual * found[2].usual == pytest.approx(1600)
    assert 20 < found[1].usual < exp((log(20) + log(80)) / 2) < found[2].usual < 80


def test_of_a_single_customer_the_spread_is_the_usual_one_with_the_doubt_of_the_middle() -> None:
    """By hand: within 0.45^2, between a fourth of 0.5^2, of which own visits speak for 0.236."""
    (found,) = rhythms({1: came(5, 65)}, TODAY).values()
    heard = 0.0625 / (0.0625 + 0.2025)
    wide = (log(found.high / found.low) / (2 * norm.ppf(0.9))) ** 2
    assert wide == pytest.approx(0.2025 + 0.0625 * (1 - heard))
    assert found.usual == pytest.approx(60)


def test_few_customers_lean_on_the_usual_as_on_four_gaps_and_on_one_other_customer() -> None:
    """By hand from 10, 90 and three gaps about 30: their own squares join four of 0.45^2, and the
    three middles one of 0.5^2, less what chance makes of gaps so few."""
    found = rhythms({1: came(7, 17), 2: came(7, 97), 3: came(7, 22, 52, 112)}, TODAY)
    own = np.log([15, 30, 60])
    squares = float(((own - own.mean()) ** 2).sum())
    within = (4 * 0.45**2 + squares) / (4 + 2)
    means = np.log([10, 90, 30])
    between = (((means - log(30)) ** 2).sum() + 0.5**2) / 3 - within * (1 + 1 + 1 / 3) / 3
    for who, gap in ((1, 10), (2, 90)):
        assert _variances(found[who], log(gap), log(30)) == pytest.approx((within, between))
    spread = (4 * within + squares) / (4 + 3 - 1)
    heard = between / (between + spread / 3)
    wide = (log(found[3].high / found[3].usual) / norm.ppf(0.9)) ** 2
    assert wide == pytest.approx(spread + between * (1 - heard))
