"""Cells: what is empty, what is trouble, and what is left of odd text."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents.reading.grid import (
    Grid,
    Merge,
    Trouble,
    clean,
    clean_text,
    fill_down,
    letter,
    shown,
)


@pytest.mark.parametrize(
    "cell",
    [None, "", "  ", "n/a", "N/A", "-", "—", "?", "none", "unknown", "k.A.", "#N/A", "…" * 0],
)
def test_words_for_nothing_are_nothing(cell: str | None) -> None:
    assert clean(cell) is None


@pytest.mark.parametrize("cell", ["#REF!", "#DIV/0!", "#VALUE!", "#######"])
def test_errors_of_a_spreadsheet_are_trouble_and_show_as_nothing(cell: str) -> None:
    found = clean(cell)
    assert isinstance(found, Trouble)
    assert shown(found) == ""


def test_odd_spaces_control_signs_and_lone_surrogates_go_and_lines_stay() -> None:
    assert clean_text("\ufeff Ann\u00a0\u2003Marlow\x00\x0b \r\n two\ud800") == "Ann Marlow\ntwo"


def test_whole_numbers_lose_their_point_and_no_number_is_nothing() -> None:
    assert clean(3.0) == 3
    assert isinstance(clean(3.0), int)
    assert clean(float("nan")) is None
    assert clean(float("inf")) is None


@given(st.text(max_size=200))
def test_any_text_becomes_one_that_can_be_stored(text: str) -> None:
    told = clean_text(text)
    told.encode("utf-8")
    assert "\x00" not in told
    assert told == told.strip()


@pytest.mark.parametrize(
    ("column", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (255, "IV"), (16383, "XFD")]
)
def test_columns_have_the_letters_of_a_spreadsheet(column: int, letters: str) -> None:
    # XFD is the last column of ECMA-376 workbooks, number 16,384.
    assert letter(column) == letters


def test_overlapping_and_endless_merges_do_no_harm() -> None:
    grid = Grid(
        "x",
        [("a", "b"), (None, None)],
        [Merge(0, 0, 1, 0), Merge(0, 0, 1, 1), Merge(0, 1, 10**6, 1)],
    )
    fill_down(grid)
    assert grid.rows == [("a", "b"), ("a", None)]


def test_values_are_shown_as_a_person_would_read_them() -> None:
    cells = [True, 2.50, datetime(2024, 3, 5), datetime(2024, 3, 5, 9, 30), 1e15]
    assert [shown(cell) for cell in cells] == [
        "yes",
        "2.5",
        "2024-03-05",
        "2024-03-05 09:30",
        "1e+15",
    ]
