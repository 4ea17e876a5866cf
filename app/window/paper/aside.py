"""Columns that stand aside where a table has no room for all, and what the margin says of them."""

from __future__ import annotations

import re

from PySide6.QtWidgets import QApplication, QWidget

from app.window.paper.copying import said
from app.window.paper.notes import Block, Facts, Note, NoteHeading, Plain
from app.window.paper.rowtable import RowTable
from app.window.paper.spoken import spoken_block

SHORT = 22  # letters of a value that has room beside its heading
LONE = 3  # letters of a number alone


def aside_blocks(page: QWidget | None, note: Note) -> tuple[Block, ...]:
    """What the row in view says in columns that stand aside, and the note does not.

    Of several tables on a page that with the focus counts, where any has it.
    """
    tables = page.findChildren(RowTable) if page is not None else []
    now = QApplication.focusWidget()
    here = [one for one in tables if one.isVisible() and (one is now or now not in tables)]
    told = " ".join(spoken_block(block) for block in (NoteHeading(note.title), *note.blocks))
    pairs = [pair for table in here for pair in _said_aside(table) if not _is_told(pair[1], told)]
    short = tuple(pair for pair in pairs if len(pair[1]) <= SHORT)
    long = [Plain(f"{head}: {words}", "ink2") for head, words in pairs if len(words) > SHORT]
    return (*([Facts(short)] if short else []), *long)


def _is_told(words: str, told: str) -> bool:
    """Whether a note has these words; a lone number may be of something else."""
    return len(words) > LONE and re.search(rf"(?<!\w){re.escape(words)}(?!\w)", told) is not None


def _said_aside(table: RowTable) -> list[tuple[str, str]]:
    index = table.currentIndex()
    if not index.isValid():
        return []
    cells = [
        (column, said(table.entries.cell(index.row(), at)))
        for at, column in enumerate(table.entries.columns)
        if column.aside and table.isColumnHidden(at)
    ]
    return [(f"{column.head} {column.subhead}".strip(), words) for column, words in cells if words]
