"""Who sends customers: a bar is what was earned from those whom one customer sent."""

from __future__ import annotations

from app.actions.figures.referrals_figure import ReferralFigure
from app.calculations.numbers.money import shown_money, shown_whole
from app.calculations.numbers.wording import count_of
from app.window.figures.chartplots import STRONG, whole_of
from app.window.paper.charts import Paper, Plot, hex_of

_NAMES, _NUMBERS = 150, 150  # pixels left and right of the bars
_LEAST_ROW, _FOOT = 19, 26


def referrals_plot(figure: ReferralFigure, currency: str) -> Plot:
    """A row for each who sent somebody; those that would not stand clear are left to the table."""

    def plot(paper: Paper) -> None:
        c, unit = paper.palette, whole_of(currency)
        room = paper.height - 34
        fit = max(1, int(room // _LEAST_ROW))
        if len(figure.bars) > fit:
            room -= _FOOT
            fit = max(1, int(room // _LEAST_ROW))
            left = figure.bars[fit:]
            more, earned = count_of(len(left), "other"), sum(bar.earned for bar in left)
            paper.write_foot(
                f"{more} who sent somebody: {shown_whole(earned, currency)}; T lists all."
            )
        bars = figure.bars[:fit]
        axes = paper.axes(_NAMES, 22, max(20.0, paper.width - _NAMES - _NUMBERS), room)
        axes.spines["bottom"].set_visible(False)
        paper.stand_left(axes)
        axes.set_xticks([])
        axes.set_yticks([])
        axes.set_ylim(max(len(bars), 4) - 0.5, -0.5)
        axes.set_xlim(0, max([bar.earned / unit for bar in bars] + [1.0]))
        for at, bar in enumerate(bars):
            (patch,) = axes.barh([at], [max(0.0, bar.earned / unit)], height=0.52,
                                 facecolor=hex_of(c.bar), linewidth=0.0)  # fmt: skip
            sent = f"sent {count_of(bar.customers, 'customer')}, {bar.new} new"
            paper.region(patch, at, f"{bar.name} {sent}: {shown_money(bar.earned, currency)}")
            name = paper.write(axes, bar.name, (0, at), frame="y", shift=(-8, 0), align="right",
                               size=13, tone="ink")  # fmt: skip
            paper.shorten(name, _NAMES - 12)
            paper.write_beside(axes, shown_whole(bar.earned, currency), at, 58, **STRONG)
            paper.write_beside(axes, f"{bar.customers}", at, 100, tone="ink3")
            paper.write_beside(axes, f"{bar.new}" if bar.new else "·", at, 140, tone="ink")
        if bars:
            for words, right in (("earned", 58), ("sent", 100), ("new", 140)):
                paper.write(axes, words, (1, 1), frame="axes fraction", shift=(right, 7),
                            align="right", tone="ink3")  # fmt: skip
        paper.dress_ticks(axes)

    return plot
