"""The notes margin: explains what has the focus, and always shows this page's keys."""

from __future__ import annotations

import re
from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFocusEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QPlainTextEdit, QScrollArea, QWidget

from app.window.paper.accessible import Part, Role, Told
from app.window.paper.brush import Brush, Drawn, Spot, Spotted
from app.window.paper.copying import said
from app.window.paper.dotstrip import paint_strip, strip_height
from app.window.paper.marks import KEY_PITCH, draw_all_keys, draw_keys, keys_height
from app.window.paper.notes import (
    Alert,
    AllKeys,
    Block,
    DotStrip,
    Drawing,
    Facts,
    Keys,
    Note,
    NoteHeading,
    Offer,
    Plain,
    Rule,
    Voice,
    Writable,
)
from app.window.paper.pause import Pause
from app.window.paper.rowtable import RowTable
from app.window.paper.spoken import spoken_block
from app.window.paper.theme import Theme, wrapped

WIDE, WIDER, WIDER_FROM = 262, 312, 1240
INSET_LEFT, INSET_RIGHT = 20, 24
SHORT = 22  # letters of a value that has room beside its heading
LONE = 3  # letters of a number alone
_LINE = {"entry": 22, "voice": 20, "unit": 18, "total": 20}  # pitch of the lines of a role
_ROLE: dict[type, str] = {NoteHeading: "entry", Voice: "voice", Plain: "unit", Alert: "total"}


class _BlockView(Spotted):
    """One painted block; its height depends on the width."""

    def __init__(self, theme: Theme, block: Block, parent: QWidget) -> None:
        super().__init__(theme, parent)
        self.block = block
        self.told_as = Role.Heading if isinstance(block, NoteHeading) else Role.StaticText
        self.setAccessibleName(spoken_block(block))
        if isinstance(block, Offer):
            self.told_as = Role.Grouping
            self.reach_by_tab(not block.key)

    def _lines(self, width: float) -> list[str]:
        block = self.block
        assert isinstance(block, NoteHeading | Voice | Plain | Alert)
        room = width - self._theme.px(24) if isinstance(block, Alert) else width
        return wrapped(self._theme, _ROLE[type(block)], block.text, room)

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
        if isinstance(block, AllKeys):
            return keys_height(self._theme, block.keys, width)
        return px(_LINE[_ROLE[type(block)]]) * len(self._lines(width))

    def _fact_height(self, pair: tuple[str, ...], width: int) -> int:
        theme, px = self._theme, self._theme.px
        value = theme.width("dense_total", pair[1]) + px(10)
        if len(pair) > 3 and pair[3]:
            value += theme.width("old", pair[3]) + px(7)
        if theme.width("dense", pair[0]) + value <= width:
            return px(22)
        lines = wrapped(theme, "dense", pair[0], width)
        return px(4) + px(18) * (len(lines) + (theme.width("dense", lines[-1]) + value > width))

    def _seen(self, top: float, bottom: float) -> bool:
        """Whether a line stands whole in sight: at the fold of a long note none is cut in two."""
        sight, bearable = self.visibleRegion().boundingRect(), self._theme.px(3)
        return sight.isEmpty() or (
            top >= sight.top() - bearable and bottom <= sight.top() + sight.height() + bearable
        )

    def draw(self, brush: Brush) -> None:
        block, px, width = self.block, brush.px, self.width()
        if isinstance(block, Rule):
            brush.hairline(0, 0, width, brush.c.rule)
        elif isinstance(block, Facts):
            self._draw_facts(brush, block)
        elif isinstance(block, DotStrip):
            paint_strip(brush, QRectF(self.rect()).adjusted(px(6), 0, -px(6), 0), block)
        elif isinstance(block, Drawing):
            block.paint(brush, QRectF(self.rect()))
        elif isinstance(block, AllKeys):
            draw_all_keys(brush, block.keys, width, self._seen)
        elif isinstance(block, Offer):
            self.spots = [Spot(QRectF(self.rect()), block.on_click, name=spoken_block(block))]
            if not self._seen(0, self.height()):
                return
            middle = self.height() / 2
            at = brush.keycap(block.key, 0, middle) + px(8) if block.key else 0.0
            base = brush.base("dense_total", middle)
            brush.write("dense_total", at, base, block.text, brush.c.act, width - at)
        else:
            self._draw_words(brush)

    def _draw_words(self, brush: Brush) -> None:
        block, c, px = self.block, brush.c, brush.px
        role = _ROLE[type(block)]
        pitch, left = px(_LINE[role]), 0.0
        ink = c.ink if isinstance(block, NoteHeading) else c.ink2
        if isinstance(block, Alert):
            ink = c.alarm if block.level == "wrong" else c.look
            if self._seen(0, pitch):
                brush.mark(block.level, px(8), pitch / 2, ink, 15)
            left = px(24)
        elif isinstance(block, Plain):
            ink = getattr(c, block.tone)
        for at, line in enumerate(self._lines(self.width())):
            if self._seen(pitch * at, pitch * (at + 1)):
                brush.write(role, left, brush.base(role, pitch * at + pitch / 2), line, ink)

    def _draw_facts(self, brush: Brush, block: Facts) -> None:
        c, px, width = brush.c, brush.px, self.width()
        top = 0
        for pair in block.pairs:
            high = self._fact_height(pair, width)
            if not self._seen(top, top + high):
                top += high
                continue
            base = brush.base("dense", top + px(11))
            if high > px(22):
                for at, line in enumerate(wrapped(self._theme, "dense", pair[0], width)):
                    brush.write("dense", 0, base + px(18) * at, line, c.ink2)
                base = base + high - px(22)
            else:
                brush.write("dense", 0, base, pair[0], c.ink2)
            tone = getattr(c, pair[2]) if len(pair) > 2 and pair[2] else c.ink
            old = pair[3] if len(pair) > 3 else ""
            role = "dense_changed" if old else "dense_total"
            left = brush.write_right(role, width, base, pair[1], tone, width)
            if old:
                end = left - px(7)
                start = brush.write_right("old", end, base, old, c.ink3)
                brush.fill(start, base - px(4), end - start, px(1), c.ink3)
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
        self._pause = Pause(self, 1500, self.keep)
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


class _Turned(QScrollArea, Told):
    """The note, which the arrows move too where it is higher than the margin."""

    def __init__(self, sheet: QWidget, margin: QWidget) -> None:
        super().__init__(margin)
        self._sheet, self._margin = sheet, margin
        self.setWidget(sheet)
        # A line that stood half in sight is painted anew once it stands whole.
        self.verticalScrollBar().valueChanged.connect(lambda _at: self.paint_anew())

    def paint_anew(self) -> None:
        """What was half in sight may be whole now."""
        for view in self._sheet.findChildren(_BlockView):
            view.update()

    def let_tab_in(self) -> None:
        """Have Tab stop here only while there is something to move."""
        over = self._sheet.height() > self.height()
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus if over else Qt.FocusPolicy.NoFocus)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._margin.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._margin.update()

    def focusNextPrevChild(self, onward: bool) -> bool:
        """Bring what has the focus now into sight, also what is drawn."""
        moved = super().focusNextPrevChild(onward)
        now = QApplication.focusWidget()
        if moved and now is not None and self._sheet.isAncestorOf(now):
            self.ensureWidgetVisible(now, 0, 8)
        return moved


class Margin(Drawn):
    """Shows one `Note` at a time; F1 swaps it for all keys of the place."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self.setAccessibleName("Notes margin")
        self._note = Note()
        self._aside: tuple[Block, ...] = ()  # what columns have no room for
        self._all_keys: tuple[tuple[str, Keys], ...] | None = None
        self._views: list[_BlockView | _WritableView] = []
        self._sheet = QWidget()
        self._scroll = _Turned(self._sheet, self)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setAccessibleName("What the margin says")
        self._scroll.viewport().setAutoFillBackground(False)
        self._sheet.setAutoFillBackground(False)
        self._foreign: QWidget | None = None

    @property
    def note(self) -> Note:
        """What is shown (or would be, were the keys not shown)."""
        return self._note

    def say(self, note: Note) -> None:
        """Show a note in place of the one before."""
        aside = _aside_blocks(self.parentWidget(), note)
        if (note, aside) == (self._note, self._aside) and self._all_keys is None and self._views:
            return
        self._note, self._aside = note, aside
        if self._all_keys is None:
            self._build()
        self.update()

    def _texts(self) -> list[_WritableView]:
        return [view for view in self._views if isinstance(view, _WritableView)]

    def write(self, key: str = "") -> bool:
        """Put the cursor into a text of the note (the first without a key); False where none is."""
        for view in self._texts():
            if key in ("", view.block.key):
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

    def take_back(self, widget: QWidget) -> None:
        """Take the margin back from a widget that goes, also where nobody sees it."""
        if self._foreign is widget:
            self.lend(None)

    def keep(self) -> None:
        """Hand on what was changed in the note's texts and not yet left."""
        for view in self._texts():
            view.keep()

    # layout --------------------------------------------------------------------------------
    def _blocks(self) -> list[Block]:
        if self._all_keys is not None:
            blocks: list[Block] = [NoteHeading("Keys")]
            for title, keys in self._all_keys:
                blocks += [Voice(title), AllKeys(keys)]
            return blocks
        note = self._note
        return [*([NoteHeading(note.title)] if note.title else []), *self._aside, *note.blocks]

    def _build(self) -> None:
        kept = {view.block.key: view for view in self._texts() if view.hasFocus()}
        for view in self._views:
            if isinstance(view, _WritableView):
                if view in kept.values():
                    continue
                view.keep()
            view.hide()
            view.deleteLater()
        self._views = []
        for block in self._blocks():
            if isinstance(block, Writable):
                self._views.append(_BlockView(self._theme, Plain(block.label, "ink2"), self._sheet))
                field = kept.pop(block.key, None)
                if field is None:
                    field = _WritableView(self._theme, block, self._sheet)
                self._views.append(field)
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
        if isinstance(before, NoteHeading | Alert) and not isinstance(after, Rule):
            return 3 if isinstance(after, NoteHeading | Alert | Voice) else 8
        if isinstance(after, Rule) or isinstance(before, Rule):
            return 10
        if isinstance(before, Plain):
            return 6
        if isinstance(after, Offer) and isinstance(before, Offer):
            return 2
        return 10

    def _keys_top(self) -> int:
        rows = len(self._keys_here())
        # The keys end 12 above the foot of the margin.
        return self.height() - self._theme.px(12 + KEY_PITCH * rows + 12 if rows else 8)

    def _keys_here(self) -> Keys:
        """The keys under the note; none where they would leave it less than a quarter."""
        keys = self._note.keys if self._all_keys is None else ()
        high = self._theme.px(24 + KEY_PITCH * len(keys))
        return keys if 4 * high <= 3 * self.height() else ()

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
            if before is not None:
                y += px(self._gap(before, view.block))
            tall = view.height_for(width)
            if isinstance(view.block, DotStrip):  # figures at the ends of its axis reach out
                view.setGeometry(0, y, width + px(12), tall)
            else:
                view.setGeometry(px(6), y, width, tall)
            y += tall
            before = view.block
        self._sheet.resize(width + px(12), y)
        self._sheet.setFixedWidth(width + px(12))
        self._scroll.paint_anew()
        self._scroll.let_tab_in()

    def told_parts(self) -> tuple[Part, ...]:
        keys = self._keys_here() if self._foreign is None else ()
        left, wide, px = self._theme.px(INSET_LEFT), self.width(), self._theme.px
        return tuple(
            Part(f"{key}: {what}", QRectF(left, self._keys_top() + px(9 + KEY_PITCH * at),
                                          wide - left, px(KEY_PITCH)))
            for at, (key, what) in enumerate(keys)
        )  # fmt: skip

    def draw(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        brush.fill(0, 0, px(1), self.height(), c.rule)
        if self._scroll.hasFocus():
            beside = self._scroll.geometry()
            brush.fill(beside.left() - px(4), beside.top(), px(2), beside.height(), c.act)
        keys = self._keys_here()
        if self._foreign is not None or not keys:
            return
        left, right = px(INSET_LEFT), self.width() - px(INSET_RIGHT)
        top = self._keys_top()
        brush.hairline(left, top, right - left, c.rule)
        draw_keys(brush, QRectF(left, top, right - left, 0), keys, 21, 62)


def _aside_blocks(page: QWidget | None, note: Note) -> tuple[Block, ...]:
    """What the row in view says in columns that stand aside, and the note does not.

    Of several tables on a page that with the focus counts, where any has it.
    """
    tables = page.findChildren(RowTable) if page is not None else []
    now = QApplication.focusWidget()
    here = [one for one in tables if one.isVisible() and (one is now or now not in tables)]
    told = " ".join(spoken_block(block) for block in (NoteHeading(note.title), *note.blocks))
    pairs = [pair for table in here for pair in _said_aside(table) if not _is_told(pair[1], told)]
    short = tuple(pair for pair in pairs if len(pair[1]) <= SHORT)
    long = [Plain(f"{head}: {words}", "ink2") for head, words in pairs if len(words) > SHORT]
    return (*([Facts(short)] if short else []), *long)


def _is_told(words: str, told: str) -> bool:
    """Whether a note has these words; a lone number may be of something else."""
    return len(words) > LONE and re.search(rf"(?<!\w){re.escape(words)}(?!\w)", told) is not None


def _said_aside(table: RowTable) -> list[tuple[str, str]]:
    index = table.currentIndex()
    if not index.isValid():
        return []
    cells = [
        (column, said(table.entries.cell(index.row(), at)))
        for at, column in enumerate(table.entries.columns)
        if column.aside and table.isColumnHidden(at)
    ]
    return [(f"{column.head} {column.subhead}".strip(), words) for column, words in cells if words]
