"""How long the shelf lasts: by the normal rule of thumb, and by looking at every single day."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from app.calculations.numbers.chances import need_survival
from app.calculations.orders.cover import _DAYS, _first_day, run_outs
from app.calculations.orders.need import HORIZON, Needs


def even(mean: list[float], deviation: float) -> Needs:
    """Supplies with independent days of these means."""
    days = np.arange(1, HORIZON + 1, dtype=float)[None, :]
    rate = np.array(mean)[:, None]
    nothing = np.zeros((len(mean), HORIZON))
    some = np.minimum(rate * days, 1.0)
    return Needs(rate * days, deviation**2 * days, some, nothing, nothing, rate[:, 0])


def test_ten_a_day_of_two_hundred_last_twenty_days_or_so() -> None:
    early, half, late = run_outs(even([10.0], 12.0), np.array([200.0]))
    # standard deviation of twenty days 12 sqrt(20) = 54: 1.28 of it is about seven days
    assert 19 <= half[0] <= 22
    assert 12 <= early[0] <= 16
    assert 25 <= late[0] <= 31


def test_what_lasts_beyond_a_year_has_no_day() -> None:
    ends = run_outs(even([10.0, 0.0], 3.0), np.array([99_999.0, 10.0]))
    assert all(np.isnan(end).all() for end in ends)


def test_an_empty_shelf_has_run_out_today() -> None:
    ends = run_outs(even([10.0, 0.0], 3.0), np.array([0.0, 0.0]))
    assert [end.tolist() for end in ends] == [[0, 0]] * 3


def test_more_lasts_longer_far_ahead_too() -> None:
    on_hand = np.arange(100.0, 3600.0, 50.0)
    needs = even([10.0] * on_hand.size, 12.0)
    for end in run_outs(needs, on_hand):
        known = end[~np.isnan(end)]
        assert (np.diff(known) >= 0).all()
    _, half, _ = run_outs(needs, on_hand)
    known = ~np.isnan(half)
    assert np.abs(half[known] - on_hand[known] / 10).max() <= 8  # a fortieth of a year


def first_day(needs: Needs, on_hand: float, share: float) -> int:
    """The first day on which so large a share of shelves has run out: every day is looked at."""
    for day in range(1, HORIZON + 1):
        row = (needs.mean[0, day - 1], needs.variance[0, day - 1], needs.some[0, day - 1])
        (chance,) = need_survival(np.array([on_hand]), *(np.array([one]) for one in row))
        if chance >= share:
            return day
    return 0


@given(st.floats(0.5, 20.0), st.floats(1.0, 20.0), st.floats(1.0, 3000.0))
@settings(max_examples=40)
def test_in_the_first_eight_weeks_no_day_is_skipped(
    rate: float, deviation: float, on_hand: float
) -> None:
    needs = even([rate], deviation)
    for found, share in zip(run_outs(needs, np.array([on_hand])), (0.1, 0.5, 0.9), strict=True):
        day = first_day(needs, on_hand, share)
        if 0 < day <= 56:
            assert found[0] == day
        elif day:
            assert abs(found[0] - day) <= 0.1 * day, "between days wider apart"
        else:
            assert np.isnan(found[0])


def test_a_drop_that_is_left_is_not_an_empty_shelf() -> None:
    needs = even([1.0], 0.0)
    assert [end.tolist() for end in run_outs(needs, np.array([-3.0]))] == [[0], [0], [0]]
    assert all(end[0] >= 1 for end in run_outs(needs, np.array([0.5])))


@given(
    st.lists(st.integers(0, 10), min_size=_DAYS.size, max_size=_DAYS.size),
    st.sampled_from([0.1, 0.5, 0.9]),
)
def test_the_day_of_a_share_is_the_first_on_the_line_between_the_days_looked_at(
    tenths: list[int], share: float
) -> None:
    """By numpy's interpolation, day by day; a share that is met exactly is met."""
    gone = np.maximum.accumulate(np.array(tenths) / 10)
    line = np.interp(np.arange(1, HORIZON + 1), _DAYS, gone)
    reached = np.flatnonzero(line >= share - 1e-9)
    found = _first_day(gone[None, :], share)[0]
    assert np.isnan(found) if not reached.size else found == reached[0] + 1
