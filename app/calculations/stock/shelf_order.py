"""The order in which a person walks along the shelf: A2 before A10, no place last."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from datetime import date
from fractions import Fraction

_PART = re.compile(r"\d+|\D+")


def shelf_order(place: str, name: str) -> tuple[bool, tuple[tuple[int, int, str], ...], str]:
    """A key for sorting by place, numbers in it by their value, then by name."""
    plain = place.strip().casefold()
    parts = tuple(
        (0, int(part), "") if part.isdecimal() else (1, 0, part.strip())
        for part in _PART.findall(plain)
        if part.strip()
    )
    return (not plain, parts, name.casefold())


def quarter(day: date) -> tuple[int, int]:
    """Year and quarter of a day."""
    return day.year, (day.month + 2) // 3


def unrecorded_shares(
    lines: Iterable[tuple[date, str, int]], quarters: Collection[tuple[int, int]]
) -> dict[tuple[int, int], tuple[int, Fraction | None]]:
    """By quarter: what counts found gone without a record, and its share of all that went.

    Args:
        lines: day, kind (`used` or `counted`) and signed quantity of a supply's ledger, counters
            under the kind that they take back; its opening count must be left out.
        quarters: those wanted.

    Returns:
        Unrecorded use (base units; below zero where counts found more than the book said) and its
        share of recorded and unrecorded use together; no share where nothing went.
    """
    used = dict.fromkeys(quarters, 0)
    gone = dict.fromkeys(quarters, 0)
    for day, kind, quantity in lines:
        when = quarter(day)
        if when not in used:
            continue
        if kind == "used":
            used[when] -= quantity
        elif kind == "counted":
            gone[when] -= quantity
    return {
        when: (gone[when], Fraction(gone[when], whole) if (whole := used[when] + gone[when]) > 0
               else None)
        for when in used
    }  # fmt: skip
