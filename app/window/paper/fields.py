"""Fields for forms: a line, a choice, a tick, a day; drawn like the page, not like Qt's default."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import QDate, QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCheckBox, QComboBox, QDateEdit, QLineEdit, QWidget

from app.window.paper.marks import paint_mark
from app.window.paper.strokes import middle_base, write
from app.window.paper.theme import Theme


def _edge(painter: QPainter, theme: Theme, box: QRectF, *, focus: bool) -> None:
    width = (2.0 if focus else 1.0) * theme.scale
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(theme.palette.act if focus else theme.palette.rule2, width))
    painter.setBrush(theme.palette.field)
    half = width / 2
    painter.drawRoundedRect(box.adjusted(half, half, -half, -half), theme.px(2), theme.px(2))


class LineField(QLineEdit):
    """A line of text; `trouble` gives it an alarm edge and a tooltip that says why."""

    def __init__(self, theme: Theme, text: str = "", hint: str = "") -> None:
        super().__init__(text)
        self._theme = theme
        self._trouble = ""
        self.setFont(theme.font("row"))
        self.setPlaceholderText(hint)
        self.textEdited.connect(lambda _text: self.set_trouble(""))

    def event(self, event: QEvent) -> bool:
        """Ctrl+Z is the field's own while something typed can be taken back, else the book's."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            undo = event.matches(QKeySequence.StandardKey.Undo) and not self.isUndoAvailable()
            redo = event.matches(QKeySequence.StandardKey.Redo) and not self.isRedoAvailable()
            if undo or redo:
                event.ignore()
                return False
        return super().event(event)

    def set_trouble(self, sentence: str) -> None:
        """Mark the field as one that cannot be read, or as well again."""
        if sentence == self._trouble:
            return
        self._trouble = sentence
        self.setToolTip(sentence)
        colour = self._theme.palette.alarm.name()
        self.setStyleSheet(f"QLineEdit {{ border-color: {colour}; }}" if sentence else "")

    @property
    def trouble(self) -> str:
        """Why it cannot be read, or nothing."""
        return self._trouble


class Choice(QComboBox):
    """One of several words; the values are kept beside the words."""

    def __init__(self, theme: Theme, options: Sequence[tuple[str, object]] = ()) -> None:
        super().__init__()
        self._theme = theme
        self.setFont(theme.font("row"))
        self.set_options(options)
        theme.recoloured.connect(self.update)

    def set_options(self, options: Sequence[tuple[str, object]]) -> None:
        """Words and the values they stand for."""
        self.blockSignals(True)
        self.clear()
        for words, value in options:
            self.addItem(words, value)
        self.blockSignals(False)

    @property
    def value(self) -> object:
        """The value chosen."""
        return self.currentData()

    def choose(self, value: object) -> None:
        """Choose by value, without telling anyone."""
        self.blockSignals(True)
        for at in range(self.count()):
            if self.itemData(at) == value:
                self.setCurrentIndex(at)
        self.blockSignals(False)
        self.update()

    def sizeHint(self) -> QSize:
        wide = max(
            (self._theme.width("row", self.itemText(at)) for at in range(self.count())),
            default=60.0,
        )
        return QSize(round(wide) + self._theme.px(44), self._theme.px(30))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        box = QRectF(self.rect())
        _edge(painter, theme, box, focus=self.hasFocus())
        middle = box.center().y()
        room = box.width() - theme.px(36)
        text = theme.elided("row", self.currentText(), room)
        ink = theme.palette.ink if self.isEnabled() else theme.palette.ink3
        write(painter, theme, "row", theme.px(9), middle_base(theme, "row", middle), text, ink)
        at = QPointF(box.right() - theme.px(14), middle)
        paint_mark(painter, theme, "down", at, theme.palette.ink2, 13)


class Tick(QCheckBox):
    """A square that is ticked, and its words."""

    def __init__(self, theme: Theme, words: str, ticked: bool = False) -> None:
        super().__init__(words)
        self._theme = theme
        self.setFont(theme.font("row"))
        self.setChecked(ticked)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        theme.recoloured.connect(self.update)

    def sizeHint(self) -> QSize:
        wide = self._theme.width("row", self.text())
        return QSize(round(wide) + self._theme.px(28), self._theme.px(26))

    def hitButton(self, pos: object) -> bool:
        return True

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        middle = self.height() / 2
        side = theme.px(16)
        box = QRectF(theme.px(1), middle - side / 2, side, side)
        _edge(painter, theme, box, focus=self.hasFocus())
        if self.isChecked():
            paint_mark(painter, theme, "tick", box.center(), theme.palette.act, 14)
        base = middle_base(theme, "row", middle)
        ink = theme.palette.ink if self.isEnabled() else theme.palette.ink3
        write(painter, theme, "row", theme.px(25), base, self.text(), ink)


class DayField(QDateEdit):
    """A day, typed or stepped with the arrow keys."""

    def __init__(self, theme: Theme, day: date) -> None:
        super().__init__(QDate(day.year, day.month, day.day))
        self.setFont(theme.font("row"))
        self.setDisplayFormat("d MMM yyyy")
        self.lineEdit().setTextMargins(theme.px(7), 0, theme.px(7), 0)

    @property
    def day(self) -> date:
        """The day that stands there."""
        value = self.date()
        return date(value.year(), value.month(), value.day())

    def set_day(self, day: date) -> None:
        """Show another day."""
        self.setDate(QDate(day.year, day.month, day.day))


class Form(QWidget):
    """Label over field, one under the other, in as many columns as fit."""

    def __init__(self, theme: Theme, columns: int = 2) -> None:
        super().__init__()
        self._theme = theme
        self._columns = columns
        self._pairs: list[tuple[str, QWidget, int]] = []
        theme.recoloured.connect(self.update)

    def add(self, label: str, field: QWidget, *, span: int = 1) -> QWidget:
        """Add a field under its label; it may span columns."""
        field.setParent(self)
        field.setAccessibleName(label)
        self._pairs.append((label, field, span))
        field.show()
        self._lay()
        return field

    def first_field(self) -> QWidget | None:
        """The field that is written in first."""
        return self._pairs[0][1] if self._pairs else None

    def _places(self, width: int | None = None) -> list[tuple[str, QWidget, QRectF]]:
        px = self._theme.px
        gap = px(16)
        wide = (
            (self.width() if width is None else width) - gap * (self._columns - 1)
        ) / self._columns
        places, row_top, column, tall = [], 0.0, 0, 0.0
        for label, field, span in self._pairs:
            span = min(span, self._columns)
            if column + span > self._columns:
                row_top += tall + px(10)
                column, tall = 0, 0.0
            high = max(px(30), field.sizeHint().height())
            left = column * (wide + gap)
            box = QRectF(left, row_top + px(20), wide * span + gap * (span - 1), high)
            places.append((label, field, box))
            tall = max(tall, high + px(20))
            column += span
        return places

    def natural_height(self, width: int) -> int:
        """Its height at a width."""
        places = self._places(width)
        return round(max((box.bottom() for _l, _f, box in places), default=0)) + self._theme.px(4)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(400), self.natural_height(self.width()))

    def _lay(self) -> None:
        for _label, field, box in self._places():
            field.setGeometry(box.toRect())

    def resizeEvent(self, event: object) -> None:
        self._lay()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        for label, _field, box in self._places():
            base = box.top() - theme.px(6)
            write(painter, theme, "unit", box.left(), base, label, theme.palette.ink3)
