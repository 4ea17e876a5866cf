"""What is said of drafts that were written, wherever they are asked for."""

from __future__ import annotations

from app.actions.letters.reminder_files import Drafts
from app.calculations.numbers.wording import count_of


def drafts_words(drafts: Drafts, folder: object) -> str:
    """How many files stand where, and what was taken off the list instead."""
    files = f"{count_of(len(drafts.files), 'file')} written to {folder}"
    off = drafts.changed.sentence
    if not off:
        return files
    return f"{off} {files}." if drafts.files else off
