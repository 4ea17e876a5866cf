"""The tables that say what happened to vehicles' layers and what was seen of them."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.records.asking import in_parts
from app.records.models import Judgement, LayerEvent

OF_VEHICLES = {model.__tablename__: model for model in (LayerEvent, Judgement)}


def vehicles_of(session: Session, table: str, ids: Iterable[int]) -> set[int]:
    """The vehicles that these rows of one of the tables are about now."""
    model = OF_VEHICLES[table]
    found: set[int] = set()
    for part in in_parts(ids):
        found.update(session.scalars(select(model.vehicle_id).where(model.id.in_(part))))
    return found
