"""The notes margin: explains what has the focus, and always shows this page's keys."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt, QTimer
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QPlainTextEdit, QScrollArea, QWidget

from app.window.paper.dotstrip import paint_strip, strip_height
from app.window.paper.marks import paint_keycap, paint_mark
from app.window.paper.notes import (
    Alert,
    Block,
    DotStrip,
    Drawing,
    Facts,
    Heading,
    Keys,
    Note,
    Offer,
    Part,
    Plain,
    Rule,
    Voice,
    Writable,
)
from app.window.paper.strokes import hairline, middle_base, write, write_right
from app.window.paper.theme import Theme

WIDE, WIDER, WIDER_FROM = 262, 312, 1240
INSET_LEFT, INSET_RIGHT = 20, 24
_KEY_PITCH = 24
_LINE = {"entry": 22, "voice": 20, "tick": 17, "unit": 18, "total": 20}


def wrapped(theme: Theme, role: str, text: str, width: float) -> list[str]:
    """Break a text into lines that are not wider than `width`; long words are cut."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            trial = f"{line} {word}" if line else word
            if theme.width(role, trial) <= width:
                line = trial
                continue
            if line:
                lines.append(line)
            line = word
            while theme.width(role, line) > width and len(line) > 1:
                cut = len(line)
                while cut > 1 and theme.width(role, line[:cut]) > width:
                    cut -= 1
                lines.append(line[:cut])
                line = line[cut:]
        lines.append(line)
    return lines


class _BlockView(QWidget):
    """One painted block; its height depends on the width."""

    def __init__(self, theme: Theme, block: Block | str, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self.block = block
        self._link = QRectF()
        if isinstance(block, Offer):
            self.setCursor(Qt.CursorShape.PointingHandCursor)

    def _lines(self, width: float) -> tuple[str, list[str]]:
        block = self.block
        if isinstance(block, str):
            return "entry", wrapped(self._theme, "entry", block, width)
        if isinstance(block, Heading):
            return "entry", wrapped(self._theme, "entry", block.text, width)
        if isinstance(block, Voice):
            return "voice", wrapped(self._theme, "voice", block.text, width)
        if isinstance(block, Plain):
            return "unit", wrapped(self._theme, "unit", block.text, width)
        if isinstance(block, Alert):
            room = width - self._theme.px(24)
            return "total", wrapped(self._theme, "total", block.text, room)
        return "", []

    def height_for(self, width: int) -> int:
        """The height at a width, both in the present scale's pixels."""
        px, block = self._theme.px, self.block
        if isinstance(block, Rule):
            return px(1)
        if isinstance(block, Facts):
            return sum(self._fact_height(pair, width) for pair in block.pairs)
        if isinstance(block, DotStrip):
            return px(strip_height(block))
        if isinstance(block, Drawing):
            return px(block.height)
        if isinstance(block, Offer):
            return px(26)
        role, lines = self._lines(width)
        return px(_LINE[role]) * len(lines)

    def _fact_height(self, pair: tuple[str, ...], width: int) -> int:
        theme, px = self._theme, self._theme.px
        need = theme.width("dense", pair[0]) + theme.width("dense_total", pair[1]) + px(10)
        if need <= width:
            return px(22)
        lines = wrapped(theme, "dense", pair[0], width)
        last = theme.width("dense", lines[-1]) + theme.width("dense_total", pair[1]) + px(10)
        return px(4) + px(18) * (len(lines) + (last > width))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # else the release would go to the parent

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if isinstance(self.block, Offer):
            self.block.on_click()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme, block = QPainter(self), self._theme, self.block
        c, px, width = theme.palette, theme.px, self.width()
        if isinstance(block, Rule):
            hairline(painter, theme, 0, 0, width, c.rule)
        elif isinstance(block, Facts):
            self._paint_facts(painter, block)
        elif isinstance(block, DotStrip):
            reach = px(6)
            box = QRectF(self.rect()).adjusted(reach, 0, -reach, 0)
            paint_strip(painter, box, block, theme)
        elif isinstance(block, Drawing):
            block.paint(painter, QRectF(self.rect()), theme)
        elif isinstance(block, Offer):
            middle = self.height() / 2
            at = 0.0
            if block.key:
                at = paint_keycap(painter, theme, block.key, 0, middle) + px(8)
            base = middle_base(theme, "dense_total", middle)
            text = theme.elided("dense_total", block.text, width - at)
            write(painter, theme, "dense_total", at, base, text, c.act)
        else:
            role, lines = self._lines(width)
            pitch = px(_LINE[role])
            ink = c.ink if role == "entry" else c.ink2
            left = 0.0
            if isinstance(block, Alert):
                ink = c.alarm if block.level == "wrong" else c.look
                paint_mark(painter, theme, block.level, QPointF(px(8), pitch / 2), ink, 15)
                left = px(24)
            elif isinstance(block, Plain):
                ink = getattr(c, block.tone)
            for at, line in enumerate(lines):
                base = middle_base(theme, role, pitch * at + pitch / 2)
                write(painter, theme, role, left, base, line, ink)

    def _paint_facts(self, painter: QPainter, block: Facts) -> None:
        theme, c, px = self._theme, self._theme.palette, self._theme.px
        top = 0
        for pair in block.pairs:
            high = self._fact_height(pair, self.width())
            base = middle_base(theme, "dense", top + px(11))
            if high > px(22):
                for at, line in enumerate(wrapped(theme, "dense", pair[0], self.width())):
                    write(painter, theme, "dense", 0, base + px(18) * at, line, c.ink2)
                base = base + high - px(22)
            else:
                write(painter, theme, "dense", 0, base, pair[0], c.ink2)
            tone = getattr(c, pair[2]) if len(pair) > 2 and pair[2] else c.ink
            value = theme.elided("dense_total", pair[1], self.width())
            write_right(painter, theme, "dense_total", self.width(), base, value, tone)
            top += high


class _WritableView(QPlainTextEdit):
    """A text of the person's own; saved when it is left."""

    def __init__(self, theme: Theme, block: Writable, parent: QWidget) -> None:
        super().__init__(parent)
        self.block = block
        self._theme = theme
        self._kept = block.text
        self.setPlainText(block.text)
        self.setFont(theme.font("dense"))
        self.setTabChangesFocus(True)
        self.setAccessibleName(block.label)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(1500)
        self._pause.timeout.connect(self.keep)
        self.textChanged.connect(self._pause.start)

    def height_for(self, _width: int) -> int:
        """Label excluded: room for the wished lines."""
        return self._theme.px(20 * self.block.lines + 14)

    def keep(self) -> None:
        """Hand the text on if it was changed."""
        self._pause.stop()
        text = self.toPlainText()
        if text != self._kept:
            self._kept = text
            self.block.on_change(text)

    def focusOutEvent(self, event: object) -> None:
        super().focusOutEvent(event)  # type: ignore[arg-type]
        self.keep()


class Margin(QWidget):
    """Shows one `Note` at a time; F1 swaps it for all keys of the place."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._note = Note()
        self._all_keys: tuple[tuple[str, Keys], ...] | None = None
        self._views: list[QWidget] = []
        self._scroll = QScrollArea(self)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.viewport().setAutoFillBackground(False)
        self._sheet = QWidget()
        self._sheet.setAutoFillBackground(False)
        self._scroll.setWidget(self._sheet)
        self._sheet.setAutoFillBackground(False)
        self._foreign: QWidget | None = None
        theme.recoloured.connect(self._recolour)

    def _recolour(self) -> None:
        self.update()
        for view in self._views:
            view.update()

    @property
    def note(self) -> Note:
        """What is shown (or would be, were the keys not shown)."""
        return self._note

    def say(self, note: Note) -> None:
        """Show a note in place of the one before."""
        if note == self._note and self._all_keys is None and self._views:
            return
        self._note = note
        if self._all_keys is None:
            self._build()
        self.update()

    def write(self, key: str = "") -> bool:
        """Put the cursor into a text of the note (the first without a key); False where none is."""
        for view in self._views:
            if isinstance(view, _WritableView) and key in ("", view.block.key):
                view.setFocus()
                return True
        return False

    def show_all_keys(self, groups: Sequence[tuple[str, Keys]] | None) -> None:
        """All keys, group by group; None goes back to the note."""
        self._all_keys = tuple(groups) if groups is not None else None
        self._build()
        self.update()

    @property
    def shows_all_keys(self) -> bool:
        """Whether F1's list stands in the margin."""
        return self._all_keys is not None

    def lend(self, widget: QWidget | None) -> None:
        """Give the whole margin to another widget (the search), or take it back."""
        if self._foreign is not None and self._foreign is not widget:
            self._foreign.hide()
        self._foreign = widget
        self._scroll.setVisible(widget is None)
        if widget is not None:
            widget.setParent(self)
            widget.show()
        self._lay()
        self.update()

    def keep(self) -> None:
        """Hand on what was changed in the note's texts and not yet left."""
        for view in self._views:
            if isinstance(view, _WritableView):
                view.keep()

    # layout --------------------------------------------------------------------------------
    def _blocks(self) -> list[Block | str]:
        if self._all_keys is not None:
            blocks: list[Block | str] = ["Keys"]
            for title, keys in self._all_keys:
                blocks += [Voice(title), _keys_block(keys)]
            return blocks
        note = self._note
        return [*([note.title] if note.title else []), *note.blocks]

    def _build(self) -> None:
        kept = {
            view.block.key: view
            for view in self._views
            if isinstance(view, _WritableView) and view.hasFocus()
        }
        for view in self._views:
            if isinstance(view, _WritableView):
                if view in kept.values():
                    continue
                view.keep()
            view.hide()
            if not getattr(view, "is_part", False):
                view.deleteLater()
        self._views = []
        for block in self._blocks():
            if isinstance(block, Writable):
                self._views.append(_BlockView(self._theme, Plain(block.label, "ink2"), self._sheet))
                field = kept.pop(block.key, None)
                if field is None:
                    field = _WritableView(self._theme, block, self._sheet)
                self._views.append(field)
            elif isinstance(block, Part):
                block.widget.setParent(self._sheet)
                block.widget.is_part = True  # type: ignore[attr-defined]
                self._views.append(block.widget)
            else:
                self._views.append(_BlockView(self._theme, block, self._sheet))
        for left in kept.values():  # the new note has no such text
            left.keep()
            left.hide()
            left.deleteLater()
        for view in self._views:
            view.show()
        self._lay()

    @staticmethod
    def _gap(before: object, after: object) -> int:
        if isinstance(before, str | Heading | Alert) and not isinstance(after, Rule):
            return 3 if isinstance(after, str | Heading | Alert | Voice) else 8
        if isinstance(after, Rule) or isinstance(before, Rule):
            return 10
        if isinstance(before, Plain):
            return 6
        if isinstance(after, Offer) and isinstance(before, Offer):
            return 2
        return 10

    def _keys_top(self) -> int:
        rows = 0 if self._all_keys is not None else len(self._note.keys)
        # The keys end 12 above the foot of the margin.
        return self.height() - self._theme.px(12 + _KEY_PITCH * rows + 12 if rows else 8)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def _lay(self) -> None:
        px = self._theme.px
        left, top = px(INSET_LEFT), px(3)
        width = self.width() - px(INSET_LEFT + INSET_RIGHT)
        if self._foreign is not None:
            self._foreign.setGeometry(left, top, width, self.height() - top - px(8))
            return
        high = max(0, self._keys_top() - top - px(8))
        self._scroll.setGeometry(left - px(6), top, width + px(20), high)
        y = 0
        before: object = None
        for view in self._views:
            block = getattr(view, "block", None)
            if before is not None:
                y += px(self._gap(before, block))
            tall = (
                view.height_for(width)
                if isinstance(view, _BlockView | _WritableView)
                else view.sizeHint().height()
            )
            if isinstance(block, DotStrip):  # figures at the ends of its axis reach out a little
                view.setGeometry(0, y, width + px(12), tall)
            else:
                view.setGeometry(px(6), y, width, tall)
            y += tall
            before = block
        self._sheet.resize(width + px(12), y)
        self._sheet.setFixedWidth(width + px(12))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme = QPainter(self), self._theme
        c, px = theme.palette, theme.px
        painter.fillRect(QRectF(0, px(0), px(1), self.height()), c.rule)
        if self._foreign is not None or self._all_keys is not None or not self._note.keys:
            return
        left, right = px(INSET_LEFT), self.width() - px(INSET_RIGHT)
        top = self._keys_top()
        hairline(painter, theme, left, top, right - left, c.rule)
        for row, (key, what) in enumerate(self._note.keys):
            middle = top + px(21 + _KEY_PITCH * row)
            paint_keycap(painter, theme, key, left, middle)
            base = middle_base(theme, "unit", middle)
            text = theme.elided("unit", what, right - left - px(62))
            write(painter, theme, "unit", left + px(62), base, text, c.ink2)


def _keys_block(keys: Keys) -> Drawing:
    def paint(painter: QPainter, box: QRectF, theme: Theme) -> None:
        for row, (key, what) in enumerate(keys):
            middle = box.top() + theme.px(12 + _KEY_PITCH * row)
            paint_keycap(painter, theme, key, box.left(), middle)
            base = middle_base(theme, "unit", middle)
            at = box.left() + theme.px(82)
            text = theme.elided("unit", what, box.right() - at)
            write(painter, theme, "unit", at, base, text, theme.palette.ink2)

    return Drawing(_KEY_PITCH * len(keys), paint)
