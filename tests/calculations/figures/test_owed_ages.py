"""What is owed, by how long ago the work was done."""

from __future__ import annotations

import pytest

from app.calculations.figures.owed_ages import band_of, by_age


@pytest.mark.parametrize(
    ("days", "band"),
    [(-1, 0), (0, 0), (30, 0), (31, 1), (60, 1), (61, 2), (90, 2), (91, 3), (4000, 3)],
)
def test_each_day_stands_in_one_band(days: int, band: int) -> None:
    assert band_of(days) == band


def test_the_bands_hold_all_that_is_owed() -> None:
    owed = [(0, 100), (30, 20), (31, 3), (95, 7000), (300, 1)]
    bands = by_age(owed)
    assert [(one.amount, one.count) for one in bands] == [(120, 2), (3, 1), (0, 0), (7001, 2)]
    assert sum(one.amount for one in bands) == sum(due for _days, due in owed)
    assert [one.words for one in bands] == [
        "0–30 days", "31–60 days", "61–90 days", "over 90 days",
    ]  # fmt: skip
