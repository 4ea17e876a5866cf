"""Cells of a sheet as a workbook's own XML (SpreadsheetML, ECMA-376 part 1, 18.3.1).

A package that makes an object and a tree of each cell takes over a minute for ten years of a shop;
as plain text they are written twenty times as fast.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any
from xml.sax.saxutils import escape

from app.documents.export.exact import MOST_IN_A_CELL, cell_of, escaped
from app.documents.export.layout import Field

# A spreadsheet takes a text that begins so for a formula or an error.
RUNS = tuple("=+-@\t\r#")


@dataclass(frozen=True, slots=True)
class Styles:
    """The numbers under which a workbook keeps its ways of showing a cell."""

    money: int
    day: int
    marked: int  # text that stays text, also after somebody has been in it


def cell_writer(field: Field, digits: int, styles: Styles) -> Callable[[Any], str]:
    """What turns a value of a field into its cell behind the place: "" for none.

    Keys and names come as they stand. Of a text too long for a cell its beginning is taken.
    """
    exact = not field.name or field.points_to
    money = field.form == "money"

    def written(value: Any) -> str:
        told = value if exact else cell_of(value, field, digits)
        if isinstance(told, str):
            return text_cell(told[:MOST_IN_A_CELL], styles.marked)
        if isinstance(told, date):
            return f' s="{styles.day}"><v>{_day_number(told)}</v></c>'
        if told is None:
            return ""
        return f' s="{styles.money}"><v>{told!r}</v></c>' if money else f"><v>{told!r}</v></c>"

    return written


def text_cell(text: str, marked: int) -> str:
    """A text as a cell behind its place; `marked` is the style of what must not run."""
    if not text:
        return ""
    told = escaped(text)
    style = f' s="{marked}"' if told.startswith(RUNS) else ""
    space = ' xml:space="preserve"' if told != told.strip() or "\n" in told else ""
    if "&" in told or "<" in told or ">" in told:
        told = escape(told)
    return f'{style} t="inlineStr"><is><t{space}>{told}</t></is></c>'


@cache
def _day_number(day: date) -> int:
    """A day as a spreadsheet counts it."""
    from openpyxl.utils.datetime import to_excel

    return int(to_excel(day))
