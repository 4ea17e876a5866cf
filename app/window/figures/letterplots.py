"""What letters brought, as steps that fall; and the hours of the coming weeks, a bar each day."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from app.actions.figures.hours_ahead import WEEKS, AheadFigure
from app.actions.figures.letters_figure import LetterFigure
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import quarter_hours, shown_duration
from app.calculations.numbers.money import shown_whole
from app.calculations.numbers.wording import count_of
from app.calculations.plan.load import DayLoad
from app.window.figures.chartplots import STRONG
from app.window.paper.charts import Paper, Plot, hex_of
from app.window.paper.palette import mix

_FLAT = 0.56  # of a step's width, before it falls to the next
_LAST = 0.86  # how wide the last one is
_INKS = (0.30, 0.50, 0.72, 1.0)  # of the bar's colour, step by step
_BELOW = 58  # pixels for what went no further
_NUMBER: dict[str, Any] = {"size": 17, "tone": "ink", "weight": 700}


def letters_plot(figure: LetterFigure, currency: str) -> Plot:
    """Each step as high as its letters, in more ink; what is lost of it under it."""

    def plot(paper: Paper) -> None:
        c, steps = paper.palette, figure.steps
        axes = paper.axes(20, 44, paper.width - 20 - 8, max(10.0, paper.height - 44 - _BELOW))
        axes.set_xticks([])
        axes.set_yticks([])
        axes.set_xlim(0, max(len(steps) - 1, 0) + _LAST)
        most = max([1, *(one.count for one in steps)])
        axes.set_ylim(0, most)
        for at, step in enumerate(steps):
            after = steps[at + 1].count if at + 1 < len(steps) else step.count
            flat = at + (_FLAT if at + 1 < len(steps) else _LAST)
            end = at + 1 if at + 1 < len(steps) else flat
            ground = hex_of(mix(c.paper, c.bar, _INKS[at]))
            (body,) = axes.fill([at, flat, flat, at], [0, 0, step.count, step.count], ground, lw=0)
            if end > flat:
                later = hex_of(mix(c.paper, c.bar, (_INKS[at] + _INKS[at + 1]) / 2))
                axes.fill([flat, end, end, flat], [0, 0, after, step.count], later, lw=0)
            edge: dict[str, Any] = {
                "color": hex_of(c.bar),
                "linewidth": 1.2,
                "clip_on": False,
                "zorder": 3,
            }
            axes.plot([at, flat, end], [step.count, step.count, after], **edge)
            share = f"  {100 * step.count / most:.0f} %" if at else ""
            lost = "".join(f", {count} {word}" for count, word in step.lost)
            paper.region(body, at, f"{count_of(step.count, 'letter')} {step.name}{share}{lost}")
            at_left: dict[str, Any] = {"align": "left", "level": "bottom"}
            paper.write(axes, step.name, (at, step.count), shift=(0, 22), **at_left)
            told = paper.write(axes, f"{step.count:,}", (at, step.count), shift=(0, 4), **at_left,
                               **_NUMBER)  # fmt: skip
            if share:
                paper.write_after(axes, told, share, size=12, tone="ink3")
            for line, (count, word) in enumerate(step.lost):
                spot = (at + 0.02, 0)
                number = paper.write(axes, f"{count:,}", spot, shift=(0, -11 - 17 * line),
                                     align="left", size=13, tone="ink", weight=700)  # fmt: skip
                paper.write_after(axes, number, f"  {word}", size=12)
        if steps:
            spot = (len(steps) - 1, 0)
            told = paper.write(axes, "earned", spot, shift=(0, -11), align="left")
            earned = shown_whole(figure.earned, currency)
            paper.write(axes, earned, spot, shift=(0, -30), align="left", **_NUMBER)

    return plot


def ahead_plot(figure: AheadFigure) -> Plot:
    """A bar a day: the outline its open hours, solid what is booked, hatched what is beyond."""

    def plot(paper: Paper) -> None:
        days = figure.days
        axes = paper.axes(44, 16, paper.width - 44 - 8, max(10.0, paper.height - 16 - 90))
        axes.set_xticks([])
        top = max([60, *(max(one.booked, one.open_minutes) for one in days)]) / 60
        usual = max((one.open_minutes for one in days), default=0) / 60
        ticks = [usual * at for at in range(int(top / usual) + 1)] if usual else [0.0, top]
        told = [f"{tick:g}" for tick in ticks]
        axes.set_yticks(ticks, [*told[:-1], f"{told[-1]} h"])
        axes.set_ylim(0, top * 1.02)
        paper.grid(axes, "y")
        if days:
            monday = days[0].day - timedelta(days=days[0].day.weekday())
            long = max(one.day.weekday() for one in days) + 1
            axes.set_xlim(-0.7, WEEKS * (long + 1) - 1.3)
            for week in range(WEEKS):
                begins = monday + timedelta(days=7 * week)
                _week(paper, axes, figure, figure.week(begins), week * (long + 1))
            paper.write_foot(figure.said)
        paper.dress_ticks(axes)

    return plot


def _week(
    paper: Paper, axes: Any, figure: AheadFigure, days: tuple[DayLoad, ...], left: int
) -> None:
    from matplotlib.patches import Rectangle

    c = paper.palette
    for one in days:
        at = left + one.day.weekday()
        has, booked = one.open_minutes / 60, min(one.booked, one.open_minutes) / 60
        axes.bar([at], [booked], width=0.62, color=hex_of(c.bar), zorder=3)
        frame = Rectangle((at - 0.31, 0), 0.62, max(has, one.booked / 60), fill=False, zorder=4)
        frame.set(edgecolor=hex_of(c.rule2), linestyle=(0, (3, 2)), linewidth=0.9)
        axes.add_patch(frame)
        if one.beyond:
            axes.bar([at], [one.beyond / 60], bottom=[has], width=0.62, hatch="////", zorder=3,
                     facecolor=hex_of(c.paper), edgecolor=hex_of(c.look))  # fmt: skip
        words = f"{shown_duration(one.booked)} of {shown_duration(one.open_minutes)} booked"
        paper.region(frame, figure.days.index(one), f"{weekday_day(one.day)}: {words}")
        paper.write(axes, f"{one.day:%A}"[0], (at, 0), shift=(0, -11), tone="ink3")
        if one.day == figure.free:
            look = {"markerfacecolor": hex_of(c.paper), "markeredgecolor": hex_of(c.look)}
            axes.plot([at], [has / 2], "o", markersize=6, markeredgewidth=1.5, zorder=5, **look)
    if days:
        first = days[0].day
        spot = (left + first.weekday() - 0.31, 0)
        paper.write(axes, f"{first.day} {first:%b}", spot, shift=(0, -29), align="left",
                    **{**STRONG, "size": 12})  # fmt: skip
        filled = quarter_hours(sum(one.booked for one in days))
        words = f"{filled} of {quarter_hours(sum(one.open_minutes for one in days))} h"
        paper.write(axes, words, spot, shift=(0, -46), align="left")
