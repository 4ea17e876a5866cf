"""Find anything: customers, vehicles, jobs and supplies by what a person remembers of them."""

from __future__ import annotations

from dataclasses import dataclass

from app.actions.desk.desk import Desk
from app.records.queries import people as queries

PLACES = {
    "customer": "customers", "vehicle": "customers", "job": "jobs", "supply": "shelf",
    "supplier": "suppliers",
}  # fmt: skip


@dataclass(frozen=True)
class Found:
    """One hit: which place shows it, and its id there."""

    kind: str
    id: int
    text: str
    detail: str
    place: str


def find(desk: Desk, text: str) -> tuple[Found, ...]:
    """What holds the text, at most eight of a kind; nothing for an empty text."""
    if not text.strip():
        return ()
    with desk.book.reading() as session:
        hits = queries.hits(session, text.strip())
    return tuple(Found(h.kind, h.id, h.text, h.detail, PLACES[h.kind]) for h in hits)
