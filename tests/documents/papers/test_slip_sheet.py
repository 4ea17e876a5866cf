"""Where the bars of a slip begin and end."""

from __future__ import annotations

from itertools import pairwise

import pytest

from app.documents.papers.slip_sheet import SlipStep, bars_axis


def steps(*values: int) -> list[SlipStep]:
    """A sum, steps to each of the other values, and a sum."""
    between = [SlipStep("", to - at, at, to) for at, to in pairwise(values)]
    return [SlipStep("", values[0], 0, values[0], True), *between]


@pytest.mark.parametrize(
    ("values", "axis"),
    [
        ((845_556, 1_127_000, 865_000, 990_885), (700_000, 1_127_000)),  # cut below the lowest
        ((10_000, 90_000, 5_000), (0, 90_000)),  # the steps come near 0
        ((10_000, -4_000, 8_000), (-4_000, 10_000)),
        ((0,), (0, 1)),
    ],
)
def test_the_axis_is_cut_only_where_the_steps_are_far_from_nothing(
    values: tuple[int, ...], axis: tuple[int, int]
) -> None:
    assert bars_axis(steps(*values)) == axis


def test_a_step_that_takes_away_says_so() -> None:
    assert [one.sign for one in steps(9, 12, 5)] == ["=", "+", "−"]
