"""Who sent whom: the ledger, the shares, and the sentence over it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from app.actions.figures.referrals_figure import ReferralFigure, referrals_figure
from app.records.queries.figures import DoneJob, Source
from tests.actions.figures.test_kinds import JOB

FIRST = date(2026, 8, 1)
BEFORE = FIRST - timedelta(days=200)


def job(number: int, customer: int | None, earned: int, day: int = 3) -> DoneJob:
    """A job on a day of August."""
    done = FIRST.replace(day=day)
    return replace(JOB, job_id=number, customer_id=customer, earned=earned, done_on=done)


def source(customer: int, came: date, by: tuple[int, str] | None = None) -> Source:
    return Source(customer, by[0] if by else None, by[1] if by else "", came, came)


TOLK, QUELL = (90, "Mara Tolk"), (91, "Jutta Quell")
NEW = FIRST.replace(day=3)


def shown(*sources: Source, earned: int = 10_000, jobs: int = 1) -> ReferralFigure:
    """So many jobs of each of these customers."""
    done = [job(at, one.customer_id, earned) for one in sources for at in range(jobs)]
    return referrals_figure(done, sources, FIRST, "USD")


def test_the_ledger_adds_up_and_who_sent_most_new_ones_stands_first() -> None:
    sources = (
        source(1, NEW, TOLK), source(2, NEW, TOLK), source(3, BEFORE, QUELL), source(4, NEW),
    )  # fmt: skip
    jobs = [job(1, 1, 5_000), job(2, 2, 7_000), job(3, 3, 40_000), job(4, 4, 30_000),
            job(5, 3, 10_000), job(6, None, 8_000)]  # fmt: skip
    figure = referrals_figure(jobs, sources, FIRST, "USD")
    assert [
        (one.name, one.customers, one.new, one.earned, one.job_ids) for one in figure.parts
    ] == [
        ("Mara Tolk", 2, 2, 12_000, (1, 2)),
        ("Jutta Quell", 1, 0, 50_000, (3, 5)),
        ("Nobody noted", 1, 1, 30_000, (4,)),
    ]
    assert figure.finding == "Mara Tolk sent two of 3 new customers."
    # 62,000 and 50,000 of 100,000: what stands with no customer is earned too
    assert "who were sent make 62 %" in figure.voice
    assert "who had been here before 50 %" in figure.voice
    assert dict(figure.facts)["Sent by others"] == "2"


def test_a_job_within_thirty_days_is_no_return() -> None:
    for days, told in ((30, "0 %"), (31, "100 %")):
        came = NEW - timedelta(days=days)
        assert f"here before {told}" in shown(source(1, came, TOLK), jobs=5).voice


def test_the_sentence_says_what_is_so() -> None:
    old = source(8, BEFORE)
    assert shown(old).finding == "Nobody who was sent by another had a job in this time."
    assert shown().finding == "No customer had a job done in this time."
    assert shown(source(1, BEFORE, TOLK), old).finding == (
        "1 customer whom others sent came again; nobody was new."
    )
    one_each = source(1, NEW, TOLK), source(2, NEW, QUELL), source(3, NEW), old
    assert shown(*one_each).finding == "Two of 3 new customers were sent by others."
    assert shown(source(1, NEW, TOLK), old).finding == "The one new customer was sent by another."
    assert shown(source(1, BEFORE, TOLK), source(2, NEW), old).finding == (
        "The one new customer came unsent."
    )
    none = source(1, BEFORE, TOLK), source(2, NEW), source(3, NEW), old
    assert shown(*none).finding == "None of 2 new customers was sent by others."


def test_of_few_jobs_no_share_is_told_and_a_young_book_says_that_all_are_new() -> None:
    assert shown(source(1, NEW, TOLK), source(2, BEFORE), jobs=2).voice == ""
    assert shown(source(1, NEW, TOLK)).voice == "All are new to this book."
    assert shown(source(1, BEFORE, TOLK), earned=0, jobs=9).voice == "", "nothing is no share of 0"
