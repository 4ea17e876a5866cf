"""Risks and reorder levels, against textbook examples of the reorder point and scipy.

The books assume normal demand, here a need is taken as gamma, which leans to the right: with
these numbers the two differ by up to one in forty.
"""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest
from scipy import stats

from app.calculations.orders.lead_times import lead_time_chances
from app.calculations.orders.need import HORIZON, Needs
from app.calculations.orders.reorder_risk import OrderWaits, any_short, due_after, due_in, risks


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
