"""Writing out what the book holds of one person, for them: a workbook, and the same as text."""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.desk import Desk
from app.actions.exchange.exporting import Moved, tell, workbook_path
from app.documents.export.layout import SHEETS
from app.documents.export.person_text import person_text, write_text
from app.documents.export.workbook import ONE_PERSON, About, Records, write_export
from app.errors import Mendable
from app.records.queries import person


def find_person(desk: Desk, who: str) -> int:
    """The key of the customer of that name or number; `Mendable` where it is none, or several."""
    with desk.book.reading() as session:
        found = person.named(session, who)
    if not found:
        raise Mendable(
            f"There is no customer “{who[:60]}” in the book; check the name, or give the number."
        )
    if len(found) > 1:
        several = ", ".join(f"{key} ({name})" for key, name in found[:5])
        raise Mendable(f"“{who[:60]}” fits several customers; give the number: {several}.")
    return found[0][0]


def export_person(
    desk: Desk, customer_id: int, path: Path, moved: Moved | None = None
) -> tuple[Path, Path]:
    """Write everything of one customer into a workbook, and into a text beside it.

    A file that stands there already is moved aside, and `moved` is told where to. The log of
    actions stays behind, as in a full export. Raises `Mendable` when the place cannot be written.
    """
    path = workbook_path(path)
    text = path.with_suffix(".txt")
    if text.is_dir():
        raise Mendable(f"{text} is a folder; choose another name.")
    about = About(desk.settings.shop_name, desk.settings.currency, desk.today, what=ONE_PERSON)
    with desk.book.reading() as session:
        rows = person.rows_of(session, customer_id)
        names = person.names_beside(session)
    if not rows["customers"]:
        raise Mendable("This customer is not in the book any more.")
    for kind, column in (("customers", "name"), ("vehicles", "description"), ("jobs", "number")):
        names[kind] = {row["id"]: str(row[column]) for row in rows[kind]}
    kinds = [layout.kind for layout in SHEETS if layout.kind in rows]
    records = [Records(kind, len(rows[kind]), rows[kind].__iter__) for kind in kinds]
    tell(moved, write_export(path, about, records, names))
    who = str(rows["customers"][0]["name"])
    words = person_text(about, who, [(kind, rows[kind]) for kind in kinds], names)
    tell(moved, write_text(text, words))
    return path, text
