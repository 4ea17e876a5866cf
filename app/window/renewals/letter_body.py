"""An open letter: why now, to whom, by which way, its subject and its words."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QRadioButton, QScrollArea, QSizePolicy, QWidget

from app.actions.letters.letter_page import LONGEST_WORDS, LetterPage, Way, count_words
from app.actions.letters.letter_views import LetterView
from app.calculations.numbers.wording import count_of
from app.window.paper.action import ActionRow
from app.window.paper.brush import Brush, Drawn
from app.window.paper.fields import LineField
from app.window.paper.pause import Pause
from app.window.paper.runs import Run
from app.window.paper.theme import Theme
from app.window.renewals.letter_text import TEXT_WIDE, LetterText

LABELS, LINE = 80, 24  # where values begin, and the pitch of the lines
LEAST_TEXT = 90
FILE_WORDS = {
    "mail": "open it as a mail draft",
    "letter": "print it",
    "phone": "print the call",
    "text": "write its words to a file",
}


class _WayButton(QRadioButton):
    """A ring for a way that is possible, a dot in it for the chosen one, a dash where it is not."""

    def __init__(self, theme: Theme, way: Way) -> None:
        super().__init__(way.name)
        self._theme, self.way = theme, way
        self.setFont(theme.font("row"))
        self.setEnabled(not way.why_not)
        self.setAccessibleDescription(way.why_not)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        px, width = self._theme.px, self._theme.width
        why = px(8) + width("unit", self.way.why_not) if self.way.why_not else 0
        return QSize(round(px(24) + width("total", self.text()) + why), self._theme.px(24))

    def hitButton(self, pos: object) -> bool:
        return True

    def paintEvent(self, event: QPaintEvent) -> None:
        brush = Brush(QPainter(self), self._theme)
        c, px, middle = brush.c, brush.px, self.height() / 2
        with brush.smooth():
            if self.way.why_not:
                brush.stroke(c.rule2, 1.5)
                brush.draw_line(px(2), middle, px(13), middle)
            else:
                brush.stroke(c.act if self.isChecked() else c.ink2, 2 if self.hasFocus() else 1.5)
                brush.dot(px(8), middle, 6)
                if self.isChecked():
                    brush.stroke(None, fill=c.act)
                    brush.dot(px(8), middle, 3.2)
        role = "total" if self.isChecked() else "row"
        ink = c.ink2 if self.way.why_not else c.ink
        end = brush.write(role, px(22), brush.base(role, middle), self.text(), ink)
        if self.hasFocus():
            brush.fill(px(22), middle + px(10), end - px(22), px(1.5), c.act)
        if self.way.why_not:
            base = brush.base("unit", middle)
            brush.write("unit", end + px(8), base, self.way.why_not, c.ink2)


class LetterBody(Drawn):
    """One letter. `on_way(channel)` is asked for another way, `on_rest()` when typing rests."""

    laid = Signal()  # it shows another letter, which may need another height

    def __init__(
        self, theme: Theme, on_way: Callable[[str], object], on_rest: Callable[[], object]
    ) -> None:
        super().__init__(theme)
        self._on_way = on_way
        self.letter: LetterView | None = None
        self.page: LetterPage | None = None
        self._kept = ("", "")  # subject and words as the book has them
        self._ways: list[_WayButton] = []
        self._group = QButtonGroup(self)
        self.subject = LineField(theme)
        self.subject.setParent(self)
        self.subject.setAccessibleName("Subject")
        self.words = LetterText(theme, self)
        self.row = ActionRow(theme, "Send it now")
        self.row.setParent(self)
        self.keep = self.row.set_second("Keep as a draft", "F4")
        self._pause = Pause(self, 1500, on_rest)
        self.subject.textEdited.connect(lambda _text: self._typed())
        self.words.typed.connect(self._typed)
        self.setFocusProxy(self.words)

    def show_letter(self, letter: LetterView, page: LetterPage) -> None:
        """Show the letter as the book has it; what is being typed stays."""
        typed = self.changed
        self.letter, self.page = letter, page
        self._kept = (letter.subject, letter.text)
        if not typed:
            self.subject.setText(letter.subject)
        spoken = letter.channel in ("phone", "text")
        self.subject.setVisible(not spoken)
        self.words.show_letter(self.words.text if typed else letter.text, letter.text, page.tail)
        self._show_ways(page.ways, letter.channel)
        self._tell()
        self._lay()
        self.laid.emit()
        self.update()

    def _show_ways(self, ways: tuple[Way, ...], chosen: str) -> None:
        if [one.way for one in self._ways] != list(ways):
            for old in self._ways:
                self._group.removeButton(old)
                old.deleteLater()
            self._ways = [_WayButton(self._theme, way) for way in ways]
            for button in self._ways:
                button.setParent(self)
                self._group.addButton(button)
                button.toggled.connect(self._way_turned)
                button.show()
        for button in self._ways:
            button.blockSignals(True)
            button.setChecked(button.way.channel == chosen)
            button.blockSignals(False)
            button.update()

    def _way_turned(self, on: bool) -> None:
        chosen = self._group.checkedButton()
        if on and isinstance(chosen, _WayButton):
            self._on_way(chosen.way.channel)

    # what is typed -------------------------------------------------------------------------
    @property
    def typed(self) -> tuple[str, str]:
        """The subject and the words as they stand."""
        return self.subject.text(), self.words.text

    @property
    def changed(self) -> bool:
        """Whether they are not as the book has them."""
        return self.letter is not None and self.typed != self._kept

    def put_back(self) -> None:
        """The words as they were filled in."""
        self._pause.stop()
        self.subject.setText(self._kept[0])
        self.words.show_letter(self._kept[1], self._kept[1], self.page.tail if self.page else "")
        self._tell()

    def _typed(self) -> None:
        self._pause.start()
        self._tell()
        self._lay()

    def _tell(self) -> None:
        letter = self.letter
        if letter is None:
            return
        count = count_words(self.words.text)
        run = Run(count_of(count, "word"), "unit_total", "ink", gap=14)
        if count > LONGEST_WORDS:
            words = f"{count} words, over {LONGEST_WORDS}"
            run = Run(words, "unit_total", "look", mark="look", gap=14)
        runs = [run]
        if self.changed:
            runs.append(Run("As filled in", "unit", key="Esc", on_click=self.put_back))
        self.row.show_hints(runs)

    # measures ------------------------------------------------------------------------------
    def _why_height(self) -> int:
        room = max(self.width() - self._theme.px(LABELS), 1)
        reason = self.letter.reason if self.letter else ""
        return max(self._theme.px(LINE), round(self._theme.wrapped_height("unit", reason, room)))

    def _rows(self) -> tuple[int, int, int, int]:
        """The tops of to, by, subject and words."""
        px = self._theme.px
        to = self._why_height() + px(2)
        by = to + px(LINE)
        subject = (
            by + px(LINE + 8) * (1 if self._one_line() else 2) - (0 if self._one_line() else px(8))
        )
        words = subject + (px(42) if not self.subject.isHidden() else 0)
        return to, by, subject, words

    def _one_line(self) -> bool:
        wide = sum(button.sizeHint().width() + self._theme.px(20) for button in self._ways)
        return wide <= self.width() - self._theme.px(LABELS)

    def natural_height(self, width: int) -> int:
        """The height at which all of the letter is seen."""
        *_tops, words = self._rows()
        return words + self.words.natural_height(width) + self.row.height() + self._theme.px(4)

    def least_height(self) -> int:
        """The height at which its words can be read line by line; below that it is moved."""
        *_tops, words = self._rows()
        least = self._theme.px(LEAST_TEXT) + self.words.beneath()
        return words + least + self.row.height() + self._theme.px(4)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def _lay(self) -> None:
        px = self._theme.px
        left, wide = px(LABELS), self.width()
        _to, by, subject, words = self._rows()
        at, top = left, by
        for button in self._ways:
            size = button.sizeHint()
            if at > left and at + size.width() > wide:
                at, top = left, top + px(LINE)
            button.setGeometry(at, top, min(size.width(), wide - at), size.height())
            at += size.width() + px(20)
        field = min(px(TEXT_WIDE), wide - left)
        self.subject.setGeometry(left, subject, field, px(32))
        bottom = self.height() - self.row.height()
        high = min(bottom - words - px(2), self.words.natural_height(wide - left))
        self.words.setGeometry(left, words, wide - left, max(high, 0))
        self.row.setGeometry(0, bottom, wide, self.row.height())

    def draw(self, brush: Brush) -> None:
        if self.letter is None or self.page is None:
            return
        c, px = brush.c, brush.px
        to, by, subject, words = self._rows()
        left, room = px(LABELS), self.width() - px(LABELS)
        half = px(LINE) / 2
        lines = [("Why now", half), ("To", to + half), ("By", by + half)]
        if not self.subject.isHidden():
            lines.append(("Subject", subject + px(16)))
        lines.append(("Letter", words + px(20)))
        for label, middle in lines:
            brush.write("unit", 0, brush.base("unit", middle), label, c.ink3, left - px(6))
        top = half - brush.theme.metrics("unit").height() / 2
        box = QRectF(left, top, room, self._why_height())
        brush.write_wrapped("unit", box, self.letter.reason, c.ink)
        base = brush.base("total", to + half)
        end = brush.write("total", left, base, self.page.name, c.ink, room)
        if self.page.where:
            brush.write("unit", end + px(10), base, self.page.where, c.ink2, left + room - end)


class LetterFrame(QScrollArea):
    """A letter in its entry; where that is lower than a letter needs, it is moved up and down."""

    def __init__(self, body: LetterBody) -> None:
        super().__init__()
        self.body = body
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.viewport().setAutoFillBackground(False)
        self.setWidget(body)
        body.setAutoFillBackground(False)
        body.laid.connect(self.lay)
        body.words.field.turned.connect(self._show_words)
        self.setFocusProxy(body)

    def natural_height(self, width: int) -> int:
        """The height at which all of the letter is seen."""
        return self.body.natural_height(width)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay()

    def _show_words(self) -> None:
        if self.body.words.field.hasFocus():
            self.ensureWidgetVisible(self.body.words, 0, 0)

    def lay(self) -> None:
        """Give the letter the room there is, or what it needs at least."""
        need = self.body.least_height()
        over = need > self.height()
        bar = self.verticalScrollBar().sizeHint().width() if over else 0
        self.body.resize(self.width() - bar, max(need, self.height()))
        self._show_words()


class FoldedBody(QWidget):
    """What stands under an entry that only counts letters: nothing, for it is never left open."""

    def natural_height(self, _width: int) -> int:
        """No room."""
        return 0
