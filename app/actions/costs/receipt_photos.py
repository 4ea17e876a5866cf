"""Photos of receipts at expenses: kept as they came, found again by their hash, taken off.

A file is never deleted: a photo that is taken off can be put back by undo.
"""

from __future__ import annotations

from pathlib import Path

from app.actions.costs.expenses import KINDS, words_of_kind
from app.actions.desk.desk import Changed, Desk, there
from app.calculations.numbers.dates import day_month
from app.documents.reading.photo_file import PhotoFile
from app.errors import Mendable
from app.records.models import Photo
from app.records.queries import expenses as queries
from app.records.queries.expenses import PhotoRow


def add_photo(desk: Desk, expense_id: int, photo: PhotoFile) -> Changed:
    """Keep a photo with an expense, also with one of a closed day: it changes no sum."""
    with desk.book.reading() as session:
        row = there(queries.expense(session, expense_id), "This expense")
        known = queries.photos_of(session, [expense_id]).get(expense_id, [])
    if any(one.sha256 == photo.sha256 for one in known):
        raise Mendable(f"{photo.name} is kept with this expense already.")
    words = words_of_kind(row.kind, row.amount)
    name = f"Photo of {words} of {day_month(row.day)}"
    # The file first: a row without its file would be a loss, a file without its row is none.
    desk.book.keep_photo(photo.data, photo.sha256, photo.form)
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        session.add(
            Photo(
                sha256=photo.sha256, size=len(photo.data), form=photo.form, name=photo.name,
                day=desk.today, at=desk.clock(), expense_id=expense_id,
            )
        )  # fmt: skip
    return Changed(name, KINDS, f"{name} is kept.")


def take_photo_off(desk: Desk, photo_id: int) -> Changed:
    """Take a photo off its expense; its file stays in the folder of photos."""
    with desk.book.reading() as session:
        row = there(session.get(Photo, photo_id), "This photo")
        name = f"Photo {row.name} taken off"[:200]
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        session.delete(session.get_one(Photo, photo_id))
    return Changed(name, KINDS)


def photo_path(desk: Desk, photo: PhotoRow) -> Path:
    """Where a photo's file lies; `Mendable` where it is missing or was altered."""
    return desk.book.photo(photo.sha256, photo.form)
