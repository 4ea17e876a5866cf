"""The lines of a pool."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.records.models import PoolEvent


@dataclass(frozen=True)
class PoolLine:
    """Pieces that went from one state to another."""

    day: date
    kind: str
    source: str
    target: str
    pieces: int
    loads: int
    said: str


def lines(session: Session, supply_id: int) -> list[PoolLine]:
    """Every line of a pool, in order."""
    return [
        PoolLine(row.day, row.kind, row.source, row.target, row.pieces, row.loads, row.note)
        for row in session.scalars(
            select(PoolEvent).where(PoolEvent.supply_id == supply_id).order_by(PoolEvent.id)
        )
    ]
