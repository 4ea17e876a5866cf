"""Times worked and sums of money in cells."""

from __future__ import annotations

from datetime import date, time, timedelta

import pytest

from app.documents.reading.row import cell_money, read_minutes
from app.errors import Mendable


@pytest.mark.parametrize(
    ("value", "unit", "minutes"),
    [
        (2.5, "h", 150), ("2.5", "h", 150), ("2,5", "h", 150), ("2:30", "h", 150), ("02:30:00",
        "h", 150),
        ("2h 30m", "h", 150), ("2 hrs 30 min", "h", 150), ("150 min", "h", 150), (150, "min", 150),
        (time(2, 30), "h", 150), (timedelta(hours=2, minutes=30), "h", 150), ("2 ½", "h", 150),
        ("2 Stunden", "h", 120), ("half a day", "h", 240), ("2 days", "h", 960), ("0", "h", 0),
    ],
)  # fmt: skip
def test_times_worked(value: object, unit: str, minutes: int) -> None:
    assert read_minutes(value, unit) == minutes  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "value", ["all day long", "", True, date(2025, 3, 14), -2, 10**9, "2:3:4:5"]
)
def test_what_is_no_time_worked(value: object) -> None:
    assert read_minutes(value) is None  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "currency", "minor"),
    [
        ("$1,234.50", "USD", 123_450), ("1.234,50", "USD", 123_450), (12.345, "USD", 1235),
        (12, "USD", 1200),
        ("free", "USD", 0), ("n/c", "USD", 0), ("~$120", "USD", 12_000), ("$120+", "USD", 12_000),
        ("79.00 each", "USD", 7900), ("$79/gal", "USD", 7900), ("120,-", "EUR", 12_000),
        ("(12.00)", "USD", -1200),
        ("1200", "JPY", 1200), ("1.234", "KWD", 1234),
    ],
)  # fmt: skip
def test_sums_of_money(value: object, currency: str, minor: int) -> None:
    assert cell_money(value, currency, "either") == minor  # type: ignore[arg-type]


@pytest.mark.parametrize("value", ["lots", "€12", True, date(2025, 3, 14), 1e300, "12 to 15"])
def test_what_is_no_sum_of_this_currency(value: object) -> None:
    with pytest.raises(Mendable):
        cell_money(value, "USD", "either")  # type: ignore[arg-type]
