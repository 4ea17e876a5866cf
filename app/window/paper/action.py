"""The one action of a page, its quiet second, and the row that they stand in."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QEnterEvent, QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from app.window.paper.brush import Brush, Drawn
from app.window.paper.marks import keycap_width
from app.window.paper.palette import mix
from app.window.paper.plain import set_tip
from app.window.paper.runs import Run, RunLine
from app.window.paper.theme import Theme

HEIGHT, RING = 36, 6  # the ring of focus stands outside the button


class FocusRing(Drawn):
    """A ring around a button that may reach over the edges of what holds the button.

    It lies on the window and follows while the button has the focus.
    """

    def __init__(self, theme: Theme, button: QWidget) -> None:
        super().__init__(theme, button.window())
        self._button = button
        self._watched: list[QWidget] = []
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def hold(self) -> None:
        """Lie around the button from now on."""
        widget: QWidget | None = self._button
        while widget is not None and widget is not self.window():
            widget.installEventFilter(self)
            self._watched.append(widget)
            widget = widget.parentWidget()
        self.follow()

    def leave(self) -> None:
        """Lie around it no more."""
        for widget in self._watched:
            widget.removeEventFilter(self)
        self._watched.clear()
        self.hide()

    def follow(self) -> None:
        """Go where the button is now."""
        inset = self._theme.px(RING)
        box = self._button.rect().adjusted(inset, inset, -inset, -inset)
        out = self._theme.px(4) + 2 * self._theme.px(1)
        top_left = self._button.mapTo(self.window(), box.topLeft())
        self.setGeometry(box.translated(top_left - box.topLeft()).adjusted(-out, -out, out, out))
        self.setVisible(self._button.isVisible())
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        kinds = (QEvent.Type.Move, QEvent.Type.Resize, QEvent.Type.Show, QEvent.Type.Hide)
        if event.type() in kinds:
            QTimer.singleShot(0, self, self._still_there)
        return False

    def _still_there(self) -> None:
        if self._watched:
            self.follow()

    def draw(self, brush: Brush) -> None:
        half = self._theme.scale
        with brush.smooth():
            brush.stroke(brush.c.act, 2)
            brush.rounded(QRectF(self.rect()).adjusted(half, half, -half, -half), 4)


class ActionButton(QAbstractButton):
    """A label and its key cap: filled with act (primary) or edged (quiet).

    Not yet possible, it is dashed and still takes a click: the reason stands beside it.
    """

    other_key = Signal(QKeyEvent)  # a key that is none of a button's own

    def __init__(
        self,
        theme: Theme,
        label: str,
        key: str,
        *,
        quiet: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._theme = theme
        self._key = key
        self._quiet = quiet
        self._ready = True
        self._over = False
        self._ring: FocusRing | None = None
        self.set_label(label)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        theme.recoloured.connect(self.update)

    def set_label(self, label: str) -> None:
        """Name what it does."""
        self.setText(label)
        self.setAccessibleName(label)
        self.updateGeometry()
        self.update()

    def set_key(self, key: str) -> None:
        """By which key it is pressed."""
        self._key = key
        self.updateGeometry()
        self.update()

    def set_ready(self, ready: bool) -> None:
        """Solid when it can be done now, dashed when not yet."""
        self._ready = ready
        self.update()

    @property
    def ready(self) -> bool:
        """Whether it can be done now."""
        return self._ready

    def sizeHint(self) -> QSize:
        px = self._theme.px
        label = self._theme.width("total", self.text())
        cap = px(22) + keycap_width(self._theme, self._key) if self._key else 0
        return QSize(round(px(16) + label + cap + px(12) + 2 * px(RING)), px(HEIGHT) + 2 * px(RING))

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if self._ring is None or self._ring.window() is not self.window():
            self._ring = FocusRing(self._theme, self)
        self._ring.hold()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if self._ring is not None:
            self._ring.leave()

    def enterEvent(self, event: QEnterEvent) -> None:
        self._over = True
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self._over = False
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if not event.isAutoRepeat():  # a key held down must not walk through everything
                self.click()
        elif key in (Qt.Key.Key_Space, Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            super().keyPressEvent(event)
        else:
            event.ignore()
            self.other_key.emit(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        brush = Brush(QPainter(self), self._theme)
        c, px, over = brush.c, brush.px, self._over or self.isDown()
        brush.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        inset = px(RING) + (0.5 if self._quiet or not self._ready else 0.0)  # half of its edge
        box = QRectF(self.rect()).adjusted(inset, inset, -inset, -inset)
        if not self._ready:
            brush.stroke(c.rule2, 1.2, dash=(5, 3), fill=c.paper)
            ink = cap = c.ink2
        elif self._quiet:
            brush.stroke(c.rule2, fill=c.sel if over else c.paper)
            ink, cap = c.ink, c.ink2
        else:
            brush.stroke(None, fill=mix(c.act, c.ink, 0.35) if over else c.act)
            ink = cap = c.on_act
        brush.rounded(box)
        middle = box.center().y()
        left = px(RING) + px(16)
        brush.write("total", left, brush.base("total", middle), self.text(), ink)
        if self._key:
            right = self.width() - px(RING) - px(12)
            brush.keycap(self._key, right - keycap_width(self._theme, self._key), middle, cap)


class _Reason(Drawn):
    """Two italic lines beside an action that is not yet possible."""

    words = ""

    def draw(self, brush: Brush) -> None:
        if not self.words:
            return
        box = QRectF(self.rect())
        flags = int(Qt.AlignmentFlag.AlignRight | Qt.TextFlag.TextWordWrap)
        need = self._theme.wrapped_height("aside", self.words, box.width())
        top = max(0.0, (box.height() - need) / 2)
        brush.painter.setFont(self._theme.font("aside"))
        brush.painter.setPen(brush.c.ink2)
        brush.painter.drawText(box.adjusted(0, top, 0, 0), flags, self.words)


class ActionRow(QWidget):
    """What stands under a page or an open entry: hints on the left, the action on the right."""

    def __init__(self, theme: Theme, label: str, key: str = "Ctrl ↵") -> None:
        super().__init__()
        self._theme = theme
        self.hints = RunLine(theme, parent=self)
        self.total = RunLine(theme, right=True, parent=self)
        self._reason = _Reason(theme, self)
        self.button = ActionButton(theme, label, key, parent=self)
        self.second: ActionButton | None = None
        self._second_shown = True
        self.setFixedHeight(theme.px(50))

    def set_second(self, label: str, key: str) -> ActionButton:
        """Add the quiet second action, left of the first."""
        self.second = ActionButton(self._theme, label, key, quiet=True, parent=self)
        self.second.show()
        self._lay()
        return self.second

    def set_second_ready(self, ready: bool) -> None:
        """Whether the second action can be done now."""
        if self.second is not None:
            self.second.set_ready(ready)

    def press_second(self) -> None:
        """Do the second action, if there is one now, also where it has no room to be seen."""
        if self.second is not None and self._second_shown:
            self.second.click()

    def show_second(self, shown: bool) -> None:
        """Whether there is anything to do for the second action."""
        self._second_shown = shown
        self._lay()

    def show_hints(self, runs: Sequence[Run]) -> None:
        """The helpers on the left."""
        self.hints.show_runs(runs)
        self._lay()

    def show_total(self, runs: Sequence[Run]) -> None:
        """A sum that stands beside the action."""
        self.total.show_runs(runs)
        self._lay()

    def set_ready(self, reason: str = "") -> None:
        """Ready when there is no reason against it; else dashed with the reason beside it."""
        self._reason.words = reason
        set_tip(self._reason, reason)
        self.button.set_ready(not reason)
        self._lay()
        self._reason.update()

    @property
    def reason(self) -> str:
        """Why it is not yet possible, or nothing."""
        return self._reason.words

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def _lay(self) -> None:
        px = self._theme.px
        ring, middle = px(RING), self.height() / 2 + px(2)
        size = self.button.sizeHint()
        right = self.width() + ring
        top = round(middle - size.height() / 2)
        self.button.setGeometry(right - size.width(), top, size.width(), size.height())
        right -= size.width()
        need = self.total.sizeHint().width() if self.total.text() else 0
        # As wide as two lines of it need, and before the hints, which may be cut.
        line = self._theme.width("aside", self._reason.words)
        two_lines = round(line / 2 + px(60)) if line > px(200) else round(line + px(4))
        if self.second is not None:
            hint = self.second.sizeHint()
            # Where a sum or a reason has no room beside both, the key of the second must do.
            beside = max(need, min(two_lines, px(200)) if self._reason.words else 0)
            fits = right - hint.width() - (px(12) + beside if beside else ring) >= 0
            self.second.setVisible(self._second_shown and fits)
            if self._second_shown and fits:
                right -= hint.width()
                self.second.setGeometry(right, top, hint.width(), hint.height())
        right -= px(12)
        high = px(24)
        line_top = round(middle - high / 2)
        if need:
            right -= need
            self.total.setGeometry(right, line_top, need, high)
            right -= px(16)
        self.total.setVisible(bool(need))
        hints = self.hints.sizeHint().width()
        if self._reason.words:
            beside_hints = min(px(230), right - hints - px(16))
            wide = min(max(px(120), beside_hints, two_lines), right)
            self._reason.setGeometry(right - wide, 0, wide, self.height())
            right -= wide + px(16)
        self._reason.setVisible(bool(self._reason.words))
        self.hints.setGeometry(0, line_top, max(0, right), high)
