"""Days in the writings of lists, and which number is the month."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents.reading.dates import DayOrder, decide_order, read_day

TODAY = date(2025, 8, 14)


@pytest.mark.parametrize(
    "text",
    [
        "3/5/2024", "03/05/24", "2024-03-05", "2024/3/5", "20240305", "March 5, 2024", "Mar 5 '24",
        "5 March 2024", "5th of March 2024", "05-Mar-24", "Mar. 5th, 2024", "5. März 2024",
        "5 de marzo de 2024", "Tue 3/5/2024", "Tuesday, March 5, 2024", "3/5/2024 10:30 AM",
        "2024-03-05T10:00:00Z", "45356", "3-5-24", "3.5.2024",
    ],
)  # fmt: skip
def test_the_fifth_of_march_is_read_in_every_writing(text: str) -> None:
    assert read_day(text, "MDY", TODAY).day == date(2024, 3, 5)


@pytest.mark.parametrize(
    "value", [45356, 45356.0, 20240305, datetime(2024, 3, 5, 9), date(2024, 3, 5)]
)
def test_a_date_cell_a_serial_number_and_a_number_of_eight_digits_are_read(value: object) -> None:
    # Serial days count from 30 December 1899 in the 1900 system (ECMA-376 part 1, 18.17.4.1).
    assert read_day(value, "MDY", TODAY).day == date(2024, 3, 5)  # type: ignore[arg-type]


def test_the_column_s_order_decides_and_the_other_is_taken_where_only_it_is_a_date() -> None:
    assert read_day("3/5/2024", "DMY", TODAY).day == date(2024, 5, 3)
    assert read_day("31/12/2024", "MDY", TODAY).day == date(2024, 12, 31)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("3/4/2024 - 3/6/2024", date(2024, 3, 4), date(2024, 3, 6)),
        ("3/4-3/6/2024", date(2024, 3, 4), date(2024, 3, 6)),
        ("3–5 March 2024", date(2024, 3, 3), date(2024, 3, 5)),
        ("Mar 5-7, 2024", date(2024, 3, 5), date(2024, 3, 7)),
        ("12/28 - 1/3/2024", date(2023, 12, 28), date(2024, 1, 3)),
    ],
)
def test_several_days_in_one_cell_are_first_and_last(text: str, first: date, last: date) -> None:
    read = read_day(text, "MDY", TODAY)
    assert (read.day, read.last) == (first, last)


@pytest.mark.parametrize(
    "text", ["soon", "13/13/2024", "0000-00-00", "3/5", "March 2024", "2024", ""]
)
def test_what_is_no_date_says_why(text: str) -> None:
    read = read_day(text or None, "MDY", TODAY)
    assert read.day is None
    assert read.sentence.startswith("holds ")


def test_a_day_without_its_year_takes_the_one_that_the_sheet_names() -> None:
    assert read_day("3/5", "MDY", TODAY, 2024).day == date(2024, 3, 5)
    assert read_day("5. März", "DMY", TODAY, 2024).day == date(2024, 3, 5)
    assert read_day("3/5", "MDY", TODAY).day is None


def test_a_number_above_twelve_proves_the_order_of_the_whole_column() -> None:
    assert decide_order(["3/4/2024", "13/4/2024"], "MDY", TODAY) == DayOrder("DMY", True)
    assert decide_order(["3/4/2024", "4/13/2024"], "DMY", TODAY) == DayOrder("MDY", True)


def test_without_proof_the_usual_order_is_taken_and_said_not_to_be_sure() -> None:
    assert decide_order(["3/4/2024", "5/6/2024"], "MDY", TODAY) == DayOrder("MDY", False)


def test_days_that_would_lie_in_the_future_speak_against_an_order() -> None:
    ahead = ["1/12/2026", "2/12/2026", "3/11/2026", "4/12/2026"]
    assert decide_order(ahead, "DMY", TODAY).order == "MDY"


def test_a_list_that_runs_evenly_one_way_speaks_for_that_order() -> None:
    # Day first this runs from 3 January to 12 May; month first it jumps about the year.
    told = ["3/1", "9/1", "4/2", "11/2", "2/3", "8/3", "1/4", "10/4", "5/5", "12/5"]
    assert decide_order([f"{day}/2024" for day in told], "MDY", TODAY).order == "DMY"


def test_points_between_the_numbers_speak_for_day_first() -> None:
    assert decide_order(["3.4.2024", "5.6.2024"], "MDY", TODAY) == DayOrder("DMY", True)


@given(st.dates(date(1950, 1, 1), date(2099, 12, 31)))
def test_any_day_comes_back_from_every_unambiguous_writing(day: date) -> None:
    for text in (
        day.isoformat(),
        f"{day:%Y%m%d}",
        f"{day.day} {day:%B} {day.year}",
        f"{day:%b} {day.day}, {day.year}",
        f"{day.month}/{day.day}/{day.year}",
    ):
        assert read_day(text, "MDY", TODAY).day == day, text
    assert read_day(f"{day.day}.{day.month}.{day.year}", "DMY", TODAY).day == day
