"""Writes the tables of `docs/files.md`, `docs/bringing-in.md` and `docs/guide.md` from the code.

Run it after a column was added to the full export or to the template, or a key to a place:
`python -m tests.documents.tables_of_docs`.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

from app.documents.export.layout import BY_KIND, BY_TITLE, Field
from app.documents.export.template import SHEETS as TEMPLATE
from app.documents.reading.meanings import MEANINGS
from app.window.paper.notes import Keys
from app.window.places import asides, places

DOCS = Path(__file__).parents[2] / "docs"
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


def of_the_export(title: str) -> list[str]:
    """The rows of a sheet of the full export; none for another title."""
    layout = BY_TITLE.get(title.casefold())
    fields = layout.fields if layout is not None else ()
    return [f"| {one.heading} | {told_as(one)} | {one.note}".strip() + " |" for one in fields]


def of_the_template(title: str) -> list[str]:
    """The rows of a sheet of the template; none for another title."""
    columns = TEMPLATE.get(title, ())
    return [f"| {heading} | {MEANINGS[key].note}".strip() + " |" for key, heading in columns]


def of_the_keys(title: str) -> list[str]:
    """The rows of a place's keys, by its name; none for another title."""
    built = {entry.name: entry.build for entry in (*places(), *asides())}
    if title not in built:
        return []
    named = re.findall(r"app\.window\.[\w.]+", inspect.getsource(built[title]))
    page = inspect.getsource(built[title]).partition("return ")[2].partition("(")[0]
    keys: Keys = ()
    for _group, some in getattr(import_module(named[0]), page).keys:
        keys += tuple(one for one in some if one not in keys)
    return [f"| {key} | {does} |" for key, does in keys]


PAGES = {
    "files.md": of_the_export, "bringing-in.md": of_the_template, "guide.md": of_the_keys,
}  # fmt: skip


def with_tables(page: str, rows_of: Callable[[str], list[str]]) -> str:
    """The page with the rows of every sheet's table as the code has them."""
    lines: list[str] = []
    rows: list[str] = []
    for line in page.splitlines():
        if line.startswith("#"):
            rows = rows_of(line.lstrip("# "))
        if not (rows and line.startswith("|")):
            lines.append(line)
        elif line.startswith("|---"):
            lines += [line, *rows]
        elif line.startswith(("| column |", "| heading |", "| key |")):
            lines.append(line)
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    for name, rows_of in PAGES.items():
        written = with_tables((DOCS / name).read_text(encoding="utf-8"), rows_of)
        (DOCS / name).write_text(written, encoding="utf-8")
