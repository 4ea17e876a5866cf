"""A line of runs: words, marks and key caps in one row, some of which can be clicked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QRectF, QSize
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.window.paper.brush import Brush, Spot, Spotted
from app.window.paper.marks import keycap_width, mark_colour
from app.window.paper.theme import Theme, wrapped


@dataclass(frozen=True)
class Run:
    """A stretch of a line.

    `role` and `tone` name a font role and a palette colour; `mark` stands before the text and
    `key` (a key cap) after it; a run with `on_click` can be clicked. `gap` is the space after it.
    `sample` is painted before the text, in a box `wide`: a drawing that the text names.
    """

    text: str
    role: str = "row"
    tone: str = "ink2"
    mark: str = ""
    key: str = ""
    on_click: Callable[[], object] | None = None
    gap: int = 12
    sample: Callable[[Brush, QRectF], None] | None = None
    wide: int = 28


_SCRAP = 40  # pixels at scale 1, below which what is left of a text is not worth its ellipsis
REACH = 24  # the least width and height of what is clicked (WCAG 2.2, success criterion 2.5.8)


def _spoken(run: Run) -> str:
    return f"{run.text}, {run.key}" if run.text and run.key else run.text or run.key or run.mark


class RunLine(Spotted):
    """Paints runs in one line, from the left or flush right; too long a text ends in …

    Where it may take `most` lines, the longest text is broken first; what follows it stands below.
    """

    def __init__(
        self, theme: Theme, *, right: bool = False, most: int = 1, parent: QWidget | None = None
    ) -> None:
        super().__init__(theme, parent)
        self._right = right
        self._most = most
        self._runs: tuple[Run, ...] = ()
        self._laid: list[Run] = []  # the runs, a broken one in its pieces
        self._boxes: list[QRectF] = []
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_runs(self, runs: Sequence[Run]) -> None:
        """Replace what the line says."""
        self._runs = tuple(runs)
        self.over = None
        self._lay()
        self.setAccessibleName(self.text())
        self.reach_by_tab(any(run.on_click is not None and not run.key for run in runs))
        self.updateGeometry()
        self.update()

    def text(self) -> str:
        """What the line says, in words."""
        return " ".join(run.text for run in self._runs if run.text)

    def _run_width(self, run: Run) -> float:
        width = self._theme.width(run.role, run.text) if run.text else 0.0
        if run.mark:
            width += self._theme.px(16 + (5 if run.text else 0))
        if run.sample:
            width += self._theme.px(run.wide + 8)
        if run.key:
            width += keycap_width(self._theme, run.key) + self._theme.px(9 if run.text else 0)
        return width

    def _whole_width(self, runs: Sequence[Run] | None = None) -> float:
        runs = self._runs if runs is None else runs
        gaps = sum(self._theme.px(run.gap) for run in runs[:-1])
        return sum(self._run_width(run) for run in runs) + gaps

    def lines_at(self, width: int) -> int:
        """How many lines it takes in so many pixels."""
        return len(self._lines(width))

    def _lines(self, width: float) -> list[list[Run]]:
        """The runs of each line, the longest in pieces where all have no room in one."""
        runs = list(self._runs)
        if self._most == 1 or not runs or self._whole_width() <= width:
            return [runs]
        at = max(range(len(runs)), key=lambda one: self._run_width(runs[one]))
        before, long, after = runs[:at], runs[at], runs[at + 1 :]
        beside = self._whole_width([*before, replace(long, key="")])
        beside -= self._theme.width(long.role, long.text)
        texts = wrapped(self._theme, long.role, long.text, max(width - beside, 1.0))
        last = self._most - 1
        if len(texts) > last:
            texts[last:] = [" ".join(texts[last:])]
        pieces = [replace(long, text=text, mark="", key="", sample=None) for text in texts]
        pieces[0] = replace(pieces[0], mark=long.mark, sample=long.sample)
        pieces[-1] = replace(pieces[-1], key=long.key)
        lines = [[*before, pieces[0]], *([piece] for piece in pieces[1:])]
        if self._whole_width([*lines[-1], *after]) <= width:
            lines[-1] += after
            return lines
        return [*lines, after]

    def _lay(self) -> None:
        self._boxes, self.spots, self._laid = [], [], []
        lines = self._lines(self.width())
        for line, runs in enumerate(lines):
            self._laid += runs
            self._lay_line(line, runs, self.height() / len(lines))

    def _lay_line(self, line: int, runs: Sequence[Run], high: float) -> None:
        reach = self._theme.px(REACH)
        at = max(self.width() - self._whole_width(runs), 0.0) if self._right else 0.0
        for run in runs:
            width = self._run_width(run)
            box = QRectF(at, line * high, min(width, self.width() - at), high)
            self._boxes.append(box)
            if run.on_click is not None and box.width() > 0:
                spare = max(0.0, reach - box.width()) / 2
                hit = box.adjusted(-spare, 0, spare, 0)
                self.spots.append(Spot(hit, run.on_click, name=_spoken(run)))
            at += width + self._theme.px(run.gap)

    def sizeHint(self) -> QSize:
        return QSize(round(self._whole_width()) + 1, self._theme.px(REACH))

    def minimumSizeHint(self) -> QSize:
        return QSize(0, self._theme.px(REACH))

    def resizeEvent(self, event: object) -> None:
        self._lay()

    def _is_scrap(self, box: QRectF, run: Run) -> bool:
        """Whether so little of a text would be left that it says nothing; its drawing neither."""
        px, left = self._theme.px, box.width()
        left -= (px(run.wide + 8) if run.sample else 0) + (px(16 + 5) if run.mark else 0)
        return bool(run.text) and box.width() < self._run_width(run) - 0.5 and left < px(_SCRAP)

    def _is_over(self, box: QRectF) -> bool:
        return self.over is not None and self.over.contains(box)

    def draw(self, brush: Brush) -> None:
        theme, px = self._theme, brush.px
        for box, run in zip(self._boxes, self._laid, strict=True):
            if box.width() <= 0:
                continue
            at, middle = box.left(), box.center().y()
            if self._is_scrap(box, run):
                brush.cut.append((box, run.text))  # the mouse still shows it
                continue
            if run.mark:
                brush.mark(run.mark, at + px(8), middle, mark_colour(run.mark, brush.c))
                at += px(16 + 5)
            if run.sample and box.width() >= px(run.wide):
                run.sample(brush, QRectF(at, middle - px(11), px(run.wide), px(22)))
                at += px(run.wide + 8)
            cap = keycap_width(theme, run.key) + px(9) if run.key else 0.0
            if run.text:
                colour = brush.c.act if self._is_over(box) else getattr(brush.c, run.tone)
                room = box.right() - at - cap
                cut = room if theme.width(run.role, run.text) > room + 0.5 else None
                base = brush.base(run.role, middle)
                brush.write(run.role, at, base, run.text, colour, cut)
                at += theme.width(run.role, run.text) + px(9)
            if run.key:
                brush.keycap(run.key, at, middle)
