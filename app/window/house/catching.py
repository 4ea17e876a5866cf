"""Whatever escapes in the window: from a slot, an event, a thread, or as a warning of Qt's.

It is logged and said in the foot; the window stays.
"""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QtMsgType, Signal, qInstallMessageHandler

from app.reports import without_values

log = logging.getLogger("bayledger.window")
_LEVELS = {QtMsgType.QtDebugMsg: logging.DEBUG, QtMsgType.QtInfoMsg: logging.INFO}


class Catching(QObject):
    """While entered, calls `say` in the window's thread for each exception that nobody caught."""

    _caught = Signal()

    def __init__(self, say: Callable[[], object]) -> None:
        super().__init__()
        self._say = say
        self._caught.connect(self._tell)
        self._before: tuple[Any, ...] = ()

    def __enter__(self) -> Catching:
        self._before = (
            sys.excepthook,
            threading.excepthook,
            sys.unraisablehook,
            qInstallMessageHandler(self._qt_said),
        )
        sys.excepthook = self._escaped
        threading.excepthook = lambda of: self._escaped(of.exc_type, of.exc_value, of.exc_traceback)
        sys.unraisablehook = lambda of: self._note(of.exc_value)
        return self

    def __exit__(self, *_: object) -> None:
        sys.excepthook, threading.excepthook, sys.unraisablehook, handler = self._before
        qInstallMessageHandler(handler)

    def _escaped(self, kind: type[BaseException], trouble: BaseException | None, _at: Any) -> None:
        if trouble is None or not issubclass(kind, Exception):
            self._before[0](kind, trouble, _at)  # Ctrl+C in the terminal
            return
        self._note(trouble)
        self._caught.emit()

    def _tell(self) -> None:
        try:
            self._say()
        except Exception:  # it would come back here for ever
            log.exception("what went wrong could not be said")

    @staticmethod
    def _note(trouble: BaseException | None) -> None:
        log.error("something escaped", exc_info=trouble)

    @staticmethod
    def _qt_said(kind: QtMsgType, context: Any, message: str) -> None:
        log.log(_LEVELS.get(kind, logging.WARNING), "Qt: %s", without_values(message))
