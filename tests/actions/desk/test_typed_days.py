"""Days and promises as people type them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.actions.desk.desk import Desk
from app.actions.desk.typed_days import read_promise, read_typed_day
from app.errors import Mendable
from tests.shop import TODAY, new_desk


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder: Path = tmp_path_factory.mktemp("days")
    made = new_desk(folder / "shop.bayledger")
    yield made
    made.book.close()


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("", None),
        ("no day yet", None),
        ("today", TODAY),
        ("tomorrow", date(2025, 8, 15)),
        ("+3", date(2025, 8, 17)),
        ("tue", date(2025, 8, 19)),
        ("Thursday", TODAY),
        ("19 Aug", date(2025, 8, 19)),
        ("Aug 19", date(2025, 8, 19)),
        ("8/19", date(2025, 8, 19)),
        ("2025-08-19", date(2025, 8, 19)),
        ("19 August 2026", date(2026, 8, 19)),
        ("5 Jan", date(2026, 1, 5)),
    ],
)
def test_a_day_is_read_as_it_is_said(desk: Desk, typed: str, day: date | None) -> None:
    assert read_typed_day(desk, typed) == day


@pytest.mark.parametrize(
    ("today", "day"),
    [
        (date(2025, 8, 14), date(2028, 2, 29)),
        (date(2028, 2, 10), date(2028, 2, 29)),
        (date(2028, 4, 10), date(2028, 2, 29)),  # just past: the last one is meant
        (date(2028, 12, 1), date(2032, 2, 29)),
        (date(2096, 12, 1), None),  # the next is after the years that are read
    ],
)
@pytest.mark.parametrize("typed", ["29 Feb", "2/29", "Feb 29"])
def test_the_29th_of_february_is_the_next_that_there_is(
    desk: Desk, today: date, day: date | None, typed: str
) -> None:
    if day is not None:
        assert read_typed_day(desk, typed, today) == day
        return
    with pytest.raises(Mendable, match="no day"):
        read_typed_day(desk, typed, today)


def test_a_past_day_whose_year_is_typed_in_short_is_that_day(desk: Desk) -> None:
    assert read_typed_day(desk, "19 Aug 24") == date(2024, 8, 19)


@pytest.mark.parametrize("typed", ["soonish", "32 Aug", "13/13", "x" * 200])
def test_what_is_no_day_is_said_in_one_sentence(desk: Desk, typed: str) -> None:
    with pytest.raises(Mendable, match="no day"):
        read_typed_day(desk, typed)


@pytest.mark.parametrize(
    ("typed", "hour", "day"),
    [
        ("12:00", 17, TODAY),  # noon in Chicago in summer is five hours behind UTC
        ("Tue 5 pm", 22, date(2025, 8, 19)),
        ("19 Aug at 17:30", 22, date(2025, 8, 19)),
        ("tue", 22, date(2025, 8, 19)),
        ("fri 8", 13, date(2025, 8, 15)),
        ("Saturday, at 14", 19, date(2025, 8, 16)),
        ("+3 9", 14, date(2025, 8, 17)),
        ("14 aug", 22, TODAY),
    ],
)
def test_a_promise_is_a_moment_in_the_shops_zone(
    desk: Desk, typed: str, hour: int, day: date
) -> None:
    at = read_promise(desk, typed, TODAY)
    assert at is not None
    moment = at.astimezone(UTC)
    assert (moment.hour, moment.date()) == (hour, day)


def test_a_promise_of_nothing_is_none_and_one_without_a_day_is_asked(desk: Desk) -> None:
    assert read_promise(desk, "", None) is None
    with pytest.raises(Mendable, match="needs a day"):
        read_promise(desk, "12:00", None)
    with pytest.raises(Mendable, match="time of day"):
        read_promise(desk, "Tue 27:00", None)


@given(st.text(max_size=60))
def test_no_text_breaks_the_reading(desk: Desk, typed: str) -> None:
    for read in (
        lambda: read_typed_day(desk, typed),
        lambda: read_promise(desk, typed, TODAY),
    ):
        with suppress(Mendable):
            found = read()
            assert found is None or isinstance(found, date | datetime)


@given(st.dates(min_value=date(2001, 1, 1), max_value=date(2090, 12, 31)))
def test_a_day_with_its_year_is_read_back(desk: Desk, day: date) -> None:
    assert read_typed_day(desk, f"{day.day} {day:%B %Y}") == day


@given(st.integers(min_value=0, max_value=999))
def test_a_number_of_days_ahead_is_counted_from_today(desk: Desk, days: int) -> None:
    assert read_typed_day(desk, f"+{days}") == TODAY + timedelta(days=days)
