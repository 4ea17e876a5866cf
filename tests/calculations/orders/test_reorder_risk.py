"""Risks and reorder levels, against textbook examples of the reorder point and scipy.

The books assume normal demand, here a need is taken as gamma, which leans to the right: with
these numbers the two differ by up to one in forty.
"""

from __future__ import annotations

from dataclasses import fields
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from app.calculations.orders.lead_times import lead_time_chances
from app.calculations.orders.need import HORIZON, Needs
from app.calculations.orders.reorder_risk import (
    OrderWaits,
    any_short,
    due_after,
    due_in,
    floor_in,
    risks,
    rows_of,
)


def even(mean: float, deviation: float) -> Needs:
    """One supply with independent days of this mean and standard deviation."""
    days = np.arange(1, HORIZON + 1, dtype=float)[None, :]
    nothing = np.zeros_like(days)
    return Needs(mean * days, deviation**2 * days, np.ones_like(days), nothing, nothing, days[:, 0])


def columns(needs: Needs) -> tuple[np.ndarray, ...]:
    return tuple(getattr(needs, field.name) for field in fields(needs))


def level(needs: Needs, lead: np.ndarray, allowed: float) -> float:
    waits = OrderWaits.of([lead], [1])
    return float(risks(needs, np.array([1e9]), waits, allowed).level[0])


def exactly(days: int) -> np.ndarray:
    return np.eye(days)[-1]


@pytest.mark.parametrize(
    ("mean", "deviation", "days", "allowed", "published"),
    [
        # Taylor, Introduction to Management Science, ch. 16, carpet store
        (30, 5, 10, 0.05, 326.1),
        # Render, Stair and Hanna, Quantitative Analysis for Management, problem 6-46
        (12, 4, 5, 0.01, 81),
    ],
)
def test_the_level_is_the_reorder_point_of_the_textbooks(
    mean: float, deviation: float, days: int, allowed: float, published: float
) -> None:
    found = level(even(mean, deviation), exactly(days), allowed)
    assert found == pytest.approx(published, rel=0.025)
    scale = deviation**2 / mean
    exact = stats.gamma.isf(allowed, days * mean / scale, scale=scale)
    assert found == pytest.approx(exact, rel=0.003)


def test_the_level_with_uncertain_lead_time_is_that_of_the_textbook() -> None:
    """Heizer and Render, Operations Management, ch. 12: 150 and 16 a day, 5 and 1 days, 95 %.

    The book's 1,004 takes the mixture as normal; lead times are whole days here.
    """
    days = np.arange(1, 12)
    chances = np.exp(-0.5 * (days - 5.0) ** 2)
    found = level(even(150, 16), chances / chances.sum(), 0.05)
    assert found == pytest.approx(1004, rel=0.03)


def test_a_certain_need_makes_a_step() -> None:
    assert level(even(10, 0), exactly(5), 0.02) == pytest.approx(50, rel=0.01)


def test_the_chance_at_the_level_is_what_is_allowed() -> None:
    needs = even(20, 15)
    lead = np.full(9, 1 / 9)
    waits = OrderWaits.of([lead], [2])
    at = risks(needs, np.array([0.0]), waits, 0.02).level
    assert risks(needs, at, waits, 0.02).risk[0] == pytest.approx(0.02, rel=0.05)


def test_more_stock_and_shorter_leads_are_less_risky() -> None:
    needs = even(20, 15)
    short, long = (OrderWaits.of([exactly(d)], [1]) for d in (3, 8))
    some, more = (np.array([x]) for x in (100.0, 160.0))
    assert risks(needs, some, long, 0.02).risk > risks(needs, more, long, 0.02).risk
    assert risks(needs, some, long, 0.02).risk > risks(needs, some, short, 0.02).risk


def test_it_is_due_when_stock_less_safety_covers_the_wait_no_more() -> None:
    needs = even(10, 0)
    five = np.array([5])
    # 200 on hand, 50 of it safety: 15 days, of which 5 are the wait
    assert due_in(needs, np.array([200.0]), np.array([50.0]), five).tolist() == [10]
    assert due_after(needs, 0, np.array([200.0, 230.0, 9_999.0]), 50.0, 5) == [10, 13]
    assert np.isnan(due_in(needs, np.array([9_999.0]), np.array([50.0]), five)).all()


def test_what_is_certain_is_no_more_than_certain() -> None:
    """The chances of a promised time add up to 1.0000000000000002 here."""
    waits = OrderWaits.of([lead_time_chances((), None)], [1])
    assert risks(even(20, 15), np.array([-1.0]), waits, 0.02).risk.tolist() == [1.0]


def test_a_late_parcel_is_late_for_all_that_is_in_it_but_is_one() -> None:
    """Ten supplies that only a parcel of sixty days would leave short, one parcel in a hundred."""
    ten = Needs(*(np.repeat(column, 10, axis=0) for column in columns(even(10, 3))))
    lead = np.zeros(60)
    lead[[4, 59]] = 0.99, 0.01
    waits = OrderWaits.of([lead] * 10, [1] * 10)
    found = risks(ten, np.full(10, 150.0), waits, 0.02)
    assert found.risk.sum() == pytest.approx(0.1, rel=0.01)
    assert any_short(found, waits, range(10)) == pytest.approx(0.01, rel=0.01)


def test_small_chances_of_several_supplies_add_up() -> None:
    two = Needs(*(np.repeat(column, 2, axis=0) for column in columns(even(10, 8))))
    waits = OrderWaits.of([exactly(6)] * 2, [1] * 2)
    found = risks(two, np.full(2, 100.0), waits, 0.02)
    assert found.risk[0] < 0.05
    assert any_short(found, waits, [0, 1]) == pytest.approx(2 * found.risk[0])
    assert any_short(found, waits, []) == 0


curves = st.lists(st.floats(0.0, 40.0), min_size=HORIZON, max_size=HORIZON)


def rising(steps: list[float]) -> Needs:
    """One supply whose mean need rises by these steps, surely needed from the first of them on."""
    mean = np.cumsum(steps)[None, :]
    nothing = np.zeros_like(mean)
    return Needs(mean, mean, (mean > 0).astype(float), nothing, nothing, mean[:, 0])


def days_by_looking(needs: Needs, room: float, span: int) -> float:
    """The first day by whose span the mean need comes to the room, each day looked at."""
    for day in range(1, HORIZON + 1):
        if needs.mean[0, day - 1] >= room and needs.some[0, day - 1] >= 0.5:
            return max(day - span, 0)
    return np.nan


@settings(max_examples=60)
@given(curves, st.integers(0, 20_000), st.integers(-50, 200), st.integers(1, 30))
def test_the_day_on_which_it_is_due_is_found_as_by_looking_at_each(
    steps: list[float], position: int, safety: int, span: int
) -> None:
    needs = rising(steps)
    expected = days_by_looking(needs, position - safety, span)
    (found,) = due_in(needs, np.array([float(position)]), np.array([float(safety)]),
                      np.array([span]))  # fmt: skip
    assert found == expected or (np.isnan(found) and np.isnan(expected))
    after = due_after(needs, 0, np.array([float(position)]), float(safety), span)
    assert after == ([] if np.isnan(expected) else [int(expected)])


@settings(max_examples=60)
@given(curves, st.integers(0, 9_000), st.integers(0, 9_000))
def test_the_floor_is_reached_on_the_first_day_that_leaves_less(
    steps: list[float], position: int, floor: int
) -> None:
    needs = rising(steps)
    found = floor_in(needs, np.array([float(position)]), np.array([float(floor)]))[0]
    if floor == 0:
        assert np.isnan(found)
    elif position < floor:
        assert found == 0
    else:
        # in whole fractions: 1 less 1e-308 is less than 1, which a float cannot say
        left = [position - Fraction(mean) for mean in needs.mean[0].tolist()]
        below = [day for day, rest in enumerate(left, start=1) if rest < floor]
        assert np.isnan(found) if not below else found == below[0]


def test_a_floor_makes_a_pack_due_sooner_and_never_later() -> None:
    needs = rising([10.0] * HORIZON)
    positions = np.array([50.0, 100.0, 200.0, 300.0])
    plain = due_after(needs, 0, positions, 0.0, 5)
    held = due_after(needs, 0, positions, 0.0, 5, floor=100.0)
    assert plain == [0, 5, 15, 25]
    assert held == [0, 1, 11, 21], "of a hundred, one day's need takes it below"


def test_what_is_below_its_floor_is_due_now() -> None:
    assert due_after(even(10, 0), 0, np.array([499.0, 500.0, 509.0]), 0.0, 1, 500.0) == [0, 1, 1]


def test_what_may_not_be_needed_at_all_is_not_due_before_a_need_is_as_likely_as_not() -> None:
    mean = np.linspace(1.0, 365.0, HORIZON)[None, :]
    some = np.linspace(0.0, 1.0, HORIZON)[None, :]
    needs = Needs(mean, mean, some, mean, mean, mean[:, 0])
    likely = int(np.flatnonzero(some[0] >= 0.5)[0]) + 1
    assert due_in(needs, np.zeros(1), np.zeros(1), np.array([3])).tolist() == [likely - 3]
    assert due_after(needs, 0, np.zeros(1), 0.0, 3) == [likely - 3]


def test_a_wait_is_the_days_to_the_next_chance_and_the_delivery_less_one() -> None:
    """What comes on a day can be used on it: gap and lead days less one have to be lasted."""
    lead = np.array([0.0, 0.25, 0.0, 0.75])
    waits = OrderWaits.of([lead, exactly(1)], [3, 1])
    used = waits.chances[0] > 0
    assert waits.days[0, used].tolist() == [3 + 2 - 1, 3 + 4 - 1]
    assert waits.chances[0, used].tolist() == [0.25, 0.75]
    assert waits.span.tolist() == [round(0.25 * 4 + 0.75 * 6), 1]
    far = OrderWaits.of([exactly(20)], [HORIZON])
    assert far.days.max() == HORIZON


def test_each_wait_has_its_own_chance_of_running_short() -> None:
    needs = even(10, 8)
    lead = np.array([0.0, 0.5, 0.0, 0.5])
    waits = OrderWaits.of([lead], [1])
    found = risks(needs, np.array([35.0]), waits, 0.02)
    expected = [stats.gamma.sf(35.0, days * 100 / 64, scale=6.4) for days in waits.days[0].tolist()]
    assert found.by_wait[0] == pytest.approx(expected, abs=0.012)
    assert found.risk[0] == pytest.approx(np.mean(found.by_wait[0]))
    assert found.safety[0] == pytest.approx(found.level[0] - 10 * waits.span[0])


def test_chances_that_add_up_to_more_than_certain_are_certain() -> None:
    many = Needs(*(np.repeat(column, 3, axis=0) for column in columns(even(10, 8))))
    waits = OrderWaits.of([exactly(6)] * 3, [1] * 3)
    found = risks(many, np.full(3, 40.0), waits, 0.02)
    assert found.risk.sum() > 1
    assert any_short(found, waits, [0, 1, 2]) == 1
    assert any_short(found, waits, [1]) == pytest.approx(found.risk[1])


def test_some_of_the_needs_are_those_of_their_rows() -> None:
    two = Needs(*(np.concatenate([a, b]) for a, b in
                  zip(columns(even(10, 3)), columns(even(7, 2)), strict=True)))  # fmt: skip
    assert rows_of(two, [1]).mean[0, :3].tolist() == [7, 14, 21]
    assert rows_of(two, [1, 0]).mean[:, 0].tolist() == [7, 10]


def test_however_little_is_allowed_the_level_stays_within_six_deviations() -> None:
    found = level(even(10, 8), exactly(6), 1e-14)
    assert found <= 60 + 6 * 8 * np.sqrt(6) + 1e-6
    assert level(even(10, 8), exactly(6), 0.9999) >= 0


def test_what_stands_at_its_floor_and_is_never_needed_stays_there() -> None:
    assert np.isnan(floor_in(even(0, 0), np.array([500.0]), np.array([500.0]))[0])
    assert floor_in(even(0, 0), np.array([499.5]), np.array([500.0]))[0] == 0


@pytest.mark.parametrize("allowed", [0.001, 0.02, 0.2])
@pytest.mark.parametrize("rate", [20.0, 77.0])
def test_between_the_last_two_levels_tried_the_chance_falls_on_a_logarithmic_line(
    rate: float, allowed: float
) -> None:
    """Without it the level would be off by up to a 256th of all that may be needed."""
    needs, waits = even(rate, 15), OrderWaits.of([np.full(9, 1 / 9)], [2])
    at = risks(needs, np.array([0.0]), waits, allowed).level
    assert risks(needs, at, waits, allowed).risk[0] == pytest.approx(allowed, rel=0.002)
