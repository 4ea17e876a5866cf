"""Find anything: customers, vehicles, jobs and supplies by what a person remembers of them."""

from __future__ import annotations

from app.actions.desk.desk import Desk
from app.records.queries import people as queries


def find(desk: Desk, text: str) -> list[queries.HitRow]:
    """What holds the text, at most eight of a kind; nothing for an empty text."""
    if not text.strip():
        return []
    with desk.book.reading() as session:
        return queries.hits(session, text.strip())
