"""Forecasts for supplies that are not used every day.

The expected values were computed outside the project: statsforecast 2.1.1 (`CrostonClassic`,
`CrostonSBA`, `TSB`), sktime 1.2.0 (`Croston(smoothing=0.1)`) and exact fractions agree on them,
except the Shale-Boylan-Johnston column, which is its published factor times Croston's value.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import Mendable
from tests.calculations.orders.demand_formulas import (
    Pattern,
    croston,
    shale_boylan_johnston,
    smooth,
    syntetos_boylan,
    teunter_syntetos_babai,
    use_pattern,
)

A = [0, 0, 3, 0, 0, 2, 0, 5, 0, 0, 0, 1, 0, 4, 0, 0]
NEVER = [0, 0, 0, 0]
ONCE = [5]
RISING = [1, 2, 3, 4]
LATE = [0, 0, 0, 7]
HISTORIES = st.lists(st.integers(0, 50), max_size=60)


@pytest.mark.parametrize(
    ("history", "expected"),
    [(A, 1.0344104503265728), (NEVER, 0), (ONCE, 5), (RISING, 1.561), (LATE, 1.75)],
)
def test_croston_agrees_with_two_libraries(history: list[int], expected: float) -> None:
    assert croston(history) == pytest.approx(expected, rel=1e-13)


@pytest.mark.parametrize(
    ("history", "expected"),
    [(A, 0.9826899278102441), (NEVER, 0), (ONCE, 4.75), (RISING, 1.48295), (LATE, 1.6625)],
)
def test_syntetos_and_boylan_take_half_the_constant_off(
    history: list[int], expected: float
) -> None:
    assert syntetos_boylan(history) == pytest.approx(expected, rel=1e-13)


@pytest.mark.parametrize(
    ("history", "expected"),
    [(A, 0.9799677950), (ONCE, 4.7368421), (RISING, 1.4788421), (LATE, 1.6578947)],
)
def test_shale_boylan_and_johnston_take_a_little_more_off(
    history: list[int], expected: float
) -> None:
    assert shale_boylan_johnston(history) == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize(
    ("history", "even", "quick_size"),
    [
        (A, 0.7521041532118390, 0.7582277621825245),
        (NEVER, 0, 0),
        (ONCE, 5, 5),
        (RISING, 1.561, 2.048),
        (LATE, 0.7, 0.7),
    ],
)
def test_teunter_syntetos_and_babai_agree_with_a_library(
    history: list[int], even: float, quick_size: float
) -> None:
    assert teunter_syntetos_babai(history) == pytest.approx(even, rel=1e-13)
    assert teunter_syntetos_babai(history, 0.2, 0.1) == pytest.approx(quick_size, rel=1e-13)


def test_size_and_interval_of_the_first_history_are_known() -> None:
    assert smooth(A).size == pytest.approx(3.0091, rel=1e-12)
    assert smooth(A).interval == pytest.approx(2.909, rel=1e-12)


@given(HISTORIES, st.integers(1, 20))
def test_weeks_without_use_change_croston_never_but_the_other_falls(
    history: list[int], weeks: int
) -> None:
    quiet = history + [0] * weeks
    assert croston(quiet) == croston(history)
    before, after = teunter_syntetos_babai(history), teunter_syntetos_babai(quiet)
    assert after == pytest.approx(before * 0.9**weeks, rel=1e-9, abs=1e-12)


@given(HISTORIES)
def test_the_closed_form_is_the_recursion_in_exact_fractions(history: list[int]) -> None:
    alpha, size, chance = Fraction(1, 10), None, Fraction(int(bool(history and history[0])))
    for period, amount in enumerate(history):
        if amount:
            size = Fraction(amount) if size is None else size + alpha * (amount - size)
        if period:
            chance += alpha * (int(amount > 0) - chance)
    exact = float(chance * size) if size is not None else 0.0
    assert teunter_syntetos_babai(history) == pytest.approx(exact, rel=1e-10)


@given(st.integers(1, 50), st.integers(1, 30))
def test_equal_use_in_every_period_is_forecast_as_it_is(amount: int, periods: int) -> None:
    assert croston([amount] * periods) == pytest.approx(amount)
    assert teunter_syntetos_babai([amount] * periods) == pytest.approx(amount)


def test_interval_and_variation_of_the_first_history() -> None:
    pattern = use_pattern(A)  # 16 periods, 5 demands; population variance 2, mean 3
    assert pattern.interval == pytest.approx(3.2)
    assert pattern.variation == pytest.approx(2 / 9)
    assert pattern.pattern is Pattern.INTERMITTENT


@pytest.mark.parametrize(
    ("history", "pattern"),
    [
        ([4, 5, 4, 5, 4, 0], Pattern.SMOOTH),  # 1.2 periods per demand
        ([1, 1, 1, 1, 20], Pattern.ERRATIC),
        ([0, 1, 0, 0, 1, 0, 20], Pattern.LUMPY),
        ([0, 0, 0], Pattern.NONE),
        ([], Pattern.NONE),
    ],
)
def test_the_class_follows_the_two_limits(history: list[int], pattern: Pattern) -> None:
    assert use_pattern(history).pattern is pattern


def test_an_empty_history_forecasts_nothing() -> None:
    assert croston([]) == syntetos_boylan([]) == teunter_syntetos_babai([]) == 0


def test_a_return_in_the_history_is_refused_in_a_sentence() -> None:
    with pytest.raises(Mendable, match="book returns on their own"):
        croston([3, -1])


@pytest.mark.parametrize("alpha", [0, -0.1, 1.1, float("nan")])
def test_a_smoothing_constant_outside_its_range_is_refused(alpha: float) -> None:
    with pytest.raises(Mendable, match="smoothing constant"):
        croston(A, alpha)
