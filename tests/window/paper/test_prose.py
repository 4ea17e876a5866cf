"""Our Markdown as rich text: nothing that is written is lost or taken for markup."""

from __future__ import annotations

from PySide6.QtGui import QTextDocument

from app.window.paper.prose import chapters, rich_text
from app.window.paper.theme import Theme

PAGE = """# Guide

Before.

## One

![A picture](pictures/one.png)

Words that **stand out**, *slant*, and `a < b` & [a link](other.md).

- first
- second, over
  two lines

| key | what it does |
|---|---|
| Alt ↑ | up \u2026 |

## Two

Last.
"""


def told(text: str, theme: Theme) -> str:
    document = QTextDocument()
    document.setHtml(rich_text(text, theme))
    return document.toPlainText()


def test_chapters_stand_by_their_headings_in_order() -> None:
    assert list(chapters(PAGE)) == ["One", "Two"]
    assert chapters(PAGE)["Two"] == "Last."


def test_a_reader_sees_the_words_and_none_of_the_signs(theme: Theme) -> None:
    seen = told(chapters(PAGE)["One"], theme)
    assert "Words that stand out, slant, and a < b & a link." in seen
    assert "second, over two lines" in seen
    assert "Alt ↑" in seen
    assert "up …" in seen
    assert not set("*`|[]") & set(seen)
    assert "picture" not in seen.lower()


def test_what_looks_like_markup_of_the_browser_is_text(theme: Theme) -> None:
    assert told("A <b>bold</b> claim", theme) == "A <b>bold</b> claim"
