"""Numbers in sentences: words up to twelve, and nouns in the singular or the plural."""

from __future__ import annotations

from collections.abc import Sequence

NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip


MINUS = "\u2212"  # what people read; files for machines keep the hyphen


def counted(number: int) -> str:
    """A number in a sentence: words up to twelve, digits beyond."""
    return NUMBERS[number] if 0 <= number < len(NUMBERS) else f"{number:,}"


def noun(number: int, one: str, many: str = "") -> str:
    """The noun that goes with a number: `job`, `jobs`; `supply`, `supplies`; `box`, `boxes`."""
    if number == 1:
        return one
    if many:
        return many
    if one.endswith("y") and one[-2:-1] not in "aeiou":
        return one[:-1] + "ies"
    if one.endswith(("s", "x", "ch", "sh")):
        return one + "es"
    return one + "s"


def count_of(number: int, one: str, many: str = "") -> str:
    """A number in digits with its noun: `1 job`, `2,100 supplies`."""
    return f"{number:,} {noun(number, one, many)}"


def words_of(number: int, one: str, many: str = "") -> str:
    """A number in words with its noun: `one job`, `two supplies`, `no days`."""
    return f"{counted(number)} {noun(number, one, many)}"


def capital(text: str) -> str:
    """The first letter of a sentence made large, the rest as it is; a file's name stays itself."""
    first = text.partition(" ")[0].rstrip(".,:;")
    if any(sign in first for sign in "/\\."):
        return text
    return text[:1].upper() + text[1:]


def listed(words: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return " and ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))


def short_number(number: float) -> str:
    """A measured number, no more exact than it is read: `1.25`, `9.5`, `1,240`."""
    return f"{number:,.2f}".rstrip("0").rstrip(".") if number < 10 else f"{number:,.0f}"


def word_set(text: str) -> frozenset[str]:
    """The words of a text, as a set to look things up in."""
    return frozenset(text.split())
