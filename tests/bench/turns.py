"""How long the window's thread is kept, and how long everything takes, on one book.

    python -m tests.bench.turns BOOK             one line for each, in processor milliseconds
    python -m tests.bench.turns BOOK --in STEP   besides, where the time of one step goes
    python -m tests.bench.turns BOOK --rested    as after a minute in which nothing was done

For each step: the longest turn of the event loop (a call from outside, such as a key, or what Qt
does between two waits), the processor time of the window's thread until the first picture, that of
the whole program until what stands on the page is read, and until nothing is read any more, not
even what is read after all else (`later`). The book is copied first, and backed up, as it would be
where it was closed the evening before.
Run it twice: byte code stands then, as it does where the program is installed.
"""

from __future__ import annotations

import argparse
import cProfile
import csv
import os
import pstats
import shutil
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # before anything imports Qt

from app import collecting
from app.bootstrap import before_qt

if __name__ == "__main__":  # as the program does
    _put_off = collecting.put_off()
    _put_off.__enter__()
    before_qt()

from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.__main__ import ready_python
from app.actions.day.closing import close_day
from app.actions.exchange.exporting import export
from app.records.book import Book
from app.window.day.place import DayPlace
from app.window.house.shell import Shell
from app.window.opening import Opening, dressed
from app.window.paper.charts import import_drawing

PLACES = ("jobs", "customers", "shelf", "renewals", "figures", "day")
ROWS = 5000
LETTERS = str.maketrans("0123456789", "ghijklmnop")
TURN, KEY, PAINTED, COMPLETE, CLOSE = 50.0, 16.0, 100.0, 400.0, 1500.0  # the bars, milliseconds


class Turns:
    """Measures steps in a window, and profiles one of them."""

    def __init__(self, window: Shell, wanted: str) -> None:
        self.window = window
        self._wanted = wanted
        self._longest = 0.0

    def turn(self, do: Callable[[], object]) -> None:
        """One turn of the event loop."""
        began = time.thread_time()
        do()
        self._longest = max(self._longest, 1000 * (time.thread_time() - began))

    def step(
        self, name: str, do: Callable[[], object], turn: float = TURN, whole: float = COMPLETE
    ) -> None:
        """Do it, paint, and go on until nothing is read any more; print what it took."""
        runner = self.window.office.runner
        self._longest = 0.0
        profile = cProfile.Profile(time.thread_time) if name == self._wanted else None
        if profile:
            profile.enable()
        began, here = time.process_time(), time.thread_time()
        self.turn(do)
        # A key paints what it changed, as any event does; grabbing paints all that is in view.
        self.turn(QApplication.processEvents if turn == KEY else self.window.grab)
        painted = 1000 * (time.thread_time() - here)
        idle, complete = 0, 0.0
        while idle < 12:  # longer than a picture waits for the next change
            self.turn(QApplication.processEvents)
            if not runner.busy_now:
                complete = complete or 1000 * (time.process_time() - began)
            else:
                complete = 0.0
            time.sleep(0.004)
            idle = 0 if runner.busy else idle + 1
        after = 1000 * (time.process_time() - began)
        if profile:
            profile.disable()
        found = ((self._longest, turn), (painted, PAINTED), (complete, whole))
        cells = "".join(f"{one:9.0f}{'' if one <= bar else '!':1}" for one, bar in found)
        print(f"{name:34}{cells}{after:9.0f}", flush=True)
        if profile:
            pstats.Stats(profile).sort_stats("cumtime").print_stats(60)


def key(name: Qt.Key, *held: Qt.KeyboardModifier) -> Callable[[], object]:
    """Press a key where the focus is."""
    modifier = held[0] if held else Qt.KeyboardModifier.NoModifier
    return lambda: QTest.keyClick(QApplication.focusWidget(), name, modifier)


def listed(path: Path) -> Path:
    """A list of customers with their vehicles, no two names alike."""
    with path.open("w", newline="") as file:
        write = csv.writer(file).writerow
        write(("Name", "Phone", "Email", "City", "Vehicle", "Plate"))
        for at in range(ROWS):
            name = f"{at * 7919 % 99991:x} {at * 104729 % 999983:x}".translate(LETTERS).title()
            write((name, f"(212) 555-{at:04}", f"{at}@example.com", "Tarn", "sedan", f"A{at:05}"))
    return path


def steps(window: Shell, turns: Turns, folder: Path) -> None:
    """All that is measured, in the order of an evening."""
    office = window.office
    desk, today = office.desk, office.desk.today
    turns.step("day, begun", QApplication.processEvents)
    for place in PLACES:
        turns.step(f"{place}, first opening", lambda place=place: window.open(place))
    for place in PLACES:
        turns.step(f"{place}, second opening", lambda place=place: window.open(place))
    turns.step("to a closed day", lambda: office.open_day(today - timedelta(days=1)))
    turns.step("to another closed day", lambda: office.open_day(today - timedelta(days=2)))
    turns.step("back to today", lambda: office.open_day(today))
    for at, station in enumerate(("jobs", "supplies", "money", "orders", "reminders", "close"), 1):
        digit, alt = Qt.Key(Qt.Key.Key_0 + at), Qt.KeyboardModifier.AltModifier
        turns.step(f"station {station}", key(digit, alt))
    key(Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)()
    turns.step("(to the supplies)", lambda: None)
    place = window.stack.currentWidget()
    assert isinstance(place, DayPlace)
    place.station().table.setFocus()
    for digit in (Qt.Key.Key_1, Qt.Key.Key_2):
        turns.step("a digit", key(digit), KEY)
    turns.step("a number written", key(Qt.Key.Key_Return))
    turns.step("undone", office.undo)
    turns.step(
        "the day closed",
        lambda: office.write_long(
            "closing", lambda task: close_day(desk, today, progress=task.say), lambda _done: None
        ),
        whole=CLOSE,
    )
    turns.step(
        "exported",
        lambda: office.runner.run(
            "export", lambda _task: export(desk, folder / "all.xlsx"), lambda _done: None
        ),
        whole=60_000,
    )
    turns.step(
        "checked",
        lambda: office.runner.run("check", lambda _task: desk.book.check(), lambda _done: None),
        whole=3000,
    )
    rows = listed(folder / "customers.csv")
    turns.step(f"{ROWS:,} rows read", lambda: office.go("bringing in", (rows,)), whole=5000)
    turns.step("left", office.runner.close, whole=1000)


def main() -> None:
    """Open a copy of the book as the program does, and measure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("book", type=Path)
    parser.add_argument("--in", dest="wanted", default="", help="profile the thread of this step")
    parser.add_argument("--rested", action="store_true", help="what draws figures is imported")
    asked = parser.parse_args()
    ready_python()
    application = QApplication([])
    with TemporaryDirectory() as folder:
        copy = Path(shutil.copy(asked.book, folder))
        with Book.open(copy) as book:
            book.backup()
        settings = QSettings(f"{folder}/window.ini", QSettings.Format.IniFormat)
        opening = Opening(settings, dressed(application, settings))
        heads = "".join(f"{head:>9} " for head in ("turn", "painted", "complete", "after"))
        print(f"{'milliseconds, ! over its bar':34}{heads}")
        opening.begin(copy)
        window = opening.window
        assert isinstance(window, Shell)
        window.resize(1366, 768)
        window.activateWindow()
        if asked.rested:
            import_drawing()
        steps(window, Turns(window, asked.wanted), Path(folder))
        opening.close()


if __name__ == "__main__":
    main()
