"""What fading means: spans of a life by hand."""

from __future__ import annotations

import pytest

from app.calculations.layers.habits import UNLEARNT, Fading, Habits


def test_fading_that_lasts_a_fifth_begins_between_seven_and_nine_tenths_of_a_life():
    habit = Fading.lasting(0.2)
    assert habit.parts == pytest.approx([0.9, 0.8, 0.7])
    assert habit.weights == pytest.approx([0.25, 0.5, 0.25])
    assert habit.share == pytest.approx(0.2)
    assert habit.trusted


def test_before_anything_was_said_the_scale_holds_and_no_word_is_trusted():
    assert Habits() == Habits(strength=1.0, strength_doubt=0.0, fading=UNLEARNT, wrong=0.01)
    assert not UNLEARNT.trusted
