"""The chance that a promise is kept, against the normal distribution and plain counting."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
from scipy import stats

from app.calculations.bay.planning import Shop, Wanted, plan
from app.calculations.bay.promises import (
    Band,
    Days,
    earliest_that_keeps,
    kept,
    ready_times,
)
from app.calculations.bay.runs import Kind, Piece

DAY, OPENS = 24 * 60, 8 * 60
ALWAYS = ((0, 100 * DAY),)
WINDOWS = tuple((day * DAY + OPENS, day * DAY + OPENS + 480) for day in range(60))


def test_one_job_is_ready_as_its_band_says():
    # A lognormal with these shares, by scipy.
    found = plan([Wanted(job=1, pieces=(Piece(Kind.HANDS, 300),))], Shop(ALWAYS))
    band = Band(240, 300, 375)  # the same way up as down
    times = ready_times(found, {1: band}, ALWAYS, draws=2000)[1]
    sigma = np.log(375 / 300) / NormalDist().inv_cdf(0.8)
    for promised in (200, 240, 300, 400, 500):
        truth = stats.lognorm.cdf(promised, s=sigma, scale=300)
        assert kept(times, promised) == pytest.approx(truth, abs=0.002)


def test_who_waits_for_another_waits_for_both_bands():
    jobs = [Wanted(job=n, pieces=(Piece(Kind.HANDS, 300),), promised=n) for n in (1, 2)]
    found = plan(jobs, Shop(ALWAYS))
    bands = {1: Band(250, 300, 400), 2: Band(200, 300, 330)}
    times = ready_times(found, bands, ALWAYS, draws=4000)
    rng = np.random.default_rng(1)
    one, two = (bands[n].factors(rng.random(40_000)) * 300 for n in (1, 2))
    # The second never comes before its time, so what the first was early is lost.
    truth = np.maximum(one, 300) + two
    for promised in (550, 650, 800):
        assert kept(times[2], promised) == pytest.approx(np.mean(truth <= promised), abs=0.02)


def test_a_late_evening_is_a_morning_and_a_cure_runs_through_the_night():
    job = Wanted(job=1, pieces=(Piece(Kind.HANDS, 440), Piece(Kind.CURES, 720)), not_before=OPENS)
    times = ready_times(plan([job], Shop(WINDOWS)), {1: Band(400, 440, 520)}, WINDOWS)[1]
    assert set(times % DAY) == {OPENS}  # whenever it ends, it is fetched in the morning
    assert np.all((times == DAY + OPENS) | (times == 2 * DAY + OPENS))


def test_late_vehicles_and_walk_ins_cost_what_they_take():
    found = plan([Wanted(job=1, pieces=(Piece(Kind.HANDS, 300),))], Shop(ALWAYS))
    times = ready_times(found, {}, ALWAYS, days=Days((30,), 0.2, 60), draws=4000)[1]
    assert times.min() == 330
    # Poisson with a mean of one in five hours.
    for count in range(3):
        truth = stats.poisson.cdf(count, 1.0)
        assert kept(times, 330 + 60 * count) == pytest.approx(truth, abs=0.03)


def test_a_new_job_goes_where_it_pushes_no_promise():
    pieces = (Piece(Kind.HANDS, 420),)
    shop = Shop(WINDOWS)
    first = Wanted(job=1, pieces=pieces, not_before=DAY + OPENS, latest=DAY + OPENS)
    standing = plan([first], shop)
    promised = {1: DAY + OPENS + 480}
    bands = {1: Band(400, 420, 440), 2: Band(300, 420, 800)}
    before = kept(ready_times(standing, bands, WINDOWS)[1], promised[1])
    new = Wanted(job=2, pieces=pieces, not_before=OPENS)
    plain = earliest_that_keeps(new, standing, shop, bands, {})
    careful = earliest_that_keeps(new, standing, shop, bands, promised)
    assert plain is not None
    assert plain[0].begin == OPENS
    assert careful is not None
    assert careful[0].begin > DAY + OPENS
    assert before > 0.9
