"""The figures of money and of supplies as plots: a plain figure is painted on a `Paper`.

The caption with the finding stands outside, in the window's own type; see `chartview.py`.
"""

from __future__ import annotations

from typing import Any

from app.actions.figures.figure_parts import (
    MoneyFigure,
    SupplyFigure,
)
from app.calculations.numbers.money import minor_digits, shown_money, shown_whole
from app.window.paper.charts import Paper, Plot, hex_of, nice_ticks

STRONG: dict[str, Any] = {"size": 13, "tone": "ink", "weight": 700}


_UNDER_SPAN = 4  # bars over which the words of the guess stand


def whole_of(currency: str) -> float:
    return float(10 ** minor_digits(currency))


def money_plot(figure: MoneyFigure, currency: str) -> Plot:
    """Bars of money earned, supplies hatched at their foot, the likely rest dashed."""

    def plot(paper: Paper) -> None:
        c, unit = paper.palette, whole_of(currency)
        axes = paper.axes(40, 16, paper.width - 44, paper.height - 16 - 42)
        bars = figure.bars
        tops = [
            max(bar.earned, bar.guess.high if bar.guess else 0, bar.year_before or 0) / unit
            for bar in bars
        ]
        ticks = nice_ticks(max(tops, default=0))
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
            paper.write(axes, label, spot, shift=(0, 4), level="bottom", **STRONG)
        _bar_labels(paper, axes, figure, places)

    return plot


def _guess(
    paper: Paper, axes: Any, figure: MoneyFigure, places: list[float], currency: str
) -> None:
    if not figure.bars or (guess := figure.bars[-1].guess) is None:
        return
    from matplotlib.patches import Rectangle

    unit = whole_of(currency)
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
    span = "–".join(_about(max(one, least), currency) for one in (guess.low, guess.high))
    # Over the bars beside it, and over what stands on the best of them.
    near = figure.bars[-_UNDER_SPAN:]
    best = figure.best is not None and figure.bars[figure.best] in near[:-1]
    over = max(high, *(max(bar.earned, bar.year_before or 0) / unit for bar in near))
    up = 20 if best else 4
    paper.write(axes, span, (side, over), shift=(4, up), align="right", level="bottom")
    text = f"≈ {_about(max(guess.likely, least), currency)}"
    paper.write(axes, text, (side, over), shift=(4, up + 15), align="right", level="bottom",
                tone="ink", weight=600)  # fmt: skip


def _about(amount: float, currency: str) -> str:
    """A guess in whole units, to three digits: more of it is not known."""
    unit = whole_of(currency)
    step = 10 ** max(0, len(str(int(abs(amount) / unit))) - 3)
    return shown_whole(round(round(amount / unit / step) * step * unit), currency)


def _year_before(
    paper: Paper, axes: Any, figure: MoneyFigure, places: list[float], unit: float
) -> None:
    """The same month a year before: a short line over the bar, with a halo of paper."""
    then = [
        (place, bar.year_before / unit)
        for place, bar in zip(places, figure.bars, strict=True)
        if bar.year_before is not None
    ]
    if not then:
        return
    at = [amount for _, amount in then]
    ends = [place - 0.36 for place, _ in then], [place + 0.36 for place, _ in then]
    for colour, wide in ((paper.palette.paper, 4.2), (paper.palette.ink, 1.9)):
        axes.hlines(at, *ends, colors=hex_of(colour), linewidth=wide, zorder=4.5)


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


def supplies_plot(figure: SupplyFigure, currency: str) -> Plot:
    """Bars of cost, the dearest first, with amount and running share; the rest in a sentence."""

    def plot(paper: Paper) -> None:
        c, unit = paper.palette, whole_of(currency)
        bars = figure.bars
        foot = 26 if figure.others else 0
        axes = paper.axes(176, 6, paper.width - 176 - 96, paper.height - 12 - foot)
        axes.spines["bottom"].set_visible(False)
        paper.stand_left(axes)
        axes.set_xticks([])
        axes.set_yticks([])
        axes.set_ylim(max(len(bars), 1) - 0.5, -0.5)
        axes.set_xlim(0, max([bar.cost / unit for bar in bars] + [1.0]))
        drawn = axes.barh(
            range(len(bars)),
            [bar.cost / unit for bar in bars],
            height=min(0.58, 0.075 * len(bars) + 0.1),
            facecolor=hex_of(c.bar),
            linewidth=0.0,
        )
        for at, (bar, patch) in enumerate(zip(bars, drawn, strict=True)):
            paper.region(
                patch, at, f"{bar.name}: {shown_money(bar.cost, currency)}, {bar.share:.0f} %"
            )
            paper.write_beside(axes, bar.name, at, -8, size=13, tone="ink")
            paper.write_beside(axes, shown_whole(bar.cost, currency), at, 46, **STRONG)
            paper.write_beside(axes, f"{bar.running:.0f} %", at, 92, tone="ink3")
        if figure.others:
            paper.write_foot(figure.others)
        paper.dress_ticks(axes)

    return plot


def money_legend(figure: MoneyFigure) -> tuple[tuple[str, str], ...]:
    """(mark, words) of what the first figure shows; what it does not show is not explained."""
    found = [("solid", "earned"), ("hatch", "supplies")]
    if any(bar.year_before is not None for bar in figure.bars):
        found.append(("line", "a year before"))
    if figure.bars and figure.bars[-1].guess is not None:
        found.append(("dash", "likely"))
    return tuple(found)
