"""Ingredients that must not meet: one caution for two supplies at hand together.

Hypochlorite (bleach) gives off chloramines with ammonia and chlorine with acids, and reacts with
hydrogen peroxide: Washington State Department of Health, "Dangers of Mixing Bleach with Cleaners".
With rubbing alcohol it makes chloroform: West Virginia University Extension Service, safety tips
for disinfecting the home (2020), and Rocky Mountain Poison Center, on household cleaners (2020).
That peroxide must not be shut up in a bottle that cannot vent, that it forms strong corrosives
with acids, and that thioglycolate iron removers give off foul, toxic gas with acids or bleach, is
common practice, no source.

The rule reads ingredients as the owner entered them, and errs towards warning. Ingredients that
are not entered are unknown: that is said wherever the other supply is one that reacts, and nothing
here ever calls two supplies safe together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

_PAIRS = (  # the gravest first
    (frozenset({"hypochlorite", "acid"}), "give off toxic chlorine gas together"),
    (frozenset({"hypochlorite", "ammonia"}), "give off toxic chloramine gas together"),
    (frozenset({"thioglycolate", "acid"}), "give off foul, toxic gas together"),
    (frozenset({"hypochlorite", "thioglycolate"}), "give off foul, toxic gas together"),
    (frozenset({"hypochlorite", "peroxide"}), "react violently and burst a closed bottle"),
    (frozenset({"hypochlorite", "alcohol"}), "make toxic chloroform together"),
    (frozenset({"peroxide", "acid"}), "can form a strong corrosive together"),
)
_WORDS = {
    "hypochlorite": "hypochlor|bleach|naocl",
    "ammonia": "ammonia|ammonium",
    "acid": "acid|vinegar|bifluoride|bisulfate|bisulphate",
    "peroxide": "peroxide|percarbonate",
    "thioglycolate": "thioglycol|mercaptoacet",
    # Those that are solvents; fatty alcohols and their ethoxylates are other things.
    "alcohol": (
        r"(?:isopropyl|propyl|ethyl|methyl|rubbing|denatured|wood) alcohol|isopropanol|2-propanol"
        r"|propan-?2-?ol|\b(?:m?ethanol|ipa)\b|^alcohol\b(?! ethox)"
    ),
}
FAMILIES = tuple(_WORDS)
_ABSENT = re.compile(r"\b(?:no|without|free of)\s+\w+|\b\w+[- ]free\b")
CLOSED_UP = (
    "Peroxide gives off gas: never shut it up with anything else, nor in a bottle whose cap "
    "cannot vent."
)


def families(ingredients: Iterable[str]) -> set[str]:
    """The families that bear on mixing, from ingredients as the owner entered them."""
    found = set()
    for ingredient in ingredients:
        plain = _ABSENT.sub(" ", ingredient.casefold())
        here = {family for family, words in _WORDS.items() if re.search(words, plain)}
        if "hypochlor" in plain:
            here.discard("acid")  # hypochlorous acid is the bleach itself
        if "peroxyacetic acid" in plain or "peracetic acid" in plain:
            here |= {"peroxide", "acid"}
        found |= here
    return found


def clash(first: Iterable[str], second: Iterable[str]) -> str:
    """What two supplies do together by their ingredients; "" where nothing is known of it.

    The gravest of what they do, in whatever order they are named.
    """
    one, other = families(first), families(second)
    for pair, text in _PAIRS:
        left, right = sorted(pair)
        if (left in one and right in other) or (right in one and left in other):
            return text
    return ""
