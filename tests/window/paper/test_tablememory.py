"""What a table keeps from one run to the next."""

from __future__ import annotations

from collections.abc import Hashable

import pytest
from PySide6.QtCore import QSettings

from app.window.paper.tablememory import TableMemory


def test_widths_and_order_are_kept_by_the_table_s_name(settings: QSettings):
    TableMemory(settings, "jobs").keep_widths({"when": 120})
    TableMemory(settings, "jobs").keep_order("when", True)
    assert TableMemory(settings, "jobs").widths() == {"when": 120}
    assert TableMemory(settings, "jobs").order() == ("when", True)
    assert TableMemory(settings, "shelf").widths() == {}
    assert TableMemory(settings, "shelf").order() == ("", False)


@pytest.mark.parametrize("key", [7, "wax", ("layer", 3)])
def test_the_row_in_view_is_kept_of_each_book(settings: QSettings, key: Hashable):
    TableMemory(settings, "jobs", "/one").keep_row(key)
    assert TableMemory(settings, "jobs", "/one").row() == key
    assert TableMemory(settings, "jobs", "/two").row() is None


def test_what_cannot_be_read_or_has_no_name_is_nothing(settings: QSettings):
    settings.setValue("tables/jobs/widths", "{broken")
    settings.setValue("tables/jobs/order", "[1, 2, 3]")
    assert TableMemory(settings, "jobs").widths() == {}
    assert TableMemory(settings, "jobs").order() == ("", False)
    TableMemory(settings, "").keep_order("when", True)
    assert TableMemory(settings, "").order() == ("", False)
    TableMemory(settings, "jobs").keep_row(frozenset({1}))
    assert TableMemory(settings, "jobs").row() is None
