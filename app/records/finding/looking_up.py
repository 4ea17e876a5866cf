"""Find anything: the one query that answers it, whatever holds the words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.orm import Session

from app.calculations.numbers.spelling import words_of
from app.records.finding import full_text, plain
from app.records.finding.asked import Asked, asked
from app.records.finding.documents import KINDS, thing_of
from app.records.finding.found_lines import found_in, lines

_FEW = 5  # found as it was typed; with fewer a slip is looked for too
_SHOWN, _SHOWN_OF_MANY = 8, 5  # of a kind; where more than two kinds are found


@dataclass(frozen=True)
class HitRow:
    """Something that was found: what it is, and its words in the finder.

    `near` where it has another word than was typed. `of_id` is whose it is:
    of a letter its customer, of an order its supplier.
    """

    kind: str
    id: int
    text: str
    detail: str
    archived: bool = False
    near: bool = False
    day: date | None = None
    of_id: int | None = None
    state: str = ""


def find(
    session: Session,
    text: str,
    kinds: Sequence[str] = KINDS,
    failed: Callable[[], object] = lambda: None,
) -> list[HitRow]:
    """What the book has of these words, by kinds; best first, the kinds in order of their best.

    `failed` is called where the full text says that it is current and cannot answer.
    """
    what = asked(text)
    if not what:
        return []
    connection = session.connection()
    found: dict[int, int] | None = None
    near: dict[int, int] = {}
    if full_text.is_current(connection):
        try:
            found, near, what = _in_full_text(connection, what, kinds)
        except full_text.Unsearchable:
            failed()
    if found is None:
        found = plain.look_up(connection, what, kinds)
    return _ordered(
        [
            (grade, one)
            for slipped, keys in ((False, found), (True, near))
            for kind, ids in _by_kind(keys).items()
            for grade, one in _told(session, kind, ids, what, slipped)
        ],
        what,
    )


def is_current(session: Session) -> bool:
    """Whether finding looks into the full text, and not through every text of the book."""
    return full_text.is_current(session.connection())


def _in_full_text(
    connection: Connection, what: Asked, kinds: Sequence[str]
) -> tuple[dict[int, int], dict[int, int], Asked]:
    """What was found, what but for slips, and what was asked with these forgiven."""
    found = full_text.look_up(connection, what, kinds)
    near: dict[int, int] = {}
    if len(found) < _FEW:
        what = _with_slips(connection, what)
        if what.near:
            near = full_text.look_up(connection, what, kinds)
            near = {key: grade for key, grade in near.items() if key not in found}
    if not found and not near:
        found = full_text.look_up(connection, replace(what, apart=True), kinds)
    if not found and not near and min(map(len, what.words)) > 1:
        found = full_text.look_within(connection, what, kinds)
    return found, near, what


def _with_slips(connection: Connection, what: Asked) -> Asked:
    near = {word: full_text.near(connection, word) for word in what.words}
    return replace(what, near={word: meant for word, meant in near.items() if meant})


def _by_kind(keys: dict[int, int]) -> dict[str, dict[int, int]]:
    found: dict[str, dict[int, int]] = {}
    for key, grade in keys.items():
        kind, number = thing_of(key)
        found.setdefault(kind, {})[number] = grade
    return found


_Rank = tuple[Any, ...]


def _ordered(found: list[tuple[int, HitRow]], what: Asked) -> list[HitRow]:
    """As typed before a slip, what is in use before what is archived, its name before a note."""
    first = what.words[0]

    def rank(one: tuple[int, HitRow]) -> _Rank:
        grade, hit = one
        begins = words_of(hit.text)[:1] != [] and words_of(hit.text)[0].startswith(first)
        newest = hit.kind in ("job", "order", "letter")
        name = -hit.id if newest else 0
        return hit.near, grade, hit.archived, not begins, name, hit.text.casefold(), hit.id

    by_kind: dict[str, list[tuple[_Rank, HitRow]]] = {}
    for grade, hit in found:
        by_kind.setdefault(hit.kind, []).append((rank((grade, hit)), hit))
    for ranked in by_kind.values():
        ranked.sort(key=lambda one: one[0])
    kinds = sorted(by_kind, key=lambda kind: (*by_kind[kind][0][0][:3], KINDS.index(kind)))
    shown = _SHOWN if len(kinds) < 3 else _SHOWN_OF_MANY
    return [hit for kind in kinds for _, hit in by_kind[kind][:shown]]


def _told(
    session: Session, kind: str, ids: dict[int, int], what: Asked, near: bool
) -> list[tuple[int, HitRow]]:
    """Things of a kind with their grades; what is not in the book any more is left out."""
    return [
        (
            ids[line.id],
            HitRow(
                kind,
                line.id,
                line.text,
                found_in(what, line) or line.usual,
                line.archived,
                near,
                line.day,
                line.of_id,
                line.state,
            ),
        )
        for line in lines[kind](session, tuple(ids))
    ]
