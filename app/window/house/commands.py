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
    text: str, entries: Sequence[PlaceEntry], open_place: Callable[[str], object]
) -> list[FoundLine]:
    """The places whose names hold the text, each with its key."""
    return [
        FoundLine("Places", entry.name, "", partial(open_place, entry.key), f"Ctrl {number}")
        for number, entry in enumerate(entries, 1)
        if not text or text.lower() in entry.name.lower()
    ]


def command_lines(text: str, commands: Sequence[Command]) -> list[FoundLine]:
    """The commands whose words hold the text."""
    return [
        FoundLine("To do", command.text, command.detail, command.do)
        for command in commands
        if not text or text.lower() in f"{command.text} {command.detail}".lower()
    ]
