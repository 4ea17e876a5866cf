"""What came of the reminders, in the margin: each figure has a key and opens what is behind it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.actions.letters.came_of_it import CameFigure, CameOfIt
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Alert, Block, Facts, Note, NoteHeading, Offer, Rule, Voice

CAME_KEYS = (("1–8", "open what is behind a figure"), ("H", "back to the layer"))
Go = Callable[[str, object], None]


def came_note(view: CameOfIt, open_figure: Callable[[int], object]) -> Note:
    """The note; `open_figure(number)` is called with a figure's number, from 1."""
    blocks: list[Block] = [Voice(words) for words in view.voice]
    if any(figure.look for figure in view.figures):
        blocks.append(Alert("Many asked to stop: write less"))
    blocks.append(Rule())
    for number, figure in enumerate(view.figures, 1):
        words = f"{figure.value} {figure.label}"
        blocks.append(Offer(str(number), words, partial(open_figure, number)))
    if view.lives:
        blocks += [Rule(), NoteHeading("How long half held"), Facts(view.lives)]
        blocks.append(Voice("As seen here: worn out on the day it was seen gone."))
    return Note("What came of the reminders", tuple(blocks), CAME_KEYS)


def behind(figure: CameFigure, go: Go, text: str) -> list[FoundLine]:
    """The reminders or jobs behind a figure whose words hold the text."""
    plain = text.strip().casefold()
    return [
        FoundLine(item.kind, item.text, item.detail, partial(go, item.place, item.item))
        for item in figure.items
        if plain in f"{item.text} {item.detail}".casefold()
    ]
