"""Fields for forms: a line, a choice, a tick; drawn like the page, not like Qt's default."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QCheckBox, QComboBox, QLineEdit, QWidget

from app.window.paper.brush import Brush, Drawn
from app.window.paper.plain import set_tip
from app.window.paper.theme import Theme

F = TypeVar("F", bound=QWidget)
Options = Sequence[tuple[str, object]]  # words, and the value that they stand for


def _edge(brush: Brush, box: QRectF, *, focus: bool) -> None:
    brush.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    width = 2.0 if focus else 1.0
    brush.stroke(brush.c.act if focus else brush.c.rule2, width, fill=brush.c.field)
    half = width * brush.theme.scale / 2
    brush.rounded(box.adjusted(half, half, -half, -half))


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
        set_tip(self, sentence)
        colour = self._theme.palette.alarm.name()
        self.setStyleSheet(f"QLineEdit {{ border-color: {colour}; }}" if sentence else "")

    @property
    def trouble(self) -> str:
        """Why it cannot be read, or nothing."""
        return self._trouble

    def empty(self) -> None:
        """Take away what was typed, and what was wrong with it."""
        self.clear()
        self.set_trouble("")


class Choice(QComboBox):
    """One of several words; the values are kept beside the words."""

    def __init__(self, theme: Theme, options: Options = ()) -> None:
        super().__init__()
        self._theme = theme
        self.setFont(theme.font("row"))
        self.set_options(options)
        theme.recoloured.connect(self.update)

    def set_options(self, options: Options) -> None:
        """Words and the values they stand for."""
        self.blockSignals(True)
        self.clear()
        for words, value in options:
            self.addItem(words, value)
        self.blockSignals(False)

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip:
            set_tip(self, self.currentText())  # the field may be narrower than its words
        return super().event(event)

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
        brush, box = Brush(QPainter(self), self._theme), QRectF(self.rect())
        _edge(brush, box, focus=self.hasFocus())
        px, middle = brush.px, box.center().y()
        ink = brush.c.ink if self.isEnabled() else brush.c.ink3
        room = box.width() - px(36)
        brush.write("row", px(9), brush.base("row", middle), self.currentText(), ink, room)
        brush.mark("down", box.right() - px(14), middle, brush.c.ink2, 13)


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
        brush, px, middle = Brush(QPainter(self), self._theme), self._theme.px, self.height() / 2
        side = px(16)
        box = QRectF(px(1), middle - side / 2, side, side)
        _edge(brush, box, focus=self.hasFocus())
        if self.isChecked():
            brush.mark("tick", box.center().x(), box.center().y(), brush.c.act, 14)
        ink = brush.c.ink if self.isEnabled() else brush.c.ink3
        brush.write("row", px(25), brush.base("row", middle), self.text(), ink)


_NARROWEST = 120  # a column of a form: under it labels run together and choices show nothing


class Form(Drawn):
    """Label over field, one under the other, in as many columns as fit.

    When the focus goes elsewhere in the window, `leave` saves what was typed, or says that it did
    not. A subclass says how, or whoever made the form by `on_leave`. `own_keys` are those of the
    page that act on what is typed here, such as `Qt.Key.Key_F4`.
    """

    own_keys: frozenset[int] = frozenset()

    def __init__(self, theme: Theme, columns: int = 2) -> None:
        super().__init__(theme)
        self._columns = columns
        self._pairs: list[tuple[str, QWidget, int]] = []
        self.on_leave: Callable[[], bool] = lambda: True
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._focus_moved)

    def leave(self) -> bool:
        """Save what was typed, or say that it is not; False where something is not."""
        return self.on_leave()

    def _focus_moved(self, old: QWidget | None, new: QWidget | None) -> None:
        # Another window may be looked at in the middle of a form: `new` is nothing then.
        if new is not None and form_of(old) is self and form_of(new) is not self:
            self.leave()

    def lines(self) -> list[tuple[str, LineField]]:
        """The lines of text that can be written in, with their labels."""
        return [
            (label, field)
            for label, field, _span in self._pairs
            if isinstance(field, LineField) and field.isEnabled()
        ]

    def add(self, label: str, field: F, *, span: int = 1) -> F:
        """Add a field under its label; it may span columns."""
        field.setParent(self)
        field.setAccessibleName(label)
        self._pairs.append((label, field, span))
        field.show()
        self._lay()
        return field

    def add_line(
        self,
        label: str,
        hint: str = "",
        *,
        span: int = 1,
        on_enter: Callable[[], object] | None = None,
    ) -> LineField:
        """Add a line of text; `on_enter` is called when Enter is pressed in it."""
        field = LineField(self._theme, "", hint)
        if on_enter is not None:
            field.returnPressed.connect(on_enter)
        return self.add(label, field, span=span)

    def empty(self) -> None:
        """Take away what was typed into the lines."""
        for _label, field, _span in self._pairs:
            if isinstance(field, LineField):
                field.empty()

    def first_field(self) -> QWidget | None:
        """The field that is written in first."""
        return self._pairs[0][1] if self._pairs else None

    def _places(self, width: int | None = None) -> list[tuple[str, QWidget, QRectF]]:
        px = self._theme.px
        gap = px(16)
        whole = self.width() if width is None else width
        columns = self._columns
        while columns > 1 and (whole - gap * (columns - 1)) / columns < px(_NARROWEST):
            columns -= 1
        wide = (whole - gap * (columns - 1)) / columns
        places, row_top, column, tall = [], 0.0, 0, 0.0
        for label, field, span in self._pairs:
            span = min(span, columns)
            if isinstance(field, QCheckBox) and field.sizeHint().width() > wide:
                span = columns  # its words stand beside it, and are not cut
            if column + span > columns:
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

    def draw(self, brush: Brush) -> None:
        for label, _field, box in self._places():
            base, room = box.top() - brush.px(6), box.width() + brush.px(12)
            brush.write("unit", box.left(), base, label, brush.c.ink3, room)


def form_of(widget: QWidget | None) -> Form | None:
    """The form that a widget stands in, also the list that drops down from a choice."""
    while widget is not None and not isinstance(widget, Form):
        widget = widget.parentWidget()
    return widget


def leave_form() -> bool:
    """Leave the form with the focus, if one has it; False where something is not saved."""
    form = form_of(QApplication.focusWidget())
    return form is None or form.leave()
