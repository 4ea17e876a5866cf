"""What the scale showed of a supply, in order: by day, and within a day by moment.

A weighing stands on the use of a job, or on the line of the ledger that counted it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, or_, select
from sqlalchemy.orm import Session

from app.records.models import Movement, Use
from app.records.undo.ledgers import standing


@dataclass(frozen=True)
class Weighing:
    """One reading: mg with the container; `use_id` is empty where it was counted."""

    day: date
    at: datetime
    weight: int
    use_id: int | None


def weighings_before(
    session: Session, supply_id: int, day: date, at: datetime | None, besides: int | None = None
) -> list[Weighing]:
    """The readings before a moment on a day (or its end), newest first: those of the day's jobs
    down to the first that is a count or of an earlier day. `besides` is a use that does not
    count."""
    at = at or datetime.max.replace(tzinfo=UTC)
    earlier = _of_uses(supply_id, besides).where(_before(Use.day, Use.weighed_at, day, at))
    uses = [
        Weighing(row.day, row.weighed_at, row.weight_after, row.id)
        for row in session.execute(
            earlier.where(Use.day == day).order_by(Use.weighed_at.desc(), Use.id.desc())
        )
    ]
    last = session.execute(
        earlier.where(Use.day < day).order_by(Use.day.desc(), Use.weighed_at.desc()).limit(1)
    ).first()
    if last is not None:
        uses.append(Weighing(last.day, last.weighed_at, last.weight_after, last.id))
    count = session.execute(
        _of_counts(supply_id)
        .where(_before(Movement.day, Movement.at, day, at))
        .order_by(Movement.day.desc(), Movement.at.desc(), Movement.id.desc())
        .limit(1)
    ).first()
    if count is None:
        return uses
    since = [one for one in uses if (one.day, one.at) > (count.day, count.at)]
    if since and since[-1].day < day:
        return since
    return [*since, Weighing(count.day, count.at, count.weight, None)]


def use_weighed_next(
    session: Session, supply_id: int, day: date, at: datetime, besides: int | None
) -> Use | None:
    """The use that was weighed next after a moment on a day, unless a count lies between."""
    found = session.scalars(
        select(Use)
        .where(
            Use.supply_id == supply_id,
            Use.weight_after.is_not(None),
            Use.id != (besides or 0),
            _after(Use.day, Use.weighed_at, day, at),
        )
        .order_by(Use.day, Use.weighed_at, Use.id)
        .limit(1)
    ).first()
    if found is None or found.weighed_at is None:
        return None
    between = session.execute(
        _of_counts(supply_id)
        .where(
            _after(Movement.day, Movement.at, day, at),
            _before(Movement.day, Movement.at, found.day, found.weighed_at),
        )
        .limit(1)
    ).first()
    return found if between is None else None


def _of_uses(supply_id: int, besides: int | None) -> Select[Any, Any, Any, Any]:
    return select(Use.id, Use.day, Use.weighed_at, Use.weight_after).where(
        Use.supply_id == supply_id, Use.weight_after.is_not(None), Use.id != (besides or 0)
    )


def _of_counts(supply_id: int) -> Select[Any, Any, Any]:
    return select(Movement.day, Movement.at, Movement.weight).where(
        Movement.supply_id == supply_id, Movement.weight.is_not(None), standing(Movement)
    )


def _before(days: Any, moments: Any, day: date, at: datetime) -> ColumnElement[bool]:
    return or_(days < day, and_(days == day, moments < at))


def _after(days: Any, moments: Any, day: date, at: datetime) -> ColumnElement[bool]:
    return or_(days > day, and_(days == day, moments > at))
