"""The field that is being written in a table's cell."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.window.paper.brush import Brush, Drawn
from app.window.paper.cells import Cell, Column
from app.window.paper.theme import Theme


def paint_field(brush: Brush, box: QRectF, *, wrong: bool = False) -> None:
    """A field's fill and edge, radius 2; alarm edge when what it holds cannot be read."""
    c, half = brush.c, brush.theme.scale
    with brush.smooth():
        brush.stroke(c.alarm if wrong else c.act, 2, fill=c.field)
        brush.rounded(box.adjusted(half, half, -half, -half))


def paint_old(brush: Brush, right: float, middle: float, old: str) -> None:
    """The filled-in number, struck through, ending at `right`."""
    base, ink, px = brush.base("row", middle), brush.c.ink3, brush.px
    left = brush.write_right("old", right, base, old, ink)
    y = round(base - brush.theme.metrics("old").xHeight() * 0.62)
    brush.fill(left - px(1), y, right - left + px(2), px(1), ink)


class Writing(QLineEdit):
    """A line edit that looks like the page: the old number beside the new, no frame of Qt's."""

    finished = Signal(str)  # "down", "up", "right", "left" or "stay"
    restore_asked = Signal()

    def __init__(self, theme: Theme, column: Column, cell: Cell, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self._column = column
        self._filled = cell.old or cell.text
        self.wrong = ""
        self._leaving = False
        self._proposed = ""
        self.setObjectName("writing")
        self.setFrame(False)
        if column.right:
            self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._leave_room()
        self.setText(cell.text)
        self.selectAll()
        self.textChanged.connect(self._text_changed)
        self._weigh()

    def _text_changed(self, _text: str) -> None:
        self.wrong = ""
        self._weigh()
        self._leave_room()
        self.update()

    def _weigh(self) -> None:
        changed = bool(self._filled) and self.text().strip() != self._filled and not self.wrong
        role = "changed" if changed else "row"
        if self._column.dense:
            role = f"dense_{role}" if changed else "dense"
        self.setFont(self._theme.font(role))

    def propose(self, text: str) -> None:
        """Fill in what may be meant: Enter writes it, typing replaces it, leaving drops it."""
        self.setText(text)
        self.selectAll()
        self._proposed = text

    @property
    def unconfirmed(self) -> bool:
        """Whether what stands here was proposed and nobody said yes to it."""
        return bool(self._proposed) and self.text() == self._proposed

    def refuse(self, sentence: str) -> None:
        """Say that the text cannot be read; the focus stays."""
        self.wrong = sentence
        self._weigh()
        self._leave_room()
        self.update()

    def _leave_room(self) -> None:
        """Keep the typed text off the mark of what cannot be read."""
        pad = self._theme.px(self._column.pad) - 2
        self.setTextMargins(max(pad, self._theme.px(26)) if self.wrong else pad, 0, pad, 0)

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = event.key()
            if key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
                self._finish("left" if key == Qt.Key.Key_Backtab else "right")
                return True
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, shift = event.key(), event.modifiers() & Qt.KeyboardModifier.ShiftModifier
        control = event.modifiers() & (
            Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
        )
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not control:
            self._proposed = ""
            self._finish("up" if shift else "down")
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down) and not control:
            self._finish("up" if key == Qt.Key.Key_Up else "down")
        elif key == Qt.Key.Key_Escape:
            self.restore_asked.emit()
        else:
            super().keyPressEvent(event)

    def _finish(self, where: str) -> None:
        self._leaving = True
        self.finished.emit(where)
        self._leaving = False

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        quiet = (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason)
        if not self._leaving and event.reason() not in quiet and self.isVisible():
            self._finish("stay")

    def hold_focus(self) -> None:
        """Take the focus back after the present event, unless another page came up by then."""
        QTimer.singleShot(0, self, lambda: self.isVisible() and self.setFocus())

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        brush = Brush(QPainter(self), theme)
        paint_field(brush, QRectF(self.rect()), wrong=bool(self.wrong))
        middle = self.height() / 2
        if self.wrong:
            brush.mark("wrong", theme.px(16), middle, size=14)
        elif self._column.right and self._filled and self.text().strip() != self._filled:
            typed = self.fontMetrics().horizontalAdvance(self.text())
            right = self.width() - theme.px(self._column.pad) - typed - theme.px(8)
            if right - theme.width("old", self._filled) > theme.px(4):
                paint_old(brush, right, middle, self._filled)
        brush.painter.end()
        super().paintEvent(event)


_LINE = 20  # height of a line of its sentence


class Beside(Drawn):
    """The plain sentence at a field that cannot be read: whole, in as many lines as it takes."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(theme, parent)
        self.sentence = ""
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def lay(self, left: int, right: int, top: int, bottom: int, lowest: int) -> None:
        """Stand between `left` and `right` under a row (`top` to `bottom`), or over it where that
        would pass `lowest`; no wider than the sentence needs."""
        px = self._theme.px
        lines = self._lines(right - left)
        wide = max((self._theme.width("voice", line) for line in lines), default=0.0)
        width = min(right - left, round(wide) + px(22))
        high = len(lines) * px(_LINE) + px(8)
        over = bottom + high > lowest and top - high >= 0
        self.setGeometry(right - width, top - high if over else bottom, width, high)

    def lines(self) -> list[str]:
        """Its sentence as it is broken here."""
        return self._lines(self.width())

    def _lines(self, width: int) -> list[str]:
        """The sentence in lines of so many pixels."""
        room, lines = width - self._theme.px(20), [""]
        for word in self.sentence.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and self._theme.width("voice", longer) > room:
                lines.append(word)
            else:
                lines[-1] = longer
        return lines

    def draw(self, brush: Brush) -> None:
        px = brush.px
        with brush.smooth():
            brush.stroke(brush.c.alarm, 1, fill=brush.c.paper)
            brush.rounded(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        for at, line in enumerate(self.lines()):
            base = brush.base("voice", px(4) + (at + 0.5) * px(_LINE))
            brush.write("voice", px(10), base, line, brush.c.alarm)
