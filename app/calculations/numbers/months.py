"""Months as people type them: by name, by number, several at once."""

from __future__ import annotations

import re

from app.errors import Mendable

NAMES = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def read_months(typed: str) -> list[int]:
    """The months (1 to 12, in order, each once) in `Oct, Nov`, `10 11` or `March to May`.

    Nothing typed is none. A span may run over the turn of the year. Raises `Mendable`.
    """
    plain = typed.strip().casefold()
    plain = re.sub(r"\s*(?:–|-|\bto\b|\buntil\b)\s*", "-", plain)
    found: set[int] = set()
    for part in re.split(r"[\s,;/&+]+|\band\b", plain):
        if not part:
            continue
        first, _, last = part.partition("-")
        begin = _month(first, typed)
        end = _month(last, typed) if last else begin
        found |= {(begin - 1 + step) % 12 + 1 for step in range((end - begin) % 12 + 1)}
    return sorted(found)


def _month(word: str, typed: str) -> int:
    if word.isascii() and word.isdigit() and len(word) <= 2 and 1 <= int(word) <= 12:
        return int(word)
    fits = [at for at, name in enumerate(NAMES, 1) if name.casefold().startswith(word)]
    if len(word) >= 3 and len(fits) == 1:
        return fits[0]
    raise Mendable(f"“{typed.strip()[:40]}” names no months; type them like Oct, Nov.")


def month_words(months: list[int] | tuple[int, ...]) -> str:
    """The months in words: "October, November"."""
    return ", ".join(NAMES[month - 1] for month in months)
