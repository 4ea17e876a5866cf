"""Where papers are written: a folder beside the book, one for each kind of paper."""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.desk import Desk
from app.errors import Mendable, reason_of


def papers_folder(desk: Desk, kind: str) -> Path:
    """The folder for a kind of paper, such as `orders`; made where it is missing."""
    path = desk.book.path
    folder = path.parent / f"{path.stem} papers" / kind
    for place in (folder.parent, folder):
        if place.exists() and not place.is_dir():
            raise Mendable(
                f"{place} is a file, where a folder of papers belongs; rename it or move it away."
            )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise Mendable(
            f"The folder {folder} could not be made ({reason_of(trouble)}); check the disk and its "
            "rights."
        ) from trouble
    return folder


def file_name(text: str, otherwise: str = "paper") -> str:
    """A text as it may stand in a file's name on any system."""
    kept = "".join(letter if letter.isalnum() or letter in " -" else " " for letter in text)
    return " ".join(kept.split())[:60].strip() or otherwise
