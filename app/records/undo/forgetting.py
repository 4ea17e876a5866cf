"""Dropping images too old for anyone to undo, so that the book does not grow for nothing."""

from __future__ import annotations

from sqlalchemy import Table, delete, func, select, update
from sqlalchemy.engine import Connection

from app.records.models import Action, Image, Record

# About a year of a busy shop. Counted in actions and not in days: a clock gone wrong drops nothing.
KEEP_ACTIONS = 20_000

_ACTIONS: Table = Record.metadata.tables[Action.__tablename__]
_IMAGES: Table = Record.metadata.tables[Image.__tablename__]


def forget_images(connection: Connection, keep: int = KEEP_ACTIONS) -> int:
    """Drop the images of all but the last actions; the others stay named, but are kept for good.

    Nobody takes back a whole year entry by entry, and a backup of each time is there.

    Returns the number of images dropped.
    """
    newest = connection.execute(select(func.max(_ACTIONS.c.id))).scalar() or 0
    last = newest - keep
    oldest = connection.execute(select(func.min(_IMAGES.c.action_id))).scalar()
    if oldest is None or oldest > last:
        return 0
    dropped = connection.execute(delete(_IMAGES).where(_IMAGES.c.action_id <= last))
    connection.execute(
        update(_ACTIONS)
        .where(_ACTIONS.c.id <= last, _ACTIONS.c.state == "done")
        .values(state="kept")
    )
    return int(dropped.rowcount)
