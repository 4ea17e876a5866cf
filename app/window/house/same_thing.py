"""What is in the book twice, by mistake or no more: put together, removed, put into the archive."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Protocol, cast

from app.window.house.commands import Command
from app.window.house.place import Place
from app.window.house.shell import Shell
from app.window.paper.finder import FoundLine

if TYPE_CHECKING:
    from app.records.finding.looking_up import HitRow

KEYS = (
    ("F5", "the same as another: put together"),
    ("F12", "remove; archive what has a history"),
)


class _Tidied(Protocol):
    """A place of things that may be put together, removed or archived."""

    card_open: bool

    def same(self) -> None: ...
    def remove(self) -> None: ...


def tidy_commands(window: Shell) -> tuple[Command, ...]:
    """The same by words, for whoever looks for it and knows no key."""
    here = (("customers", "customer or vehicle", "customers or vehicles"),
            ("shelf", "supply", "supplies"))  # fmt: skip
    return tuple(
        command
        for place, one, many in here
        for command in (
            Command(
                f"Put two {many} together",
                "merge what is the same twice, F5",
                partial(_tidy, window, place, f"Go to one of the two {many}, and press F5."),
            ),
            Command(
                f"Remove or archive a {one}",
                "delete what has no history, F12",
                partial(_tidy, window, place, f"Open the {one} that goes, and press F12.", True),
            ),
        )
    )


def _tidy(window: Shell, key: str, how: str, gone: bool = False) -> None:
    """Do it to what is in view; where a list is shown, say how."""
    if window.here_key != key and not window.open(key):
        return
    place = cast(_Tidied, window.here)
    if not place.card_open:
        window.office.say(how)
    elif gone:
        place.remove()
    else:
        place.same()


def detail_of(hit: HitRow) -> str:
    """What stands beside something that was found: also that it is in the archive."""
    return ", ".join(filter(None, (hit.detail, "archived" if hit.archived else "")))


def pick_the_same(place: Place, kind: str, own: int, together: Callable[[int], object]) -> None:
    """Let the person find the other entry of this kind; `together` is given its number."""
    pick_another(
        place, kind, own, "which one is the same", "Put together with", together, archived=True
    )


def pick_another(
    place: Place,
    kind: str,
    own: int,
    hint: str,
    words: str,
    do: Callable[[int], object],
    *,
    archived: bool = False,
) -> None:
    """Let the person find another entry of this kind; `do` is given its number."""

    from app.actions.finding import find  # not before the first picture

    def look_up(text: str) -> list[FoundLine]:
        return [
            FoundLine(words, hit.text, detail_of(hit), partial(do, hit.id))
            for hit in find(place.office.desk, text, (kind,))
            if hit.id != own and (archived or not hit.archived)
        ]

    place.pick(hint, look_up)
