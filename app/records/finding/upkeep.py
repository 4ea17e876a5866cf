"""Keeping the full text what the book says: within each change, and made anew where it is not.

A change writes the few things that it touches itself, so that they are found at once; where it
touches many, they wait, and are taken in afterwards, some at a time. The same makes all of it anew.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from app.records.finding import full_text
from app.records.finding.documents import documents, newest_action, touched
from app.records.undo.images import RowImage

WITHIN_A_CHANGE = 24  # things; more would make the person wait
AT_ONCE = 40  # things that one turn of `mend` takes in: less than a frame


def follow(connection: Connection, images: Sequence[RowImage], action: int) -> None:
    """Take in what a change touched, in its own transaction; `action` is its number in the log.

    Where the full text had fallen behind, or fails, it stays behind until it is made anew: the
    change itself is never kept from being written.
    """
    if not images or not full_text.is_current(connection, newest_action(connection, action)):
        return
    keys = touched(connection, images)
    try:
        with connection.begin_nested(), full_text.unharmed():
            if len(keys) > WITHIN_A_CHANGE:
                full_text.waits(connection, keys)
            elif keys:
                full_text.put(connection, sorted(keys), documents(connection, keys))
            full_text.note(connection, action)
    except full_text.Unsearchable:
        pass  # what is not noted is behind


def mend(connection: Connection, *, anew: bool = False) -> bool:
    """Bring what is behind forward by one turn, or begin `anew`; whether there is more to do.

    `Unsearchable` where this SQLite knows no full text, or the file is damaged just there.
    """
    if anew or not full_text.is_current(connection, newest_action(connection)):
        try:
            with connection.begin_nested():
                full_text.begin(connection)
        except full_text.Unsearchable:
            full_text.drop(connection)
            full_text.begin(connection)
        return True
    keys = full_text.waiting(connection, AT_ONCE)
    if keys:
        full_text.put(connection, keys, documents(connection, keys))
        full_text.taken_in(connection, keys)
    return len(keys) == AT_ONCE
