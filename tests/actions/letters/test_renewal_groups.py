"""Each layer stands in one part of Renewals, by the rule that chooses whom to write to."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.actions.desk.desk import Desk
from app.actions.letters import renewal_groups
from app.actions.letters.reminders import mark_sent, prepare_all, whom_to_remind
from app.actions.letters.renewal_groups import (
    ASK,
    LATER,
    NOT_NOW,
    GroupedRenewals,
    grouped,
    rows_shown,
)
from app.actions.letters.renewing import renewals
from app.actions.people import customers
from app.calculations.letters.letters import Why
from tests.shop import Clock, new_desk
from tests.waxed import waxed

DAY = date(2025, 8, 14)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """One who may be asked, one who asked to stop, one who did not agree, one waxed yesterday."""
    desk = new_desk(tmp_path / "shop.bayledger", Clock())
    with desk.book.load() as session:
        waxed(session, 1, DAY)
        waxed(session, 2, DAY)
        waxed(session, 3, DAY, may_remind=False)
        waxed(session, 4, DAY + timedelta(weeks=10, days=-1))
    customers.stop(desk, 2, DAY)
    yield desk
    desk.book.close()


def parts(desk: Desk) -> GroupedRenewals:
    return grouped(renewals(desk, DAY), whom_to_remind(desk, DAY))


def holders(desk: Desk) -> dict[str, list[tuple[str, str]]]:
    return {
        group.key: [(one.row.layer.holder.customer, one.words) for one in group.rows]
        for group in parts(desk).groups
    }


def test_whom_one_may_ask_stands_apart_from_who_is_not_to_be_asked_and_why(desk: Desk) -> None:
    assert holders(desk) == {
        ASK: [("Owner 1", "by e-mail")],
        NOT_NOW: [("Owner 2", "asked to stop"), ("Owner 3", "did not agree")],
        LATER: [("Owner 4", "")],
    }
    assert parts(desk).head == "1 to ask now, 2 layers not now, 1 due later"


def test_one_who_was_asked_waits_for_the_answer_and_nobody_is_left_to_ask(desk: Desk) -> None:
    _, ids = prepare_all(desk, DAY)
    assert holders(desk)[ASK] == [("Owner 1", "written, by e-mail")]
    mark_sent(desk, DAY, ids)
    assert ("Owner 1", "asked 14 Aug") in holders(desk)[NOT_NOW]
    ask = parts(desk).groups[0]
    assert (ask.rows, ask.note) == ((), "nobody needs to be asked today")


def test_what_is_folded_away_is_said_with_its_reasons_and_counts(desk: Desk) -> None:
    _ask, not_now, later = parts(desk).groups
    assert not_now.folded(0) == "2 layers: 1 asked to stop, 1 did not agree."
    assert not_now.folded(1) == "1 more layer: 1 did not agree."
    assert later.folded(0).startswith("1 layer, the next to be asked in ")


def test_every_reason_of_the_rule_has_its_few_words() -> None:
    assert set(Why) - set(renewal_groups._SHORT) == {Why.NOT_DUE}
    assert max(map(len, renewal_groups._SHORT.values())) <= 20


@given(st.lists(st.integers(0, 50), min_size=1, max_size=3), st.integers(-3, 60))
def test_the_first_part_takes_the_room_it_needs_and_no_room_is_wasted(
    counts: list[int], room: int
) -> None:
    shown = rows_shown(counts, room)
    assert all(0 <= one <= count for one, count in zip(shown, counts, strict=True))
    assert sum(shown) == min(sum(counts), max(room, 0))
    assert shown[0] == min(counts[0], max(room, 0))
