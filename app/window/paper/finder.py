"""Find anything: type, go down with the arrows, Enter opens. Stands in the notes margin."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.window.paper.strokes import hairline, middle_base, write, write_right
from app.window.paper.theme import Theme

_ROW, _BARE, _GROUP, _TOP = 42, 30, 30, 46


@dataclass(frozen=True)
class FoundLine:
    """Something found: `kind` groups lines (`Customers`), `go` opens it."""

    kind: str
    text: str
    detail: str
    go: Callable[[], object]
    key: str = ""


class Finder(QWidget):
    """A field and the lines found, grouped by kind."""

    left = Signal()

    def __init__(
        self,
        theme: Theme,
        look_up: Callable[[str], Sequence[FoundLine]],
        hint: str = "name, plate, job, supply",
    ) -> None:
        """`hint` says in the empty field what may be typed."""
        super().__init__()
        self._theme = theme
        self._look_up = look_up
        self._lines: tuple[FoundLine, ...] = ()
        self._at = 0
        self._scroll = 0
        self._hits: list[tuple[QRectF, int]] = []
        self.field = QLineEdit(self)
        self.field.setFont(theme.font("row"))
        self.field.setPlaceholderText(hint)
        self.field.setAccessibleName("Find anything")
        self.field.installEventFilter(self)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(60)
        self._pause.timeout.connect(self.search)
        self.field.textChanged.connect(self._pause.start)
        self.setMouseTracking(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        theme.recoloured.connect(self.update)

    @property
    def lines(self) -> tuple[FoundLine, ...]:
        """What is found."""
        return self._lines

    def begin(self) -> None:
        """Empty the field and give it the focus."""
        self.field.clear()
        self.search()
        self.field.setFocus()

    def search(self) -> None:
        """Look up what stands in the field now."""
        self._pause.stop()
        found = list(self._look_up(self.field.text().strip()))
        order = list(dict.fromkeys(line.kind for line in found))
        self._lines = tuple(sorted(found, key=lambda line: order.index(line.kind)))
        self._at = self._scroll = 0
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.field.setGeometry(0, self._theme.px(4), self.width(), self._theme.px(32))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
        ):
            event.accept()
            return True
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
                self._step(1 if key == Qt.Key.Key_Down else -1)
                return True
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                if self._pause.isActive():
                    self.search()
                self.open_line(self._at)
                return True
            if key == Qt.Key.Key_Escape:
                self.left.emit()
                return True
        return super().eventFilter(watched, event)

    def _step(self, by: int) -> None:
        if self._lines:
            self._at = min(max(self._at + by, 0), len(self._lines) - 1)
            start, end = self._span(self._at)
            room = self.height() - self._theme.px(_TOP)
            if end - self._scroll > room:
                self._scroll = end - room
            if start - self._theme.px(_GROUP) < self._scroll:
                self._scroll = max(0, start - self._theme.px(_GROUP))
            self.update()

    def open_line(self, at: int) -> None:
        """Open a line that was found."""
        if 0 <= at < len(self._lines):
            line = self._lines[at]
            self.left.emit()
            line.go()

    def _high(self, line: FoundLine) -> int:
        return self._theme.px(_ROW if line.detail else _BARE)

    def _span(self, wanted: int) -> tuple[int, int]:
        y, kind = 0, ""
        for at, line in enumerate(self._lines):
            if line.kind != kind:
                kind = line.kind
                y += self._theme.px(_GROUP)
            if at == wanted:
                return y, y + self._high(line)
            y += self._high(line)
        return y, y

    def wheelEvent(self, event: QWheelEvent) -> None:
        total = self._span(len(self._lines))[1]
        room = self.height() - self._theme.px(_TOP)
        wish = self._scroll - event.angleDelta().y() // 3
        self._scroll = max(0, min(wish, total - room))
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        for box, at in self._hits:
            if box.contains(event.position()) and at != self._at:
                self._at = at
                self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # else the release would go to the parent

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        for box, at in self._hits:
            if box.contains(event.position()):
                self.open_line(at)
                return

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        c, px = theme.palette, theme.px
        self._hits = []
        painter.setClipRect(QRectF(0, px(_TOP), self.width(), self.height() - px(_TOP)))
        if not self._lines:
            typed = self.field.text().strip()
            words = "Nothing of that name." if typed else "Type a few letters or digits."
            write(painter, theme, "voice", 0, px(_TOP + 20), words, c.ink2)
            return
        kind = ""
        for at, line in enumerate(self._lines):
            shift = px(_TOP) - self._scroll
            top, bottom = (edge + shift for edge in self._span(at))
            if line.kind != kind:
                kind = line.kind
                write(painter, theme, "group", 0, top - px(8), kind, c.ink)
                hairline(painter, theme, 0, top - px(1), self.width(), c.rule2)
            if bottom < px(_TOP) or top > self.height():
                continue
            box = QRectF(0, top, self.width(), bottom - top)
            if at == self._at:
                painter.fillRect(box, c.sel)
                painter.fillRect(QRectF(0, top, px(3), box.height()), c.act)
            room = float(self.width() - px(16))
            if line.key:
                base = middle_base(theme, "key", top + px(14))
                write_right(painter, theme, "key", self.width() - px(4), base, line.key, c.ink3)
                room -= theme.width("key", line.key) + px(10)
            text = theme.elided("row", line.text, room)
            write(painter, theme, "row", px(10), top + px(18 if line.detail else 20), text, c.ink)
            detail = theme.elided("unit", line.detail, self.width() - px(16))
            tone = c.ink2 if at == self._at else c.ink3
            write(painter, theme, "unit", px(10), top + px(34), detail, tone)
            hairline(painter, theme, 0, bottom - px(1), self.width(), c.rule)
            self._hits.append((box, at))
