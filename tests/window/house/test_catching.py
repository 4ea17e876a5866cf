"""What nobody caught in the window is logged and said; the window stays."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QObject, QTimer, Signal, qWarning
from pytestqt.qtbot import QtBot

from app.window.house.catching import Catching

pytestmark = pytest.mark.logs_an_error
SECRET = "Mara Tolk"


@pytest.fixture
def said(qtbot: QtBot) -> Iterator[list[str]]:
    """The names of the threads in which it was said that something went wrong."""
    heard: list[str] = []
    with Catching(lambda: heard.append(threading.current_thread().name)):
        yield heard


def escape() -> None:
    raise ValueError(SECRET)


class _Bell(QObject):
    rang = Signal()


def test_from_a_slot(said: list[str], qtbot: QtBot, caplog: pytest.LogCaptureFixture) -> None:
    bell = _Bell()
    bell.rang.connect(escape)
    bell.rang.emit()
    qtbot.waitUntil(lambda: len(said) == 1)
    assert caplog.records[-1].exc_info[0] is ValueError  # type: ignore[index]
    assert SECRET not in caplog.records[-1].getMessage()


def test_from_the_event_loop(said: list[str], qtbot: QtBot) -> None:
    QTimer.singleShot(0, escape)
    qtbot.waitUntil(lambda: len(said) == 1)


def test_from_a_thread_it_is_said_in_the_window_s(said: list[str], qtbot: QtBot) -> None:
    thread = threading.Thread(target=escape)
    thread.start()
    thread.join()
    qtbot.waitUntil(lambda: said == [threading.main_thread().name])


def test_what_fails_in_saying_it_is_not_said_for_ever(
    qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    with Catching(escape):
        QTimer.singleShot(0, escape)
        qtbot.waitUntil(lambda: "could not be said" in caplog.text)
        qtbot.wait(20)
    assert len(caplog.records) == 2


def test_a_warning_of_qt_is_logged_without_what_it_quotes(
    said: list[str], caplog: pytest.LogCaptureFixture
) -> None:
    qWarning(f'QFile: cannot open "{SECRET}"')
    assert caplog.messages[-1] == "Qt: QFile: cannot open …"
    assert said == []


def test_afterwards_all_is_as_it_was() -> None:
    before = sys.excepthook, threading.excepthook, sys.unraisablehook
    with Catching(lambda: None):
        assert sys.excepthook != before[0]
    assert (sys.excepthook, threading.excepthook, sys.unraisablehook) == before
