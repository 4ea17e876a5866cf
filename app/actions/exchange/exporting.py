"""Taking everything out of the book, and an empty workbook to fill in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from app.actions.desk.desk import Desk
from app.documents.export.layout import SHEETS
from app.documents.export.template import write_template
from app.documents.export.workbook import About, Records, write_export
from app.documents.reading.options import Progress
from app.errors import Mendable
from app.records.queries import everything

_ENDING = ".xlsx"


# Called with where the file now is that stood in the place before.
Moved = Callable[[Path], object]


def export(
    desk: Desk, path: Path, progress: Progress | None = None, moved: Moved | None = None
) -> Path:
    """Write every record of the book into one workbook; returns where it stands.

    A file that stands there already is moved aside, and `moved` is told where to.

    Only the log of actions stays behind: what was done can be undone in its own book alone.
    Raises Mendable when the place cannot be written.
    """
    path = workbook_path(path)
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
        kinds = [records(layout.kind) for layout in SHEETS]
        tell(moved, write_export(path, about, kinds, names, progress))
    desk.book.copy_photos(path.parent)
    return path


def template(path: Path, moved: Moved | None = None) -> Path:
    """Write the empty workbook with headings and notes; returns where it stands.

    A file that stands there already is moved aside, and `moved` is told where to.
    """
    path = workbook_path(path)
    tell(moved, write_template(path))
    return path


def tell(moved: Moved | None, aside: Path | None) -> None:
    """Say where a file is now that stood in the place, if one did."""
    if moved is not None and aside is not None:
        moved(aside)


def workbook_path(path: Path) -> Path:
    """The place for a workbook, with its ending; `Mendable` where none can be there."""
    path = Path(path).expanduser()
    if path.suffix and path.suffix.casefold() != _ENDING:
        raise Mendable(f"{path.name} should end in {_ENDING}; give it that ending.")
    path = path if path.suffix else path.with_suffix(_ENDING)
    if not path.parent.is_dir():
        raise Mendable(f"There is no folder {path.parent}; make it, or choose another place.")
    if path.is_dir():
        raise Mendable(f"{path} is a folder; choose the name of a file.")
    return path
