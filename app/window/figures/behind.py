"""The jobs, customers or supplies that make a number, each a step away, in the notes margin."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from app.window.house.office import Office
from app.window.paper.notes import Block, Keys, Note, Offer, Voice

MOST = 14  # that the margin lists
_PLACES = {"supplies": "shelf"}  # where they lie, if not in the place of that name


def go_or_list(
    office: Office, title: str, found: Sequence[tuple[int, str]], of: str, keys: Keys
) -> Note | None:
    """Go to the only one; of several a note that lists them. `of`: jobs, customers, supplies or
    suppliers."""
    place = _PLACES.get(of, of)
    if len(found) == 1:
        office.go(place, found[0][0])
        return None
    blocks: list[Block] = [
        Offer("", text, partial(office.go, place, one)) for one, text in found[:MOST]
    ]
    if len(found) > MOST:
        words = "before these" if of == "jobs" else "more"
        blocks.append(Voice(f"and {len(found) - MOST} {words}."))
    return Note(f"{title}: the {of} behind", tuple(blocks), keys)
