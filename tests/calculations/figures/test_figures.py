"""Office figures, against pandas and the standard library's statistics."""

from __future__ import annotations

import statistics

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.figures import figures


@given(st.lists(st.floats(-1e6, 1e6, allow_nan=False), min_size=1, max_size=60))
def test_a_span_is_the_median_with_the_inclusive_tenths(values: list[float]) -> None:
    """Reference: statistics.median and pandas' linear quantiles."""
    seen = figures.span(values)
    assert seen is not None
    assert seen.middle == pytest.approx(statistics.median(values), abs=1e-6)
    assert seen.low == pytest.approx(pd.Series(values).quantile(0.1), abs=1e-6)
    assert seen.high == pytest.approx(pd.Series(values).quantile(0.9), abs=1e-6)
    assert seen.n == len(values)


def test_nothing_has_no_span() -> None:
    assert figures.span([]) is None


@given(st.lists(st.integers(0, 10**9), min_size=1, max_size=40))
def test_running_shares_follow_the_cumulative_sum_and_end_at_all_of_it(parts: list[int]) -> None:
    """Reference: pandas' cumsum."""
    shares = figures.running_shares(parts)
    assert [share.part for share in shares] == parts
    if sum(parts) == 0:
        assert all(share.running == share.share == 0 for share in shares)
        return
    assert [share.share for share in shares] == pytest.approx(
        (pd.Series(parts) / sum(parts) * 100).tolist()
    )
    expected = (pd.Series(parts).cumsum() / sum(parts) * 100).tolist()
    assert [share.running for share in shares] == pytest.approx(expected)
    assert shares[-1].running == 100


def test_a_month_at_half_its_days_is_carried_on_at_its_pace_without_history() -> None:
    guess = figures.month_end(3100_00, 10, 20, [])
    assert guess is not None
    assert guess.likely == 6200_00
    assert guess.low < guess.likely < guess.high


def test_a_month_follows_what_such_months_came_to() -> None:
    past = [(2000, 5000, 21), (3000, 6000, 22), (4000, 10000, 20), (0, 900, 21)]
    guess = figures.month_end(1000, 10, 21, past)
    assert guess is not None
    assert guess.likely == round(1000 * statistics.median([2.5, 2.0, 2.5]))


@pytest.mark.parametrize(("so_far", "done", "whole"), [(0, 5, 20), (100, 0, 20), (100, 21, 20)])
def test_no_guess_without_a_day_or_money(so_far: int, done: int, whole: int) -> None:
    assert figures.month_end(so_far, done, whole, []) is None


@given(
    jobs=st.lists(
        st.tuples(
            st.integers(0, 10**6),  # net of the job
            st.integers(0, 10**5),  # tax on it
            st.booleans(),  # done before the period
            st.booleans(),  # done in the period
            st.lists(st.tuples(st.booleans(), st.integers(-(10**5), 10**6)), max_size=4),
        ),
        max_size=12,
    )
)
def test_earned_and_received_always_reconcile(
    jobs: list[tuple[int, int, bool, bool, list[tuple[bool, int]]]],
) -> None:
    """Whatever comes before or in the period, the slip closes to the cent.

    The identity is bookkeeping's own: closing balance = opening balance + entries.
    """

    def owed_and_held(until_end: bool) -> tuple[int, int]:
        owed = held = 0
        for net, tax, before, within, receipts in jobs:
            came = sum(amount for early, amount in receipts if early or until_end)
            if before or (within and until_end):
                owed += net + tax - came
            else:
                held += came
        return owed, held

    (owed_before, held_before), (owed_after, held_after) = owed_and_held(False), owed_and_held(True)
    slip = figures.Reconciliation(
        earned=sum(net for net, _, before, within, _ in jobs if within and not before),
        tax=sum(tax for _, tax, before, within, _ in jobs if within and not before),
        received=sum(a for *_, receipts in jobs for early, a in receipts if not early),
        owed_change=owed_after - owed_before,
        deposits_change=held_after - held_before,
    )
    assert slip.residue == 0


def test_a_slip_with_a_lost_receipt_does_not_close() -> None:
    assert figures.Reconciliation(1000, 70, 500, 500, 0).residue == 70


def test_drift_and_the_hour_know_when_nothing_is_recorded() -> None:
    assert figures.drift(600, 690) == pytest.approx(0.15)
    assert figures.drift(0, 60) is None
    assert figures.per_hour(9200_00, 640_00, 146 * 60) == pytest.approx((9200 - 640) * 100 / 146)
    assert figures.per_hour(100, 0, 0) is None


def test_the_smallest_sum_has_shares_too() -> None:
    assert [one.share for one in figures.running_shares([0, 1])] == [0, 100]
    assert [one.running for one in figures.running_shares([1, 0])] == [100, 100]


def test_without_history_the_span_is_three_tenths_of_what_is_still_to_come() -> None:
    """1,000 in 10 of 25 days is carried on to 2,500; 450 is 0.3 of the other 1,500."""
    assert figures.month_end(1000, 10, 25, [(1, 2, 20)] * 2) == figures.Guess(2500, 2050, 2950)


def test_three_months_make_a_history_and_two_do_not() -> None:
    past = [(100, 200, 20), (100, 300, 20), (100, 400, 20)]
    assert figures.month_end(1000, 10, 25, past) == figures.Guess(3000, 2200, 3800)
    assert figures.month_end(1000, 10, 25, [*past[:2], (0, 50, 20)]) == figures.Guess(
        2500, 2050, 2950
    )


def test_on_the_last_day_a_month_has_come_to_what_it_came_to() -> None:
    assert figures.month_end(1000, 21, 21, []) == figures.Guess(1000, 1000, 1000)
    assert figures.month_end(1, 1, 1, []) == figures.Guess(1, 1, 1)


def test_one_minute_is_time_and_none_is_not() -> None:
    assert figures.drift(1, 2) == 1
    assert figures.per_hour(500, 200, 1) == 300 * 60
    assert figures.per_hour(500, 200, 0) is None


def test_a_month_that_had_earned_a_cent_is_history_and_one_without_is_none() -> None:
    assert figures.month_end(1000, 10, 25, [(1, 2, 20)] * 3) == figures.Guess(2000, 2000, 2000)
    assert figures.month_end(1000, 10, 25, [(0, 2, 20)] * 3) == figures.Guess(2500, 2050, 2950)
