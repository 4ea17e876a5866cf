"""The lines of pools: pieces that went from one state to another, and what named them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.calculations.stock.pools import POOL_KINDS
from app.records.asking import columns, grouped, rows_of
from app.records.models import Movement, PoolEvent, Supply, Use
from app.records.undo.ledgers import standing


@dataclass(frozen=True, kw_only=True)
class PoolLine:
    """Pieces that went from one state to another."""

    line_id: int
    supply_id: int
    day: date
    kind: str
    source: str
    target: str
    pieces: int
    loads: int
    note: str


_LINE = columns(PoolLine, PoolEvent, line_id=PoolEvent.id)

# Kinds of lines but for setting out and washing, after which a step has as many pieces as before.
_OTHERS = tuple(sorted(set(POOL_KINDS) - {"set out", "washed"}))


def events(session: Session, supply_ids: Collection[int]) -> dict[int, list[PoolLine]]:
    """By supply: its lines in order, but for what was only set out: loads, and pieces that came,
    left a step or were counted. They are a small part of all lines."""
    query = select(*_LINE).where(PoolEvent.supply_id.in_(sorted(supply_ids)))
    query = query.where(PoolEvent.kind != "set out").order_by(PoolEvent.id)
    return grouped(rows_of(PoolLine, session.execute(query)), "supply_id")


def since_last_delivery(session: Session, supply_id: int) -> list[PoolLine]:
    """A pool's lines after pieces were put in last; all of them where none ever were."""
    last = (
        select(func.max(PoolEvent.id))
        .where(PoolEvent.supply_id == supply_id, PoolEvent.kind == "added")
        .scalar_subquery()
    )
    query = select(*_LINE).where(
        PoolEvent.supply_id == supply_id,
        PoolEvent.id > func.coalesce(last, 0),
        PoolEvent.kind.in_(_OTHERS),
    )
    return rows_of(PoolLine, session.execute(query))


def moved(
    session: Session, supply_ids: Collection[int], until: date | None = None
) -> dict[int, list[tuple[str, str, int, int]]]:
    """By supply: (from, to, pieces, loads) of all lines together, up to the end of a day."""
    query = (
        select(
            PoolEvent.supply_id,
            PoolEvent.source,
            PoolEvent.target,
            func.sum(PoolEvent.pieces),
            func.sum(PoolEvent.loads),
        )
        .where(PoolEvent.supply_id.in_(sorted(supply_ids)))
        .group_by(PoolEvent.supply_id, PoolEvent.source, PoolEvent.target)
    )
    if until is not None:
        query = query.where(PoolEvent.day <= until)
    found: dict[int, list[tuple[str, str, int, int]]] = {}
    for supply_id, source, target, pieces, loads in session.execute(query):
        found.setdefault(supply_id, []).append((source, target, int(pieces), int(loads)))
    return found


def lines_to_take_back(
    session: Session, use_ids: Collection[int], movement_ids: Collection[int] = ()
) -> list[PoolEvent]:
    """The lines that stand and name one of these uses or movements."""
    named = or_(
        PoolEvent.use_id.in_(sorted(use_ids)), PoolEvent.movement_id.in_(sorted(movement_ids))
    )
    query = select(PoolEvent).where(named, standing(PoolEvent)).order_by(PoolEvent.id)
    return list(session.scalars(query))


def washed_on(session: Session, supply_id: int, day: date) -> list[PoolEvent]:
    """The loads of a day that were typed by themselves, not with what a job took."""
    query = select(PoolEvent).where(
        PoolEvent.supply_id == supply_id,
        PoolEvent.day == day,
        PoolEvent.kind == "washed",
        PoolEvent.use_id.is_(None),
        standing(PoolEvent),
    )
    return list(session.scalars(query.order_by(PoolEvent.id)))


def last_movement(session: Session, supply_id: int, kind: str) -> int | None:
    """The newest line of a kind in a supply's stock ledger."""
    return session.scalar(
        select(func.max(Movement.id)).where(Movement.supply_id == supply_id, Movement.kind == kind)
    )


def taken_and_set_out(session: Session, supply_id: int, after_line: int) -> tuple[int, int]:
    """(thousandths of a piece that jobs took, pieces set out for them) by lines after one."""
    lines = (
        select(PoolEvent.use_id.label("use_id"), func.sum(PoolEvent.pieces).label("pieces"))
        .where(
            PoolEvent.supply_id == supply_id,
            PoolEvent.id > after_line,
            PoolEvent.kind == "set out",
            PoolEvent.use_id.is_not(None),
            standing(PoolEvent),
        )
        .group_by(PoolEvent.use_id)
        .subquery()
    )
    taken, out = session.execute(
        select(
            func.coalesce(func.sum(Use.quantity), 0), func.coalesce(func.sum(lines.c.pieces), 0)
        ).join(lines, lines.c.use_id == Use.id)
    ).one()
    return int(taken), int(out)


def left_by_day(
    session: Session, supply_ids: Collection[int], since: date
) -> list[tuple[int, date, str, str, int]]:
    """(supply, day, from, to, pieces) of lines by which pieces may have left a step for good; a
    counter-line stands on the day of what it takes back."""
    taken_back = PoolEvent.__table__.alias()
    rows = session.execute(
        select(
            PoolEvent.supply_id,
            func.coalesce(taken_back.c.day, PoolEvent.day),
            PoolEvent.source,
            PoolEvent.target,
            PoolEvent.pieces,
        )
        .outerjoin(taken_back, taken_back.c.id == PoolEvent.counters_id)
        .where(
            PoolEvent.day >= since,
            PoolEvent.kind.in_(_OTHERS),
            func.coalesce(taken_back.c.kind, "").not_in(("set out", "washed")),
        )
    )
    # Not asked for by supply: for that every line that they ever had would be read.
    wanted = set(supply_ids)
    return [
        (one, day, start, end, pieces) for one, day, start, end, pieces in rows if one in wanted
    ]


def began(session: Session, supply_ids: Collection[int]) -> dict[int, date]:
    """The day of each pool's first line: one step through an index for each."""
    first = (
        select(PoolEvent.day)
        .where(PoolEvent.supply_id == Supply.id)
        .order_by(PoolEvent.id)
        .limit(1)
        .correlate(Supply)
        .scalar_subquery()
    )
    rows = session.execute(select(Supply.id, first).where(Supply.id.in_(sorted(supply_ids))))
    return {one: day for one, day in rows if day is not None}


def last_days(session: Session) -> dict[int, date]:
    """The last day on which anything was done with each pool."""
    query = select(PoolEvent.supply_id, func.max(PoolEvent.day)).group_by(PoolEvent.supply_id)
    return dict(session.execute(query).all())
