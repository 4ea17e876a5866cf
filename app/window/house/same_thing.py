"""Saying that two entries of the book are the same thing: the other is found by typing."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.actions import finding
from app.window.house.place import Place
from app.window.paper.finder import FoundLine

KEYS = (
    ("F5", "the same as another: put together"),
    ("F12", "remove; archive what has a history"),
)


def pick_the_same(place: Place, kind: str, own: int, together: Callable[[int], object]) -> None:
    """Let the person find the other entry of this kind; `together` is given its number."""
    pick_another(place, kind, own, "which one is the same", "Put together with", together)


def pick_another(
    place: Place, kind: str, own: int, hint: str, words: str, do: Callable[[int], object]
) -> None:
    """Let the person find another entry of this kind; `do` is given its number."""

    def look_up(text: str) -> list[FoundLine]:
        return [
            FoundLine(words, hit.text, hit.detail, partial(do, hit.id))
            for hit in finding.find(place.office.desk, text)
            if hit.kind == kind and hit.id != own
        ]

    place.pick(hint, look_up)
