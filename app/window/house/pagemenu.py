"""The menu of a page: what its keys do, from the same table of keys as F1."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QCoreApplication, QEvent, QKeyCombination
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QMenu, QWidget

from app.calculations.numbers.wording import capital
from app.window.house.place import Place
from app.window.house.windowkeys import LIST_KEYS, WINDOW_KEYS, sequence_of
from app.window.paper.listtable import ListTable
from app.window.paper.notes import Keys


def page_menu(place: Place, table: ListTable | None) -> QMenu:
    """What matters now first, then all else by group; each entry does what its key does.

    A key that stands for several, such as the digits, is typed and stands in no menu.
    """
    menu = QMenu(place)
    now = place.margin.note.keys
    _add(menu, place, now)
    if table is not None:
        menu.addSeparator()
        _add(menu, place, LIST_KEYS)
        if table.widths_set:
            menu.addAction("All columns as they were drawn", table.forget_widths)
    menu.addSeparator()
    for title, keys in (*place.keys, *(one for one in WINDOW_KEYS if one[1] is not LIST_KEYS)):
        part = QMenu(title, menu)
        _add(part, place, keys)
        if not part.isEmpty():
            menu.addMenu(part)
    return menu


def _add(menu: QMenu, place: Place, keys: Keys) -> None:
    for cap, what in keys:
        sequence = sequence_of(cap)
        if sequence is not None:
            menu.addAction(f"{capital(what)}\t{cap}", partial(press, place, sequence))


def press(place: Place, sequence: QKeySequence) -> None:
    """Do what a key does on a page: its shortcut, or else as if it were pressed on the list."""
    window = place.window()
    for shortcut in window.findChildren(QShortcut):
        owner = shortcut.parent()
        here = isinstance(owner, QWidget) and owner.isVisible()
        if here and shortcut.isEnabled() and shortcut.key() == sequence:
            shortcut.activated.emit()
            return
    target = window.focusWidget() or place
    pressed: QKeyCombination = sequence[0]  # type: ignore[index]  # its stub has no such item
    event = QKeyEvent(QEvent.Type.KeyPress, pressed.key(), pressed.keyboardModifiers())
    QCoreApplication.sendEvent(target, event)
