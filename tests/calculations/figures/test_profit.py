"""Profit and its hourly rate, on the month that trade practice works through (no source)."""

from __future__ import annotations

from app.calculations.figures.profit import Profit


def test_profit_is_what_is_earned_less_all_it_cost_by_the_hour_of_all_work() -> None:
    month = Profit(
        earned=9200_00,
        supplies=640_00,
        expenses=(("card fees", 230_00),),
        driving=90_00,
        on_jobs=92 * 60,
        unpaid=54 * 60,
    )
    assert (month.spent, month.profit, month.minutes) == (230_00, 8240_00, 146 * 60)
    assert month.an_hour is not None
    assert round(month.an_hour) == 56_44  # 8,240 ÷ 146
    none = Profit(earned=0, supplies=0, expenses=(("rent", 5),), driving=0, on_jobs=0, unpaid=0)
    assert (none.profit, none.an_hour) == (-5, None)
