"""What was typed to find something, read once for whatever looks it up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.calculations.numbers.spelling import words_of

MOST = 8  # words; more are not typed to find something
SHORT_NUMBER = 3  # digits by which a number is found from its end


@dataclass(frozen=True)
class Asked:
    """The words typed, all of which a thing must have, the last of them perhaps only begun.

    `whole` is all of it as one number or plate, where it can be one. `near` has for a word the
    words of the book that it may be a slip of. `apart` where one word may be two of the book, and
    two typed apart may be one.
    """

    text: str
    words: tuple[str, ...]
    whole: tuple[str, ...] = ()
    near: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    apart: bool = False

    def __bool__(self) -> bool:
        return bool(self.words)


def asked(text: str) -> Asked:
    """Read what was typed."""
    words = tuple(dict.fromkeys(words_of(text)[:MOST]))
    squashed = "".join(words_of(text)[:MOST])
    whole: tuple[str, ...] = ()
    if any(c.isdigit() for c in squashed) and len(squashed) >= SHORT_NUMBER:
        whole = (squashed,) if len(words) > 1 else ()
        if squashed.isdigit():
            # A number is told by its last digits; zeros before it are of the way of dialling.
            whole = (*whole, squashed.lstrip("0") or squashed)
    return Asked(text.strip(), words, whole)
