"""Taking everything out of the book, and an empty workbook to fill in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from app.actions.desk.desk import Desk
from app.documents.export.layout import SHEETS
from app.documents.export.template import write_template
from app.documents.export.workbook import About, Records, write_export
from app.documents.reading.options import Progress
from app.errors import Mendable
from app.records.queries import everything

_ENDING = ".xlsx"


def export(desk: Desk, path: Path, progress: Progress | None = None) -> Path:
    """Write every record of the book into one workbook; returns where it stands.

    Only the log of actions stays behind: what was done can be undone in its own book alone.
    Raises Mendable when the place cannot be written.
    """
    path = _workbook(path)
    with desk.book.reading() as session:

        def records(kind: str) -> Records:
            def rows() -> Iterator[everything.Row]:
                return everything.rows(session, kind)

            return Records(kind, everything.count(session, kind), rows)

        names: dict[str, dict[int, str]] = {}
        for kind, column in (
            ("customers", "name"), ("vehicles", "description"), ("suppliers", "name"),
            ("supplies", "name"), ("services", "name"), ("jobs", "number"),
        ):  # fmt: skip
            names[kind] = {row["id"]: str(row[column]) for row in everything.rows(session, kind)}
        about = About(desk.settings.shop_name, desk.settings.currency, desk.today)
        write_export(path, about, [records(layout.kind) for layout in SHEETS], names, progress)
    return path


def template(path: Path) -> Path:
    """Write the empty workbook with headings and notes; returns where it stands."""
    path = _workbook(path)
    write_template(path)
    return path


def _workbook(path: Path) -> Path:
    path = Path(path).expanduser()
    if path.suffix and path.suffix.casefold() != _ENDING:
        raise Mendable(f"{path.name} should end in {_ENDING}; give it that ending.")
    path = path if path.suffix else path.with_suffix(_ENDING)
    if not path.parent.is_dir():
        raise Mendable(f"There is no folder {path.parent}; make it, or choose another place.")
    if path.is_dir():
        raise Mendable(f"{path} is a folder; choose the name of a file.")
    return path
