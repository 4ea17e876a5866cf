"""What waits until the sheet is seen, and would hold it up."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from PySide6.QtCore import QSettings

from app import collecting
from app.actions.desk.desk import Changed, Desk
from app.window.house.looking_through import look_at_backup, look_through
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.paper.pause import Pause
from app.window.places import import_places

RESTED = 20_000  # ms without anything read or written


def after_the_first_picture(window: Shell, settings: QSettings) -> None:
    """Begin what waited, unless the window was closed meanwhile."""
    if not window.isVisible():
        return
    collecting.begin()
    office = window.office
    if office.reading:
        if office.desk.book.at_opening:
            office.say_trouble(office.desk.book.at_opening)
        window.ask_statuses()
        _go(window)
        return
    office.runner.run(
        "what was being sent when the last run ended",
        lambda _task: _load_sending(),
        # It is uncertain now whether that went, and is said.
        done=lambda interrupted: office.act(lambda: interrupted(office.desk, office.desk.today)),
        owner=window,
        quiet=True,
    )
    office.runner.run(
        "what the places are made of",
        lambda task: import_places(task.check),
        done=lambda _imported: collecting.begin(),
        owner=window,
        quiet=True,
        later=True,
    )
    window.ask_statuses()
    if told := office.desk.book.at_opening:
        # After what else is said of the opening.
        office.runner.run(
            "what was found", lambda _task: told, office.say_trouble, quiet=True, later=True
        )
    office.runner.run(
        "the backup of the last close",
        lambda _task: _made_up(office.desk),
        done=lambda said: _look(office, settings, said),
        failed=office.say_trouble,
        owner=window,
        quiet=True,
        later=True,
    )
    _go(window)


def _look(office: Office, settings: QSettings, said: str) -> None:
    """Look through the book and its backup, after all that the window shows has been read."""
    if said:
        office.say(said)
    look_through(office, settings)
    look_at_backup(office, settings)


def _go(window: Shell) -> None:
    """Begin to read in the background, and show what stands around the sheet."""
    office = window.office
    office.runner.go()
    office.ask_of_day()
    office.spoke.emit()
    window.mark_month()
    _when_it_rests(window)


def _when_it_rests(window: Shell) -> None:
    """Import what draws figures once nothing has been done for a while: it takes 0.3 s, and 40 MB
    that somebody who starts, looks and leaves need not have."""
    runner = window.office.runner

    def begin() -> None:
        if runner.busy:
            return  # its end begins the pause anew
        runner.ended.disconnect(again)
        runner.run(
            "what draws figures",
            lambda _task: _import_drawing(),
            done=lambda _imported: collecting.begin(),
            owner=window,
            quiet=True,
            later=True,
        )

    pause = Pause(window, RESTED, begin)
    again = runner.ended.connect(lambda _task, _how: pause.start())
    pause.start()


def _import_drawing() -> None:
    from app.window.paper.charts import import_drawing

    import_drawing()


def _load_sending() -> Callable[[Desk, date], Changed]:
    """What mail needs takes long to load, so it is loaded in the background."""
    from app.actions.letters.sending import interrupted

    return interrupted


def _made_up(desk: Desk) -> str:
    """What a close needs takes long to load, so it is loaded in the background."""
    from app.actions.day.closing import make_up_backup

    return make_up_backup(desk)
