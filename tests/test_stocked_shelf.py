"""The shelf of the pictures is a whole book, whatever its size."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.actions.shelf.shelf import shelf
from app.actions.shelf.stock_worth import dead_stock
from tests.pictures import DAY
from tests.shop import new_desk
from tests.stocked_shelf import fill_shelf


@pytest.mark.parametrize("count", [0, 12, 60])
def test_a_stocked_shelf_is_whole_and_sorted_by_cover(tmp_path: Path, count: int) -> None:
    desk = new_desk(tmp_path / "shelf.bayledger")
    fill_shelf(desk.book, count, DAY)
    desk.reload()
    assert desk.book.check() == []
    view = shelf(desk, DAY)
    assert view.count == count
    assert bool(view.order_lines) is bool(count)
    assert bool(view.flammable_text) is bool(count)
    assert dead_stock(desk, DAY) == ()
    desk.book.close()
