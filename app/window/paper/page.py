"""The page: head, double margin rule, body, foot and notes margin."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QTableView, QWidget

from app.window.paper.accessible import Headed, Part, Role
from app.window.paper.brush import Brush, Drawn
from app.window.paper.margin import WIDE, WIDER, WIDER_FROM, Margin
from app.window.paper.runs import Run, RunLine
from app.window.paper.theme import Theme

RULE_AT, TEXT_LEFT, TEXT_RIGHT = 56, 72, 24
HEAD, FOOT = 52, 32
# The text's column: where it would be narrower beside the notes margin, that lies under it.
NARROWEST = 260
LENT = 340  # what stands in the head in place of its fact
UNDER = 0.4  # of the height between head and foot that the margin takes then


class Page(Drawn):
    """The frame of a place. The body stands between head and foot, left of the notes margin."""

    titled = Signal(object)  # the page, anew, for something else is shown

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self.theme = theme
        self._title = ""
        self._subtitle = ""
        self._body: QWidget | None = None
        self._bleeds = False
        self._remaining: Sequence[Run] = ()
        self._chosen_rows = 0
        self._lent: QWidget | None = None
        self._fact = RunLine(theme, right=True, parent=self)
        self.foot_left = RunLine(theme, most=3, parent=self)
        self.foot_right = RunLine(theme, right=True, parent=self)
        self.margin = Margin(theme, self)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    # head and foot -------------------------------------------------------------------------
    def set_head(
        self,
        title: str,
        subtitle: str = "",
        fact: str | Sequence[Run] = "",
        *,
        italic: bool = False,
    ) -> None:
        """Title, italic subtitle, and one fact flush right (a text, or runs to click)."""
        if title != self._title:
            self._title = title
            self.titled.emit(self)
            for table in self.findChildren(QTableView):
                if isinstance(table, Headed):
                    table.call_by_heading()
        self._subtitle = subtitle
        self.setAccessibleName(f"{title}, {subtitle}" if subtitle else title)
        if isinstance(fact, str):
            fact = [Run(fact, "voice" if italic else "row")] if fact else []
        self._fact.show_runs(fact)
        self._lay()
        self.update()

    def lend_head(self, widget: QWidget | None) -> None:
        """Let something stand in the head in place of its fact, or show the fact again."""
        if self._lent is not None and self._lent is not widget:
            self._lent.hide()
            self._lent.deleteLater()
        self._lent = widget
        self._fact.setVisible(widget is None)
        if widget is not None:
            widget.setParent(self)
            widget.show()
        self._lay()

    @property
    def subtitle(self) -> str:
        """What the head says beside the title."""
        return self._subtitle

    @property
    def title(self) -> str:
        """What the head says."""
        return self._title

    def set_foot(self, left: Sequence[Run], right: str | Sequence[Run] = "") -> None:
        """What was saved last, with its undo; and, on the right, what remains."""
        self.foot_left.show_runs(left)
        if isinstance(right, str):
            right = [Run(right, "voice")] if right else []
        self._show_remaining(right)

    def say_remaining(self, text: str) -> None:
        """The italic remark at the right of the foot."""
        self._show_remaining([Run(text, "voice")] if text else [])

    def say_chosen(self, count: int) -> None:
        """How many rows are chosen, in place of the remark while any is."""
        self._chosen_rows = count
        self._show_remaining(self._remaining)

    def _show_remaining(self, runs: Sequence[Run]) -> None:
        self._remaining = runs
        if self._chosen_rows:
            rows = "row is" if self._chosen_rows == 1 else "rows are"
            runs = [
                Run(f"{self._chosen_rows:,} {rows} chosen", "unit_total", "act"),
                Run("Let go", "unit", key="Esc"),
            ]
        self.foot_right.show_runs(runs)
        self._lay()

    def say_held(self, sentence: str) -> None:
        """A cell that cannot be read, by its `sentence`, holds the page: say how to leave it."""

    def say_free(self) -> None:
        """The cell holds the page no more."""

    # body ----------------------------------------------------------------------------------
    def set_body(self, body: QWidget, *, bleeds: bool = False) -> None:
        """The content; one that `bleeds` begins at the page's left edge (a strip does)."""
        if self._body is not None and self._body is not body:
            self._body.hide()
        self._body = body
        self._bleeds = bleeds
        body.setParent(self)
        body.show()
        self._lay()

    def heading_of(self, inside: QWidget) -> str:
        return self._title

    def told_parts(self) -> tuple[Part, ...]:
        px = self.theme.px
        box = QRectF(px(TEXT_LEFT), 0, self.text_right() - px(TEXT_LEFT), px(HEAD))
        return (Part(self.accessibleName(), box, role=Role.Heading),) if self._title else ()

    @property
    def body(self) -> QWidget | None:
        """The content."""
        return self._body

    def text_right(self) -> int:
        """Where writing left of the notes margin ends."""
        beside = 0 if self.stacked else self._margin_width()
        return self.width() - beside - self.theme.px(TEXT_RIGHT)

    @property
    def stacked(self) -> bool:
        """Whether the notes margin lies under the text, for want of room beside it."""
        px = self.theme.px
        room = self.width() - self._margin_width() - px(TEXT_LEFT) - px(TEXT_RIGHT)
        return room < px(NARROWEST)

    def _margin_width(self) -> int:
        return self.theme.px(WIDER if self.width() >= self.theme.px(WIDER_FROM) else WIDE)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()
        QTimer.singleShot(0, self, self._tell_again)

    def _tell_again(self) -> None:
        """The tables are laid out anew: what they have no room for is said in the margin."""
        self.margin.say(self.margin.note)

    def _foot(self) -> int:
        """How high the foot is: a question that has no room in one line takes more."""
        px = self.theme.px
        lines = self.foot_left.lines_at(self.width() - px(TEXT_LEFT) - px(TEXT_RIGHT))
        return px(FOOT) + px(20) * (lines - 1)

    def _lay(self) -> None:
        px = self.theme.px
        width, height = self.width(), self.height()
        text_left, right = px(TEXT_LEFT), width - px(TEXT_RIGHT)
        taken = self.theme.width("title", self._title)
        if self._subtitle:
            taken += px(9) + self.theme.width("subtitle", self._subtitle)
        fact_left = min(text_left + round(taken) + px(16), right)
        need = self._fact.sizeHint().width()
        fact_left = max(min(fact_left, right), right - need)
        self._fact.setGeometry(fact_left, px(17), max(0, right - fact_left), px(24))
        if self._lent is not None:
            wide = min(px(LENT), right - text_left)
            self._lent.setGeometry(right - wide, px(9), wide, px(36))
        foot = self._foot()
        self.update(0, height - 2 * foot, width, 2 * foot)  # its line may stand higher
        left_need = min(self.foot_left.sizeHint().width(), right - text_left)
        self.foot_left.setGeometry(text_left, height - foot + px(4), left_need, foot - px(8))
        start = text_left + left_need + px(16)
        foot_top = height - px(FOOT) + px(4)
        self.foot_right.setGeometry(start, foot_top, max(0, right - start), px(24))
        margin = self._margin_width()
        top = px(HEAD + 12)
        bottom = height - foot
        if self.stacked:
            bottom -= round((bottom - top) * UNDER)
            wide = max(margin, width - text_left)  # before it is shown a page has no width
            self.margin.setGeometry(text_left, bottom, wide, max(0, height - foot - bottom))
        else:
            self.margin.setGeometry(width - margin, top, margin, height - foot - px(12) - top)
        if self._body is not None:
            left = 0 if self._bleeds else text_left
            body_top = px(HEAD + 6)
            self._body.setGeometry(
                left, body_top, max(0, self.text_right() - left), max(0, bottom - body_top)
            )

    def draw(self, brush: Brush) -> None:
        c, px = brush.c, brush.px
        width, height = self.width(), self.height()
        brush.fill(0, 0, width, height, c.paper)
        brush.gutter(QRectF(self.rect()), leaf=False)
        for at in (0, 3):
            brush.fill(px(RULE_AT + at), 0, px(1), height, c.margin)
        left, right = px(TEXT_LEFT), width - px(TEXT_RIGHT)
        brush.hairline(left, px(HEAD - 1), right - left, c.rule2)
        brush.hairline(left, height - self._foot(), right - left, c.rule)
        aside: QWidget | None = self._fact if self._fact.text() else None
        aside = self._lent or aside
        room = aside.x() - left - px(12) if aside is not None else right - left
        end = brush.write("title", left, px(35), self._title, c.ink, room)
        space = left + room - end - px(9)
        if self._subtitle and space > px(40):
            brush.write("subtitle", end + px(9), px(35), self._subtitle, c.ink2, space)
