"""The lines that get a book back on another PC, large enough to type them from."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from app.documents.papers.paper import _font, _paper


def backup_paper_pdf(lines: Sequence[str], path: Path, region: str = "US") -> Path:
    """One page; it holds no passphrase, and room for none."""
    with _paper(path, region, "Getting the book back") as page:
        page.text("Getting the book back", _font("Vollkorn", 18, 600))
        page.space(6)
        for line in lines:
            typed = line.startswith(" ")
            page.paragraph(line.strip(), _font(size=12, weight=600 if typed else 400))
            page.space(2)
    return path
