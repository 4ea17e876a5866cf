"""Draws the pictures in docs/: every place of the demo shop, light and dark, at 1366 by 768.

    python -m tests.pictures docs/pictures [PLACE…]
    python -m tests.pictures docs/pictures layers      (Renewals with 0, 12 and 2,000 layers)

The demo's day is fixed, so that the same version draws the same pictures.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import UTC, date, datetime
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PIL import Image
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.actions.demo import build_demo
from app.actions.desk import Desk
from app.actions.month import month_marks
from app.records.book import Book
from app.window.office import Office
from app.window.places import places
from app.window.runner import Runner
from app.window.shell import Shell
from app.window.theme import Theme
from tests.worn_layers import fill_with_layers

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
            desk = Desk(book, clock=lambda: EVENING)
            office = Office(desk, theme, Runner())
            entries = [entry for entry in places() if not only or entry.key in only]
            shell = Shell(office, places(), month_marks=lambda first: month_marks(desk, first))
            shell.resize(WIDTH, HEIGHT)
            shell.show()
            shell.leaf.month_shown.emit(shell.leaf.month)
            shell.ask_statuses()
            for look in LOOKS:
                theme.set_look(look)
                for entry in entries:
                    shell.open(entry.key)
                    _settle(application, office)
                    if entry.key == "day":  # the station that the day turns on
                        QTest.keyClick(shell, Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)
                        _settle(application, office)
                    drawn.append(folder / f"{entry.key}-{look}.png")
                    shell.grab().save(str(drawn[-1]))
            shell.close()
            office.runner.close()
    return drawn


def draw_renewals(folder: Path, counts: Sequence[int] = (0, 12, 2000)) -> list[Path]:
    """Renewals over books with so many layers, in each look."""
    folder.mkdir(parents=True, exist_ok=True)
    found = QApplication.instance()
    application = found if isinstance(found, QApplication) else QApplication([])
    drawn = []
    for count in counts:
        with tempfile.TemporaryDirectory() as made:
            settings = QSettings(str(Path(made) / "window.ini"), QSettings.Format.IniFormat)
            theme = Theme(settings)
            theme.set_less_motion(True)
            theme.dress(application)
            with Book.create(Path(made) / "layers.bayledger") as book:
                fill_with_layers(book, count, DAY)
                office = Office(Desk(book, clock=lambda: EVENING), theme, Runner())
                shell = Shell(office, places())
                shell.resize(WIDTH, HEIGHT)
                shell.show()
                shell.open("renewals")
                for look in LOOKS:
                    theme.set_look(look)
                    _settle(application, office)
                    drawn.append(folder / f"renewals-{count}-{look}.png")
                    shell.grab().save(str(drawn[-1]))
                    # A page has few colours: as many as it needs make a third of the file.
                    with Image.open(drawn[-1]) as picture:
                        few = picture.convert("RGB").quantize(256, dither=Image.Dither.NONE)
                    few.save(drawn[-1], optimize=True)
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
    if sys.argv[2:] == ["layers"]:
        for picture in draw_renewals(Path(sys.argv[1])):
            print(picture)
        sys.exit()
    for picture in draw(Path(sys.argv[1]), sys.argv[2:] or None):
        print(picture)
