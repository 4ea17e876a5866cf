"""Ingredients that must not meet: one caution for two supplies at hand together.

Household bleach (hypochlorite) gives off chloramines with ammonia and chlorine with acids; public
health agencies warn of both (the CDC's advice on cleaning with bleach; from memory). That peroxide
with an acid or with a hypochlorite reacts, and that thioglycolate iron removers give off foul,
toxic gas with acids, is common practice, no source. Where ingredients are not known nothing is
said, and that says nothing about them.
"""

from __future__ import annotations

from collections.abc import Iterable

_PAIRS = {
    frozenset({"hypochlorite", "ammonia"}): "give off toxic chloramine gas together",
    frozenset({"hypochlorite", "acid"}): "give off toxic chlorine gas together",
    frozenset({"hypochlorite", "peroxide"}): "react violently and burst a closed bottle",
    frozenset({"peroxide", "acid"}): "can form a strong corrosive together",
    frozenset({"thioglycolate", "acid"}): "give off foul, toxic gas together",
}
_WORDS = {
    "hypochlorite": ("hypochlorite", "bleach"),
    "ammonia": ("ammonia", "ammonium hydroxide"),
    "acid": ("acid",),
    "peroxide": ("peroxide",),
    "thioglycolate": ("thioglycol", "mercaptoacet"),
}


def families(ingredients: Iterable[str]) -> set[str]:
    """The families that bear on mixing, from ingredients as the owner entered them."""
    found = set()
    for ingredient in ingredients:
        plain = ingredient.casefold()
        for family, words in _WORDS.items():
            if any(word in plain for word in words):
                found.add(family)
    return found


def clash(first: Iterable[str], second: Iterable[str]) -> str:
    """What two supplies do together by their ingredients; "" where nothing is known of it."""
    for one in sorted(families(first)):
        for other in sorted(families(second)):
            said = _PAIRS.get(frozenset({one, other}))
            if said:
                return said
    return ""
