"""Find anything: what the book holds, by what a person remembers of it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from app.actions.desk.desk import Desk
from app.records.finding import looking_up
from app.records.finding.documents import KINDS
from app.records.finding.full_text import Unsearchable
from app.records.queries import protection


def find(desk: Desk, text: str, kinds: Sequence[str] = KINDS) -> list[looking_up.HitRow]:
    """What has all these words, at most eight of a kind; nothing for an empty text."""
    if not text.strip():
        return []
    with desk.book.reading() as session:
        return looking_up.find(session, text, kinds, partial(_note_failure, desk))


def _note_failure(desk: Desk) -> None:
    desk.book.finding_failed = True


def is_behind(desk: Desk) -> bool:
    """Whether the full text is to be made, or lacks what came since."""
    if not desk.book.may_change:
        return False
    if desk.book.finding_failed:
        return True
    with desk.book.reading() as session:
        return not looking_up.is_current(session)


def catch_up(desk: Desk) -> bool:
    """Take some of what is behind into the full text; whether there is more to do.

    Where there can be none, finding goes through every text of the book, as it does until then.
    """
    try:
        return desk.book.mend_finding()
    except Unsearchable:
        return False


def household_of(desk: Desk, customer_id: int) -> str:
    """The household that a letter to a customer is under, as the page of letters knows it."""
    with desk.book.reading() as session:
        return protection.households(session).get(customer_id, "")
