"""Charts: pictures at the screen's resolution, regions that stand for items, tables behind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.figures.figure_parts import (
    Bar,
    MoneyFigure,
    SupplyBar,
    SupplyFigure,
)
from app.actions.figures.figures import FigureTable
from app.actions.figures.hours_ahead import AheadFigure
from app.actions.figures.kinds import KindBar, KindFigure
from app.actions.figures.letters_figure import LetterFigure, LetterStep
from app.actions.figures.referrals_figure import ReferralBar, ReferralFigure
from app.calculations.figures.figures import Guess
from app.calculations.plan.load import DayLoad
from app.window.figures.chartplots import money_plot, supplies_plot
from app.window.figures.chartview import ChartView
from app.window.figures.kindplots import hours_plot, services_plot
from app.window.figures.letterplots import ahead_plot, letters_plot
from app.window.figures.referralplot import referrals_plot
from app.window.house.runner import Runner
from app.window.paper.charts import DPI, Paper, Plot, draw, nice_ticks
from app.window.paper.palette import DARK, LIGHT
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]
MONTHS = [date(2024 + (7 + at) // 12, (7 + at) % 12 + 1, 1) for at in range(13)]


def money(earned: list[int], guess: Guess | None = None) -> MoneyFigure:
    bars = tuple(
        Bar(
            label=f"{first:%b}",
            first=first,
            last=first,
            earned=amount,
            received=amount,
            supplies=amount // 9,
            job_ids=(1, 2, 3, 4),
            guess=guess if at == len(earned) - 1 else None,
        )
        for at, (first, amount) in enumerate(zip(MONTHS, earned, strict=False))
    )
    best = max(range(len(bars)), key=lambda at: bars[at].earned, default=None)
    return MoneyFigure("", bars, best)


SERVICES = KindFigure(
    "",
    (
        KindBar("Polish and ceramic", 21, 5800, 4900, 6800, ()),
        *(KindBar(f"Wash {at}", 9, 4000 - at, 3000, 5000, ()) for at in range(6)),
        KindBar("Front film", 4, 2700, -600, 4900, ()),
    ),
    all_jobs=4200,
)
HOURS = KindFigure(
    "",
    (KindBar("Polish", 21, 1.31, 0.9, 1.6, ()), KindBar("Front film", 2, 0.97, 0.7, 1.1, ())),
    all_jobs=1.1,
)
LETTERS = LetterFigure(
    "",
    (
        LetterStep("sent", 64, (), ((37, "silent"),)),
        LetterStep("answered", 27, (), ((8, "later"), (4, "no"), (1, "stop"))),
        LetterStep("booked", 14, (), ((2, "to come"),)),
        LetterStep("done", 12, ()),
    ),
    284_600,
)
AHEAD = AheadFigure(
    "",
    (DayLoad(date(2026, 8, 14), 600, 480), DayLoad(date(2026, 8, 17), 90, 480),
     DayLoad(date(2026, 8, 18), 0, 480)),
    date(2026, 8, 18),
)  # fmt: skip
REFERRALS = ReferralFigure(
    "",
    tuple(
        ReferralBar(
            f"Wilhelmina Featherstonehaugh {at}", 9 - at % 8, at % 3, 90_000 - 3_000 * at, ()
        )
        for at in range(20)
    ),
)
SUPPLIES = SupplyFigure(
    "",
    (
        SupplyBar(1, "Ceramic layer", 31200, 60.0, 60.0),
        SupplyBar(2, "Wheel cleaner", 10400, 20.0, 80.0),
    ),
    SupplyBar(None, "24 others", 10400, 20.0, 100.0),
    "24 others cost 104 together, 20 %; none above 9.",
)
A_YEAR_BEFORE = MoneyFigure(
    "",
    tuple(
        replace(bar, year_before=before)
        for bar, before in zip(money([410000, 742000]).bars, (300000, 990000), strict=True)
    ),
    1,
)
PLOTS: dict[str, Plot] = {
    "a year before": money_plot(A_YEAR_BEFORE, "USD"),
    "money": money_plot(money([410000, 742000, 310000], Guess(620000, 550000, 690000)), "USD"),
    "a year": money_plot(money([amount * 1000 for amount in range(13)]), "JPY"),
    "much money": money_plot(
        money([81_000_000_00 + at * 987_000_00 for at in range(12)], Guess(99_000_000_00, 0, 0)),
        "USD",
    ),
    "no money": money_plot(money([]), "USD"),
    "nothing earned": money_plot(money([0, 0]), "USD"),
    "services": services_plot(SERVICES, "USD"),
    "no services": services_plot(KindFigure(""), "USD"),
    "hours": hours_plot(HOURS),
    "no hours": hours_plot(KindFigure("")),
    "letters": letters_plot(LETTERS, "USD"),
    "no letters": letters_plot(LetterFigure(""), "USD"),
    "hours ahead": ahead_plot(AHEAD),
    "no hours ahead": ahead_plot(AheadFigure("")),
    "referrals": referrals_plot(REFERRALS, "USD"),
    "no referrals": referrals_plot(ReferralFigure(""), "USD"),
    "supplies": supplies_plot(SUPPLIES, "USD"),
    "no supplies": supplies_plot(SupplyFigure("", ()), "USD"),
}


@pytest.mark.parametrize("name", PLOTS)
@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_every_figure_draws_full_and_empty(qapp: object, name: str, palette: object):
    picture = draw(PLOTS[name], palette, QSize(398, 260), 1.0, 1.0)  # type: ignore[arg-type]
    assert (picture.image.width(), picture.image.height()) == (398, 260)
    assert picture.image.pixelColor(0, 0) == palette.paper  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", PLOTS)
@pytest.mark.parametrize("size", [(398, 260), (340, 160), (700, 240)])
def test_no_number_or_name_reaches_over_the_edge(qapp: object, name: str, size: tuple[int, int]):
    paper = Paper(LIGHT, *size, dpi=DPI)
    PLOTS[name](paper)
    paper.finish(1.0, 1.0)
    assert max(paper.beyond()) <= 1 / min(size)


def test_a_fine_screen_gets_more_pixels_and_the_same_regions(qapp: object):
    plain = draw(PLOTS["supplies"], LIGHT, QSize(398, 260), 1.0, 1.0)
    fine = draw(PLOTS["supplies"], LIGHT, QSize(398, 260), 1.0, 2.0)
    assert fine.image.width() == 796
    assert fine.image.devicePixelRatio() == 2.0
    for one, other in zip(plain.regions, fine.regions, strict=True):
        assert one.text == other.text
        assert abs(one.box.left() - other.box.left()) < 2
        assert abs(one.box.width() - other.box.width()) < 2


def test_a_bar_can_be_found_under_the_mouse_and_says_what_it_is(qapp: object):
    picture = draw(PLOTS["supplies"], LIGHT, QSize(398, 260), 1.0, 1.0)
    region = picture.region_at(200, 60)
    assert region is not None
    assert region.index == 0
    assert region.text == "Ceramic layer: 312.00, 60 %"
    assert picture.region_at(390, 2) is None


def test_the_month_of_a_year_before_is_a_dark_line_over_the_bar_and_is_said(qapp: object):
    picture = draw(PLOTS["a year before"], LIGHT, QSize(398, 260), 1.0, 1.0)
    first, second = (region for region in picture.regions)
    assert "3,000.00 a year before" in first.text
    assert "9,900.00 a year before" in second.text
    middle = round(second.box.center().x())
    column = [picture.image.pixelColor(middle, y).name() for y in range(picture.image.height())]
    line = column.index(LIGHT.ink.name())
    assert line < round(second.box.top()), "it earned more a year before"


def test_the_scale_of_money_an_hour_begins_at_nothing_and_no_name_lies_on_a_bar(qapp: object):
    some = replace(SERVICES, bars=SERVICES.bars[:7])
    paper = Paper(LIGHT, 398, 260, dpi=DPI)
    services_plot(some, "USD")(paper)
    paper.finish(1.0, 1.0)
    (axes,) = paper.figure.axes
    assert axes.get_xlim()[0] == 0
    names = [text.get_window_extent() for text in axes.texts if text.get_text().startswith("Wash")]
    bars = [line.get_window_extent() for line in axes.lines]
    assert len(names) == 6
    # A line of its own for each name: nothing that is drawn, the line of all jobs included.
    assert not any(name.padded(-1).overlaps(bar) for name in names for bar in bars)


def test_a_figure_says_that_it_is_being_drawn(theme: Theme, runner: Runner):
    view = ChartView(theme, runner, 4)
    view.show_figure("Ceramic layer is most of it.", PLOTS["supplies"], FigureTable((), (), ()))
    view.resize(398, 306)  # not shown, or it might begin to draw before it is looked at

    def dark() -> int:
        seen = view.grab().toImage()
        points = ((x, y) for x in range(20, 120) for y in range(56, 80))
        return sum(seen.pixelColor(x, y).lightness() < 128 for x, y in points)

    assert dark() == 0
    view._draw()
    assert view.picture is None
    assert dark() > 0


@pytest.mark.parametrize(
    ("most", "expected"),
    [(7420, [0, 2000, 4000, 6000, 8000]), (0, [0, 1]), (1, [0, 0.5, 1]), (68, [0, 20, 40, 60, 80])],
)
def test_ticks_are_round_and_reach_the_most(most: float, expected: list[float]):
    assert nice_ticks(most) == pytest.approx(expected)


def test_t_swaps_the_picture_for_its_table(theme: Theme, shown: Show, runner: Runner, qtbot: QtBot):
    view = ChartView(theme, runner, 4)
    rows = (("Ceramic layer", "312.00"), ("24 others", "208.00"))
    numbers = FigureTable(("Supply", "Cost"), rows, ((1,), (2,)))
    view.show_figure("Ceramic layer is most of it.", PLOTS["supplies"], numbers)
    shown(view, 398, 306)
    qtbot.waitUntil(lambda: view.picture is not None)
    opened: list[tuple[int, int]] = []
    view.opened.connect(lambda number, index: opened.append((number, index)))
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(200, 60 + 46))
    view.setFocus()
    QTest.keyClick(view, Qt.Key.Key_T)
    assert view.shows_table
    assert view.table is not None
    assert [row.cells[1].text for row in view.table.rows] == ["312.00", "208.00"]
    QTest.keyClick(view.table, Qt.Key.Key_Down)
    QTest.keyClick(view.table, Qt.Key.Key_Return)
    assert opened == [(4, 0), (4, 1)]
    view.swap()
    assert not view.shows_table
