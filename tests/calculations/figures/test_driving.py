"""What driving is worth by dated rates; a mile is 1,609.344 m (International agreement, 1959)."""

from __future__ import annotations

from datetime import date

from app.calculations.figures.driving import Rate, worth, worth_of

RATES = (
    Rate(date(2026, 1, 1), 50_000, "mi", "made up"),  # half a dollar a mile
    Rate(date(2026, 7, 1), 40_500, "km", "made up"),  # 40.5 cents a kilometre
)


def test_each_day_is_valued_at_the_rate_that_held_on_it_to_the_whole_cent() -> None:
    assert worth(16_093, date(2026, 6, 30), RATES) == 500  # 10 miles but for 0.44 m
    assert worth(10_000, date(2026, 7, 1), RATES) == 405
    assert worth(1_000, date(2026, 7, 1), RATES) == 41  # 40.5 is rounded away from zero
    assert worth(1_000, date(2025, 12, 31), RATES) is None


def test_what_no_rate_holds_for_is_told_apart_and_counts_nothing() -> None:
    driven = {date(2025, 12, 31): 700, date(2026, 1, 2): 16_093, date(2026, 8, 1): 1_000}
    assert worth_of(driven, RATES) == (541, 700)
    assert worth_of(driven, ()) == (0, 17_793)
