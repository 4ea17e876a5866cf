"""The messages that wait, as a closed day and whom to remind show them."""

from __future__ import annotations

from pathlib import Path

from app.actions.letters.letter_views import prepared_letters
from app.actions.letters.reminders import change_text, prepare_all, whom_to_remind
from tests.shop import TODAY, Clock, new_desk
from tests.worn_layers import fill_with_layers


def test_what_waits_is_the_same_without_asking_the_rule(tmp_path: Path) -> None:
    desk = new_desk(tmp_path / "shop.bayledger", Clock(TODAY))
    fill_with_layers(desk.book, 60, TODAY)
    _, numbers = prepare_all(desk, TODAY)
    change_text(desk, TODAY, numbers[0], subject="Your cars", text="Come by on Monday.")
    waiting = prepared_letters(desk, TODAY)
    assert len(waiting) > 3
    assert tuple(waiting) == whom_to_remind(desk, TODAY).letters
