"""The list of calls as text: everyone once, hostile names on lines of their own."""

from __future__ import annotations

from datetime import date

import pytest

from app.documents.papers.call_list import CAUTION, Call, call_list_text
from app.errors import Mendable

DAY = date(2026, 8, 14)


def test_everyone_stands_there_once_with_number_reason_and_room_for_the_answer() -> None:
    calls = [
        Call("Ida Morrow", "(312) 555-0142", ("blue wagon", "coupe"), "Wax of June", "May"),
        Call("נועה לוי", "+972 2 500 0000", (), ""),
    ]
    text = call_list_text("Clearwater Finish", DAY, calls)
    assert text.splitlines()[0] == "Clearwater Finish: calls of 14 August 2026"
    assert text.count(CAUTION) == 1
    assert "1. Ida Morrow, (312) 555-0142\n   blue wagon, coupe\n   Wax of June" in text
    assert "2. נועה לוי, +972 2 500 0000" in text
    assert text.count("Answer:") == 2


def test_nobody_to_call_is_said() -> None:
    with pytest.raises(Mendable, match="nobody to call"):
        call_list_text("", DAY, [])
