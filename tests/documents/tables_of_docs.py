"""Writes the tables of `docs/files.md` anew from the layout of the full export.

Run it after a column was added to the layout: `python -m tests.documents.tables_of_docs`.
"""

from __future__ import annotations

from pathlib import Path

from app.documents.export.layout import BY_KIND, BY_TITLE, Field

FILES = Path(__file__).parents[2] / "docs" / "files.md"
_WORDS = {
    "text": "text", "whole": "whole number", "yes": "yes or no", "day": "date",
    "moment": "moment, UTC", "money": "money", "amount": "mL, g or pieces", "thousandths": "number",
    "list": "list, semicolons between", "json": "any value",
}  # fmt: skip


def told_as(field: Field) -> str:
    """How a column is told, in words."""
    if field.points_to:
        return f"key of {BY_KIND[field.points_to].title}"
    return _WORDS[field.form]


def with_tables(page: str) -> str:
    """The page with the rows of every sheet's table as the layout has them."""
    lines: list[str] = []
    fields: tuple[Field, ...] = ()
    for line in page.splitlines():
        if line.startswith("#"):
            layout = BY_TITLE.get(line.lstrip("# ").casefold())
            fields = layout.fields if layout is not None else ()
        if not (fields and line.startswith("|")):
            lines.append(line)
        elif line.startswith("|---"):
            lines.append(line)
            lines += [f"| {one.heading} | {told_as(one)} | {one.note}".strip() + " |"
                      for one in fields]  # fmt: skip
        elif line.startswith("| column |"):
            lines.append(line)
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    FILES.write_text(with_tables(FILES.read_text(encoding="utf-8")), encoding="utf-8")
