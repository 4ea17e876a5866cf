"""What would keep a promise, and what each change comes to."""

from __future__ import annotations

from app.actions.bay.keeping import would_keep
from app.actions.bay.plan_of_shop import tried
from app.actions.bay.standing import Move
from app.actions.desk.desk import Desk
from tests.actions.bay.conftest import At, Book


def test_changes_that_would_keep_a_promise_come_with_their_chance(
    desk: Desk, book: Book, at: At
) -> None:
    job = book(
        "ceramic", 18, minutes=420, begins_at=at(18, "8:00"), promised_at=at(19, "8:30")
    )  # and it cures overnight
    changes = would_keep(desk, Move(job))
    words = [one.words for one in changes]
    assert words[-1].startswith("promised ")
    assert any(one.endswith("by lamp") for one in words)
    assert any(one.startswith("begins ") for one in words)
    assert [one.chance for one in changes[:-1]] == sorted(one.chance for one in changes[:-1])
    for change in changes:
        then = tried(desk, change.move).row(job)
        assert then.chance == change.chance, "what is said is what comes of it"
        assert then.chance > tried(desk, Move(job)).row(job).chance
    assert would_keep(desk, changes[-1].move) == (), "what is kept needs nothing"


def test_without_a_promise_nothing_has_to_be_kept(desk: Desk, book: Book) -> None:
    assert would_keep(desk, Move(book("wash", 18))) == ()


def test_a_change_that_pushes_another_promise_is_left_out(desk: Desk, book: Book, at: At) -> None:
    book("wash", 14, minutes=450, begins_at=at(14, "8:00"), promised_at=at(14, "16:00"))
    job = book("wash", 15, minutes=450, begins_at=at(15, "8:00"), promised_at=at(15, "12:00"))
    for change in would_keep(desk, Move(job)):
        assert not change.words.startswith("begins"), "the bay is taken until then"


def test_of_a_clash_only_what_takes_it_away_is_offered(desk: Desk, book: Book, at: At) -> None:
    book("wash", 14, minutes=450, begins_at=at(14, "8:00"))
    job = book("wash", 14, minutes=60, begins_at=at(14, "10:00"), promised_at=at(15, "12:00"))
    changes = would_keep(desk, Move(job))
    assert any(one.words.startswith("begins ") for one in changes)
    for change in changes:
        assert not tried(desk, change.move).clashes, change.words


def test_a_later_promise_is_named_as_it_comes_out_once_it_is_given(
    desk: Desk, book: Book, at: At
) -> None:
    # Both were to begin yesterday; a later promise puts the first of them behind the other.
    job = book("wash", 13, minutes=240, promised_at=at(14, "9:00"))
    book("wash", 13, minutes=240, promised_at=at(14, "12:00"))
    changes = would_keep(desk, Move(job))
    assert changes
    for change in changes:
        assert tried(desk, change.move).row(job).chance == change.chance
