"""Price breaks as people type them: `4 at 38`, `from 4: 38.00; from 12: 34.00`, `4+ 38`."""

from __future__ import annotations

import re

from app.calculations.numbers.money import read_money
from app.errors import Mendable

MOST_PACKS = 9999
_ONE = re.compile(
    r"(?:from\s+)?(?P<packs>\d{1,6})\s*(?:packs?|pcs|x|×)?\s*(?:or more|and up|\+)?\s*"
    r"(?:at|for|:|=|@|each|\s)\s*(?P<price>\S.*)",
    re.IGNORECASE,
)
_APART = re.compile(r"\s*(?:;|\n|,\s+(?=\S*\d)|\s+and\s+(?=(?:from\s+)?\d))\s*", re.IGNORECASE)
_NONE = frozenset({"", "-", "–", "none", "no"})


def read_breaks(typed: str, price: int, currency: str) -> tuple[tuple[int, int], ...]:
    """(packs, price of one in minor units), rising in packs; nothing typed is no break.

    `price`: of one pack alone. Raises `Mendable` for what cannot be read, for breaks from fewer
    than two packs, and for such as cost as much as fewer packs do.
    """
    plain = " ".join(typed.split()).strip(" ;,.")
    if plain.casefold() in _NONE:
        return ()
    found: dict[int, int] = {}
    for part in _APART.split(plain):
        entered = _ONE.fullmatch(part.strip())
        if entered is None:
            raise Mendable(
                f"“{part.strip()[:40]}” is no price break; type one such as 4 at 38.00, and "
                "more behind a semicolon."
            )
        packs = int(entered["packs"])
        if not 2 <= packs <= MOST_PACKS:
            raise Mendable(f"A price break begins at 2 to {MOST_PACKS:,} packs, not at {packs:,}.")
        if packs in found:
            raise Mendable(f"Two prices are told from {packs} packs on; keep one of them.")
        each = read_money(re.sub(r"\s*(?:each|apiece)$", "", entered["price"].strip()), currency)
        if each < 0:
            raise Mendable("A price cannot be below zero.")
        found[packs] = each
    breaks = tuple(sorted(found.items()))
    before = price
    for packs, each in breaks:
        if each >= before:
            raise Mendable(
                f"From {packs} packs on each would cost no less than before; a price break is "
                "the price of one pack where so many are ordered at once."
            )
        before = each
    return breaks
