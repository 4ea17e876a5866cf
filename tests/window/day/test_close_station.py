"""The close's two numbers of its own: cash counted and the way driven, neither of them needed."""

from __future__ import annotations

from PySide6.QtCore import Qt

from app.actions.day.till import till_and_road
from app.actions.desk.desk import Desk
from tests.shop import TODAY
from tests.window.day.conftest import CONTROL, Hands

Key = Qt.Key


def test_cash_and_way_are_typed_by_c_and_d_and_the_day_closes_with_them(
    hands: Hands, desk: Desk
) -> None:
    hands.open(6)
    hands.press(Key.Key_C)
    hands.type("212.50")
    hands.press(Key.Key_Return)
    assert hands.sheet.station().table.current_key() == "driven"
    hands.press(Key.Key_D)
    hands.type("18")
    hands.press(Key.Key_Return)
    found, driven = till_and_road(desk, TODAY)
    assert (found.counted, driven) == (21250, 18_000)
    hands.press(Key.Key_Return, CONTROL)
    hands.qtbot.waitUntil(lambda: hands.sheet.is_closed)
    hands.press(Key.Key_C)
    assert "closed" in hands.foot
