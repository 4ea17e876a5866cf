"""The same days, booked ahead and closed each evening: in the real window, or by commands."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, redirect_stdout
from datetime import date, timedelta
from io import StringIO
from pathlib import Path
from typing import Any
from unittest.mock import patch

from app.__main__ import main
from app.actions.desk.desk import Desk
from app.actions.exchange.exporting import export
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.opening import open_desk
from app.commands.saying import DONE
from app.documents.incoming import read_file
from app.documents.reading.lines import EntryLine
from app.records.book import Book
from app.records.contents import contents
from tests.shop import TODAY, Clock, SmallShop

_SHOWN = 2  # rows of each book where they differ
PATIENCE = 300  # seconds for one evening


def working_days(many: int) -> list[date]:
    """So many days from the shop's today on, without weekends."""
    days = (TODAY + timedelta(days=at) for at in range(2 * many + 7))
    return [day for day in days if day.weekday() < 5][:many]


def book_ahead(desk: Desk, shop: SmallShop, day: date) -> None:
    """What the telephone brings on a day: none, one or two jobs of the next days."""
    chance = random.Random(day.isoformat())
    for _ in range(chance.choice((0, 1, 1, 2))):
        owner, car = chance.choice((("quell", "sedan"), ("tolk", "wagon")))
        first = next(
            later
            for later in (day + timedelta(days=at) for at in range(1, 5))
            if later.weekday() < 5
        )
        new = NewJob(
            customer_id=shop.customers[owner],
            vehicle_id=shop.vehicles[car],
            services=((shop.services[chance.choice(("wash", "wash", "ceramic"))], 1),),
            first_day=first,
        )
        book_job(desk, new)


def by_commands(path: Path, shop: SmallShop, days: Sequence[date]) -> None:
    """Each evening `close`, in this process but as it is typed."""
    clock = Clock()

    @contextmanager
    def then(book: Path, *, write: bool) -> Iterator[Desk]:
        with Book.open(book, write=write) as opened:
            yield Desk(opened, clock)

    for day in days:
        clock.go_to(day)
        with then(path, write=True) as desk:
            book_ahead(desk, shop, day)
        with (
            patch("app.commands.day_commands.open_book", then),
            redirect_stdout(StringIO()) as said,
        ):
            if main(["close", str(path)]) != DONE:
                raise AssertionError(f"{day} was not closed: {said.getvalue()}")


def by_the_window(path: Path, shop: SmallShop, days: Sequence[date], folder: Path) -> None:
    """Each evening Ctrl+T, Alt+6 and Ctrl+Enter, in the window that stays open all the year."""
    from PySide6.QtCore import QSettings, Qt
    from PySide6.QtTest import QTest
    from PySide6.QtWidgets import QApplication

    from app.window.house.shell import Shell
    from app.window.opening import Opening, dressed

    control, alt = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
    application = QApplication.instance() or QApplication([])
    assert isinstance(application, QApplication)
    settings = QSettings(str(folder / "window.ini"), QSettings.Format.IniFormat)
    clock = Clock(days[0])
    opening = Opening(
        settings, dressed(application, settings), open_book=lambda at: open_desk(at, clock)
    )
    opening.begin(path)
    window = opening.window
    assert isinstance(window, Shell)

    def wait(until: Callable[[], bool], what: str) -> None:
        end = time.monotonic() + PATIENCE
        while not until():
            application.processEvents()
            if time.monotonic() > end:
                raise AssertionError(f"{what}: {window.office.trouble or window.office.saved}")
            time.sleep(0.002)

    def press(key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
        QTest.keyClick(QApplication.focusWidget() or window, key, modifier)
        wait(lambda: not window.office.runner.busy, "a key")

    def is_closed(day: date) -> bool:
        place = window.here
        return (
            not window.office.runner.busy
            and getattr(place, "is_closed", False)
            and window.office.day == day
        )

    wait(window.isActiveWindow, "the window")
    for day in days:
        clock.go_to(day)
        window.office.act(lambda day=day: book_ahead(window.office.desk, shop, day))
        press(Qt.Key.Key_T, control)
        press(Qt.Key.Key_6, alt)
        press(Qt.Key.Key_Return, control)
        wait(lambda day=day: is_closed(day), f"{day} was not closed")
    window.close()
    wait(lambda: not window.isVisible(), "leaving")
    opening.close()


def _alike(row: tuple[Any, ...]) -> tuple[Any, ...]:
    """A row without how long its sheet lay open, which a command does not know."""
    return tuple(pair for pair in row if not (isinstance(pair, tuple) and pair[0] == "seconds"))


def differences(one: Path, other: Path, folder: Path) -> list[str]:
    """What the two books say otherwise; also what is wrong with one of them."""
    found: list[str] = []
    said = []
    for path in (one, other):
        with Book.open(path, write=False) as book:
            found += [f"{path.name}: {complaint}" for complaint in book.check()]
            sheet = export(Desk(book, Clock()), folder / f"{path.stem}.xlsx")
            told = {table: [_alike(row) for row in rows] for table, rows in contents(book).items()}
            exported = [
                (line.record, *_alike(tuple(zip(line.fields, line.told, strict=True))))
                for line in read_file(sheet).lines
                if isinstance(line, EntryLine)
            ]
            said.append({**told, "full export": sorted(exported, key=repr)})
    for table, rows in said[0].items():
        only = [sum(row not in b for row in a) for a, b in
                ((rows, said[1][table]), (said[1][table], rows))]  # fmt: skip
        if any(only) or len(rows) != len(said[1][table]):
            found.append(f"{table}: {only[0]} rows only in the one, {only[1]} only in the other")
            found += [f"  {str(row)[:600]}" for row in rows if row not in said[1][table]][:_SHOWN]
            found += [f"  {str(row)[:600]}" for row in said[1][table] if row not in rows][:_SHOWN]
    return found
