"""What Find anything offers to do that no place shows."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Protocol

from app.window.house.commands import Command
from app.window.house.office import Office
from app.window.house.same_thing import tidy_commands
from app.window.house.shell import Shell
from app.window.shop.more_lines import LINES


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
        Command("The plan", "two weeks of the bay, and what is promised",
                lambda: office.go("jobs", ("part", "plan"))),
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
        Command("Bring back a log", "that was moved aside, as a book of its own",
                lambda: _bring_back_log(office)),
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


def _bring_back_log(office: Office) -> None:
    from app.actions.shop.moved_logs import bring_back_log

    office.runner.run(
        "bringing back a log",
        lambda _task: bring_back_log(office.desk),
        done=office.say,
        failed=office.say_trouble,
        owner=office,
    )


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
