"""What is kept of one person as plain text, for them to read: record by record, word by word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from app.calculations.numbers.dates import day_year
from app.calculations.numbers.money import minor_digits, shown_money
from app.documents.export.exact import cell_of
from app.documents.export.layout import BY_KIND, Field
from app.documents.export.workbook import About, free_name
from app.errors import Mendable, reason_of
from app.paths import flush_to_disk

Row = Mapping[str, Any]
Names = Mapping[str, Mapping[int, str]]


def person_text(
    about: About, who: str, records: Sequence[tuple[str, Sequence[Row]]], names: Names
) -> str:
    """The text: a heading for each kind of record, a paragraph for each record.

    `records` are the kinds with their rows, by column and "id"; `names` shows what keys lead to.
    """
    lines = [f"What the book of {about.shop or 'the shop'} holds of {who}, {day_year(about.day)}"]
    for kind, rows in records:
        layout = BY_KIND[kind]
        if not rows:
            continue
        lines += ["", layout.title.upper(), ""]
        for row in rows:
            said = [
                f"  {field.heading.removesuffix(' key')}: {words}"
                for field in layout.fields
                if (words := _words(row[field.name], field, about.currency, names))
            ]
            lines += [*said, ""]
    return "\n".join(lines).rstrip() + "\n"


def _words(value: Any, field: Field, currency: str, names: Names) -> str:
    if value is None or value in ("", [], {}):
        return ""
    if field.points_to:
        return names.get(field.points_to, {}).get(value, f"no. {value}")
    if field.form == "money":
        return shown_money(value, currency)
    if field.form == "day":
        return day_year(value)
    said = str(cell_of(value, field, minor_digits(currency)))
    return said.replace("\n", "\n    ")


def write_text(path: Path, text: str) -> Path | None:
    """Write a text; what stands there already is moved aside, and its new place returned."""
    aside: Path | None = None
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.write_text(text, encoding="utf-8")
        flush_to_disk(beside)
        if path.exists():
            aside = path.rename(free_name(path))
        beside.replace(path)
        flush_to_disk(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise Mendable(
            f"{path} cannot be written: {reason_of(error)}. Choose another place."
        ) from error
    return aside
