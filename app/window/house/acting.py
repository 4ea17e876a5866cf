"""Actions and readings on the office's open book, with what refuses them said in the foot."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Concatenate, ParamSpec, TypeVar

from PySide6.QtCore import QObject

from app.actions.desk.desk import Desk
from app.actions.desk.undoing import as_one
from app.calculations.numbers.wording import capital, counted
from app.window.house.office import Office
from app.window.house.runner import Task

P = ParamSpec("P")
T = TypeVar("T")


def on_book(
    office: Office, do: Callable[Concatenate[Desk, P], T], *args: P.args, **more: P.kwargs
) -> T | None:
    """Do something with the book; None when it was refused or failed, and the foot says why."""
    return office.act(lambda: do(office.desk, *args, **more))


def on_day(
    office: Office, do: Callable[Concatenate[Desk, date, P], T], *args: P.args, **more: P.kwargs
) -> T | None:
    """Do something with the book on the day at which it lies open, as `on_book`."""
    return office.act(lambda: do(office.desk, office.day, *args, **more))


def ask(office: Office, sentence: str) -> None:
    """Ask in the foot, before something is done or after."""
    office.trouble, office.question = "", sentence
    office.spoke.emit()


def on_each(office: Office, ones: Sequence[T], do: Callable[[T], object], what: str) -> None:
    """Do something with each of the chosen rows, undone together; a refusal ends it.

    `what` says of many what was done with them.
    """
    office.say_trouble("")
    name = f"{capital(counted(len(ones)))} {what}"
    with as_one(office.desk, name):
        for one in ones:
            do(one)
            if office.trouble:
                return
    if len(ones) > 1:
        office.say(f"{name}. Ctrl Z takes all of them back.")


def in_background(
    office: Office,
    owner: QObject,
    name: str,
    read: Callable[[], T],
    done: Callable[[T], object],
    *,
    quiet: bool = False,
    later: bool = False,
) -> Task:
    """Read in the background, then call `done`; what fails is said in the foot.

    `quiet` and `later` are as in `Runner.run`.
    """
    return office.runner.run(
        name,
        lambda _task: read(),
        done=done,
        failed=office.say_trouble,
        owner=owner,
        quiet=quiet,
        later=later,
    )
