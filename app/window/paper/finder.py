"""Find anything: type, go down with the arrows, Enter opens. Stands in the notes margin."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from PySide6.QtCore import QEvent, QMetaObject, QObject, QRectF, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QHideEvent,
    QKeyEvent,
    QMouseEvent,
    QResizeEvent,
    QShowEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from app.calculations.numbers.wording import capital
from app.window.paper.accessible import Part, Role, say_aloud
from app.window.paper.brush import Brush, Drawn
from app.window.paper.pause import Pause
from app.window.paper.plain import set_tip
from app.window.paper.theme import Theme

_ROW, _BARE, _GROUP, _TOP, _FOOT = 42, 30, 30, 46, 24


@dataclass(frozen=True)
class FoundLine:
    """Something found: `kind` groups lines (`Customers`), `go` opens it; `near` but for a slip."""

    kind: str
    text: str
    detail: str
    go: Callable[[], object]
    key: str = ""
    near: bool = False


def forgiving(text: str, lines: Sequence[FoundLine]) -> list[FoundLine]:
    """The lines that have all words typed, and those that have them but for slips, as such."""
    from app.calculations.numbers.spelling import told  # not before the first picture

    ranked = [(told(text, f"{line.text} {line.detail}"), line) for line in lines]
    return [replace(line, near=rank < 2) for rank, line in ranked if rank]


def spoken_found(line: FoundLine) -> str:
    """A line that was found, as it is read out."""
    return ", ".join(one for one in (line.text, line.detail, line.kind, line.key) if one)


class Finder(Drawn):
    """A field and the lines found, grouped by kind."""

    told_as = Role.List
    left = Signal()

    def __init__(
        self,
        theme: Theme,
        look_up: Callable[[str], Sequence[FoundLine]],
        hint: str = "",
    ) -> None:
        """`hint` says in the empty field what may be typed, and is read out as its name."""
        super().__init__(theme)
        self._look_up, self._hint = look_up, hint
        self._lines: tuple[FoundLine, ...] = ()
        self._at = 0
        self._scroll = 0
        self._hits: list[tuple[QRectF, int]] = []
        self.setAccessibleName("Found")
        self.field = QLineEdit(self)
        self.field.setFont(theme.font("row"))
        self.field.setPlaceholderText(hint or "name, plate, job, supply")
        self.field.setAccessibleName(capital(hint) or "Find anything")
        self.field.installEventFilter(self)
        self._pause = Pause(self, 60, self.search)
        self.field.textChanged.connect(self._pause.start)
        self._taken = False
        self._watch: QMetaObject.Connection | None = (
            None  # a page that was read just then took the focus from the field
        )
        self.setMouseTracking(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

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
        self._say_line()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.field.setGeometry(0, self._theme.px(4), self.width(), self._theme.px(32))

    def showEvent(self, event: QShowEvent) -> None:
        # Only while it is seen: the application outlives it.
        self._let_go()
        self._watch = QApplication.instance().focusChanged.connect(self._take_back)  # type: ignore[union-attr]
        super().showEvent(event)

    def hideEvent(self, event: QHideEvent) -> None:
        self._let_go()
        super().hideEvent(event)

    def _let_go(self) -> None:
        """Hear no more of where the focus goes; a page that is put away hides it once more."""
        if self._watch is not None:
            QObject.disconnect(self._watch)
            self._watch = None

    def _take_back(self, _before: QWidget | None, now: QWidget | None) -> None:
        """Nobody went elsewhere: what is typed, and Enter, is meant for the field."""
        taken, self._taken = self._taken, False
        if taken and self.isVisible() and now is not None and now.window() is self.window():
            self.field.setFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusOut and isinstance(event, QFocusEvent):
            # By no key and no click, and not because the finder was left: that hides it first.
            self._taken = event.reason() == Qt.FocusReason.OtherFocusReason and self.isVisible()
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
            room = self._room()
            if end - self._scroll > room:
                self._scroll = end - room
            if start - self._theme.px(_GROUP) < self._scroll:
                self._scroll = max(0, start - self._theme.px(_GROUP))
            self._say_line()
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

    def _room(self) -> int:
        """The height for lines: all there is, or but for the foot that says how many more come."""
        room = self.height() - self._theme.px(_TOP)
        more = self._span(len(self._lines))[1] > room
        return room - self._theme.px(_FOOT) if more else room

    def wheelEvent(self, event: QWheelEvent) -> None:
        total, room = self._span(len(self._lines))[1], self._room()
        wish = self._scroll - event.angleDelta().y() // 3
        self._scroll = max(0, min(wish, total - room))
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        for box, at in self._hits:
            if box.contains(event.position()):
                set_tip(self, f"{self._lines[at].text}\n{self._lines[at].detail}".strip())
                self._at = at
                self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # else the release would go to the parent

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        for box, at in self._hits:
            if box.contains(event.position()):
                self.open_line(at)
                return

    def told_parts(self) -> tuple[Part, ...]:
        return tuple(
            Part(spoken_found(self._lines[at]), box, partial(self.open_line, at), Role.ListItem,
                 frozenset({"selectable", "selected"} if at == self._at else {"selectable"}))
            for box, at in self._hits
        )  # fmt: skip

    def _say_line(self) -> None:
        """Have the line that Enter would open read out."""
        if self._lines:
            words = spoken_found(self._lines[self._at])
            say_aloud(self.field, f"{words}, {self._at + 1} of {len(self._lines)}")

    def draw(self, brush: Brush) -> None:
        c, px, width = brush.c, brush.px, self.width()
        self._hits = []
        brush.painter.setClipRect(QRectF(0, px(_TOP), width, self.height() - px(_TOP)))
        if not self._lines:
            words = "Nothing of that name."
            if not self.field.text().strip():  # the hint may be wider than the field
                words = f"{capital(self._hint)}." if self._hint else "Type a few letters or digits."
            box = QRectF(0, px(_TOP + 4), width, self.height() - px(_TOP + 4))
            brush.write_wrapped("voice", box, words, c.ink2)
            return
        kind = ""
        for at, line in enumerate(self._lines):
            shift = px(_TOP) - self._scroll
            top, bottom = (edge + shift for edge in self._span(at))
            if bottom > px(_TOP) + self._room():  # no half lines: arrows and wheel bring it
                base = brush.base("unit", self.height() - px(_FOOT) / 2)
                brush.write("unit", px(10), base, f"↓ {len(self._lines) - at:,} more", c.ink2)
                return
            if line.kind != kind:
                kind = line.kind
                brush.write("group", 0, top - px(8), kind, c.ink)
                brush.hairline(0, top - px(1), width, c.rule2)
            if bottom < px(_TOP):
                continue
            here = at == self._at
            if here:
                brush.fill(0, top, width, bottom - top, c.sel)
                brush.fill(0, top, px(3), bottom - top, c.act)
            room = float(width - px(16))
            if line.key:
                base = brush.base("key", top + px(14))
                brush.write_right("key", width - px(4), base, line.key, c.ink3)
                room -= self._theme.width("key", line.key) + px(10)
            base = top + px(18 if line.detail else 20)
            brush.write("row", px(10), base, line.text, c.ink, room)
            tone = c.ink2 if here else c.ink3
            brush.write("unit", px(10), top + px(34), line.detail, tone, width - px(16))
            brush.hairline(0, bottom - px(1), width, c.rule)
            self._hits.append((QRectF(0, top, width, bottom - top), at))
