"""Find anything: what the book has of some words, and what can be done that no place shows."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from app.window.house.office import Office
from app.window.house.same_thing import detail_of, tidy_commands
from app.window.house.shell import Command, Shell
from app.window.paper.finder import FoundLine
from app.window.shop.more_lines import LINES

if TYPE_CHECKING:
    from app.records.queries.people import HitRow

_PLACES = {"job": "jobs", "supply": "shelf", "supplier": "suppliers"}
_KINDS = {
    "customer": "Customers", "vehicle": "Vehicles", "job": "Jobs", "supply": "Supplies",
    "supplier": "Suppliers",
}  # fmt: skip


class Opens(Protocol):
    """Who opens books."""

    def choose_book(self) -> None: ...
    def choose_to_look(self) -> None: ...
    def choose_new(self) -> None: ...
    def open(self, path: Path) -> bool: ...
    def look(self, path: Path) -> bool: ...


def commands(opening: Opens, window: Shell) -> tuple[Command, ...]:
    """What Find anything offers to do in a window."""
    office = window.office
    return (
        *(Command(line.name, line.detail, partial(office.go, line.key)) for line in LINES),
        Command("What is owed", "by age, the oldest first",
                lambda: office.go("jobs", ("part", "owed"))),
        Command("Note an enquiry", "who asks, what for and when",
                lambda: office.go("jobs", ("enquiry",))),
        Command("Letters to send", "read, change and send them one by one",
                lambda: office.go("letters")),
        Command("The guide", "how to use the book, page by page", window.show_guide),
        Command("Open another book", "", opening.choose_book),
        Command("Look at another book", "to read only, also while it is open elsewhere",
                opening.choose_to_look),
        *_out_of_reading(opening, window),
        Command("Begin a new book", "", opening.choose_new),
        Command("Make a backup", "a copy of the whole book", lambda: _back_up(office)),
        *tidy_commands(window),
    )  # fmt: skip


def _out_of_reading(opening: Opens, window: Shell) -> tuple[Command, ...]:
    """What leads out of a window that only reads."""
    if not window.office.reading:
        return ()
    path = window.office.desk.book.path
    return (
        Command("Read this book anew", "as it stands now", lambda: opening.look(path)),
        Command("Open this book to write in it", "where nobody else has it open",
                lambda: opening.open(path)),
    )  # fmt: skip


def found_lines(office: Office, text: str) -> list[FoundLine]:
    """What the book has of these words."""
    from app.actions.finding import find

    return [_line(office, found) for found in find(office.desk, text)]


def _line(office: Office, found: HitRow) -> FoundLine:
    go = partial(office.go, _PLACES.get(found.kind, "customers"), found.id)
    if found.kind == "vehicle":
        go = partial(_go_to_vehicle, office, found.id)
    return FoundLine(_KINDS[found.kind], found.text, detail_of(found), go)


def _go_to_vehicle(office: Office, vehicle_id: int) -> None:
    """Open the customer who holds a vehicle, else the last who did."""
    from app.actions.people.vehicles import vehicle_page

    page = office.read(lambda: vehicle_page(office.desk, vehicle_id))
    if page is None:
        return
    if page.owners:
        office.go("customers", page.owners[-1][0])
    elif page.history:
        office.go("jobs", page.history[0].job_id)
    else:
        office.say_trouble("Nobody holds this vehicle by the book, and it was never here.")


def _back_up(office: Office) -> None:
    from app.actions.shop.backups import back_up
    from app.window.shop.backups_page import say_made

    office.runner.run(
        "making a backup",
        lambda _task: back_up(office.desk),
        done=partial(say_made, office),
        failed=office.say_trouble,
        owner=office,
    )
