"""Times of work as people type them."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.durations import quarter_hours, read_duration, shown_duration
from app.errors import Mendable


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("90m", 90), ("90 min", 90), ("45 min", 45), ("45 minutes", 45), ("6:30", 390),
        ("0:45", 45), ("6:30 h", 390), ("1 1/2", 90), ("1½", 90), ("1.5", 90), ("1,5", 90),
        ("6.2", 372), ("1.5h", 90), ("1.5 hours", 90), ("1h30", 90), ("1h", 60), ("1h30m", 90),
        ("2 h 15 min", 135), ("2 hrs 15", 135), ("1 hour and 15 minutes", 75), ("1/2 h", 30),
        ("half an hour", 30),
        ("half", 30), ("an hour", 60), ("two hours", 120), ("2 and a half hours", 150),
        ("three quarters of an hour", 45), ("0", 0), ("-", 0), ("none", 0), ("24", 1440),
        ("24:00", 1440), ("0.5 min", 1), ("1440 min", 1440), ("8", 480),
    ],
)  # fmt: skip
def test_the_usual_writings_are_read_in_minutes(typed: str, minutes: int) -> None:
    assert read_duration(typed) == minutes


@pytest.mark.parametrize(
    "typed",
    ["", " ", "-2", "−1:30", "90", "24:01", "25:00", "6:75", "1h 75", "1.5h30", "x", "h", "1:2",
     "1:2:3", "6.30.1", "2 days", "1/0", "nan", "1441m", "3 4", "9" * 90, "1h 2h"],
)  # fmt: skip
def test_anything_else_is_refused_in_one_sentence(typed: str) -> None:
    with pytest.raises(Mendable) as refused:
        read_duration(typed)
    assert refused.value.sentence.endswith(".")
    assert "oz" not in refused.value.sentence


def test_ninety_alone_is_taken_for_hours_and_the_way_out_is_said() -> None:
    with pytest.raises(Mendable, match="90m"):
        read_duration("90")


@pytest.mark.parametrize(
    ("minutes", "text"),
    [(0, "0 min"), (45, "45 min"), (60, "1 h"), (80, "1 h 20 min"), (660, "11 h"),
     (-90, "-1 h 30 min"),
     (60_000, "1,000 h")],
)  # fmt: skip
def test_a_time_is_shown_in_hours_and_minutes(minutes: int, text: str) -> None:
    assert shown_duration(minutes) == text


@given(st.integers(0, 1440))
def test_what_is_shown_reads_back(minutes: int) -> None:
    assert read_duration(shown_duration(minutes)) == minutes
    assert read_duration(f"{minutes // 60}:{minutes % 60:02d}") == minutes
    assert read_duration(f"{minutes}m") == minutes


@given(st.text(max_size=90))
def test_any_text_is_a_time_within_a_day_or_refused(text: str) -> None:
    with suppress(Mendable):
        assert 0 <= read_duration(text) <= 1440


def test_an_hour_has_sixty_minutes() -> None:
    assert read_duration("1:59") == 119
    assert read_duration("1h59") == 119
    for typed in ("1:60", "1h60", "0:75"):
        with pytest.raises(Mendable, match="59 minutes"):
            read_duration(typed)


def test_hours_are_told_to_the_quarter_where_room_is_short():
    told = [quarter_hours(one) for one in (0, 10, 67, 335, 480, 1240)]
    assert told == ["0", "¼", "1", "5½", "8", "20¾"]
