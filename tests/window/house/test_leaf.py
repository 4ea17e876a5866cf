"""The contents leaf: places, days, folding."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.window.house.leaf import Leaf, LeafLine, Status
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]
LINES = (
    LeafLine("day", "Day sheet", "day"),
    LeafLine("jobs", "Jobs", "jobs", Status(3, "in")),
    LeafLine("shelf", "Shelf", "shelf", Status(3, "short", "look")),
)


@pytest.fixture
def leaf(theme: Theme, shown: Show) -> Leaf:
    made = Leaf(theme, date(2025, 8, 14))
    made.set_lines(LINES)
    made.set_here("day")
    shown(made, 184, 760)
    made.grab()
    return made


def click(leaf: Leaf, x: int, y: int) -> None:
    QTest.mouseClick(leaf, Qt.MouseButton.LeftButton, pos=QPoint(x, y))


def test_a_click_on_a_place_chooses_it(leaf: Leaf):
    chosen = []
    leaf.place_chosen.connect(chosen.append)
    click(leaf, 40, 124 + 32 + 10)
    click(leaf, 40, 124 + 64 + 10)
    assert chosen == ["jobs", "shelf"]


def test_a_click_on_a_day_opens_it_and_the_month_can_be_turned(leaf: Leaf):
    days, months = [], []
    leaf.day_chosen.connect(days.append)
    leaf.month_shown.connect(months.append)
    leaf.set_month_marks([date(2025, 8, 1)], [date(2025, 8, 12)])
    leaf.grab()
    first_row = 124 + 32 * 3 + 32 + 61
    click(leaf, 111, first_row)  # Friday the first
    assert days == [date(2025, 8, 1)]
    leaf.step_month(-8)
    assert leaf.month == date(2024, 12, 1)
    leaf.step_month(1)
    assert months == [date(2024, 12, 1), date(2025, 1, 1)]
    leaf.set_day(date(2025, 3, 31))
    assert leaf.month == date(2025, 3, 1)


def test_what_is_booked_of_the_days_to_come_is_told_and_explained(leaf: Leaf):
    leaf.grab()
    before = leaf.grab().toImage()
    leaf.set_load({date(2025, 8, 20): 0.5, date(2025, 8, 21): 1.2})
    assert leaf.grab().toImage() != before
    names = [spot.name for spot in leaf.spots]
    assert any(name.endswith("20 August 2025, 50 % booked") for name in names)
    assert any(name.endswith("21 August 2025, 120 % booked") for name in names)


def test_folded_it_is_forty_eight_wide_and_its_icons_still_choose(leaf: Leaf):
    leaf.fold(True)
    leaf.grab()
    assert leaf.width() == 48
    chosen = []
    leaf.place_chosen.connect(chosen.append)
    click(leaf, 20, 124 + 32 + 10)
    assert chosen == ["jobs"]
    leaf.fold(False)
    assert leaf.width() == 184


def test_find_anything_stands_at_the_foot(leaf: Leaf):
    asked = []
    leaf.find_asked.connect(lambda: asked.append(1))
    click(leaf, 60, leaf.height() - 26)
    assert asked == [1]
