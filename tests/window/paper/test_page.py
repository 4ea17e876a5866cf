"""The page at each scale: text beside the notes margin, or above it where there is no room."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QWidget

from app.window.paper.notes import Note, Voice
from app.window.paper.page import NARROWEST, Page
from app.window.paper.runs import Run
from app.window.paper.theme import SCALES, Theme

Show = Callable[[QWidget, int, int], QWidget]
KEYS = tuple((f"F{number}", "something to do") for number in range(1, 9))


@pytest.fixture
def page(theme: Theme, shown: Show) -> Page:
    made = Page(theme)
    made.set_body(QWidget())
    made.margin.say(Note("A note", (Voice("What has the focus, explained."),), KEYS))
    return made


def at(page: Page, scale: float, shown: Show) -> None:
    page.theme._rescale(scale)
    shown(page, 1366 - page.theme.px(48), 768)
    page._lay()


@pytest.mark.parametrize("scale", SCALES)
def test_the_text_has_room_at_every_scale_and_lies_over_nothing(
    page: Page, shown: Show, scale: float
) -> None:
    at(page, scale, shown)
    assert page.body is not None
    px, text, margin = page.theme.px, page.body.geometry(), page.margin.geometry()
    assert text.width() >= px(NARROWEST)
    assert text.height() >= px(60)
    assert not text.intersects(margin)
    assert page.rect().contains(margin)


@pytest.mark.parametrize("scale", SCALES)
def test_the_note_keeps_a_quarter_of_the_margin_beside_its_keys(
    page: Page, shown: Show, scale: float
) -> None:
    at(page, scale, shown)
    assert 4 * page.margin._scroll.height() >= page.margin.height() - page.theme.px(60)


def test_up_to_200_percent_the_margin_stands_beside_the_text(page: Page, shown: Show) -> None:
    for scale in (one for one in SCALES if one <= 2):
        at(page, scale, shown)
        assert not page.stacked
    at(page, 2.5, shown)
    assert page.stacked


ASKED = (
    "480 mL of Wash soap on this job is far more than the 45 mL that jobs of its kind took, "
    "and more than stands on the shelf; 4.8 mL or 48 mL may be meant. Keep it?"
)


@pytest.mark.parametrize("scale", [scale for scale in SCALES if scale <= 2.5])
def test_a_long_question_in_the_foot_is_read_whole_and_then_the_foot_is_low_again(
    page: Page, shown: Show, scale: float
) -> None:
    at(page, scale, shown)
    assert page.body is not None
    low, room = page.foot_left.height(), page.body.height()
    page.set_foot([Run(ASKED, "unit_total", "look", mark="look"), Run("Keep", key="Alt K")])
    foot, body = page.foot_left, page.body
    page.grab()
    assert not foot._cut
    assert (foot.height() > low) == (foot.lines_at(foot.width()) > 1) == (scale > 1.1)
    assert body.geometry().bottom() < foot.geometry().top()
    assert page.rect().contains(foot.geometry())
    page.set_foot([Run("Saved at 14:14", "unit")])
    assert (foot.height(), body.height()) == (low, room)


def test_of_what_three_lines_cannot_hold_the_mouse_shows_the_rest(page: Page, shown: Show) -> None:
    at(page, 2.0, shown)
    page.set_foot([Run(ASKED * 3, "unit_total", "look"), Run("Keep", key="Alt K")])
    page.grab()
    assert page.foot_left.lines_at(page.foot_left.width()) == 4
    assert page.foot_left._cut
