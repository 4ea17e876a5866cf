"""Once a day the open book is looked through for damage, and once a month its newest backup is
opened and counted: in the background, after all else."""

from __future__ import annotations

from PySide6.QtCore import QSettings

from app.actions.desk.desk import Desk
from app.window.house.office import Office

LOOKED = "book/looked through"  # the day and the book that was whole then
OPENED = "book/backup opened"  # the month and the book whose backup was whole then


def look_through(office: Office, settings: QSettings) -> None:
    """Look through the file unless that was done today; the foot says what is damaged.

    A damaged book is looked through, and said to be damaged, at every opening.
    """
    today = f"{office.desk.today.isoformat()} {office.desk.book.path.absolute()}"
    if settings.value(LOOKED, "") == today:
        return

    def done(found: str) -> None:
        if found:
            office.say_trouble(found)
        else:
            settings.setValue(LOOKED, today)

    office.runner.run(
        "a look through the book",
        lambda _task: office.desk.book.glance(),
        done,
        office.say_trouble,
        owner=office,
        quiet=True,
        later=True,
    )


def look_at_backup(office: Office, settings: QSettings) -> None:
    """Open the newest backup unless that was done this month; the foot says what it holds.

    One that does not open is said to be so at every opening, until there is another.
    """
    desk = office.desk
    month = f"{desk.today:%Y-%m} {desk.book.path.absolute()}"
    if settings.value(OPENED, "") == month:
        return

    def done(said: str) -> None:
        if said:
            settings.setValue(OPENED, month)
        if said and not office.trouble:
            office.say(said)

    office.runner.run(
        "a look into the backup",
        lambda _task: _newest(desk),
        done,
        office.say_trouble,
        owner=office,
        quiet=True,
        later=True,
    )


def _newest(desk: Desk) -> str:
    """What the settings need takes long to load, so it is loaded in the background."""
    from app.actions.shop.backups import look_at_newest

    return look_at_newest(desk)
