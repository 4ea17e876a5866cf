"""The words of a letter to write in: what is typed stands bold, and beside it whose words they are.

Beneath them, under a dashed line, stands what goes with every letter and cannot be written in.
"""

from __future__ import annotations

from difflib import SequenceMatcher

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QFont,
    QKeyEvent,
    QKeySequence,
    QResizeEvent,
    QSyntaxHighlighter,
    QTextCharFormat,
)
from PySide6.QtWidgets import QPlainTextEdit, QWidget

from app.actions.letters.letter_page import says_stop
from app.window.paper.brush import Brush, Drawn
from app.window.paper.theme import Theme

TEXT_WIDE, PAD, BESIDE, GAP = 568, 12, 150, 20  # at scale 1


class _Added(QSyntaxHighlighter):
    """Words that the proposed letter does not have stand bold."""

    def __init__(self, field: QPlainTextEdit) -> None:
        super().__init__(field.document())
        self.proposed: list[str] = []

    def highlightBlock(self, text: str) -> None:
        bold = QTextCharFormat()
        bold.setFontWeight(QFont.Weight.Bold)
        for start, length in added(text, self.proposed):
            self.setFormat(start, length, bold)


def added(text: str, proposed: list[str]) -> list[tuple[int, int]]:
    """(Start, length) of what a paragraph has more than the proposed one that is most like it."""
    if not text.strip() or text in proposed:
        return []
    words = text.split(" ")
    near = max(proposed, key=lambda one: _alike(words, one.split(" ")), default="")
    matcher = SequenceMatcher(None, near.split(" "), words, autojunk=False)
    spans = []
    for tag, _a, _b, begin, end in matcher.get_opcodes():
        if tag in ("insert", "replace") and end > begin:
            start = len(" ".join(words[:begin])) + (1 if begin else 0)
            spans.append((start, len(" ".join(words[begin:end]))))
    return spans


def _alike(one: list[str], other: list[str]) -> float:
    return SequenceMatcher(None, one, other, autojunk=False).ratio()


class _Words(QPlainTextEdit):
    """The field itself, without an edge of its own."""

    turned = Signal()  # it has the focus, or has it no more

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.turned.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.turned.emit()

    def event(self, event: QEvent) -> bool:
        """Ctrl+Z is the field's own while something typed can be taken back, else the book's."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            undo = event.matches(QKeySequence.StandardKey.Undo)
            if undo and not self.document().isUndoAvailable():
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape or (
            event.modifiers() & Qt.KeyboardModifier.ControlModifier
            and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        ):
            event.ignore()
        else:
            super().keyPressEvent(event)


class LetterText(Drawn):
    """A letter's words with what stands beside and beneath them."""

    typed = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self._tail = ""
        self._proposed: list[str] = []
        self.field = _Words(self)
        self.field.setFont(theme.font("row"))
        self.field.setTabChangesFocus(True)
        self.field.setAccessibleName("Letter")
        self.field.setStyleSheet("QPlainTextEdit { border: none; background: transparent; "
                                 "padding: 0; }")  # fmt: skip
        self.field.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self._bold = _Added(self.field)
        self.field.turned.connect(self.update)
        self.field.textChanged.connect(self._changed)
        self.field.verticalScrollBar().valueChanged.connect(lambda _value: self.update())
        self.setFocusProxy(self.field)

    def show_letter(self, text: str, proposed: str, tail: str) -> None:
        """Show these words; `proposed` are those that the book has for it."""
        self._tail, self._proposed = tail, proposed.split("\n")
        self._bold.proposed = self._proposed
        if text != self.field.toPlainText():
            self.field.blockSignals(True)
            self.field.setPlainText(text)
            self.field.blockSignals(False)
        self._bold.rehighlight()
        self._lay()
        self.update()

    @property
    def text(self) -> str:
        """The words as they stand."""
        return self.field.toPlainText()

    def _changed(self) -> None:
        self.update()
        self.typed.emit()

    # measures ------------------------------------------------------------------------------
    def _wide(self) -> int:
        """The width of the field: what stands beside it keeps its room, or has none."""
        px = self._theme.px
        beside = px(BESIDE + GAP) if self.width() >= px(420 + BESIDE) else 0
        return min(px(TEXT_WIDE), self.width() - beside)

    def beneath(self) -> int:
        """The height of what is not the words: the tail under them, and the edges."""
        return self._tail_height() + 2 * self._theme.px(PAD)

    def _tail_height(self) -> int:
        if not self._tail:
            return 0
        room = self._wide() - 2 * self._theme.px(PAD + 8)
        return round(self._theme.wrapped_height("unit", self._tail, room)) + self._theme.px(24)

    def natural_height(self, _width: int) -> int:
        """The height at which all words are seen."""
        words, block = 0.0, self.field.document().firstBlock()
        while block.isValid():
            words += self.field.blockBoundingRect(block).height()
            block = block.next()
        edge = 2 * self.field.document().documentMargin()
        return round(words + edge) + self.beneath() + self._theme.px(4)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(TEXT_WIDE), self.natural_height(self.width()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def _lay(self) -> None:
        pad = self._theme.px(PAD)
        high = self.height() - 2 * pad - self._tail_height()
        self.field.setGeometry(pad, pad, self._wide() - 2 * pad, max(0, high))

    # paint ---------------------------------------------------------------------------------
    def draw(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        wide = self._wide()
        focus = self.field.hasFocus()
        half = (2.0 if focus else 1.0) * self._theme.scale / 2
        with brush.smooth():
            brush.stroke(c.act if focus else c.rule2, 2 if focus else 1, fill=c.field)
            brush.rounded(QRectF(half, half, wide - 2 * half, self.height() - 2 * half))
        bottom = self.height() - self._tail_height()
        if self._tail:
            brush.stroke(c.rule2, 1, dash=(4, 3))
            brush.draw_line(px(PAD), bottom - px(4), wide - px(PAD), bottom - px(4))
            box = QRectF(px(PAD + 4), bottom + px(4), wide - 2 * px(PAD + 4), self._tail_height())
            brush.write_wrapped("unit", box, self._tail, c.ink2)
        if wide + px(BESIDE) <= self.width():
            self._draw_beside(brush, wide + px(GAP), bottom)

    def _draw_beside(self, brush: Brush, left: float, bottom: float) -> None:
        """Whose words each paragraph has: the record's, your own, and how to stop."""
        px = brush.px
        block = self.field.firstVisibleBlock()
        origin = QPointF(0, px(PAD)) + self.field.contentOffset()
        told, last = "", -float(px(40))
        while block.isValid():
            box = self.field.blockBoundingGeometry(block).translated(origin)
            if box.top() > bottom - px(30):
                break
            mark, words = self._beside(block.text())
            if words and words != told and box.top() - last >= px(20):
                middle = box.top() + px(10)
                brush.mark(mark, left + px(6), middle, brush.c.ink2, 13)
                at, room = left + px(22), self.width() - left - px(22)
                brush.write("unit", at, brush.base("unit", middle), words, brush.c.ink2, room)
                told, last = words, box.top()
            block = block.next()
        if self._tail:
            brush.mark("fixed", left + px(6), bottom + px(12), brush.c.ink2, 13)
            base = brush.base("unit", bottom + px(12))
            brush.write("unit", left + px(22), base, "goes with it, fixed", brush.c.ink2)

    def _beside(self, paragraph: str) -> tuple[str, str]:
        if not paragraph.strip():
            return "", ""
        if paragraph not in self._proposed:
            return "changed", "changed by you"
        if says_stop(paragraph):
            return "peace", "how to stop"
        return "done", "from the record"
