"""Several actions that were one deed, such as three bookings moved together, undone as one."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.records.models import Action, Image
from app.records.undo.action_log import write_images
from app.records.undo.images import RowImage, differing
from app.records.undo.undoing import images_of


def join_since(session: Session, before: int, name: str) -> None:
    """Make one action of those after the action `before`, called `name`: the newest takes in the
    rest, so that the log still ends where it did. Where one of them cannot be taken back, they
    stay as they are.
    """
    actions = list(session.scalars(select(Action).where(Action.id > before).order_by(Action.id)))
    if len(actions) < 2 or any(one.state != "done" or one.of_id for one in actions):
        return
    joined: dict[object, RowImage] = {}
    for action in actions:
        for image in images_of(session, action):
            at = (image.table, image.key)
            joined[at] = _after(joined[at], image) if at in joined else image
    for row in session.scalars(select(Image).where(Image.action_id > before)):
        session.delete(row)
    newest = actions.pop()
    newest.name, newest.kinds = name[:200], sorted({*newest.kinds, *_kinds(actions)})
    session.flush()
    for action in actions:
        session.delete(action)
    session.flush()
    said = [_said(image) for image in joined.values()]
    write_images(session, newest, [one for one in said if one is not None])


def _kinds(actions: list[Action]) -> set[str]:
    return {kind for action in actions for kind in action.kinds}


def _after(first: RowImage, then: RowImage) -> RowImage:
    """One image of a row that was changed twice."""
    before, after = first.before, then.after
    if before is not None and then.before is not None:
        before = {**then.before, **before}
    if after is not None and first.after is not None:
        after = {**first.after, **after}
    return RowImage(first.table, first.key, before, after)


def _said(image: RowImage) -> RowImage | None:
    """An image of only what differs; none where nothing came of it."""
    if image.before == image.after:
        return None
    if image.before is None or image.after is None:
        return image
    return RowImage(image.table, image.key, *differing(image.before, image.after))
