"""What is wrong with a page as it is painted: cut numbers, cut texts, widgets over each other.

Painted texts are watched while a page is drawn: each goes through the theme (`elided`) or the brush
(`write_wrapped`). Widgets are measured as they stand. A text that is cut may be cut where the mouse
shows it whole; a number may not.
"""

from __future__ import annotations

import re
import weakref
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QComboBox,
    QHeaderView,
    QLabel,
    QScrollBar,
    QTableView,
    QWidget,
)

from app.window.paper.brush import WRAP, Brush, Drawn, Room
from app.window.paper.fields import Choice
from app.window.paper.rowtable import RowTable
from app.window.paper.theme import Theme

# A number as a person writes it: a sign, digits with their separators, a unit or two signs after.
NUMBER = re.compile(r"^[≈~−+\-<>]?\s*[\d.,'\u202f\u00a0 ]+\s*[^\d\s]{0,4}$")
STARTS_OUTSIDE = 1.5  # pixels that a letter may hang over an edge


@dataclass(frozen=True, order=True)
class Flaw:
    """`kind`: "number cut", "cut" (shown whole nowhere), "shortened" (the mouse shows it),
    "outside" or "overlap"; `where` names the widget, `what` the text or the other widget."""

    kind: str
    where: str
    what: str


def is_number(text: str) -> bool:
    """Whether a text is a number with at most a sign and a unit."""
    return bool(NUMBER.match(text.strip())) and any(one.isdigit() for one in text)


def name_of(widget: object) -> str:
    """A widget as the list of flaws calls it: its class, and that of what holds it."""
    names = []
    while isinstance(widget, QWidget) and len(names) < 3:
        if type(widget) is not QWidget:
            names.append(type(widget).__name__)
        widget = widget.parentWidget()
    return " in ".join(names)


class Watch:
    """What was cut while it was watched."""

    def __init__(self) -> None:
        self.flaws: set[Flaw] = set()
        # Weakly: a painter that outlives its paint event paints on what is gone.
        self._last: weakref.ref[Brush] | None = None

    @property
    def _brush(self) -> Brush | None:
        return self._last() if self._last is not None else None

    def _device(self) -> object:
        brush = self._brush
        return brush.painter.device() if brush is not None else None

    def cut(self, text: str) -> None:
        """A text was drawn shorter than it is."""
        device = self._device()
        shown = _can_be_read(device, text)
        kind = "number cut" if is_number(text) else "shortened" if shown else "cut"
        self.flaws.add(Flaw(kind, name_of(device), text))

    def outside(self, text: str, left: float, right: float) -> None:
        """A text was drawn from `left` to `right`; is that where it can be seen?"""
        device = self._device()
        brush = self._brush
        if not isinstance(device, QWidget) or brush is None or not text.strip():
            return
        if _is_moved(device):
            return
        painter = brush.painter
        seen = QRectF(device.rect())
        if painter.hasClipping():
            seen = seen.intersected(painter.clipBoundingRect())
        if seen.isEmpty() or right < seen.left() or left > seen.right():
            return
        if left < seen.left() - STARTS_OUTSIDE or right > seen.right() + STARTS_OUTSIDE:
            kind = "number cut" if is_number(text) else "cut"
            self.flaws.add(Flaw(kind, name_of(device), text))

    @contextmanager
    def watching(self) -> Iterator[None]:
        """Watch whatever is painted meanwhile."""
        begun, elided = Brush.__init__, Theme.elided
        write, wrapped = Brush.write, Brush.write_wrapped
        watch = self

        def begin(brush: Brush, *args: object, **kwargs: object) -> None:
            begun(brush, *args, **kwargs)  # type: ignore[arg-type]
            watch._last = weakref.ref(brush)

        def elide(theme: Theme, role: str, text: str, width: float) -> str:
            shown = elided(theme, role, text, width)
            if shown != text:
                watch.cut(text)
            return shown

        def put(
            brush: Brush,
            role: str,
            left: float,
            base: float,
            text: str,
            ink: QColor,
            room: Room = None,
        ) -> float:
            end = write(brush, role, left, base, text, ink, room)
            if room is None:
                watch.outside(text, left, end)
            return end

        def wrap(brush: Brush, role: str, box: QRectF, text: str, colour: QColor) -> None:
            need = brush.theme.metrics(role).boundingRect(
                QRectF(0, 0, box.width(), 1e4), WRAP, text
            )
            if need.height() > box.height() + 2 or need.width() > box.width() + 2:
                watch.cut(text)
            wrapped(brush, role, box, text, colour)

        Brush.__init__, Theme.elided = begin, elide  # type: ignore[method-assign, assignment]
        Brush.write, Brush.write_wrapped = put, wrap  # type: ignore[method-assign, assignment]
        try:
            yield
        finally:
            Brush.__init__, Theme.elided = begun, elided  # type: ignore[method-assign]
            Brush.write, Brush.write_wrapped = write, wrapped  # type: ignore[method-assign]
            self._last = None


def _is_moved(device: QWidget) -> bool:
    """Whether a widget is a table's, or its head's, that can be moved sideways."""
    table: QWidget | None = device
    while table is not None and not isinstance(table, QTableView):
        table = table.parentWidget()
    return isinstance(table, QTableView) and table.horizontalScrollBar().maximum() > 0


def _can_be_read(device: object, text: str) -> bool:
    """Whether the mouse shows a text whole where it is cut."""
    if not isinstance(device, QWidget):
        return False
    holder = device.parentWidget()
    if isinstance(holder, QTableView | QHeaderView) and device is holder.viewport():
        return True
    if isinstance(device, Drawn | Choice):
        return True
    return text in device.toolTip()


def standing(top: QWidget, ring: int) -> set[Flaw]:
    """What is wrong with the widgets under `top` as they stand.

    `ring`: how far the outline of a widget with the focus may reach over its parent's edge.
    """
    flaws: set[Flaw] = set()
    for widget in top.findChildren(QWidget):
        if not widget.isVisible() or widget.isWindow():
            continue
        holder = widget.parentWidget()
        if holder is None or _scrolls(holder):
            continue
        if isinstance(widget, RowTable) and widget.horizontalScrollBar().maximum():
            flaws.add(Flaw("sideways", name_of(widget), ""))
        inside = holder.rect().adjusted(-ring, -ring, ring, ring)
        if not inside.contains(widget.geometry()):
            flaws.add(Flaw("outside", name_of(widget), ""))
        text, room = _text_of(widget)
        if text and widget.fontMetrics().horizontalAdvance(text) > room + 1:
            kind = "number cut" if is_number(text) else "cut"
            shown = text in widget.toolTip() or isinstance(widget, Choice)
            if kind == "number cut" or not shown:
                flaws.add(Flaw(kind, name_of(widget), text))
    for holder in (top, *top.findChildren(QWidget)):
        if holder.isVisible() and not isinstance(holder, QAbstractItemView | QComboBox):
            flaws |= _over_each_other(holder)
    return flaws


def _scrolls(holder: QWidget) -> bool:
    """Whether what a widget holds may stand beyond its edges: it can be moved into sight."""
    above: QWidget | None = holder
    while above is not None:
        over = above.parentWidget()
        if isinstance(over, QAbstractScrollArea) and above is over.viewport():
            return True
        above = over
    bars = holder.findChildren(QScrollBar, options=Qt.FindChildOption.FindDirectChildrenOnly)
    return isinstance(holder, QAbstractScrollArea) or any(bar.isVisible() for bar in bars)


def _text_of(widget: QWidget) -> tuple[str, int]:
    """A widget's one line of text and the width it has."""
    if isinstance(widget, QLabel) and not widget.wordWrap():
        return widget.text(), widget.contentsRect().width()
    if isinstance(widget, QComboBox):
        return widget.currentText(), widget.width() - 20
    if isinstance(widget, QAbstractButton):
        return widget.text().replace("&", ""), widget.width()
    return "", 0


def _over_each_other(holder: QWidget) -> set[Flaw]:
    found: set[Flaw] = set()
    shown = [
        one
        for one in holder.children()
        if isinstance(one, QWidget)
        and one.isVisible()
        and not one.isWindow()
        and not one.testAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    ]
    for at, one in enumerate(shown):
        for other in shown[at + 1 :]:
            both = QRect(one.geometry()).intersected(other.geometry())
            if both.width() > 2 and both.height() > 2:
                found.add(Flaw("overlap", name_of(one), name_of(other)))
    return found
