"""The only place that wires everything together: application, theme, book and window."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from pathlib import Path

from app import collecting
from app.errors import Mendable

NO_DISPLAY = (
    "There is no display to open a window on. Without one, use the commands: "
    "bayledger new, import, day, close, export, person, erase, check, backup, restore, salvage "
    "and demo (bayledger --help says more)."
)

BEFORE_QT = ("app.actions.opening", "app.actions.desk.undoing", "app.actions.day.day")


def has_display() -> bool:
    """Whether a window could be opened; on Linux asked before Qt, which would end the process."""
    if not sys.platform.startswith("linux") or os.environ.get("QT_QPA_PLATFORM"):
        return True
    if os.environ.get("WAYLAND_DISPLAY"):
        return True
    display = os.environ.get("DISPLAY", "")
    if not display:
        return False
    host, _, rest = display.rpartition(":")
    if host not in ("", "unix"):
        return True  # another machine's display: only trying tells
    number = rest.partition(".")[0]
    socket = Path(f"/tmp/.X11-unix/X{number}")
    return socket.exists() or not socket.parent.is_dir()


def open_window(path: Path | None, *, demo: bool = False, reading: bool = False) -> int:
    """Open the window on a book, to write or only to read in it, on the made-up shop, or on the
    last book; the exit code.

    Raises `Mendable` where there is no display or a system library of Qt's is missing.
    """
    if not has_display():
        raise Mendable(NO_DISPLAY)
    with collecting.put_off():
        return _open_window(path, demo, reading)


def before_qt() -> None:
    """Import what the first picture shows, but for the window itself.

    Of every module that is imported after Qt its binding reads the text once more, to see how it
    uses Qt: 20 ms and 19 MB for what does not use it at all.
    """
    for name in BEFORE_QT:
        import_module(name)


def _open_window(path: Path | None, demo: bool, reading: bool) -> int:
    before_qt()
    try:
        from PySide6.QtCore import QSettings
        from PySide6.QtWidgets import QApplication
    except ImportError as trouble:
        raise Mendable(
            f"The window cannot be opened, a library of the system is missing ({trouble}); "
            "README.md names them. The commands work without (bayledger --help)."
        ) from trouble
    from app.reports import keep_log
    from app.window.house.catching import Catching
    from app.window.house.runner import left_running
    from app.window.opening import Opening, dressed
    from app.window.paper.accessible import tell_of_drawings

    keep_log()
    application = QApplication.instance()
    if not isinstance(application, QApplication):
        application = QApplication(sys.argv[:1])
    tell_of_drawings()
    application.setApplicationName("Bayledger")
    application.setDesktopFileName("bayledger")
    settings = QSettings(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, "Bayledger", "window"
    )
    opening = Opening(settings, dressed(application, settings))
    with Catching(opening.say_bug):
        opening.begin(path, demo=demo, reading=reading)
        try:
            code = application.exec()
        finally:
            opening.close()
    if left_running():  # the book is closed; Qt would abort over a thread that still reads
        sys.stdout.flush()
        os._exit(code)
    return code
