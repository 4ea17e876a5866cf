"""The order of rows and the words that narrow them, without a window."""

from __future__ import annotations

from datetime import date

import pytest

from app.window.paper.cells import Cell, GroupRow, TableRow, new_row, row_of
from app.window.paper.ordering import as_before, narrowed, ordered


def column(*texts: str | Cell) -> list[TableRow | GroupRow]:
    return [row_of(at, text, "beside") for at, text in enumerate(texts)]


def texts(rows: list[TableRow | GroupRow]) -> list[str]:
    return [row.cells[0].text for row in rows if isinstance(row, TableRow)]


@pytest.mark.parametrize(
    "rising",
    [
        ("−3.5", "0", "≈ 68.8", "940", "1,140"),  # numbers
        ("9 pairs", "12 pairs", "100 pairs"),
        ("45 min", "1 h", "1 h 30", "10 h"),  # hours
        ("30 Sep 2023", "2 Jan 2024", "14 August 2025"),  # days
        ("alder", "Birch", "cedar"),  # words, whatever their case
        ("Ada 2", "Ada 10", "Bo 1"),  # with numbers in them
    ],
)
def test_a_column_rises_and_falls_by_what_it_says(rising: tuple[str, ...]) -> None:
    mixed = column(*rising[1:], rising[0])
    assert texts(ordered(mixed, 0, falling=False)) == list(rising)
    assert texts(ordered(mixed, 0, falling=True)) == list(reversed(rising))


def test_units_of_one_kind_are_compared_as_amounts():
    rows = column(Cell("1.2", unit="L"), Cell("300", unit="mL"), Cell("0.25", unit="L"))
    assert texts(ordered(rows, 0, falling=False)) == ["0.25", "300", "1.2"]


def test_a_day_without_its_year_goes_by_what_the_cell_says_of_its_order():
    rows = column(
        Cell("3 Jan", order=date(2026, 1, 3)), Cell("20 Dec", order=date(2025, 12, 20)), Cell("")
    )
    assert texts(ordered(rows, 0, falling=False)) == ["20 Dec", "3 Jan", ""]
    assert texts(ordered(rows, 0, falling=True)) == ["3 Jan", "20 Dec", ""]


def test_groups_stay_and_what_is_to_be_written_comes_last():
    rows = [
        GroupRow("a", "Ask now"),
        row_of(1, "9", "x"),
        row_of(2, "3", "x"),
        TableRow("more", (Cell("Two more"),)),
        GroupRow("b", "Later"),
        row_of(3, "8", "x"),
        row_of(4, "2", "x"),
        new_row("another", 2),
    ]
    keys = [row.key for row in ordered(rows, 0, falling=False)]
    assert keys == ["a", 2, 1, "more", "b", 4, 3, "new"]


def test_words_keep_the_rows_that_hold_them_all_and_the_groups_that_still_have_rows():
    rows = [
        GroupRow("a", "Ask now"),
        row_of(1, "Aldo Birch", "grey van"),
        GroupRow("b", "Later"),
        row_of(2, "Cora Birch", "red van"),
        new_row("another", 2),
    ]
    assert [row.key for row in narrowed(rows, "BIRCH red")] == ["b", 2, "new"]
    assert narrowed(rows, " ") == rows


def test_the_order_stands_while_the_rows_are_the_same():
    rows = column("2", "9", "5")
    kept = as_before(rows, (2, 0, 1))
    assert kept is not None
    assert [row.key for row in kept] == [2, 0, 1]
    assert as_before(rows[:2], (2, 0, 1)) is None
