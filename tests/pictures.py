"""Draws the pictures in docs/: every place of the demo shop, light and dark, at 1366 by 768.

    python -m tests.pictures docs/pictures [PLACE…]

The demo's day is fixed, so that the same version draws the same pictures.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from datetime import UTC, date, datetime
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from app.actions.demo import build_demo
from app.actions.desk import Desk
from app.records.book import Book
from app.window.office import Office
from app.window.places import places
from app.window.runner import Runner
from app.window.shell import Shell
from app.window.theme import Theme

DAY = date(2026, 8, 13)  # a Thursday in summer
EVENING = datetime(2026, 8, 13, 22, 54, tzinfo=UTC)
LOOKS = ("light", "dark")
WIDTH, HEIGHT = 1366, 768


def draw(folder: Path, only: list[str] | None = None) -> list[Path]:
    """Build the demo, open each place in each look, and keep what is seen."""
    folder.mkdir(parents=True, exist_ok=True)
    found = QApplication.instance()
    application = found if isinstance(found, QApplication) else QApplication([])
    drawn = []
    with tempfile.TemporaryDirectory() as made:
        path = Path(made) / "demo.bayledger"
        build_demo(path, today=DAY)
        settings = QSettings(str(Path(made) / "window.ini"), QSettings.Format.IniFormat)
        theme = Theme(settings)
        theme.set_less_motion(True)
        theme.dress(application)
        with Book.open(path) as book:
            office = Office(Desk(book, clock=lambda: EVENING), theme, Runner())
            entries = [entry for entry in places() if not only or entry.key in only]
            shell = Shell(office, places())
            shell.resize(WIDTH, HEIGHT)
            shell.show()
            shell.ask_statuses()
            for look in LOOKS:
                theme.set_look(look)
                for entry in entries:
                    shell.open(entry.key)
                    _settle(application, office)
                    drawn.append(folder / f"{entry.key}-{look}.png")
                    shell.grab().save(str(drawn[-1]))
            shell.close()
            office.runner.close()
    return drawn


def _settle(application: QApplication, office: Office, quiet: float = 0.4) -> None:
    """Let work in the background end and its results be painted."""
    last = begun = time.monotonic()
    while time.monotonic() - last < quiet and time.monotonic() - begun < 60:
        application.processEvents()
        if office.runner.busy:
            last = time.monotonic()
        time.sleep(0.01)


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("usage: python -m tests.pictures FOLDER [PLACE…]")
    for picture in draw(Path(sys.argv[1]), sys.argv[2:] or None):
        print(picture)
