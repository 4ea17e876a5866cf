"""The log of what was done: writing an action with the images of its rows, and reading it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import String, func, insert, select, type_coerce
from sqlalchemy.orm import Session

from app.records.models import Action, Image, Record
from app.records.undo.images import RowImage, key_as_text


@dataclass(frozen=True)
class LoggedAction:
    """A line of the book's history; `of_id` is the action that this one took back, if it did."""

    id: int
    name: str
    at: datetime
    day: date | None
    undone: bool
    of_id: int | None = None


def newest_actions(session: Session, limit: int) -> list[LoggedAction]:
    """What was done, the newest first."""
    rows = session.scalars(select(Action).order_by(Action.id.desc()).limit(limit))
    return [LoggedAction(a.id, a.name, a.at, a.day, a.state == "undone", a.of_id) for a in rows]


def first_action_at(session: Session) -> str:
    """When the first action was done, as the file says it: alike in all copies of a book, and in
    no other book. Nothing where none was done.
    """
    return session.scalar(select(type_coerce(Action.at, String)).order_by(Action.id).limit(1)) or ""


def rows_of(session: Session, action: Action | None) -> int:
    """How many rows an action changed; none where there is no action."""
    if action is None:
        return 0
    images = select(func.count()).select_from(Image).where(Image.action_id == action.id)
    return session.scalar(images) or 0


def write_action(session: Session, action: Action, images: list[RowImage]) -> None:
    """Write an action with its images."""
    session.add(action)
    session.flush()
    write_images(session, action, images)


def write_images(session: Session, action: Action, images: list[RowImage]) -> None:
    """Write the images of an action that stands in the log."""
    if images:
        session.connection().execute(
            insert(Record.metadata.tables[Image.__tablename__]),
            [
                {
                    "action_id": action.id,
                    "position": position,
                    "table_name": image.table.name,
                    "row_key": key_as_text(image.key),
                    "before": image.before,
                    "after": image.after,
                }
                for position, image in enumerate(images)
            ],
        )
