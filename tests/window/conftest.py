"""The window's tests: one application, settings of their own, no word from Qt."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

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
from app.window.house.office import Office
from app.window.house.runner import Runner
from app.window.paper.theme import Theme

KNOWN = "This plugin does not support"  # the offscreen display's own, about window managers
NOW = datetime(2025, 8, 14, 22, 54, tzinfo=UTC)  # 17:54 in the shop's zone


@pytest.fixture(autouse=True)
def qt_says_nothing(qapp: QApplication) -> Iterator[None]:
    """A warning from Qt (a bad layout, a lost object, a broken connection) fails the test."""
    said: list[str] = []

    def take(kind: QtMsgType, _context: object, message: str) -> None:
        quiet = kind in (QtMsgType.QtDebugMsg, QtMsgType.QtInfoMsg)
        if not quiet and not message.startswith(KNOWN):
            said.append(message)

    before = qInstallMessageHandler(take)
    yield
    qapp.processEvents()
    qInstallMessageHandler(before)
    assert not said, f"Qt said: {said}"


def let_go() -> None:
    """Delete the windows that were closed: a timer of theirs must not read a closed book."""
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


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
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk over a new, empty book, on a Thursday in August at six minutes to six."""
    book = Book.create(tmp_path / "shop.bayledger")
    yield Desk(book, clock=lambda: NOW)
    let_go()
    book.close()


@pytest.fixture
def office(desk: Desk, theme: Theme) -> Iterator[Office]:
    """An office at that desk."""
    runner = Runner()
    yield Office(desk, theme, runner)
    let_go()
    assert runner.close()


@pytest.fixture
def shown(qtbot: QtBot) -> Callable[[QWidget, int, int], QWidget]:
    """Shows a widget at a size, active, and lets it paint."""

    def show(widget: QWidget, width: int, height: int) -> QWidget:
        qtbot.addWidget(widget)
        widget.resize(width, height)
        widget.show()
        widget.activateWindow()
        qtbot.waitExposed(widget)
        QApplication.processEvents()
        return widget

    return show
