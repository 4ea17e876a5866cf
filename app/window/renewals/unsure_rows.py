"""Messages that may or may not have gone: their rows and their note, wherever they are listed."""

from __future__ import annotations

from collections.abc import Callable

from app.actions.letters.unsure_mail import UnsureView
from app.window.paper.cells import Cell, GroupRow, State, TableRow, row_of
from app.window.paper.notes import Alert, Block, Facts, Offer, Rule, Voice

WENT, DID_NOT = "Y", "R"
UNSURE_KEYS = ((WENT, "it went"), (DID_NOT, "it did not: to be sent again"))
UNSURE_GROUP = GroupRow("unsure", "May or may not have gone", "never sent again by itself")


def unsure_key(one: UnsureView) -> tuple[str, int]:
    return "unsure", one.reminder_id


def unsure_line(one: UnsureView) -> TableRow:
    """A row over the whole width: to whom, about what, and what is known of it."""
    words = f"{', '.join(one.vehicles)}, mail of {one.tried_on}: {one.words}"
    state = State.LOOK if one.to_be_said else State.PLAIN
    return row_of(unsure_key(one), Cell(one.name, state, bold=True, mark="look", detail=words))


def unsure_state(one: UnsureView) -> Cell:
    return Cell(one.words, State.LOOK if one.to_be_said else State.QUIET, mark="look")


def unsure_blocks(one: UnsureView, say: Callable[[bool], object]) -> list[Block]:
    """What the margin says of it, with the two answers; `say(gone)` is called with one."""
    blocks: list[Block] = [Alert(one.words.capitalize(), "look"), Voice(one.voice)]
    blocks += [Rule(), Facts(one.facts)]
    if one.to_be_said:
        blocks += [
            Rule(),
            Offer(WENT, "It went", lambda: say(True)),
            Offer(DID_NOT, "It did not; put it back to be sent", lambda: say(False)),
        ]
    return blocks
