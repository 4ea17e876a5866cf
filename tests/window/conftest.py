"""The window's tests: one application, settings of their own, no word from Qt."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Iterator
from copy import deepcopy
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import (
    QCoreApplication,
    QEvent,
    QSettings,
    QtMsgType,
    qInstallMessageHandler,
)
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.records.book import Book
from app.window.house import habits
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry
from app.window.house.runner import Runner
from app.window.house.shell import Shell
from app.window.paper.theme import Theme
from tests import WAIT
from tests.shop import SmallShop, empty_book

KNOWN = "This plugin does not support"  # the offscreen display's own, about window managers
NOW = datetime(2025, 8, 14, 22, 54, tzinfo=UTC)  # 17:54 in the shop's zone
MILLISECONDS = 1000 * WAIT
Beside = Callable[[str, type[Place]], Shell]
Written = Callable[[], Callable[[], None]]


class PatientBot(QtBot):
    """Waits long enough for a machine that does other work as well."""

    def waitUntil(self, callback: Any, *, timeout: int = MILLISECONDS) -> None:
        super().waitUntil(callback, timeout=timeout)

    def waitExposed(self, widget: Any, *, timeout: int = MILLISECONDS) -> Any:
        return super().waitExposed(widget, timeout=timeout)


@pytest.fixture
def qtbot(qapp: QApplication, request: pytest.FixtureRequest) -> QtBot:
    """The usual robot, with our own patience."""
    return PatientBot(request)


@pytest.fixture(autouse=True)
def qt_says_nothing(qapp: QApplication) -> Iterator[None]:
    """A warning from Qt (a bad layout, a lost object, a broken connection) fails the test.

    What the test opened goes with it: a new look or size would polish the widgets of all tests.
    """
    said: list[str] = []

    def take(kind: QtMsgType, _context: object, message: str) -> None:
        quiet = kind in (QtMsgType.QtDebugMsg, QtMsgType.QtInfoMsg)
        if not quiet and not message.startswith(KNOWN):
            said.append(message)

    before = qInstallMessageHandler(take)
    yield
    qapp.processEvents()
    for left in QApplication.topLevelWidgets():
        left.deleteLater()
    let_go()
    qInstallMessageHandler(before)
    assert not said, f"Qt said: {said}"


def let_go() -> None:
    """Delete the windows that were closed: a timer of theirs must not read a closed book."""
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture(autouse=True)
def two_presses_are_two(monkeypatch: pytest.MonkeyPatch) -> None:
    """A test presses sooner than a person could read; those of two presses in a row say so."""
    monkeypatch.setattr(habits, "TWICE", 0)


@pytest.fixture
def settings(tmp_path: Path) -> QSettings:
    """Settings that nobody else has."""
    return QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)


@pytest.fixture
def theme(qapp: QApplication, settings: QSettings) -> Theme:
    """The light theme at scale 1, without motion."""
    made = Theme(settings)
    made.set_look("light")
    made.set_less_motion(True)
    made.dress(qapp)
    return made


@pytest.fixture
def shop(shop_book: tuple[Path, SmallShop]) -> SmallShop:
    """The ids of what stands in the small shop's book; who asks for it has a desk over a copy."""
    return deepcopy(shop_book[1])


@pytest.fixture
def desk(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Desk]:
    """A desk over a new, empty book, or over the small shop's where a test asks for `shop`; on a
    Thursday in August at six minutes to six."""
    path = tmp_path / "shop.bayledger"
    if "shop" in request.fixturenames:
        shutil.copyfile(request.getfixturevalue("shop_book")[0], path)
        book = Book.open(path)
    else:
        book = empty_book(path)
    yield Desk(book, clock=lambda: NOW)
    let_go()
    book.close()


@pytest.fixture
def runner(qapp: QApplication) -> Iterator[Runner]:
    """Background work, whose thread has ended before anything else is taken down."""
    made = Runner()
    yield made
    let_go()
    assert made.close(MILLISECONDS)


@pytest.fixture
def office(desk: Desk, theme: Theme, runner: Runner) -> Office:
    """An office at that desk."""
    return Office(desk, theme, runner)


@pytest.fixture
def written(office: Office, qtbot: QtBot) -> Iterator[Written]:
    """Begins to write in the background; what it gives lets that end, and all that waits."""
    go = threading.Event()

    def begin() -> Callable[[], None]:
        qtbot.waitUntil(lambda: not office.runner.busy)
        office.write_long("closing the day", lambda _task: go.wait(WAIT), lambda _done: None)

        def end() -> None:
            go.set()
            qtbot.waitUntil(lambda: not office.runner.busy)

        return end

    yield begin
    go.set()


@pytest.fixture
def shown(qtbot: QtBot) -> Callable[[QWidget, int, int], QWidget]:
    """Shows a widget at a size, active, and lets it paint."""

    def show(widget: QWidget, width: int, height: int) -> QWidget:
        qtbot.addWidget(widget)
        widget.resize(width, height)
        with qtbot.waitExposed(widget):
            widget.show()
            widget.activateWindow()
        QApplication.processEvents()
        return widget

    return show


@pytest.fixture
def beside(office: Office, shown: Callable[[QWidget, int, int], QWidget]) -> Beside:
    """Shows a window that has one page beside an empty place, under its key."""

    def show(key: str, page: type[Place]) -> Shell:
        made = Shell(
            office,
            [PlaceEntry("day", "Day sheet", "day", Place)],
            asides=[PlaceEntry(key, "", "", page)],
        )
        shown(made, 1366, 768)
        return made

    return show
