"""The figures by kind of job: a dot at the middle job, a bar over four in five, a name above."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from PySide6.QtGui import QColor

from app.actions.figures.kinds import OVER, KindBar, KindFigure
from app.calculations.numbers.money import shown_whole
from app.calculations.numbers.wording import MINUS, count_of
from app.window.figures.chartplots import STRONG, whole_of
from app.window.paper.charts import Paper, Plot, hex_of, nice_ticks
from app.window.paper.palette import mix

_LEAST_ROW = 25  # pixels in which a name stands clear over its bar
_OVER_BAR = 13  # from the middle of a bar up to that of its name
_FOOT = 20
_JOBS = 62  # for the number of jobs behind a name


def services_plot(figure: KindFigure, currency: str) -> Plot:
    """What an hour of each kind leaves; the scale begins at nothing."""
    unit = whole_of(currency)

    def told(middle: float) -> str:
        return shown_whole(round(middle), currency)

    def ticks(bars: tuple[KindBar, ...]) -> tuple[list[float], list[str]]:
        most = max([1.0, *(bar.high / unit for bar in bars), (figure.all_jobs or 0) / unit])
        found = nice_ticks(most)
        least = min([0.0, *(bar.low / unit for bar in bars)])
        step = found[1] - found[0]
        below = [step * at for at in range(math.floor(least / step), 0)]
        found = below + [tick for tick in found if tick <= most * 1.03]
        return found, [f"{tick:,.0f}".replace("-", MINUS) for tick in found]

    def plot(paper: Paper) -> None:
        line = None
        if figure.all_jobs is not None:
            line = figure.all_jobs / unit, f"all jobs, {told(figure.all_jobs)}"
        _draw(paper, figure, ticks, told, unit, line, "left an hour", "an hour")

    return plot


def hours_plot(figure: KindFigure) -> Plot:
    """Hours worked for each hour expected; a triangle where a kind runs over by more than 15 %."""

    def ticks(bars: tuple[KindBar, ...]) -> tuple[list[float], list[str]]:
        low = min([0.8, *(bar.low for bar in bars)])
        high = max([1.2, *(bar.high for bar in bars)])
        step = next(one for one in (0.2, 0.5, 1.0, 2.0, 5.0, 1e9) if high - low <= 6 * one)
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        found = [step * at for at in range(first, last + 1)]
        found = [tick for tick in found if tick <= high + 0.03]
        return found, [f"{tick:.1f}" for tick in found]

    def plot(paper: Paper) -> None:
        line = (1.0, "as expected") if figure.bars else None
        _draw(paper, figure, ticks, lambda one: f"{one:.2f}", 1.0, line, "worked ÷ expected",
              "worked for each hour expected", over=OVER)  # fmt: skip

    return plot


def deliveries_plot(figure: KindFigure) -> Plot:
    """Days from order to shelf of each supplier's deliveries."""

    def ticks(bars: tuple[KindBar, ...]) -> tuple[list[float], list[str]]:
        most = max([5.0, *(bar.high for bar in bars)])
        found = [tick for tick in nice_ticks(most) if tick <= most * 1.03]
        return found, [f"{tick:,.0f}" for tick in found]

    def plot(paper: Paper) -> None:
        line = None
        if figure.all_jobs is not None:
            line = figure.all_jobs, f"all, {figure.all_jobs:.0f} days"
        _draw(paper, figure, ticks, lambda one: f"{one:.0f}", 1.0, line, "days",
              "days from order to shelf", of="delivery")  # fmt: skip

    return plot


def _draw(
    paper: Paper,
    figure: KindFigure,
    ticks: Callable[[tuple[KindBar, ...]], tuple[list[float], list[str]]],
    told: Callable[[float], str],
    unit: float,
    line: tuple[float, str] | None,
    head: str,
    of_what: str,
    over: float = math.inf,
    of: str = "job",
) -> None:
    """Rows of names and bars; those that would not stand clear are left to the table."""
    room = paper.height - 34 - 26
    fit = max(1, int(room // _LEAST_ROW))
    cut = len(figure.bars) - fit
    if cut > 0:
        room -= _FOOT
        fit = max(1, int(room // _LEAST_ROW))
        more = count_of(len(figure.bars) - fit, "other kind")
        paper.write_foot(f"{more} had no room; T lists all.")
    bars = figure.bars[:fit]
    axes = paper.axes(20, 34, paper.width - 20 - 56, room)
    across, labels = ticks(bars)
    axes.set_xticks(across, labels)
    ends = [bar.high / unit for bar in bars] + ([line[0]] if line else [])
    axes.set_xlim(across[0], max([across[-1], *(end + 0.03 * (end - across[0]) for end in ends)]))
    rows = max(len(bars), 1)
    axes.set_ylim(rows - 0.7, -0.7)
    axes.set_yticks([])
    paper.grid(axes, "x")
    for at, bar in enumerate(bars):
        number = told(bar.middle)
        runs_over = bar.middle / unit > over and not bar.few
        dot = _bar(paper, axes, bar, at, unit, runs_over=runs_over)
        paper.region(dot, at, f"{bar.name}: {number} {of_what}, {count_of(bar.jobs, of)}")
        name = paper.write(axes, bar.name, (0, at), frame="y", shift=(0, _OVER_BAR), align="left",
                           size=13, tone="ink")  # fmt: skip
        paper.shorten(name, paper.width - 20 - _JOBS)
        paper.clear_behind(name)
        jobs = paper.write_after(axes, name, f"  {count_of(bar.jobs, of)}", size=12, tone="ink3")
        paper.clear_behind(jobs)
        strong = {**STRONG, "tone": "look"} if runs_over else STRONG
        paper.write_beside(axes, number, at, 52, **strong)
    if line is not None:
        pixel = rows / room  # of the axis down
        for at in range(len(bars)):  # only in the bands of the bars: it crosses no name
            axes.plot([line[0]] * 2, [at - 6 * pixel, at + 7 * pixel], linestyle=(0, (3, 2)),
                      color=hex_of(paper.palette.ink2), linewidth=1.0, zorder=4)  # fmt: skip
        paper.write(axes, line[1], (line[0], -0.7), shift=(0, 9))
    top = "axes fraction"
    paper.write(axes, head, (1, 1), frame=top, shift=(56, 9), align="right", tone="ink3")
    paper.dress_ticks(axes)


def _bar(paper: Paper, axes: Any, bar: KindBar, at: int, unit: float, *, runs_over: bool) -> Any:
    """The span and the dot of one kind; returns the dot."""
    c = paper.palette
    span = [bar.low / unit, bar.high / unit]
    if bar.few:
        axes.plot(span, [at, at], color=hex_of(c.act), linewidth=1.6, linestyle=(0, (2, 1.6)))
    else:
        tint = hex_of(mix(c.paper, c.bar, 0.42))
        # Its own ground is too faint: two edges in full colour, the tint within.
        for colour, wide in ((hex_of(c.bar), 4.9), (tint, 3.3)):
            axes.plot(span, [at, at], color=colour, linewidth=wide, solid_capstyle="butt")
    tone = c.look if runs_over else c.act
    look = _dot(c.paper if bar.few else tone, tone, 7.6 if runs_over else 7.0, 1.4)
    (dot,) = axes.plot([bar.middle / unit], [at], "^" if runs_over else "o", zorder=5, **look)
    return dot


def _dot(face: QColor, edge: QColor, size: float, width: float) -> dict[str, Any]:
    return {
        "markersize": size,
        "markerfacecolor": hex_of(face),
        "markeredgecolor": hex_of(edge),
        "markeredgewidth": width,
    }
