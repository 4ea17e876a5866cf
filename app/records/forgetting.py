"""Dropping images too old for anyone to undo, so that the book does not grow for nothing."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import Table, delete, func, select, update
from sqlalchemy.engine import Connection

from app.records.models import Action, Image, Record

KEEP_DAYS = 400

_ACTIONS: Table = Record.metadata.tables[Action.__tablename__]
_IMAGES: Table = Record.metadata.tables[Image.__tablename__]


def forget_images(connection: Connection, days: int = KEEP_DAYS) -> int:
    """Drop the images of actions so many days older than the last; the actions stay named.

    Nobody takes back a whole year entry by entry, and a backup of each time is kept. The days
    are reckoned from the last action and not from the clock, so that a clock gone wrong drops
    nothing.

    Returns the number of images dropped.
    """
    newest = connection.execute(select(_ACTIONS.c.at).order_by(_ACTIONS.c.id.desc())).scalar()
    first = select(func.min(_IMAGES.c.action_id)).scalar_subquery()
    oldest = connection.execute(select(_ACTIONS.c.at).where(_ACTIONS.c.id == first)).scalar()
    if newest is None or oldest is None or oldest >= newest - timedelta(days=days):
        return 0
    old = _ACTIONS.c.at < newest - timedelta(days=days)
    numbers = select(_ACTIONS.c.id).where(old)
    dropped = connection.execute(delete(_IMAGES).where(_IMAGES.c.action_id.in_(numbers)))
    connection.execute(update(_ACTIONS).where(old, _ACTIONS.c.state == "done").values(state="kept"))
    return int(dropped.rowcount)
