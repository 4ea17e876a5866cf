"""From nothing to a painted day sheet, and then, where asked, what is done in it.

python -m tests.bench.start BOOK [sheet|keys|places|memory]
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from app import collecting
from app.bootstrap import before_qt
from tests.bench.measuring import memory, report

if __name__ == "__main__":  # as the program does
    _put_off = collecting.put_off()
    _put_off.__enter__()
    before_qt()

from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QApplication, QLineEdit

from app.window.house.runner import left_running
from app.window.house.shell import Shell
from app.window.opening import Opening, dressed

PLACES = ("day", "jobs", "customers", "shelf", "renewals", "figures")
CHANGES = 1000


def main() -> None:
    """Start the window as the program does, and measure."""
    what = sys.argv[2] if len(sys.argv) > 2 else ""
    application = QApplication([])
    with TemporaryDirectory() as folder:
        settings = QSettings(f"{folder}/window.ini", QSettings.Format.IniFormat)
        opening = Opening(settings, dressed(application, settings))
        opening.begin(Path(sys.argv[1]))
        window = opening.window
        assert isinstance(window, Shell)
        window.resize(1366, 768)
        application.processEvents()
        window.grab()
        found: dict[str, float] = {}
        if what:
            settle(window)
            found = {"sheet": sheet, "keys": keys, "places": places, "memory": changes}[what](
                window
            )
        report(**found)
        window.office.runner.close()
        opening.close()
    if left_running():  # as the program does
        sys.stdout.flush()
        os._exit(0)


def settle(window: Shell) -> None:
    """Until nothing is read in the background any more."""
    idle = 0
    while idle < 5:
        QApplication.processEvents()
        time.sleep(0.005)
        idle = 0 if window.office.runner.busy else idle + 1


def sheet(window: Shell) -> dict[str, float]:
    """Processor milliseconds in which the stations' numbers are read, each time anew.

    Whom to remind stands apart: it looks over every layer that is out there.
    """
    from app.actions.day.closing import next_work
    from app.actions.day.jobs_worked import jobs_worked
    from app.actions.day.money_taken import money_taken
    from app.actions.day.supplies_used import supplies_used
    from app.actions.desk.desk import Desk
    from app.actions.letters.reminders import whom_to_remind
    from app.actions.orders.order_proposal import what_to_order

    stations = (jobs_worked, supplies_used, money_taken, what_to_order, next_work)
    taken: dict[str, list[float]] = {"sheet": [], "reminders": []}
    for _ in range(5):
        desk = Desk(window.office.desk.book)
        for name, reads in (("sheet", stations), ("reminders", (whom_to_remind,))):
            began = time.process_time()
            for read in reads:
                read(desk, desk.today)
            taken[name].append(1000 * (time.process_time() - began))
    return {name: median(times) for name, times in taken.items()}


def keys(window: Shell) -> dict[str, float]:
    """Milliseconds from a keystroke in a cell of the supplies to its painting, the middle one."""
    from PySide6.QtTest import QTest

    QTest.keyClick(window, Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)
    settle(window)
    taken = []
    for _ in range(12):
        for key in ("1", ".", "5"):
            began = time.perf_counter()
            QTest.keyClicks(QApplication.focusWidget(), key)
            QApplication.processEvents()
            taken.append(1000 * (time.perf_counter() - began))
        written = QApplication.focusWidget()
        if not isinstance(written, QLineEdit) or written.text() != "1.5":
            raise RuntimeError("the keys did not reach a cell")
        QTest.keyClick(written, Qt.Key.Key_Escape)
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Down)
        settle(window)
    return {"key": median(taken), "slowest_key": max(taken)}


def places(window: Shell) -> dict[str, float]:
    """Milliseconds until each place stands open, the second time; and until its numbers do."""
    found = {}
    for place in PLACES:
        window.open(place)
        settle(window)
    for place in (*PLACES[1:], PLACES[0]):
        began = time.perf_counter()
        window.open(place)
        window.grab()
        found[place] = 1000 * (time.perf_counter() - began)
        settle(window)
        found[f"{place}, all read"] = 1000 * (time.perf_counter() - began)
    return found


def changes(window: Shell) -> dict[str, float]:
    """Megabytes after a hundred changes of place, and after a thousand more."""
    step: Callable[[int], None] = lambda number: window.open(PLACES[number % len(PLACES)])  # noqa: E731
    found = {"started": memory()}
    for number in range(100 + CHANGES):
        step(number)
        settle(window)
        if number == 99:
            found["after_100"] = memory()
    found["after_1100"] = memory()
    return found


if __name__ == "__main__":
    main()
