"""The log of actions: what was done, by name, with the images that make undo possible."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import insert, select
from sqlalchemy.engine import Connection

from app.records.images import RowImage, key_as_text
from app.records.models import Action, Image


@dataclass(frozen=True)
class LoggedAction:
    """One action as the log shows it.

    `state` is "done" (it can be undone), "undone", or "kept" (it stands and is not offered for
    undo; with `of_id`, it took back the action of that number).
    """

    id: int
    name: str
    at: datetime
    day: date | None
    kinds: tuple[str, ...]
    state: str
    of_id: int | None


def note_action(
    connection: Connection,
    *,
    name: str,
    at: datetime,
    day: date | None,
    kinds: Iterable[str],
    state: str,
    images: Sequence[RowImage],
    of_id: int | None = None,
) -> int:
    """Write an action with its images; returns its number."""
    row = {
        "name": name[:200],
        "at": at,
        "day": day,
        "kinds": sorted(set(kinds)),
        "state": state,
        "of_id": of_id,
    }
    (number,) = connection.execute(insert(Action.__table__).values(row)).inserted_primary_key  # type: ignore[arg-type]
    if images:
        connection.execute(
            insert(Image.__table__),  # type: ignore[arg-type]
            [
                {
                    "action_id": number,
                    "position": position,
                    "table_name": image.table.name,
                    "row_key": key_as_text(image.key),
                    "before": image.before,
                    "after": image.after,
                }
                for position, image in enumerate(images)
            ],
        )
    return int(number)


def history(connection: Connection, limit: int) -> list[LoggedAction]:
    """The last actions, newest first."""
    query = select(Action.__table__).order_by(Action.id.desc()).limit(limit)  # type: ignore[arg-type]
    return [
        LoggedAction(
            row["id"],
            row["name"],
            row["at"],
            row["day"],
            tuple(row["kinds"]),
            row["state"],
            row["of_id"],
        )
        for row in connection.execute(query).mappings()
    ]
