"""What the shelf says where no row stands."""

from __future__ import annotations

from collections.abc import Callable

from app.actions.shelf.shelf import ShelfView
from app.window.paper.cells import EmptyText

Do = Callable[[], object]


def nothing(
    view: ShelfView, *, narrowed: bool, idle: bool, does: tuple[Do, Do, Do, Do]
) -> EmptyText:
    """An empty shelf, no such name, nothing idle, or no need of anything.

    `does` is what each then offers: to add, to go back, to show all again, to unfold.
    """
    add, back, all_again, unfold = does
    if not view.count:
        return EmptyText(
            "Nothing stands on the shelf yet",
            "Add a supply by name, or bring in the list that you keep. "
            "What jobs use is then taken off here, and what runs short is proposed.",
            "Ins",
            "Add a supply",
            add,
        )
    if narrowed:
        return EmptyText("No supply of that name", "Shorten the words.", "Esc", "All", back)
    if idle:
        return EmptyText(
            "Nothing stands idle",
            "Everything was used within half a year or is needed by a booked job, and nothing "
            "is past its life by the book.",
            "D",
            "All",
            all_again,
        )
    return EmptyText(
        "Nothing needs you here",
        f"{view.folded_text[:1].upper()}{view.folded_text[1:]}",
        "Space",
        "Show them",
        unfold,
    )
