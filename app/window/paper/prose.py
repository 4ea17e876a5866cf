"""Running text to read: the part of Markdown that our pages use, as rich text in our type.

Paragraphs, headings, lists with `-`, tables, **strong**, *slanted*, `code`. A link is its words:
nothing is opened from here. A picture is left out: the reader stands before what it shows.
"""

from __future__ import annotations

import re
from html import escape

from app.window.paper.theme import Theme

_LINES = "line-height:106%; margin-top:0; margin-bottom:9px"
_PICTURE = re.compile(r"!\[[^\]]*\]\([^)]*\)")
_INLINE = (
    (re.compile(r"\[([^\]]*)\]\([^)]*\)"), r"\1"),
    (re.compile(r"`([^`]+)`"), r"<b>\1</b>"),
    (re.compile(r"\*\*([^*]+)\*\*"), r"<b>\1</b>"),
    (re.compile(r"\*([^*]+)\*"), r"<i>\1</i>"),
)


def chapters(text: str) -> dict[str, str]:
    """The chapters of a page by their `##` headings, in order; what stands before is left out."""
    found = re.split(r"^## +(.+)$", text, flags=re.MULTILINE)
    return {
        title.strip(): body.strip() for title, body in zip(found[1::2], found[2::2], strict=True)
    }


def rich_text(text: str, theme: Theme) -> str:
    """HTML as Qt reads it; sizes in pixels of the theme."""
    parts = [_part(part.strip(), theme) for part in re.split(r"\n\s*\n", _PICTURE.sub("", text))]
    row = theme.font("row")
    size = f"font-family:'{row.family()}'; font-size:{row.pixelSize()}px"
    return f'<body style="{size}">{"".join(parts)}</body>'


def _part(part: str, theme: Theme) -> str:
    if not part:
        return ""
    if part.startswith("#"):
        font = theme.font("entry")
        style = f"font-family:'{font.family()}'; font-size:{font.pixelSize()}px; font-weight:500"
        return f'<p style="{style}; {_LINES}">{_line(part.lstrip("# "))}</p>'
    if part.startswith("- "):
        items = re.split(r"^- ", part, flags=re.MULTILINE)[1:]
        return f"<ul>{''.join(f'<li>{_line(item)}</li>' for item in items)}</ul>"
    if part.startswith("|"):
        rows = [line.strip("| ").split(" | ") for line in part.splitlines()[2:]]
        gap = theme.px(18)
        told = (
            f'<tr><td style="padding-right:{gap}px"><b>{_line(row[0])}</b></td>'
            f"<td>{_line(' '.join(row[1:]))}</td></tr>"
            for row in rows
        )
        laid = f'cellspacing="0" cellpadding="{theme.px(2)}" style="margin-top:{theme.px(8)}px"'
        return f"<table {laid}>{''.join(told)}</table>"
    return f'<p style="{_LINES}">{_line(part)}</p>'


def _line(text: str) -> str:
    told = escape(" ".join(text.split()), quote=False)
    for shape, instead in _INLINE:
        told = shape.sub(instead, told)
    return told
