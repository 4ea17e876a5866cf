"""Words as they are compared where something is looked for, and how far two of them are apart."""

from __future__ import annotations

import re
import unicodedata

# Letters that no mark can be taken off: Unicode gives them no decomposition.
_PLAIN = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "ħ": "h", "ı": "i", "æ": "ae", "œ": "oe", "þ": "th"}
)
_WORD = re.compile(r"[^\W_]+")
_APOSTROPHES = re.compile(r"(?<=\w)['’ʼ](?=\w)")
BEGINNING = 6  # letters of a word in which a slip is looked up; one behind them is found anyway
SHORTEST = 4  # letters; of shorter words too many are alike for a slip to be forgiven
TWO_SLIPS = 8  # letters from which two slips are forgiven


def folded(text: str) -> str:
    """A text in small letters without accents: `Łukasz Müller` is `lukasz muller`."""
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in apart if not unicodedata.combining(c)).translate(_PLAIN)


def words_of(text: str) -> list[str]:
    """The words and numbers of a text, folded, in their order; `O'Neil` is one word."""
    return _WORD.findall(_APOSTROPHES.sub("", folded(text)))


def beginnings(word: str) -> set[str]:
    """A word's first letters, whole and with each one of them left out.

    Two words within one slip of each other (a letter left out, doubled, wrong, or exchanged with
    its neighbour) have one in common: what is left out on one side or on both is the slip.
    """
    start = word[:BEGINNING]
    return {start, *(start[:at] + start[at + 1 :] for at in range(len(start)))}


def slips(typed: str, word: str, most: int = 2, *, begun: bool = False) -> int:
    """How many letters are left out, too many, wrong or exchanged with their neighbour.

    The optimal string alignment distance (F. J. Damerau, A technique for computer detection and
    correction of spelling errors, Communications of the ACM 7, 1964): `most` + 1 for any that is
    greater. `begun` is for a word that is still being typed: the least to any beginning of `word`.
    """
    if not begun and abs(len(typed) - len(word)) > most:
        return most + 1
    word = word[: len(typed) + most]
    before: list[int] = []
    row = list(range(len(word) + 1))
    for at, letter in enumerate(typed):
        last, before, row = before, row, [at + 1]
        for to, other in enumerate(word):
            cost = min(before[to] + (letter != other), before[to + 1] + 1, row[to] + 1)
            if at and to and letter == word[to - 1] and typed[at - 1] == other:
                cost = min(cost, last[to - 1] + 1)
            row.append(cost)
        if min(row) > most:
            return most + 1
    return min(min(row) if begun else row[-1], most + 1)


def forgiven(typed: str) -> int:
    """How many slips are forgiven in a word of this length."""
    return 0 if len(typed) < SHORTEST or typed.isdigit() else 1 + (len(typed) >= TWO_SLIPS)


def told(typed: str, text: str) -> int:
    """Whether a text has all words typed: 2 so, the last letters perhaps missing; 1 but for slips.

    0 where it has not. In the middle of a word they are had too.
    """
    wanted, have = words_of(typed), words_of(text)
    joined = " ".join(have)
    if all(word in joined for word in wanted):
        return 2
    return int(all(any(_may_be(word, one) for one in have) for word in wanted))


def _may_be(typed: str, word: str) -> bool:
    most = forgiven(typed)
    return word.startswith(typed) or bool(most and slips(typed, word, most, begun=True) <= most)
