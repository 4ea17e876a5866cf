"""Ordering formulas against textbook examples.

Textbooks round z (1.65 for 95 %), so figures printed by them are met within half a unit. Where the
printed answer was not seen, the mark says "value from memory, recomputed".
"""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from tests.calculations.orders.ordering_formulas import (
    economic_quantity,
    economic_quantity_with_breaks,
    newsvendor,
    order_up_to,
    reorder_point,
    stockout_risk,
)

POSITIVE = st.floats(0.01, 1e6)


@pytest.mark.parametrize(
    ("demand", "order_cost", "holding", "quantity", "cost"),
    [
        # Heizer & Render, "Operations Management", ch. 12, example 3 and its exercise.
        (1000, 10, 0.50, 200, 100),
        (1200, 10, 0.50, 219.089, None),
        # Snyder & Shen, "Fundamentals of Supply Chain Theory", 2nd ed., example 3.1.
        (1300, 8, 0.225, 304.0467800264368, 68.41052550594829),
        # Nahmias, "Production and Operations Analysis", example 4.1; value from memory, recomputed.
        (60 * 52, 12, 0.25 * 0.02, 3869.8837, None),
        # Anderson, Sweeney & Williams, "Introduction to Management Science", ch. 14, problem 9.
        (5000, 80, 0.25 * 20, 400, None),
    ],
)
def test_the_economic_quantity_is_the_textbooks(
    demand: float, order_cost: float, holding: float, quantity: float, cost: float | None
) -> None:
    result = economic_quantity(demand, order_cost, holding)
    assert result.quantity == pytest.approx(quantity, rel=1e-6)
    if cost is not None:
        assert result.cost == pytest.approx(cost)


def test_price_breaks_are_worth_a_larger_order() -> None:
    """Snyder & Shen, example 3.6: 800 at the lowest price, 978.60 a year."""
    result = economic_quantity_with_breaks(1300, 8, 0.3, [(0, 0.75), (400, 0.72), (800, 0.68)])
    assert result.quantity == 800
    assert result.cost == pytest.approx(978.60, abs=0.005)


@given(
    st.floats(1, 1e5),
    st.floats(0.1, 1e3),
    st.floats(0.01, 2),
    st.lists(st.tuples(st.integers(1, 10**4), st.floats(0.5, 0.99)), max_size=4),
)
def test_no_quantity_on_a_grid_is_cheaper_than_the_chosen_one(
    demand: float, order_cost: float, rate: float, steps: list[tuple[int, float]]
) -> None:
    """Reference: every quantity of a fine grid and every break, each at the price it really has."""
    breaks = [(0.0, 10.0)]
    for step, fall in steps:
        breaks.append((breaks[-1][0] + step, breaks[-1][1] * fall))
    best = economic_quantity_with_breaks(demand, order_cost, rate, breaks)

    def cost(quantity: float) -> float:
        price = next(price for least, price in reversed(breaks) if quantity >= least)
        return demand * price + order_cost * demand / quantity + rate * price * quantity / 2

    assert best.cost == pytest.approx(cost(best.quantity))
    grid = [10 ** (k / 20) for k in range(-40, 140)] + [least for least, _ in breaks[1:]]
    assert min(map(cost, grid)) >= best.cost * (1 - 1e-9)


@given(POSITIVE, POSITIVE, st.floats(0.01, 2), POSITIVE)
def test_one_price_is_the_plain_quantity_with_the_goods(
    demand: float, order_cost: float, rate: float, price: float
) -> None:
    plain = economic_quantity(demand, order_cost, rate * price)
    broken = economic_quantity_with_breaks(demand, order_cost, rate, [(0, price)])
    assert broken.quantity == pytest.approx(plain.quantity)
    assert broken.cost == pytest.approx(plain.cost + demand * price)


@given(POSITIVE, POSITIVE, POSITIVE, st.floats(0.1, 10))
def test_no_other_quantity_costs_less(
    demand: float, order_cost: float, holding: float, factor: float
) -> None:
    best = economic_quantity(demand, order_cost, holding)
    other = best.quantity * factor
    assert order_cost * demand / other + holding * other / 2 >= best.cost * (1 - 1e-9)


@pytest.mark.parametrize(
    ("daily", "daily_sd", "lead", "lead_sd", "service", "safety", "level", "within"),
    [
        # Render, Stair & Hanna, "Quantitative Analysis for Management", problem 6-46.
        (12, 4, 5, 0, 0.99, 20.80, 80.80, 0.02),
        # Same book, varying lead time; answer recomputed only.
        (5, 0, 3, 2, 0.95, 16.45, 31.45, 0.01),
        # Taylor, "Introduction to Management Science", ch. 16, z 1.65; value from memory.
        (30, 5, 10, 0, 0.95, 26.1, 326.1, 0.5),
        # Heizer & Render, reorder point with sd 10 in all, z 1.65; value from memory, recomputed.
        (350, 10, 1, 0, 0.95, 16.5, 366.5, 0.5),
        # Heizer & Render, ch. 12, both random, z 1.65; value from memory, recomputed.
        (150, 16, 5, 1, 0.95, 254.4, 1004, 1.0),
    ],
)
def test_the_reorder_point_is_the_textbooks(
    daily: float, daily_sd: float, lead: float, lead_sd: float, service: float,
    safety: float, level: float, within: float,
) -> None:  # fmt: skip
    point = reorder_point(daily, daily_sd, lead, lead_sd, service)
    assert point.safety == pytest.approx(safety, abs=within)
    assert point.level == pytest.approx(level, abs=within)


def test_the_deviation_over_the_lead_time_takes_both_spreads() -> None:
    """Heizer & Render, ch. 12: sqrt(5 x 16^2 + 150^2 x 1^2) = 154.2."""
    assert reorder_point(150, 16, 5, 1, 0.95).deviation == pytest.approx(154.2, abs=0.05)


def test_twelve_days_and_thirty_five_days_of_demand() -> None:
    """Anderson, Sweeney & Williams, ch. 14, problem 9: 240 and 700."""
    assert reorder_point(5000 / 250, 0, 12, 0, 0.5).level == pytest.approx(240)
    assert reorder_point(5000 / 250, 0, 35, 0, 0.5).level == pytest.approx(700)


def test_the_risk_at_a_level_is_a_posted_solutions() -> None:
    """Five a day, sd 0.5, two days, level 12: 0.234 % (problem after Stevenson)."""
    assert stockout_risk(12, 5, 0.5, 2) == pytest.approx(0.00234, abs=5e-6)
    assert stockout_risk(10, 5, 0, 2) == 0
    assert stockout_risk(9, 5, 0, 2) == 1


@given(POSITIVE, POSITIVE, st.floats(0.01, 100), st.floats(0, 20), st.floats(0.01, 0.999))
def test_the_level_is_the_normal_quantile(
    daily: float, daily_sd: float, lead: float, lead_sd: float, service: float
) -> None:
    """Reference: scipy.stats.norm.ppf."""
    sd = sqrt(lead * daily_sd**2 + daily**2 * lead_sd**2)
    point = reorder_point(daily, daily_sd, lead, lead_sd, service)
    assert point.level == pytest.approx(norm.ppf(service, daily * lead, sd), rel=1e-6, abs=1e-6)
    if lead_sd == 0:
        assert stockout_risk(point.level, daily, daily_sd, lead) == pytest.approx(
            1 - service, abs=1e-6
        )


def test_half_a_chance_needs_no_safety_and_less_a_negative_one() -> None:
    assert reorder_point(10, 3, 4, 1, 0.5).safety == pytest.approx(0, abs=1e-9)
    assert reorder_point(10, 3, 4, 1, 0.4).safety < 0


def test_the_level_to_fill_up_to() -> None:
    """Posted worked solution: 25,000 a month, 10 %, review and lead one month each: 55,815; with
    22,456 on hand and 25,407 on the way, order 7,952."""
    level = order_up_to(25_000, 2_500, 1, 1, 0.95)
    assert level == pytest.approx(55_815, abs=1)
    assert level - 22_456 - 25_407 == pytest.approx(7_952, abs=1)


def test_snyder_and_shens_base_stock_is_an_order_up_to_level() -> None:
    """Example 4.4: mean 50, sd 8, four periods and the review one, h 0.18, p 0.70."""
    service = 0.70 / (0.70 + 0.18)
    assert order_up_to(50, 8, 1, 4, service) == pytest.approx(264.7668943741548)


@pytest.mark.parametrize(
    ("mean", "sd", "short", "over", "quantity", "within"),
    [
        # Snyder & Shen, examples 4.1 and 4.3.
        (50, 8, 0.70, 0.18, 56.60395592743389, 1e-9),
        # Anderson, Sweeney & Williams, ch. 14, problem 27 a and c, z from a table.
        (150, 30, 0.46, 0.19, 166.5, 0.5),
        (150, 30, 0.46, 0.94, 136.5, 0.5),
        # Nahmias, example 5.1; partly from memory, recomputed.
        (11.73, 4.74, 0.50, 0.15, 15.22, 0.01),
        # README of the stockpyl library.
        (120, 10, 18, 2, 132.815515655446, 1e-9),
    ],
)
def test_what_to_have_once_is_the_textbooks(
    mean: float, sd: float, short: float, over: float, quantity: float, within: float
) -> None:
    assert newsvendor(mean, sd, short, over) == pytest.approx(quantity, abs=within)


def test_what_has_no_finite_answer_is_refused() -> None:
    for bad in ((0, 1, 1), (1, 0, 1), (1, 1, 0), (-1, 1, 1)):
        with pytest.raises(ValueError, match="above zero"):
            economic_quantity(*bad)
    for service in (0, 1, -0.1, 1.1):
        with pytest.raises(ValueError, match="service level"):
            reorder_point(1, 1, 1, 1, service)
    with pytest.raises(ValueError, match="not negative"):
        reorder_point(-1, 1, 1, 1, 0.9)
    with pytest.raises(ValueError, match="not negative"):
        order_up_to(1, -1, 1, 1, 0.9)
    with pytest.raises(ValueError, match="above zero"):
        newsvendor(1, 1, 0, 1)
    for breaks in ([], [(5, 1.0)], [(0, 1.0), (0, 0.9)], [(0, 0.0)], [(0, 1.0), (5, 1.1)]):
        with pytest.raises(ValueError, match=r"[Bb]reaks|price"):
            economic_quantity_with_breaks(1, 1, 0.1, breaks)
