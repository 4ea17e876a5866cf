"""Undo and redo: one mechanism for every action, from the images of the rows it changed.

Undo puts the images back if the rows still stand as the action left them, else it says plainly what
changed since. A ledger line that is final (its day is closed, its reminder sent) stays; the line
that counters it is written instead, with reason and date.

An undo is itself an action with images, so doing something again is undoing its undo: the same
mechanism. A counter-line that has become final is not taken out either; then the line that it took
back is written again.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Table, exists, func, inspect, select
from sqlalchemy.orm import Session, aliased

from app.errors import Refused
from app.records.asking import in_parts
from app.records.models import Action, Image, Reminder
from app.records.undo import ledgers, references
from app.records.undo.images import (
    RowImage,
    decoded,
    key_column,
    key_from_text,
    rows_now,
    table_named,
)
from app.records.undo.naming import spoken
from app.records.undo.references import MODELS

Place = tuple[Table, Any]  # a table and the key of a row in it


@dataclass(frozen=True)
class Undone:
    """What was undone or done again, the kinds of thing changed, how many lines were countered."""

    name: str
    kinds: frozenset[str]
    countered: int = 0


@dataclass(frozen=True)
class When:
    """The shop's day and the moment of an undo, and the reason for its counter-lines."""

    today: date
    at: datetime
    reason: str


def newest_done(session: Session) -> Action | None:
    """What undo would take back: the newest action that stands, done first or done again."""
    return _newest(session, select(Action).where(Action.state == "done"))


def newest_undo(session: Session) -> Action | None:
    """What redo would take back: the newest undo that stands, with nothing new done since."""
    new = select(func.coalesce(func.max(Action.id), 0)).where(
        Action.of_id.is_(None), Action.state != "kept"
    )
    return _newest(
        session,
        select(Action).where(
            Action.of_id.is_not(None),
            Action.state == "kept",
            Action.id > new.scalar_subquery(),
            exists().where(Image.action_id == Action.id),
        ),
    )


def _newest(session: Session, query: Any) -> Action | None:
    found: Action | None = session.scalars(query.order_by(Action.id.desc()).limit(1)).first()
    return found


def put_back(session: Session, action: Action, when: When) -> int:
    """Take an action back within a watched session; the number of lines that were countered.

    Raises `Refused` when a row no longer stands as the action left it, or is needed since.
    """
    images = images_of(session, action)
    final = _final(session, images)
    for table, group in _by_table(images).items():
        standing = rows_now(session.connection(), table, [image.key for image in group])
        for image in group:
            _stands_or_refuse(session, action, image, standing.get(image.key), final)
    settled = _settled(images, final)
    countered = [i for i in images if _at(i) in final - settled]
    removed = [i for i in images if i.before is None and _at(i) not in final | settled]
    # Read together and written together: a closed day is a hundred rows.
    rows = _rows(session, images)
    taken_back = _taken_back(session, images)
    with session.no_autoflush:
        _write_back(session, images, removed, countered, taken_back, when)
    del rows
    references.release(session, removed)
    return len(countered)


def _write_back(
    session: Session,
    images: list[RowImage],
    removed: list[RowImage],
    countered: list[RowImage],
    taken_back: set[Place],
    when: When,
) -> None:
    for image in countered:
        _counter(session, session.get(_model(image), image.key), taken_back, when)
    # In three steps, each written out before the next: what was freed may be taken again, such as
    # the number of a job.
    for image in removed:
        session.delete(session.get(_model(image), image.key))
    session.flush()
    revived = [_edit(session, image) for image in images if image.before and image.after]
    session.flush()
    for image in images:
        if image.before is not None and image.after is None:
            _revive(session, image, taken_back, when)
    session.add_all(row for row in revived if row is not None)
    session.flush()


def _rows(session: Session, images: list[RowImage]) -> list[Any]:
    """The rows that stand, read by table; the session finds them again as long as we hold them."""
    rows: list[Any] = []
    for table, group in _by_table(images).items():
        keys = [image.key for image in group if image.after is not None]
        for part in in_parts(keys):
            query = select(_model(group[0])).where(key_column(table).in_(part))
            rows += session.scalars(query)
    return rows


def _taken_back(session: Session, images: list[RowImage]) -> set[Place]:
    """Which ledger lines have a counter-line, of those that the action wrote or took back."""
    found: set[Place] = set()
    for table, group in _by_table(images).items():
        if table.name not in ledgers.LEDGERS:
            continue
        lines = [image.key for image in group]
        lines += [line for image in group if (line := (image.before or {}).get("counters_id"))]
        for part in in_parts(lines):
            query = select(table.c.counters_id).where(table.c.counters_id.in_(part))
            found |= {(table, line) for line in session.connection().execute(query).scalars()}
    return found


def _at(image: RowImage) -> Place:
    return image.table, image.key


def _settled(images: list[RowImage], final: set[Place]) -> set[Place]:
    """Lines that came together with the counter-lines that take them back, where one is final.

    Such a pair, brought back by a redo, says nothing: it stays, unless what it is about goes.
    """
    new = {_at(image): image.after for image in images if image.before is None}
    found = set()
    for (table, key), row in new.items():
        line = (table, (row or {}).get("counters_id"))
        if line in new and final & {line, (table, key)}:
            found |= {line, (table, key)}
    return found


def _model(image: RowImage) -> type[Any]:
    return MODELS[image.table.name]


def _edit(session: Session, image: RowImage) -> Any:
    """Set the changed columns back; returns the row to add anew where that is the only way.

    Two rows may have exchanged what only one can have: then both go before both come back.
    """
    model = _model(image)
    row = session.get(model, image.key)
    values = decoded(image.table, image.before or {})
    if not values.keys() & _unique_columns(image.table):
        for name, value in values.items():
            setattr(row, name, value)
        return None
    names = [column.name for column in image.table.columns]
    again = model(**{name: getattr(row, name) for name in names} | values)
    session.delete(row)
    return again


def _revive(session: Session, image: RowImage, taken_back: set[Place], when: When) -> None:
    """Put back a row that the action took out."""
    values = decoded(image.table, image.before or {})
    line = values.get("counters_id")
    if (image.table, line) in taken_back:
        # Meanwhile the line was taken back by another counter-line, and written again.
        _counter(session, session.get(_model(image), line), taken_back, when)
        return
    session.add(_model(image)(**values))


def _unique_columns(table: Table) -> set[str]:
    indexed = {c.name for index in table.indexes if index.unique for c in index.columns}
    return indexed | {column.name for column in table.columns if column.unique}


def images_of(session: Session, action: Action) -> list[RowImage]:
    """The rows that an action changed, in the order in which it touched them."""
    rows = session.scalars(
        select(Image).where(Image.action_id == action.id).order_by(Image.position)
    )
    images = []
    for row in rows:
        table = table_named(row.table_name)
        key = key_from_text(table, row.row_key)
        images.append(RowImage(table, key, row.before, row.after))
    return images


def _by_table(images: list[RowImage]) -> dict[Any, list[RowImage]]:
    groups: dict[Any, list[RowImage]] = {}
    for image in images:
        groups.setdefault(image.table, []).append(image)
    return groups


def _final(session: Session, images: list[RowImage]) -> set[Place]:
    """The ledger lines that the action wrote and that may no longer be taken out."""
    found = set()
    for table, group in _by_table(images).items():
        if table.name in ledgers.LEDGERS:
            new = [image.key for image in group if image.before is None]
            keys = ledgers.final_keys(session.connection(), table, new)
            found |= {(table, key) for key in keys}
    return found


def _stands_or_refuse(
    session: Session,
    action: Action,
    image: RowImage,
    found: dict[str, Any] | None,
    final: set[Place],
) -> None:
    """Of a final line only what it says has to stand; its links may have been set anew."""
    loose = ledgers.LOOSE if _at(image) in final else frozenset()
    if found is None and image.after is None:
        return
    if found is not None and image.after is not None:
        differing = [
            name
            for name, value in image.after.items()
            if name not in loose and found[name] != value
        ]
        gone, how = _has_gone_out(image, found), _on_its_way(image, found)
        if not differing and not gone and not how:
            return
        since = f"has changed since ({', '.join(name.replace('_', ' ') for name in differing)})"
        since = "has gone out" if gone else how or since
    elif found is None:
        since = "was removed since"
    else:
        since = "was put back since"
    what = spoken(session.connection(), image.table, image.key, image.after or image.before)
    raise Refused(f"“{action.name}” cannot be undone: {what} {since}.")


def _on_its_way(image: RowImage, found: dict[str, Any]) -> str:
    """What is said of a message that went on its way since, and where one goes on with it."""
    if image.table is not Reminder.__table__ or (image.after or {}).get("state") == found["state"]:
        return ""
    return {
        "uncertain": "may have gone; Renewals asks whether it did",
        "sending": "is on its way",
    }.get(found["state"], "")


def _has_gone_out(image: RowImage, found: dict[str, Any]) -> bool:
    """Whether these are words of a message that has gone since: what went stays as it went."""
    after = image.after or {}
    words = image.table is Reminder.__table__ and ("text" in after or "subject" in after)
    return words and found["sent_on"] is not None and after.get("sent_on") is None


def _counter(session: Session, row: Any, taken_back: set[Place], when: When) -> None:
    """Take back one final line of a ledger."""
    if row.counters_id is not None:
        _write_again(session, row)
        return
    table = inspect(type(row)).local_table
    if (table, row.id) in taken_back:
        # It was taken back for good and written again since: that line stands for it now.
        session.flush()
        row = _standing_twin(session, row)
        if not ledgers.final_keys(session.connection(), table, [row.id]):
            session.delete(row)
            return
    session.add(ledgers.countering(row, day=when.today, at=when.at, note=when.reason))


def _write_again(session: Session, counter: Any) -> None:
    """Write the line that was taken back anew, as it was: its day and moment place it in time."""
    line = session.get(type(counter), counter.counters_id)
    names = [column.key for column in inspect(type(counter)).column_attrs]
    values = {name: getattr(line, name) for name in names if name not in ("id", "counters_id")}
    session.add(type(counter)(**values))


def _standing_twin(session: Session, row: Any) -> Any:
    """The newest line that says the same as this one and stands."""
    kind = type(row)
    twin = aliased(kind)
    query = select(twin).where(twin.id > row.id, ledgers.standing(twin))
    for attribute in inspect(kind).column_attrs:
        if attribute.key not in ("id", "note", "counters_id"):
            query = query.where(getattr(twin, attribute.key) == getattr(row, attribute.key))
    found = session.scalars(query.order_by(twin.id.desc()).limit(1)).first()
    if found is None:
        raise Refused(f"A line of {row.day} was taken back already; it cannot be twice.")
    return found
