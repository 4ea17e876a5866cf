"""Once a day the open book is looked through for damage, in the background, after all else."""

from __future__ import annotations

from PySide6.QtCore import QSettings

from app.window.house.office import Office

LOOKED = "book/looked through"  # the day and the book that was whole then


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
