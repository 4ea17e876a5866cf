"""Places and commands as Find anything lists them, by their words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from app.window.house.place import PlaceEntry
from app.window.paper.finder import FoundLine


@dataclass(frozen=True)
class Command:
    """Something to do that is reached through Find anything, such as bringing in spreadsheets."""

    text: str
    detail: str
    do: Callable[[], object]


def place_lines(
    entries: Sequence[PlaceEntry], open_place: Callable[[str], object]
) -> list[FoundLine]:
    """The places, each with its key."""
    return [
        FoundLine("Places", entry.name, "", partial(open_place, entry.key), f"Ctrl {number}")
        for number, entry in enumerate(entries, 1)
    ]


def command_lines(commands: Sequence[Command]) -> list[FoundLine]:
    """The commands, by name and detail."""
    return [FoundLine("To do", one.text, one.detail, one.do) for one in commands]
