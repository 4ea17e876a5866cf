"""Writing an action into the log, with the images of the rows that it changed."""

from __future__ import annotations

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from app.records.models import Action, Image, Record
from app.records.undo.images import RowImage, key_as_text


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
