"""A table of more columns than it has room for, and of rows that do not fit its height."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.window.paper import columnneeds
from app.window.paper.cells import Column, entry, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.rowtable import READING
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]
JOBS = [f"job {number}" for number in range(11)]


def jobs_table(theme: Theme) -> EntryTable:
    """Eleven columns alike between a name and a sum."""
    columns = [
        Column("name", "Supply", least=126),
        *(Column(job, job.title(), width=96, least=62, right=True, folds=True) for job in JOBS),
        Column("left", "Left", width=80, right=True),
    ]
    table = EntryTable(theme, columns)
    table.show_rows([row_of("soap", "Wash soap", *[entry("12")] * 11, "1,140")])
    return table


def in_sight(table: EntryTable) -> list[str]:
    return [
        column.key
        for at, column in enumerate(table.entries.columns)
        if not table.isColumnHidden(at)
    ]


def test_of_eleven_jobs_those_around_the_focus_are_seen_and_the_name_and_the_sum_stay(
    theme: Theme, shown: Show
) -> None:
    table = jobs_table(theme)
    shown(table, 700, 200)
    table.setFocus()
    seen: set[str] = set()
    for job in JOBS:
        table.go("soap", job)
        here = in_sight(table)
        assert here[0] == "name"
        assert here[-1] == "left"
        assert job in here
        assert 3 < len(here) < 13
        assert sum(table.columnWidth(at) for at in range(13)) <= table.viewport().width()
        seen |= set(here)
    assert seen >= set(JOBS)


def test_the_arrow_goes_on_to_a_job_that_stands_aside(theme: Theme, shown: Show) -> None:
    table = jobs_table(theme)
    shown(table, 700, 200)
    table.setFocus()
    table.go("soap", JOBS[0])
    for job in JOBS[1:]:
        QTest.keyClick(table, Qt.Key.Key_Right)
        assert table.current_column() == job
        assert job in in_sight(table)


def test_texts_are_gone_through_when_they_come_and_not_when_the_table_is_laid_out_anew(
    theme: Theme, shown: Show, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []
    letters = columnneeds._letters
    monkeypatch.setattr(columnneeds, "_letters", lambda cell: asked.append(cell) or letters(cell))
    table = jobs_table(theme)
    shown(table, 700, 200)
    once = len(asked)
    for wide in (600, 500, 900):
        table.resize(wide, 200)
        table.grab()
    assert len(asked) == once
    needed = table.columnWidth(0)
    table.show_rows([row_of("soap", "Wash soap for very dirty wheels", *[entry("1")] * 11, "1")])
    assert len(asked) > once
    assert table.columnWidth(0) > needed


def test_with_room_for_all_none_stands_aside(theme: Theme, shown: Show) -> None:
    table = jobs_table(theme)
    shown(table, 1600, 200)
    assert len(in_sight(table)) == 13


def test_no_row_is_shown_by_half(theme: Theme, shown: Show) -> None:
    table = EntryTable(theme, [Column("name", "Supply")])
    table.show_rows([row_of(at, f"Supply {at}") for at in range(40)])
    shown(table, 300, 42 + 25 * 4 + 12)
    image = table.viewport().grab().toImage()
    ratio = image.devicePixelRatio()
    paper = QColor(theme.palette.paper)
    last = table.rowAt(table.viewport().height() - 1)
    top = table.rowViewportPosition(last)
    assert top + table.rowHeight(last) > table.viewport().height(), "the last row has no room"
    for y in range(top + 1, table.viewport().height()):
        for x in range(2, 200, 3):
            assert image.pixelColor(round(x * ratio), round(y * ratio)) == paper


def test_rows_that_take_long_are_said_to_be_read_and_those_that_come_soon_are_not(
    theme: Theme, shown: Show, qtbot: QtBot
) -> None:
    table = EntryTable(theme, [Column("name", "Supply")])
    shown(table, 400, 200)
    blank = table.grab().toImage()
    assert not table.says_reading
    qtbot.waitUntil(lambda: table.says_reading)
    assert table.grab().toImage() != blank
    table.show_rows([])
    assert table.grab().toImage() == blank
    table.await_rows()
    table.show_rows([row_of("soap", "Wash soap")])
    qtbot.wait(2 * READING)
    assert not table.says_reading
