"""What the ledger tells of a supply over time: use, counts, and when it was last touched."""

from __future__ import annotations

from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from app.records.models import Movement


def uses_and_counts(session: Session, supply_id: int, since: date) -> list[tuple[date, str, int]]:
    """(day, kind, quantity) of uses and counts; a counter stands under what it takes back, on its
    day. The first line of the supply, its opening count, is left out.
    """
    first = session.scalar(select(func.min(Movement.id)).where(Movement.supply_id == supply_id))
    taken_back = aliased(Movement)
    kind = func.coalesce(taken_back.kind, Movement.kind)
    return [
        (day, what, int(quantity))
        for day, what, quantity in session.execute(
            select(func.coalesce(taken_back.day, Movement.day), kind, Movement.quantity)
            .outerjoin(taken_back, taken_back.id == Movement.counters_id)
            .where(
                Movement.supply_id == supply_id,
                Movement.day >= since,
                kind.in_(("used", "counted")),
                func.coalesce(Movement.counters_id, Movement.id) != first,
            )
            .order_by(Movement.id)
        )
    ]


def last_moved(session: Session) -> dict[int, tuple[date | None, date | None]]:
    """By supply: the last day it was used (uses that stand), and the last day it came in."""
    taken_back = select(Movement.counters_id).where(Movement.counters_id.is_not(None))
    found: dict[int, tuple[date | None, date | None]] = {}
    for supply, kind, day in session.execute(
        select(Movement.supply_id, Movement.kind, func.max(Movement.day))
        .where(
            Movement.kind.in_(("used", "received", "counted")),
            Movement.quantity != 0,
            Movement.id.not_in(taken_back),
        )
        .group_by(Movement.supply_id, Movement.kind)
    ):
        used, came = found.get(supply, (None, None))
        if kind == "used":
            used = day
        elif kind == "received" or came is None:
            came = day
        found[supply] = (used, came)
    return found
