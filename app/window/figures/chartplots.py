"""The four figures as plots: each takes its plain figure and paints it on a `Paper`.

The caption with the finding stands outside, in the window's own type; see `chartview.py`.
"""

from __future__ import annotations

from typing import Any

from PySide6.QtGui import QColor

from app.actions.figures.figure_parts import (
    FEW_JOBS,
    HoursFigure,
    MoneyFigure,
    ServiceFigure,
    SupplyFigure,
)
from app.calculations.numbers.money import minor_digits, shown_money, shown_whole
from app.calculations.numbers.wording import count_of
from app.window.paper.charts import Paper, Plot, hex_of, nice_ticks
from app.window.paper.palette import mix

_STRONG: dict[str, Any] = {"size": 13, "tone": "ink", "weight": 700}


def _whole(currency: str) -> float:
    return float(10 ** minor_digits(currency))


def money_plot(figure: MoneyFigure, currency: str) -> Plot:
    """Bars of money earned, supplies hatched at their foot, the likely rest dashed."""

    def plot(paper: Paper) -> None:
        c, unit = paper.palette, _whole(currency)
        axes = paper.axes(40, 16, paper.width - 44, paper.height - 16 - 42)
        bars = figure.bars
        tops = [
            max(bar.earned, bar.guess.high if bar.guess else 0, bar.year_before or 0) / unit
            for bar in bars
        ]
        ticks = nice_ticks(max(tops, default=1) or 1)
        axes.set_yticks(ticks, [f"{tick:,.0f}" for tick in ticks])
        axes.set_ylim(0, max(ticks[-1], max(tops, default=0) * 1.06))
        paper.grid(axes, "y")
        running = bool(bars) and bars[-1].guess is not None
        places = [at + (0.5 if running and at == len(bars) - 1 else 0.0) for at in range(len(bars))]
        earned = [bar.earned / unit for bar in bars]
        used = [min(bar.supplies, max(bar.earned, bar.supplies)) / unit for bar in bars]
        drawn = axes.bar(places, earned, width=0.66, color=hex_of(c.bar), zorder=3)
        look: dict[str, Any] = {"facecolor": hex_of(c.paper), "edgecolor": hex_of(c.ink)}
        feet = axes.bar(places, used, width=0.66, hatch="////", linewidth=0.9, zorder=4, **look)
        for foot, amount in zip(feet, used, strict=True):
            foot.set_visible(amount > 0)
            if hasattr(foot, "set_hatch_linewidth"):
                foot.set_hatch_linewidth(0.7)
        _year_before(paper, axes, figure, places, unit)
        _guess(paper, axes, figure, places, currency)
        for at, (bar, patch) in enumerate(zip(bars, drawn, strict=True)):
            earned_text, used_text = (
                shown_money(one, currency) for one in (bar.earned, bar.supplies)
            )
            words = f"{bar.label}: {earned_text} earned, {used_text} used"
            if bar.year_before is not None:
                words += f", {shown_money(bar.year_before, currency)} a year before"
            paper.region(patch, at, words)
        if figure.best is not None:
            best = figure.best
            label, spot = shown_whole(bars[best].earned, currency), (places[best], earned[best])
            paper.write(axes, label, spot, shift=(0, 4), level="bottom", **_STRONG)
        _bar_labels(paper, axes, figure, places)

    return plot


def _guess(
    paper: Paper, axes: Any, figure: MoneyFigure, places: list[float], currency: str
) -> None:
    if not figure.bars or (guess := figure.bars[-1].guess) is None:
        return
    from matplotlib.patches import Rectangle

    unit = _whole(currency)
    at, reached = places[-1], figure.bars[-1].earned / unit
    rest = guess.likely / unit - reached
    if rest > 0:
        frame = Rectangle((at - 0.33, reached), 0.66, rest, fill=False, linewidth=1.0, zorder=3)
        frame.set(edgecolor=hex_of(paper.palette.bar), linestyle=(0, (3, 2)))
        axes.add_patch(frame)
    least = figure.bars[-1].earned
    low, high = max(guess.low / unit, reached), max(guess.high / unit, reached)
    side, look = at + 0.46, {"color": hex_of(paper.palette.bar), "linewidth": 1.4, "zorder": 5}
    axes.plot([side, side], [low, high], clip_on=False, **look)
    for end in (low, high):
        axes.plot([side - 0.09, side + 0.09], [end, end], clip_on=False, **look)
    ends = (shown_whole(round(max(one, least)), currency) for one in (guess.low, guess.high))
    span = "–".join(ends)
    paper.write(axes, span, (side, high), shift=(4, 4), align="right", level="bottom")
    text = f"≈ {shown_whole(round(max(guess.likely, least)), currency)}"
    paper.write(axes, text, (side, high), shift=(4, 19), align="right", level="bottom", tone="ink",
                weight=600)  # fmt: skip


def _year_before(
    paper: Paper, axes: Any, figure: MoneyFigure, places: list[float], unit: float
) -> None:
    """The same month a year before: a short line over the bar, with a halo of paper."""
    for place, bar in zip(places, figure.bars, strict=True):
        if bar.year_before is None:
            continue
        span, at = [place - 0.36, place + 0.36], [bar.year_before / unit] * 2
        for colour, wide in ((paper.palette.paper, 4.2), (paper.palette.ink, 1.9)):
            axes.plot(span, at, color=hex_of(colour), linewidth=wide, zorder=4.5,
                      solid_capstyle="butt")  # fmt: skip


def _bar_labels(paper: Paper, axes: Any, figure: MoneyFigure, places: list[float]) -> None:
    bars = figure.bars
    every = max(1, -(-len(bars) // 14))
    shown = [at for at in range(len(bars)) if at % every == 0]
    axes.set_xticks([places[at] for at in shown], [bars[at].label for at in shown])
    axes.set_xlim(-0.6, (places[-1] if places else 0) + 0.6)
    paper.dress_ticks(axes)
    for at in range(1, len(bars)):
        if bars[at].first.year != bars[at - 1].first.year:
            year = str(bars[at].first.year)
            paper.write(axes, year, (places[at], 0), shift=(0, -30), level="center")


def services_plot(figure: ServiceFigure, currency: str) -> Plot:
    """A dot at the middle job, a bar over four jobs in five; hollow and dashed when few."""

    def plot(paper: Paper) -> None:
        c, unit = paper.palette, _whole(currency)
        bars = figure.bars
        axes = paper.axes(20, 34, paper.width - 20 - 56, paper.height - 34 - 26)
        ends = [bar.high / unit for bar in bars] + [(figure.all_jobs or 0) / unit]
        low = min([0.0, *(bar.low / unit for bar in bars)])
        most = max(1.0, max(ends) * 1.05)
        ticks = [tick for tick in nice_ticks(most) if tick <= most]
        axes.set_xticks(ticks, [f"{tick:,.0f}" for tick in ticks])
        axes.set_xlim(low, most)
        axes.set_ylim(max(len(bars), 1) - 0.5, -0.9)
        axes.set_yticks([])
        paper.grid(axes, "x")
        named = 13.0 if (paper.height - 60) / max(len(bars), 1) >= 28 else 12.0
        for at, bar in enumerate(bars):
            span = [bar.low / unit, bar.high / unit]
            if bar.few:
                dashes = (0, (2, 1.6))
                axes.plot(span, [at, at], color=hex_of(c.act), linewidth=1.6, linestyle=dashes)
            else:
                tint = hex_of(mix(c.paper, c.bar, 0.42))
                # Its own ground is too faint: two edges in full colour, the tint within.
                for colour, wide in ((hex_of(c.bar), 6.4), (tint, 4.6)):
                    axes.plot(span, [at, at], color=colour, linewidth=wide, solid_capstyle="butt")
            face, edge = (c.paper if bar.few else c.act), c.act
            (dot,) = axes.plot(
                [bar.middle / unit], [at], "o", zorder=5, **_dot(face, edge, 8.4, 1.4)
            )
            an_hour = shown_whole(round(bar.middle), currency)
            paper.region(dot, at, f"{bar.name}: {an_hour} an hour, {count_of(bar.jobs, 'job')}")
            _name_over(paper, axes, bar.name, bar.jobs, at, named)
            paper.write_beside(axes, an_hour, at, 48, **_STRONG)
        if figure.all_jobs is not None:
            middle = figure.all_jobs / unit
            for at in range(len(bars)):  # only in the bands of the bars: it crosses no name
                axes.plot([middle] * 2, [at - 0.18, at + 0.22], color=hex_of(c.ink2),
                          linewidth=1.0, linestyle=(0, (3, 2)), zorder=4)  # fmt: skip
            paper.write(
                axes,
                f"all jobs, {shown_whole(round(figure.all_jobs), currency)}",
                (middle, -0.9),
                shift=(0, 9),
            )
        top = "axes fraction"
        words = "left an hour"
        paper.write(axes, words, (1, 1), frame=top, shift=(52, 9), align="right", tone="ink3")
        paper.dress_ticks(axes)

    return plot


def _name_over(
    paper: Paper, axes: Any, name: str, jobs: int, row: int, size: float, share: float = 0.0
) -> None:
    """A row's whole name with how many jobs it has, over its bar."""
    told = paper.write(axes, name, (share, row - 0.36), frame="y", align="left", size=size,
                       tone="ink")  # fmt: skip
    paper.write_after(axes, told, f"  {count_of(jobs, 'job')}", size=12, tone="ink3")


def hours_plot(figure: HoursFigure) -> Plot:
    """Hours expected across, hours worked up; a band of 15 %, triangles for what ran over."""

    def plot(paper: Paper) -> None:
        c = paper.palette
        axes = paper.axes(36, 10, paper.width - 52, paper.height - 10 - 30)
        paper.stand_left(axes)
        points = figure.points
        across = nice_ticks(max([1.0, *(p.expected / 60 for p in points)]) * 1.05)
        up = nice_ticks(max([1.0, *(p.worked / 60 for p in points)]) * 1.05)
        right, top = across[-1], up[-1]
        axes.set_xlim(0, right)
        axes.set_ylim(0, top)
        axes.set_xticks(across, [_hours(tick, tick == across[-1]) for tick in across])
        axes.set_yticks(up, [_hours(tick, tick == up[-1]) for tick in up])
        axes.grid(color=hex_of(c.rule), linewidth=0.7)
        axes.fill(
            [0, right, right],
            [0, right * 0.85, right * 1.15],
            facecolor=hex_of(c.act_soft),
            edgecolor=hex_of(c.ink3),
            linewidth=0.8,
            zorder=1.5,
        )
        axes.plot([0, right], [0, right], color=hex_of(c.ink2), linewidth=1.0, zorder=2)
        for at, point in enumerate(points):
            marker, tone = ("^", c.look) if point.over else ("o", c.bar)
            (dot,) = axes.plot(
                [point.expected / 60],
                [point.worked / 60],
                marker,
                zorder=6 if point.over else 5,
                clip_on=False,
                **_dot(tone, c.paper, 7, 0.9),
            )
            hours = f"{point.worked / 60:.1f} h for {point.expected / 60:.1f} h expected"
            why = f", {point.why}" if point.why else ""
            paper.region(dot, at, f"{point.number:04d}: {hours}{why}")
        _worst(paper, axes, figure, right)
        near = right * 0.74
        if near * 0.86 < top:
            spot = (near * 1.06, near * 0.86 - top * 0.16)
            arrow = {"arrowstyle": "-", "color": hex_of(c.ink2), "linewidth": 0.8}
            axes.annotate("", (near, near * 0.86), xytext=spot, arrowprops=arrow)
            paper.write(axes, "within 15 % of expected", spot, shift=(0, -8))
        corner = "axes fraction"
        paper.write(axes, "worked", (0, 1), frame=corner, shift=(10, -14), align="left")
        paper.write(axes, "expected", (1, 0), frame=corner, shift=(-8, 11), align="right")
        paper.dress_ticks(axes)

    return plot


def _hours(tick: float, last: bool) -> str:
    return f"{tick:g} h" if last else f"{tick:g}"


def _worst(paper: Paper, axes: Any, figure: HoursFigure, right: float) -> None:
    over = [point for point in figure.points if point.over]
    if not over:
        return
    worst = max(over, key=lambda point: point.worked - point.expected)
    words = f"{worst.number:04d}" + (f", {_cut(worst.why, 18)}" if worst.why else "")
    x, y = worst.expected / 60, worst.worked / 60
    if x > right * 0.45:
        paper.write(axes, words, (x, y), shift=(-9, 2), align="right", tone="look", weight=600)
        return
    # Among the many short jobs its name would cover others: it stands free above them, on a line.
    top = axes.get_ylim()[1]
    spot = (x, max(y, right * 0.12) + top * 0.22)
    arrow = {"arrowstyle": "-", "color": hex_of(paper.palette.look), "linewidth": 0.8}
    axes.annotate("", (x, y), xytext=spot, arrowprops={**arrow, "shrinkA": 0, "shrinkB": 5})
    paper.write(axes, words, spot, shift=(-2, 3), align="left", tone="look", weight=600)


def supplies_plot(figure: SupplyFigure, currency: str) -> Plot:
    """Bars of cost, the dearest first, with amount and running share; the rest in a sentence."""

    def plot(paper: Paper) -> None:
        c, unit = paper.palette, _whole(currency)
        bars = figure.bars
        foot = 26 if figure.others else 0
        axes = paper.axes(176, 6, paper.width - 176 - 96, paper.height - 12 - foot)
        axes.spines["bottom"].set_visible(False)
        paper.stand_left(axes)
        axes.set_xticks([])
        axes.set_yticks([])
        axes.set_ylim(max(len(bars), 1) - 0.5, -0.5)
        axes.set_xlim(0, max([bar.cost / unit for bar in bars] + [1.0]))
        for at, bar in enumerate(bars):
            (patch,) = axes.barh(
                [at],
                [bar.cost / unit],
                height=min(0.58, 0.075 * len(bars) + 0.1),
                facecolor=hex_of(c.bar),
                linewidth=0.0,
            )
            paper.region(
                patch, at, f"{bar.name}: {shown_money(bar.cost, currency)}, {bar.share:.0f} %"
            )
            paper.write_beside(axes, bar.name, at, -8, size=13, tone="ink")
            paper.write_beside(axes, shown_whole(bar.cost, currency), at, 46, **_STRONG)
            paper.write_beside(axes, f"{bar.running:.0f} %", at, 92, tone="ink3")
        if figure.others:
            paper.write_foot(figure.others)
        paper.dress_ticks(axes)

    return plot


def _dot(face: QColor, edge: QColor, size: float, width: float) -> dict[str, Any]:
    return {
        "markersize": size,
        "markerfacecolor": hex_of(face),
        "markeredgecolor": hex_of(edge),
        "markeredgewidth": width,
    }


def _cut(text: str, letters: int) -> str:
    return text if len(text) <= letters else f"{text[: letters - 1].rstrip()}…"


LEGENDS: dict[int, tuple[tuple[str, str], ...]] = {
    1: (
        ("solid", "earned"),
        ("hatch", "supplies"),
        ("line", "a year before"),
        ("dash", "likely"),
    ),
}
SUBTITLES: dict[int, str] = {
    2: f"A bar holds four jobs in five; dashed: under {FEW_JOBS} jobs",
    3: "Hours expected and hours worked",
    4: "Supply cost; at the right the running share",
}
