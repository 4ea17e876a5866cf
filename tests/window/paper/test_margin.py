"""The notes margin shows notes, keys, and texts that are the person's own."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPlainTextEdit, QWidget

from app.window.paper.dotstrip import axis_ticks
from app.window.paper.margin import Margin
from app.window.paper.notes import (
    Alert,
    DotStrip,
    Drawing,
    Facts,
    Note,
    NoteHeading,
    Offer,
    Plain,
    Rule,
    StripLine,
    Voice,
    Writable,
)
from app.window.paper.theme import Theme, wrapped

Show = Callable[[QWidget, int, int], QWidget]
KEYS = (("↵", "next below"), ("Esc", "put the 45 back"))


@pytest.fixture
def margin(theme: Theme, shown: Show) -> Margin:
    made = Margin(theme)
    shown(made, 262, 640)
    return made


def test_every_block_is_shown_one_under_the_other(margin: Margin):
    strip = DotStrip((31, 38, 45), 33, 64, (StripLine(45, "45 filled in"),), "ml")
    blocks = (
        Alert("72 µm, under your 80", "wrong"),
        Voice("Filled in with 45 ml. " * 5),
        strip,
        Rule(),
        Facts((("Left", "310 ml"), ("A label far too long for one line", "1,234,567.89", "alarm"))),
        NoteHeading("Another thing"),
        Plain("The words"),
        Drawing(40, lambda brush, box: None),
    )
    margin.say(Note("Compound", blocks, KEYS))
    QApplication.processEvents()
    tops = [view.geometry().top() for view in margin._views]
    assert tops == sorted(tops)
    assert len(tops) == len(blocks) + 1
    for before, after in zip(margin._views, margin._views[1:], strict=False):
        assert before.geometry().bottom() < after.geometry().top() + 1
    assert not margin.grab().isNull()


def test_the_same_note_again_changes_nothing(margin: Margin):
    margin.say(Note("Compound", (Voice("Words."),), KEYS))
    views = list(margin._views)
    margin.say(Note("Compound", (Voice("Words."),), KEYS))
    assert margin._views == views


def test_an_offer_can_be_clicked(margin: Margin):
    taken = []
    margin.say(Note("", (Offer("J", "Bring a job forward", lambda: taken.append(1)),)))
    QApplication.processEvents()
    QTest.mouseClick(margin._views[0], Qt.MouseButton.LeftButton, pos=QPoint(30, 10))
    assert taken == [1]


def test_a_text_is_handed_on_when_it_is_left_and_kept_while_it_is_written(margin: Margin):
    texts: list[str] = []

    def note(text: str, voice: str) -> Note:
        return Note("Pellam", (Voice(voice), Writable("r1", "The reminder", text, texts.append)))

    margin.say(note("Dear all", "one"))
    field = margin.findChild(QPlainTextEdit)
    assert field is not None
    field.setFocus()
    QTest.keyClicks(field, "x")
    margin.say(note("Dear all", "two"))  # a refresh meanwhile
    assert margin.findChild(QPlainTextEdit) is field
    assert field.toPlainText() == "xDear all"
    assert texts == []
    margin.say(Note("Another"))
    field.clearFocus()
    assert texts == ["xDear all"]


def test_a_text_that_is_replaced_is_handed_on_first(margin: Margin):
    texts: list[str] = []
    margin.say(Note("a", (Writable("r1", "Words", "one", texts.append),)))
    field = margin.findChild(QPlainTextEdit)
    assert field is not None
    field.setPlainText("two")
    margin.say(Note("b"))
    assert texts == ["two"]


def test_f1_swaps_the_note_for_all_keys_and_back(margin: Margin):
    margin.say(Note("Compound", (Voice("Words."),), KEYS))
    margin.show_all_keys([("Everywhere", KEYS), ("Here", KEYS)])
    assert margin.shows_all_keys
    assert len(margin._views) == 5
    margin.show_all_keys(None)
    assert not margin.shows_all_keys
    assert len(margin._views) == 2


def test_words_are_broken_within_the_width_and_long_ones_cut(theme: Theme):
    text = "A line with Supercalifragilisticexpialidociousandmorelettersthanfit inside"
    lines = wrapped(theme, "voice", text, 140)
    assert all(theme.width("voice", line) <= 140 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (31, 72, [20, 40, 60, 80]),
        (0, 1, [0.0, 0.5, 1.0]),
        (5, 5, [5, 6]),
        (-3, 3, [-4, -2, 0, 2, 4]),
    ],
)
def test_an_axis_ends_on_round_numbers(low: float, high: float, expected: list[float]):
    ticks = axis_ticks(low, high)
    assert ticks[0] <= low
    assert ticks[-1] >= high
    if expected != [5, 6]:
        assert ticks == pytest.approx(expected)


def test_at_the_fold_of_a_long_note_no_line_is_cut_in_two(theme: Theme, shown: Show):
    margin = Margin(theme)
    shown(margin, 262, 300)
    margin.say(Note("Compound", (Voice("Filled in with 45 ml. " * 60),)))
    QApplication.processEvents()
    view, pitch = margin._scroll.viewport(), theme.px(20)
    bar = margin._scroll.verticalScrollBar()
    assert bar.maximum() > pitch
    for at in range(pitch):  # wherever it is moved to
        bar.setValue(at)
        QApplication.processEvents()
        picture = view.grab().toImage()
        for edge in (0, picture.height() - 1):
            row = {picture.pixelColor(x, edge).lightness() for x in range(picture.width())}
            assert max(row) - min(row) < 40, (at, edge)
