"""What came of letters, by a worked example; lives achieved against lifelines.

The worked example is counted by hand below. Remission of leukaemia under 6-MP: Freireich et al.,
Blood 21 (1963), as in the Kaplan-Meier literature: median 23 weeks.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.layers.protection import ProtectionClass
from app.calculations.layers.sightings import Observation
from app.calculations.letters.came_of_letters import (
    BookedJob,
    LetterOutcome,
    SentLetter,
    band_of,
    came_of,
    letter_sums,
    lives_achieved,
)

MARCH = date(2026, 3, 2)


def day(after: int) -> date:
    return MARCH + timedelta(days=after)


LETTERS = [
    SentLetter(1, "tolk", day(0)),
    SentLetter(2, "tolk", day(60), "booked"),
    SentLetter(3, "quell", day(0), "stop"),
    SentLetter(4, "lunt", day(5), "undeliverable"),
    SentLetter(5, "vandry", day(5), "later"),
    SentLetter(6, "sorrel", day(5), "fine"),
    SentLetter(7, "pellam", day(5)),
]
JOBS = [
    BookedJob(10, "tolk", day(45), day(50), 20_000, True),  # the last day that counts
    BookedJob(11, "quell", day(-3), day(10), 9_000, True),  # booked before the letter went
    BookedJob(12, "pellam", day(51), day(52), 9_000, True),  # one day too late
    BookedJob(13, "tolk", None, day(70), 5_000, False),  # nobody noted when it was booked
    BookedJob(14, "sorrel", day(6), day(20), 11_000, True),
]


def test_by_hand_each_letter_gets_what_it_brought() -> None:
    found = {one.letter.reminder: one for one in came_of(LETTERS, JOBS)}
    assert [found[n].outcome for n in range(1, 8)] == [
        LetterOutcome.BOOKED,
        LetterOutcome.BOOKED,
        LetterOutcome.STOP,
        LetterOutcome.UNDELIVERABLE,
        LetterOutcome.LATER,
        LetterOutcome.BOOKED,  # said fine, and came all the same
        LetterOutcome.SILENT,
    ]
    assert [job.job for job in found[1].jobs] == [10]
    assert [job.job for job in found[2].jobs] == [13]
    sums = letter_sums(list(found.values()))
    assert (sums.sent, sums.delivered) == (7, 6)
    assert sums.earned == 31_000


def test_a_job_counts_for_the_last_letter_before_it_only() -> None:
    found = came_of(
        [SentLetter(1, "tolk", day(0)), SentLetter(2, "tolk", day(30))],
        [BookedJob(1, "tolk", day(40), None, 100, True)],
    )
    assert [one.outcome for one in found] == [LetterOutcome.SILENT, LetterOutcome.BOOKED]


@given(
    st.lists(st.tuples(st.integers(0, 3), st.integers(0, 200)), max_size=12),
    st.lists(st.tuples(st.integers(0, 3), st.integers(-50, 250), st.integers(0, 999)), max_size=12),
)
def test_no_job_is_counted_twice_and_the_outcomes_add_up(
    sent: list[tuple[int, int]], booked: list[tuple[int, int, int]]
) -> None:
    letters = [SentLetter(n, str(home), day(at)) for n, (home, at) in enumerate(sent)]
    jobs = [BookedJob(n, str(h), day(at), None, net, True) for n, (h, at, net) in enumerate(booked)]
    found = came_of(letters, jobs)
    counted = [job.job for one in found for job in one.jobs]
    assert len(counted) == len(set(counted))
    sums = letter_sums(found)
    assert sum(sums.counts.values()) == sums.sent == len(letters)
    assert sums.earned == sum(jobs[number].net for number in counted)


WEEKS = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
RELAPSED = [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0]


def layers(exposure: float) -> list[Observation]:
    return [
        Observation(1, week - 1 if gone else week, week if gone else float("inf"), exposure)
        for week, gone in zip(WEEKS, RELAPSED, strict=True)
    ]


def test_the_life_achieved_is_turnbulls_median_of_its_class_and_band() -> None:
    lifelines = pytest.importorskip("lifelines")
    wax = ProtectionClass.CARNAUBA_WAX
    found = lives_achieved([*layers(1.0), *layers(0.5)], {1: wax})
    low = [week - 1 if gone else week for week, gone in zip(WEEKS, RELAPSED, strict=True)]
    high = [week if gone else float("inf") for week, gone in zip(WEEKS, RELAPSED, strict=True)]
    fitter = lifelines.KaplanMeierFitter().fit_interval_censoring(low, high)
    upper = fitter.survival_function_["NPMLE_estimate_upper"]
    seen_by = upper[upper <= 0.5].index[0]
    assert [(one.band, one.layers, one.gone) for one in found] == [
        ("kept well", 21, 9),
        ("hard", 21, 9),
    ]
    assert all(seen_by - 1 < one.median_days <= seen_by == 23 for one in found)


def test_while_fewer_than_half_are_gone_no_median_is_made_up() -> None:
    wax = ProtectionClass.CARNAUBA_WAX
    (one,) = lives_achieved([Observation(1, 10.0), Observation(1, 20.0)], {1: wax})
    assert one.median_days == float("inf")
    assert lives_achieved([Observation(2, 10.0)], {1: wax}) == []


def test_the_bands_meet_without_a_gap() -> None:
    assert [band_of(factor) for factor in (0.35, 0.649, 0.65, 0.899, 0.9, 1.1)] == [
        "hard", "hard", "middling", "middling", "kept well", "kept well",
    ]  # fmt: skip


def test_a_job_booked_on_the_day_of_the_letter_counts_for_it() -> None:
    (one,) = came_of([SentLetter(1, "tolk", day(0))], [BookedJob(1, "tolk", day(0), None, 1, True)])
    assert one.outcome is LetterOutcome.BOOKED


@given(
    st.lists(st.tuples(st.integers(0, 2), st.integers(0, 120)), max_size=8),
    st.lists(st.tuples(st.integers(0, 2), st.integers(-10, 180)), max_size=8),
    st.integers(0, 60),
)
def test_a_job_belongs_to_the_nearest_letter_before_it_of_all_that_were_sent(
    sent: list[tuple[int, int]], booked: list[tuple[int, int]], within: int
) -> None:
    letters = [SentLetter(n, str(home), day(at)) for n, (home, at) in enumerate(sent)]
    jobs = [BookedJob(n, str(home), day(at), None, 1, True) for n, (home, at) in enumerate(booked)]
    brought = {job.job: one.letter for one in came_of(letters, jobs, within) for job in one.jobs}
    for job, (home, at) in zip(jobs, booked, strict=True):
        waits = [at - went for house, went in sent if house == home and 0 <= at - went <= within]
        assert (job.job in brought) == bool(waits)
        if waits:
            assert day(at) - brought[job.job].sent_on == timedelta(days=min(waits))


def test_money_counts_once_the_work_is_done() -> None:
    letters = [SentLetter(1, "tolk", day(0))]
    jobs = [BookedJob(1, "tolk", day(1), None, 700, True),
            BookedJob(2, "tolk", day(2), None, 900, False)]  # fmt: skip
    assert letter_sums(came_of(letters, jobs)).earned == 700
