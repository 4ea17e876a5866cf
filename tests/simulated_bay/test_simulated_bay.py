"""Promises in a short stretch of the made-up shop; docs/bay.md has whole years."""

from __future__ import annotations

from tests.simulated_bay.by_hand import by_hand
from tests.simulated_bay.year import a_year


def test_of_promises_that_nine_in_ten_should_keep_about_as_many_are_kept():
    found = a_year(4, days=60, busy=0.9)
    kept = sum(kept for _said, kept in found.promises)
    assert len(found.promises) > 30
    assert 0.85 <= kept / len(found.promises) <= 1
    said = sum(said for said, _kept in found.promises) / len(found.promises)
    assert 0.9 <= said <= 0.96


def test_a_paper_calendar_breaks_more_of_them():
    paper, plan = by_hand(4, days=60, busy=0.9), a_year(4, days=60, busy=0.9)
    broken = [
        sum(not kept for _said, kept in one.promises) / len(one.promises) for one in (paper, plan)
    ]
    assert broken[0] > broken[1]
