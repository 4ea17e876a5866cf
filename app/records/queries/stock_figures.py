"""What the ledger tells of a supply over time: use, counts, and when it was last touched."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from sqlalchemy import ColumnElement, Select, and_, case, func, select
from sqlalchemy.orm import Session, aliased

from app.records.asking import in_parts
from app.records.models import Movement


def uses_and_counts(session: Session, supply_id: int, since: date) -> list[tuple[date, str, int]]:
    """(day, kind, quantity) of uses and counts; a counter stands under what it takes back, on its
    day. The first line of the supply, its opening count, is left out.
    """
    return uses_and_counts_of(session, [supply_id], since).get(supply_id, [])


def uses_and_counts_of(
    session: Session, supply_ids: Collection[int], since: date
) -> dict[int, list[tuple[date, str, int]]]:
    """The same for several supplies at once."""
    taken_back = aliased(Movement)
    kind = func.coalesce(taken_back.kind, Movement.kind)
    found: dict[int, list[tuple[date, str, int]]] = {}
    for part in in_parts(supply_ids):
        firsts = (
            select(func.min(Movement.id))
            .where(Movement.supply_id.in_(part))
            .group_by(Movement.supply_id)
        )
        opening = set(session.scalars(firsts))
        for supply, line, day, what, quantity in session.execute(
            select(
                Movement.supply_id,
                func.coalesce(Movement.counters_id, Movement.id),
                func.coalesce(taken_back.day, Movement.day),
                kind,
                Movement.quantity,
            )
            .outerjoin(taken_back, taken_back.id == Movement.counters_id)
            .where(
                Movement.supply_id.in_(part),
                Movement.day >= since,
                kind.in_(("used", "counted")),
            )
            .order_by(Movement.id)
        ):
            if line not in opening:
                found.setdefault(supply, []).append((day, what, int(quantity)))
    return found


def _counts_that_stand() -> ColumnElement[bool]:
    """Lines that a person's counts wrote and that were not taken back."""
    taken_back = select(Movement.counters_id).where(Movement.counters_id.is_not(None))
    return and_(Movement.physical.is_(True), Movement.id.not_in(taken_back))


def last_counts(session: Session, since: date, until: date) -> dict[int, date]:
    """The last day from `since` to `until` on which each supply was counted."""
    query = select(Movement.supply_id, func.max(Movement.day)).group_by(Movement.supply_id)
    within = Movement.day.between(since, until)
    return dict(session.execute(query.where(within, _counts_that_stand())).all())


def counts_on(session: Session, day: date) -> dict[int, tuple[int, int]]:
    """(quantity, value) that the counts of a day added to each supply; below zero: found gone."""
    return {
        supply: (int(quantity), int(value))
        for supply, quantity, value in session.execute(
            select(Movement.supply_id, func.sum(Movement.quantity), func.sum(Movement.value))
            .where(Movement.day == day, _counts_that_stand())
            .group_by(Movement.supply_id)
        )
    }


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


def moved_by_day(session: Session, supply_id: int, since: date) -> list[tuple[date, int, int]]:
    """(Day, what moved in all, what came in) of a supply after a day, the oldest first."""
    came = case((Movement.kind == "received", Movement.quantity), else_=0)
    query = (
        select(Movement.day, func.sum(Movement.quantity), func.sum(came))
        .where(Movement.supply_id == supply_id, Movement.day > since)
        .group_by(Movement.day)
        .order_by(Movement.day)
    )
    return [(day, int(moved), int(came)) for day, moved, came in session.execute(query)]


def went(session: Session, first: date, last: date) -> dict[int, dict[str, tuple[int, int]]]:
    """By supply what uses and counts of these days took, as {"used" or "counted": (quantity,
    value)}, above zero where it went; a counter stands under what it takes back, on its day.

    The first line of a supply, its opening count, is left out.
    """
    opening = select(func.min(Movement.id)).group_by(Movement.supply_id)
    counter, line = aliased(Movement), aliased(Movement)
    here = (line.day.between(first, last), line.kind.in_(("used", "counted")))

    def of(what: type[Movement]) -> Select[int, str, int, int]:
        sums = -func.sum(what.quantity), -func.sum(what.value)
        return select(line.supply_id, line.kind, sums[0], sums[1])

    # Counters are few, and asked for apart: beside each line they would take ten times as long.
    own = of(line).where(*here, line.id.not_in(opening))
    back = of(counter).join(counter, counter.counters_id == line.id)
    back = back.where(*here, line.id.not_in(opening))
    found: dict[int, dict[str, tuple[int, int]]] = {}
    for query in (own, back):
        rows = session.execute(query.group_by(line.supply_id, line.kind))
        for supply, what, quantity, value in rows:
            kinds = found.setdefault(supply, {})
            was = kinds.get(what, (0, 0))
            kinds[what] = was[0] + int(quantity), was[1] + int(value)
    return found
