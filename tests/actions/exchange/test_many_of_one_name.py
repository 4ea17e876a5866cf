"""Finding people among many who are called alike: how often names are compared, not how long."""

from __future__ import annotations

import sys
from pathlib import Path
from types import FrameType
from typing import Any

from app.actions.desk.desk import Desk
from app.actions.exchange import alike
from app.actions.exchange.bringing_in import preview, read
from tests.shop import new_desk


def compared(desk: Desk, path: Path, people: int) -> int:
    """How often two names are compared while jobs of so many Ann … Marlows are previewed."""
    rows = "".join(
        f"{at % 28 + 1}/3/2025,Ann {'abcdefghij'[at // 10]}{'klmnopqrst'[at % 10]} Marlow,"
        f"van {at},Wash,50\n"
        for at in range(people)
    )
    path.write_text(f"Date,Customer,Vehicle,Services,Total\n{rows}", encoding="utf-8")
    table, count = read(desk, path), 0

    def see(frame: FrameType, event: str, _argument: Any) -> None:
        nonlocal count
        count += event == "call" and frame.f_code is alike.same_name.__code__

    sys.setprofile(see)
    try:
        preview(desk, [table])
    finally:
        sys.setprofile(None)
    return count


def test_twice_as_many_people_called_alike_take_twice_as_many_comparisons(tmp_path: Path) -> None:
    desk = new_desk(tmp_path / "new.bayledger")
    few = compared(desk, tmp_path / "few.csv", 40)
    many = compared(desk, tmp_path / "many.csv", 80)
    desk.book.close()
    assert 0 < many <= 2.5 * few  # four times as many where each is compared with all
