"""A statement as it is printed, as plain data: every word and sum is set already."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class StatementLine:
    """An invoice that is not wholly paid."""

    number: str
    issued: str
    due_on: str
    words: str  # what it is for
    order: str  # their own number for it
    days: int  # since it was issued
    gross: str  # less what was credited
    came: str
    due: str
    said: str  # what was said last; the shop's own, never printed


@dataclass(frozen=True, kw_only=True)
class StatementSheet:
    """What somebody owes on a day; `bands` are its sums by age."""

    title: str
    day: str
    shop_name: str
    shop_address: str
    shop_answer: str
    mark: str = ""
    to: tuple[str, ...]
    bands: tuple[tuple[str, str], ...]
    lines: tuple[StatementLine, ...]
    due: str
    currency: str
    how_to_pay: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
