"""How a job runs: hands on in open hours, holds by the clock."""

from __future__ import annotations

import itertools
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.bay.opening import OpenHours, instant_of, minute_of
from app.calculations.bay.runs import Bar, Hands, Kind, Piece, Run, joined, run

DAY, OPENS, CLOSES = 24 * 60, 8 * 60, 16 * 60
WINDOWS = tuple((day * DAY + OPENS, day * DAY + CLOSES) for day in range(30) if day % 7 < 5)
PIECES = st.lists(
    st.builds(Piece, st.sampled_from(Kind), st.integers(0, 900)), min_size=1, max_size=6
)


def test_it_dries_overnight_before_correction_and_goes_on_in_the_morning():
    # Common practice, no source: washed and decontaminated one day, corrected the next.
    pieces = [Piece(Kind.HANDS, 180), Piece(Kind.DRIES, 14 * 60), Piece(Kind.HANDS, 60)]
    found = run("a", pieces, OPENS, Hands(WINDOWS, 1))
    assert found is not None
    morning = DAY + OPENS
    assert found.bars == (
        Bar(Kind.HANDS, OPENS, OPENS + 180),
        Bar(Kind.DRIES, OPENS + 180, DAY + 60),
        Bar(Kind.HANDS, morning, morning + 60),
    )
    assert (found.begin, found.ready) == (OPENS, morning + 60)


def test_what_cures_over_a_weekend_can_be_fetched_on_monday():
    friday = 4 * DAY + CLOSES - 60
    found = run("a", [Piece(Kind.HANDS, 60), Piece(Kind.CURES, 720)], friday, Hands(WINDOWS, 1))
    assert found is not None
    assert found.ready == 7 * DAY + OPENS


def test_two_people_work_on_two_jobs_at_once_and_one_on_one():
    for people, begin in ((2, OPENS), (1, OPENS + 120)):
        hands = Hands(WINDOWS, people)
        hands.take([(OPENS, OPENS + 120)])
        found = run("b", [Piece(Kind.HANDS, 60)], OPENS, hands)
        assert found is not None
        assert found.begin == begin


def test_what_ends_beyond_the_known_days_is_not_planned():
    assert run("a", [Piece(Kind.HANDS, 10**6)], OPENS, Hands(WINDOWS, 1)) is None


@given(PIECES, st.integers(0, 9 * DAY), st.integers(0, 2 * DAY), st.data())
def test_a_later_begin_never_makes_it_ready_sooner(
    pieces: list[Piece], begin: int, later: int, data: st.DataObject
):
    hands = Hands(WINDOWS, 1)
    for _ in range(data.draw(st.integers(0, 4))):
        start = data.draw(st.integers(0, 9 * DAY))
        hands.take(hands.walk(start, data.draw(st.integers(1, 600))))
    found = run("a", pieces, begin, hands)
    after = run("a", pieces, begin + later, hands)
    assert found is not None
    assert after is not None
    assert found.ready <= after.ready
    _is_the_work(found, pieces)


def _is_the_work(found: Run, pieces: list[Piece]) -> None:
    """All minutes of all kinds stand in it, in order, hands on only while the shop is open."""
    for kind in Kind:
        asked = sum(piece.minutes for piece in pieces if piece.kind is kind)
        assert sum(bar.end - bar.start for bar in found.bars if bar.kind is kind) == asked
    for one, other in zip(found.bars, found.bars[1:], strict=False):
        assert one.end <= other.start
    for start, end in found.hands:
        assert any(opens <= start and end <= closes for opens, closes in WINDOWS)


@given(PIECES)
def test_pieces_of_one_kind_that_follow_each_other_are_one(pieces: list[Piece]):
    found = joined(pieces)
    assert all(one[0] is not other[0] for one, other in itertools.pairwise(found))
    assert sum(minutes for _, minutes in found) == sum(piece.minutes for piece in pieces)


# Spring forward and fall back, by the tz database: 2027 in Chicago 14 March and 7 November, in
# Berlin 28 March and 31 October.
@pytest.mark.parametrize(
    ("zone", "evening", "ends"),
    [
        ("America/Chicago", date(2027, 3, 13), "07:00"),
        ("America/Chicago", date(2027, 11, 6), "05:00"),
        ("Europe/Berlin", date(2027, 3, 27), "07:00"),
        ("Europe/Berlin", date(2027, 10, 30), "05:00"),
        ("America/Phoenix", date(2027, 3, 13), "06:00"),
    ],
)
def test_a_cure_takes_its_hours_though_clocks_change_and_work_its_hours_of_the_clock(
    zone: str, evening: date, ends: str
):
    hours = OpenHours((600,) * 7, (540,) * 7, zone)  # 10:00 to 19:00, every day
    windows = hours.windows(evening, evening + timedelta(days=2))
    begin = minute_of(datetime.combine(evening, time(17), tzinfo=ZoneInfo(zone)))
    pieces = (Piece(Kind.HANDS, 60), Piece(Kind.CURES, 720), Piece(Kind.HANDS, 30))
    found = run(1, pieces, begin, Hands(windows, 1))
    assert found is not None
    local = [instant_of(bar.end).astimezone(ZoneInfo(zone)) for bar in found.bars]
    assert [f"{one:%H:%M}" for one in local] == ["18:00", ends, "10:30"]
    assert found.ready == found.bars[-1].end
