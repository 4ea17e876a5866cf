"""The station strip: the page as a column of numbered entries, one of them open.

Alt and a number opens an entry, Alt with up or down its neighbour; a click on its line too.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import QEasingCurve, QEvent, QRectF, Qt, QVariantAnimation, Signal
from PySide6.QtGui import QKeySequence, QMouseEvent, QResizeEvent, QShortcut
from PySide6.QtWidgets import QWidget

from app.window.paper.accessible import Part, Role
from app.window.paper.brush import Brush, Drawn
from app.window.paper.entrytable import finish_writing
from app.window.paper.page import TEXT_LEFT
from app.window.paper.theme import Theme

OPEN_HEAD = 42


@dataclass(frozen=True)
class StripEntry:
    """One station: `state` is "done", "to come", or "plain" for what asks for nothing; the open
    one is always "here".

    `alert` names a mark ("look", "wrong") before the result.
    """

    key: str
    title: str
    subtitle: str = ""
    result: str = ""
    alert: str = ""
    state: str = "to come"


class Strip(Drawn):
    """Numbered entries under each other. `body_for(key)` makes an entry's body when first opened.

    A body may have `natural_height(width) -> int`, the height at which nothing more is gained, and
    `entered()`, called when it has been opened (to set the focus).
    """

    opened = Signal(str)
    folded_from, folded_to = 27, 34  # the height of a folded entry, at scale 1

    def __init__(
        self, theme: Theme, body_for: Callable[[str], QWidget], parent: QWidget | None = None
    ) -> None:
        super().__init__(theme, parent)
        self._body_for = body_for
        self._entries: tuple[StripEntry, ...] = ()
        self._bodies: dict[str, QWidget] = {}
        self._open = ""
        self._heights: list[float] = []
        self._target: list[float] = []
        self._start: list[float] = []
        self._fresh: dict[str, float] = {}  # ticks being drawn
        self._over = -1
        self.setMouseTracking(True)
        self._motion = self._movement(self._moved)
        self._motion.setEasingCurve(QEasingCurve.Type.OutCubic)
        self._motion.finished.connect(self._settle)
        self._tick = self._movement(self._ticked)
        for number in range(1, 11):  # the tenth by 0, as keys stand in their row
            self._shortcut(f"Alt+{number % 10}", partial(self.open_number, number))
        self._shortcut("Alt+Down", lambda: self.step(1))
        self._shortcut("Alt+Up", lambda: self.step(-1))

    def _movement(self, moved: Callable[[object], object]) -> QVariantAnimation:
        """A movement from 0 to 1 that says how far it is."""
        made = QVariantAnimation(self)
        made.setStartValue(0.0)
        made.setEndValue(1.0)
        made.valueChanged.connect(moved)
        return made

    def _shortcut(self, keys: str, do: Callable[[], object]) -> None:
        QShortcut(QKeySequence(keys), self).activated.connect(do)

    # what it shows -------------------------------------------------------------------------
    def set_entries(self, entries: Sequence[StripEntry], *, still: bool = False) -> None:
        """Show these entries; a newly done one draws its tick, unless all are `still`."""
        before = {entry.key: entry.state for entry in self._entries}
        self._entries = tuple(entries)
        fresh = [
            entry.key
            for entry in self._entries
            if not still and entry.state == "done" and before.get(entry.key) == "to come"
        ]
        duration = self._theme.duration(90)
        if fresh and duration:
            self._fresh = dict.fromkeys(fresh, 0.0)
            self._tick.setDuration(duration)
            self._tick.start()
        self._settle()
        self.update()

    @property
    def draws_ticks(self) -> bool:
        """Whether ticks are being drawn."""
        return bool(self._fresh)

    @property
    def entries(self) -> tuple[StripEntry, ...]:
        """The entries shown."""
        return self._entries

    @property
    def open_key(self) -> str:
        """The key of the open entry."""
        return self._open

    def body(self, key: str) -> QWidget:
        """An entry's body, made now if it was not yet."""
        if key not in self._bodies:
            made = self._body_for(key)
            made.setParent(self)
            made.hide()
            self._bodies[key] = made
        return self._bodies[key]

    def made(self, key: str) -> QWidget | None:
        """An entry's body if it has been made."""
        return self._bodies.get(key)

    def open(self, key: str, *, still: bool = False) -> bool:
        """Open an entry; False when what is being written cannot be read and keeps the focus."""
        if key == self._open:
            self._enter()
            return True
        if not finish_writing():
            return False
        old = self._bodies.get(self._open)
        if old is not None:
            old.hide()
        self._start = list(self._heights)
        self._open = key
        body = self.body(key)
        body.show()
        self._aim()
        still = still or len(self._start) != len(self._target)
        duration = 0 if still else self._theme.duration(120)
        if duration:
            self._motion.setDuration(duration)
            self._motion.stop()
            self._motion.start()
        else:
            self._settle()
        self.opened.emit(key)
        self._enter()
        return True

    def _enter(self) -> None:
        body = self._bodies.get(self._open)
        entered = getattr(body, "entered", None)
        if entered is not None:
            entered()
        elif body is not None:
            body.setFocus()

    def open_number(self, number: int) -> None:
        """Open the entry with a number, counted from 1."""
        if 1 <= number <= len(self._entries):
            self.open(self._entries[number - 1].key)

    def step(self, by: int) -> None:
        """Open the next or the previous entry."""
        at = next((at for at, entry in enumerate(self._entries) if entry.key == self._open), 0)
        self.open_number(at + 1 + by)

    # layout --------------------------------------------------------------------------------
    def _aim(self) -> None:
        px, count = self._theme.px, len(self._entries)
        if not count:
            self._target = []
            return
        body = self._bodies.get(self._open)
        width = self.width() - px(TEXT_LEFT)
        need = 0
        if body is not None:
            natural = getattr(body, "natural_height", None)
            need = natural(width) if natural is not None else self.height()
        need += px(OPEN_HEAD) + px(2)
        folded_count = count - 1 if body is not None else count
        spare = (self.height() - need) / max(folded_count, 1)
        folded = int(min(max(spare, px(self.folded_from)), px(self.folded_to)))
        room = self.height() - folded * folded_count
        high = max(min(need, room), px(OPEN_HEAD + 60))
        self._target = [
            float(high if entry.key == self._open and body is not None else folded)
            for entry in self._entries
        ]

    def relay(self) -> None:
        """Measure again, after a body's content has changed."""
        self._settle()

    def _settle(self) -> None:
        self._motion.stop()
        self._aim()
        self._heights = list(self._target)
        self._place_body()
        self.update()

    def _moved(self, value: object) -> None:
        share = float(value)  # type: ignore[arg-type]
        if len(self._start) == len(self._target):
            self._heights = [
                start + (end - start) * share
                for start, end in zip(self._start, self._target, strict=True)
            ]
        self._place_body()
        self.update()

    def _ticked(self, value: object) -> None:
        share = float(value)  # type: ignore[arg-type]
        self._fresh = {} if share >= 1.0 else dict.fromkeys(self._fresh, share)
        self.update()

    def _tops(self) -> list[float]:
        tops, y = [], 0.0
        for height in self._heights:
            tops.append(round(y))
            y += height
        return [float(top) for top in tops]

    def _place_body(self) -> None:
        body = self._bodies.get(self._open)
        if body is None:
            return
        px = self._theme.px
        for entry, top, height in zip(self._entries, self._tops(), self._heights, strict=True):
            if entry.key == self._open:
                inside = max(0, round(height) - px(OPEN_HEAD) - px(2))
                # While it opens, the body keeps its final height and is uncovered from the top.
                final = self._target[self._entries.index(entry)]
                tall = max(inside, round(final) - px(OPEN_HEAD) - px(2))
                left, head = px(TEXT_LEFT), round(top) + px(OPEN_HEAD)
                body.setGeometry(left, head, self.width() - left, tall)
                if tall > inside:
                    body.setMask(QRectF(0, 0, self.width(), max(inside, 1)).toRect())
                else:
                    body.clearMask()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._settle()

    # mouse ---------------------------------------------------------------------------------
    def _entry_at(self, y: float) -> int:
        for at, (top, height) in enumerate(zip(self._tops(), self._heights, strict=True)):
            if top <= y < top + height:
                return at
        return -1

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = self._entry_at(event.position().y())
        if at >= 0 and self._entries[at].key == self._open:
            at = -1
        if at != self._over:
            self._over = at
            shape = Qt.CursorShape.PointingHandCursor if at >= 0 else Qt.CursorShape.ArrowCursor
            self.setCursor(shape)
            self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self._over = -1
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()  # else the release would go to the parent

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        at = self._entry_at(event.position().y())
        if at >= 0 and event.button() == Qt.MouseButton.LeftButton:
            self.open(self._entries[at].key)

    # for who cannot see it -----------------------------------------------------------------
    def told_parts(self) -> tuple[Part, ...]:
        laid = zip(self._entries, self._tops(), self._heights, strict=True)
        return tuple(
            self._part(at, entry, QRectF(0, top, self.width(), high))
            for at, (entry, top, high) in enumerate(laid)
        )

    def _part(self, at: int, entry: StripEntry, box: QRectF) -> Part:
        here = entry.key == self._open
        if here:
            box.setHeight(min(box.height(), self._theme.px(OPEN_HEAD)))
        said = [f"{at + 1} {entry.title}", entry.subtitle if here else "", entry.result]
        said.append({"look": "worth a look", "wrong": "wrong"}.get(entry.alert, ""))
        said.append("" if here else entry.state)
        name = ", ".join(one for one in said if one)
        states = frozenset({"expandable", "expanded" if here else "collapsed"})
        key = f"Alt {(at + 1) % 10}" if at < 10 else ""
        return Part(name, box, partial(self.open, entry.key), Role.Button, states, key)

    def heading_of(self, inside: QWidget) -> str:
        for entry in self._entries:
            body = self._bodies.get(entry.key)
            if body is not None and (body is inside or body.isAncestorOf(inside)):
                return entry.title
        return ""

    # paint ---------------------------------------------------------------------------------
    def draw(self, brush: Brush) -> None:
        laid = zip(self._entries, self._tops(), self._heights, strict=True)
        for at, (entry, top, height) in enumerate(laid):
            if entry.key == self._open:
                self._draw_open(brush, at, entry, top, height)
            else:
                self._draw_folded(brush, at, entry, top, height)
            bottom = top + height
            last = at == len(self._entries) - 1
            if not last or bottom < self.height() - brush.px(12):  # the foot has its own line
                left = brush.px(TEXT_LEFT)
                brush.hairline(left, bottom - brush.px(1), self.width() - left, brush.c.rule)

    def _draw_open(
        self, brush: Brush, at: int, entry: StripEntry, top: float, height: float
    ) -> None:
        c, px = brush.c, brush.px
        brush.fill(px(56), top + px(2), px(4), height - px(3), c.act)
        middle = top + px(23)
        base = brush.base("entry_number", middle)
        brush.write_centred("entry_number", px(19), base, str(at + 1), c.act)
        brush.mark("here", px(40), middle)
        left, right = px(TEXT_LEFT), self.width()
        end = brush.write("open", left, base + px(1), entry.title, c.ink, right - left) + px(15)
        if entry.subtitle and right - end > px(80):
            brush.write("voice", end, base, entry.subtitle, c.ink2, right - end)

    def _draw_folded(
        self, brush: Brush, at: int, entry: StripEntry, top: float, height: float
    ) -> None:
        c, px = brush.c, brush.px
        done, over = entry.state == "done", at == self._over
        plain = entry.state == "plain"
        middle = top + height / 2
        base = brush.base("entry", middle)
        brush.write_centred("entry_quiet", px(19), base, str(at + 1), c.act if over else c.ink2)
        tint = c.act if over and not done else None
        drawn = self._fresh.get(entry.key, 1.0)
        if not plain:
            brush.mark("done" if done else "to come", px(40), middle, tint, drawn=drawn)
        role, ink = ("entry", c.ink) if done or plain else ("entry_quiet", c.ink2)
        told, tone = ("total", c.ink) if done else ("row", c.ink2)
        right = float(self.width())
        # The result is what a folded entry is read for: where both are too long, the title ends.
        need = min(self._theme.width(told, entry.result) + px(70), (right - px(TEXT_LEFT)) * 0.6)
        left = float(px(TEXT_LEFT))
        most = right - left - (need if entry.result else 0)
        end = brush.write(role, left, base, entry.title, c.act if over else ink, most)
        if not entry.result:
            return
        role = told
        if entry.alert and not done:
            tone = c.look if entry.alert == "look" else c.alarm
        room = right - end - px(40)
        right = brush.write_right(role, right, brush.base(role, middle), entry.result, tone, room)
        if entry.alert:
            brush.mark(entry.alert, right - px(13), middle, size=14)
            right -= px(22)
        brush.leader(end + px(9), right - px(9), base, c.rule2)
