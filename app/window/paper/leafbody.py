"""A body of a page or entry: an italic paragraph, a form, and what there is to do."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QKeyEvent, QResizeEvent

from app.window.paper.action import ActionRow
from app.window.paper.brush import Brush, Drawn
from app.window.paper.fields import Form
from app.window.paper.theme import Theme


class LeafBody(Drawn):
    """The paragraph stands over the form; the row of action under it."""

    def __init__(
        self, theme: Theme, text: str, form: Form | None = None, row: ActionRow | None = None
    ) -> None:
        super().__init__(theme)
        self._text = text
        self.form, self.row = form, row
        for part in (form, row):
            if part is not None:
                part.setParent(self)
                part.show()
        self.setAccessibleName(text)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def say(self, text: str) -> None:
        """Another paragraph."""
        if text != self._text:
            self._text = text
            self.setAccessibleName(text)
            self._lay()
            self.update()

    def _wide(self, width: int) -> int:
        return min(width, self._theme.px(620))

    def _text_height(self, width: int) -> int:
        high = self._theme.wrapped_height("voice", self._text, self._wide(width))
        return round(high) + self._theme.px(10) if high else 0

    def natural_height(self, width: int) -> int:
        """Its height at a width."""
        high = self._text_height(width)
        if self.form is not None:
            high += self.form.natural_height(self._wide(width)) + self._theme.px(6)
        if self.row is not None:
            high += self.row.height()
        return high + self._theme.px(6)

    def entered(self) -> None:
        """Set the focus: into the first field, else here, where Enter is the action."""
        first = self.form.first_field() if self.form is not None else None
        (first or self).setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.row is not None:
            self.row.button.click()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def _lay(self) -> None:
        width = self.width()
        top = self._text_height(width)
        if self.form is not None:
            wide = self._wide(width)
            high = self.form.natural_height(wide)
            self.form.setGeometry(0, top, wide, high)
            top += high + self._theme.px(6)
        if self.row is not None:
            self.row.setGeometry(0, top, width, self.row.height())

    def draw(self, brush: Brush) -> None:
        box = QRectF(0, 0, self._wide(self.width()), self.height())
        brush.write_wrapped("voice", box, self._text, brush.c.ink2)
        if self.hasFocus():
            line = max(0, self._text_height(self.width()) - brush.px(4))
            brush.fill(0, line, box.width(), brush.px(2), brush.c.act)
