"""How large a window is at first and at least: by the theme's scale, and within its screen."""

from __future__ import annotations

from PySide6.QtCore import QSettings, QSize
from PySide6.QtWidgets import QWidget

from app.window.paper.theme import Theme

FIRST, LEAST = QSize(1366, 768), QSize(880, 560)  # at scale 1
GEOMETRY = "window/geometry"


def first_size(window: QWidget, theme: Theme) -> QSize:
    """The size of a window that nobody has sized yet, in its screen's pixels."""
    return _within(window, theme, FIRST)


def restore_size(window: QWidget, theme: Theme, settings: QSettings | None) -> None:
    """The size and place in which the window was left, or that of a first window."""
    window.resize(first_size(window, theme))
    kept = settings.value(GEOMETRY) if settings is not None else None
    if kept is not None:
        window.restoreGeometry(kept)


def keep_size(window: QWidget, settings: QSettings | None) -> None:
    """Keep the size and place for the next time."""
    if settings is not None:
        settings.setValue(GEOMETRY, window.saveGeometry())


def hold_least(window: QWidget, theme: Theme) -> None:
    """Let the window not become smaller than its page can be read at."""
    window.setMinimumSize(_within(window, theme, LEAST))


def room_for(window: QWidget) -> QSize:
    """What the window's screen has room for; a usual screen's where there is none."""
    screen = window.screen()
    return screen.availableSize() if screen is not None else FIRST


def _within(window: QWidget, theme: Theme, size: QSize) -> QSize:
    scaled = QSize(theme.px(size.width()), theme.px(size.height()))
    return scaled.boundedTo(room_for(window))
