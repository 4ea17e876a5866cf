"""Charts drawn by matplotlib's Agg into a `QImage` at the screen's own resolution.

No canvas widget of matplotlib's is used: a `Picture` is an image and the regions on it that stand
for something. Drawing needs no window and may be done by the background runner. matplotlib is
imported when the first chart is drawn, or before it when the program rests.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QImage

from app.paths import resources
from app.window.paper.dotstrip import round_step
from app.window.paper.palette import Palette

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

DPI = 96  # at this resolution a pixel at scale 1 is 0.75 point
_FONTS = {
    400: "SourceSans3_400Regular.ttf",
    600: "SourceSans3_600SemiBold.ttf",
    700: "SourceSans3_700Bold.ttf",
}


@dataclass(frozen=True)
class Region:
    """A part of a picture that stands for item `index`; in pixels at the window's scale."""

    box: QRectF
    index: int
    text: str


@dataclass(frozen=True)
class Picture:
    """A drawn chart."""

    image: QImage
    regions: tuple[Region, ...]

    def region_at(self, x: float, y: float) -> Region | None:
        """The region under a point, the smallest first."""
        under = [region for region in self.regions if region.box.contains(x, y)]
        return min(under, key=lambda one: one.box.width() * one.box.height(), default=None)


def import_drawing() -> None:
    """Import what the first chart would wait for."""
    import matplotlib.backends.backend_agg
    import matplotlib.figure

    matplotlib.rcParams["text.hinting"] = "none"  # as wide at any size


@cache
def _font(weight: int, size: float) -> Any:
    from matplotlib.font_manager import FontProperties

    return FontProperties(fname=str(resources() / "fonts" / _FONTS[weight]), size=size * 0.75)


def hex_of(colour: QColor) -> str:
    """A colour as matplotlib takes it."""
    return colour.name()


class Paper:
    """A figure being drawn: its axes, texts and regions, all placed in pixels at scale 1."""

    def __init__(
        self, palette: Palette, width: float, height: float, dpi: float, head: float = 0
    ) -> None:
        """`width` and `height` in pixels at scale 1; `head`: so much more above, for a caption."""
        import_drawing()
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        self.palette = palette
        self.width, self.height, self._whole = width, height, height + head
        self.figure: Figure = Figure(figsize=(width / DPI, self._whole / DPI), dpi=dpi)
        self.figure.patch.set_facecolor(hex_of(palette.paper))
        self._canvas = FigureCanvasAgg(self.figure)
        self._regions: list[tuple[Any, int, str]] = []

    def axes(self, left: float, top: float, width: float, height: float) -> Axes:
        """Axes in a box given in pixels from the top left; bottom spine only."""
        box = (
            left / self.width,
            (self.height - top - height) / self._whole,
            width / self.width,
            height / self._whole,
        )
        axes = self.figure.add_axes(box)
        axes.set_facecolor("none")
        for side in ("left", "top", "right"):
            axes.spines[side].set_visible(False)
        axes.spines["bottom"].set_color(hex_of(self.palette.rule2))
        axes.spines["bottom"].set_linewidth(0.75)
        axes.tick_params(length=0, pad=5, colors=hex_of(self.palette.ink2))
        axes.set_axisbelow(True)
        return axes

    def stand_left(self, axes: Axes) -> None:
        """A line at the left of the axes too."""
        axes.spines["left"].set_visible(True)
        axes.spines["left"].set_color(hex_of(self.palette.rule2))
        axes.spines["left"].set_linewidth(0.75)

    def grid(self, axes: Axes, axis: str) -> None:
        """Rule lines on the value axis."""
        axes.grid(axis=axis, color=hex_of(self.palette.rule), linewidth=0.7)  # type: ignore[arg-type]

    def dress(self, text: Any, size: float = 12, tone: str = "ink2", weight: int = 400) -> Any:
        """Give a text our font, size in pixels and colour."""
        text.set_fontproperties(_font(weight, size))
        text.set_color(hex_of(getattr(self.palette, tone)))
        if hasattr(text, "set_fontfeatures"):
            text.set_fontfeatures(["tnum", "lnum"])
        return text

    def dress_ticks(self, axes: Axes) -> None:
        """Give all tick labels our font."""
        for label in (*axes.get_xticklabels(), *axes.get_yticklabels()):
            self.dress(label)

    def write(
        self,
        axes: Axes,
        text: str,
        at: tuple[float, float],
        *,
        shift: tuple[float, float] = (0, 0),
        frame: str = "data",
        align: str = "center",
        size: float = 12,
        tone: str = "ink2",
        weight: int = 400,
        level: str = "center",
    ) -> Any:
        """Write at a point of the axes, moved by `shift` pixels; `frame` is one of `data`,
        `axes fraction` (both), and `y` (the height as data, the side as a fraction)."""
        from matplotlib.transforms import ScaledTranslation

        place = {"data": axes.transData, "axes fraction": axes.transAxes}.get(frame)
        moved = ScaledTranslation(shift[0] / DPI, shift[1] / DPI, self.figure.dpi_scale_trans)
        place = (place or axes.get_yaxis_transform()) + moved
        # A plain text is laid out in half the time that an annotation takes.
        note = axes.text(*at, text, transform=place, ha=align, va=level)
        return self.dress(note, size, tone, weight)

    def shorten(self, text: Any, most: float) -> None:
        """Let a text be no wider than `most` pixels: words too many end in an ellipsis."""
        renderer, words = self._canvas.get_renderer(), text.get_text()
        room = most * self.figure.dpi / DPI
        while words and text.get_window_extent(renderer).width > room:
            words = words[:-1].rstrip(" ,")
            text.set_text(f"{words}…")

    def write_after(self, axes: Axes, text: Any, more: str, **how: Any) -> Any:
        """Write on behind a text that was written."""
        note = axes.annotate(more, (1, 0), xycoords=text, va="bottom", annotation_clip=False)
        return self.dress(note, how.get("size", 12), how.get("tone", "ink2"))

    def clear_behind(self, text: Any) -> None:
        """Let no line of the drawing run through a text."""
        ground = hex_of(self.palette.paper)
        text.set_bbox({"facecolor": ground, "edgecolor": "none", "pad": 0})
        text.set_zorder(3.5)

    def write_foot(self, text: str) -> None:
        """Write a sentence at the foot of the paper."""
        left = 20 / self.width
        self.dress(self.figure.text(left, 8 / self._whole, text, va="bottom"), 13)

    def write_beside(self, axes: Axes, text: str, row: int, shift: float, **how: Any) -> Any:
        """Write beside a row of the axes, ending `shift` pixels from their left or right edge."""
        edge = 0.0 if shift < 0 else 1.0
        how.setdefault("align", "right")
        return self.write(axes, text, (edge, row), frame="y", shift=(shift, 0), **how)

    def region(self, artist: Any, index: int, text: str) -> None:
        """Remember that an artist (or data box) stands for an item."""
        self._regions.append((artist, index, text))

    def beyond(self) -> tuple[float, float, float, float]:
        """How far texts reach over the left, bottom, right and top edge, as shares of the paper."""
        from matplotlib.text import Text

        renderer = self._canvas.get_renderer()
        edge = self.figure.bbox
        left = bottom = right = top = 0.0
        for text in self.figure.findobj(Text):
            if not text.get_visible() or not text.get_text().strip():
                continue
            seen = text.get_window_extent(renderer)
            left, right = max(left, -seen.x0), max(right, seen.x1 - edge.width)
            bottom, top = max(bottom, -seen.y0), max(top, seen.y1 - edge.height)
        return left / edge.width, bottom / edge.height, right / edge.width, top / edge.height

    def _make_room(self) -> None:
        """Draw the axes in as far as their texts reach over the edge: a number is never cut."""
        for _ in range(2):  # with narrower axes a text may stand elsewhere
            left, bottom, right, top = self.beyond()
            if max(left, bottom, right, top) <= 0:
                return
            for axes in self.figure.axes:
                box = axes.get_position()
                wide, high = box.width - left - right, box.height - bottom - top
                if wide > 0 and high > 0:
                    axes.set_position((box.x0 + left, box.y0 + bottom, wide, high))

    def write_caption(self, lines: Sequence[str]) -> None:
        """Write the finding, and what stands under it, above the drawing."""
        for at, (line, size) in enumerate(zip(lines, (18, 12, 12), strict=False)):
            top = 1 - (6 + (0, 26, 42)[at]) / self._whole
            tone, weight = ("ink", 600) if at == 0 else ("ink2", 400)
            text = self.figure.text(20 / self.width, top, line, va="top")
            self.shorten(self.dress(text, size, tone, weight), self.width - 40)

    def saved(self, kind: str) -> bytes:
        """It as a file of a kind: "png", "svg"."""
        import matplotlib

        self._make_room()
        out, about = BytesIO(), {"Date": None} if kind == "svg" else {}
        with matplotlib.rc_context({"svg.hashsalt": "figure"}):  # the same bytes each time
            self.figure.savefig(out, format=kind, metadata=about)
        return out.getvalue()

    def finish(self, scale: float, ratio: float) -> Picture:
        """Draw it and return the image with its regions."""
        self._make_room()
        self._canvas.draw()
        wide, high = self._canvas.get_width_height(physical=True)
        data = bytes(self._canvas.buffer_rgba())
        image = QImage(data, wide, high, wide * 4, QImage.Format.Format_RGBA8888).copy()
        image.setDevicePixelRatio(ratio)
        regions = []
        renderer = self._canvas.get_renderer()
        for artist, index, text in self._regions:
            seen = artist.get_window_extent(renderer)
            box = QRectF(seen.x0, high - seen.y1, seen.x1 - seen.x0, seen.y1 - seen.y0)
            within = QRectF(box.topLeft() / ratio, box.size() / ratio)
            regions.append(Region(within.adjusted(-4, -4, 4, 4), index, text))
        return Picture(image, tuple(regions))


Plot = Callable[[Paper], None]


def draw(plot: Plot, palette: Palette, size: QSize, scale: float, ratio: float) -> Picture:
    """Draw a plot in a box of `size` (window pixels) at a theme's scale and a screen's ratio."""
    paper = Paper(palette, size.width() / scale, size.height() / scale, DPI * scale * ratio)
    plot(paper)
    return paper.finish(scale, ratio)


_CAPTION = 62  # pixels above a drawing that is kept as a file
_KEPT_WIDE, _KEPT_HIGH, _KEPT_DPI = 720, 400, 3 * DPI


def picture_file(plot: Plot, palette: Palette, caption: Sequence[str], kind: str) -> bytes:
    """A plot with its caption (the finding first) as a file: "png", three pixels to one of the
    window's, or "svg"."""
    paper = Paper(palette, _KEPT_WIDE, _KEPT_HIGH, _KEPT_DPI, head=_CAPTION)
    plot(paper)
    paper.write_caption(caption)
    return paper.saved(kind)


def nice_ticks(most: float, count: int = 4) -> list[float]:
    """Round steps from 0 that reach `most`: about `count` of them, by 1, 2 or 5."""
    if most <= 0:
        return [0.0, 1.0]
    step = round_step(most / count, 1e-9)
    return [step * at for at in range(math.ceil(most / step - 1e-9) + 1)]
