"""The whole window for who cannot see it, or has no mouse: what is told, reached and pressed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from threading import Event

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.window.house.office import Office
from app.window.house.runner import Task
from app.window.house.shell import Shell
from app.window.paper.accessible import tell_of_drawings
from app.window.paper.brush import Spotted
from app.window.places import asides, places
from tests.shop import SmallShop
from tests.window.accessible_tree import told
from tests.window.keys import found, press, type_words
from tests.window.test_places import pages, settle

Key, Role = Qt.Key, QAccessible.Role
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]) -> Shell:
    tell_of_drawings()
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    made.open("day")
    return made


def named(inside: QWidget, words: str) -> QAccessibleInterface:
    """The first part of a drawing whose name holds these words."""
    inside.grab()
    face = QAccessible.queryAccessibleInterface(inside)
    children = [face.child(at) for at in range(face.childCount())]
    return next(one for one in children if words in one.text(QAccessible.Text.Name))


def name_of(face: QAccessibleInterface) -> str:
    return face.text(QAccessible.Text.Name)


def test_whatever_takes_a_key_or_a_press_on_any_page_has_a_name_and_a_role(
    shell: Shell, shop: SmallShop, qtbot: QtBot
) -> None:
    counts: Counter[QAccessible.Role] = Counter()
    flaws = []
    for page in pages(shell, shop, qtbot):
        shell.grab()
        for one in told(shell):
            counts[one.role] += one.interactive
            if one.flaw:
                flaws.append(f"{page}: {one.flaw}")
    assert not flaws
    # Measured before drawings were told of: 56 buttons over the demo's 66 pages, and no entry.
    assert counts[Role.Button] > 1500
    assert counts[Role.Table] > 20
    assert counts[Role.EditableText] > 40
    assert counts[Role.Chart] == 4


def test_the_contents_tell_their_places_and_days_and_are_pressed(
    shell: Shell, qtbot: QtBot
) -> None:
    shelf = named(shell.leaf, "Shelf")
    assert name_of(shelf).endswith("Ctrl 4")
    assert shelf.role() == Role.Button
    day = shell.office.day - timedelta(days=1)
    before = named(shell.leaf, f"{day:%A} {day.day} {day:%B} {day.year}")
    before.doAction(before.pressAction())
    qtbot.waitUntil(lambda: shell.office.day == day)
    settle(shell, qtbot)
    assert named(shell.leaf, f"{day:%A} {day.day}").state().selected
    shelf.doAction(shelf.pressAction())
    qtbot.waitUntil(lambda: shell.here_key == "shelf")


def test_an_entry_says_its_number_title_result_and_whether_it_is_open(
    shell: Shell, qtbot: QtBot
) -> None:
    settle(shell, qtbot)
    assert shell.here is not None
    strip = shell.here.body
    assert strip is not None
    entry = named(strip, "2 Supplies used")
    assert entry.state().collapsed
    entry.doAction(entry.pressAction())
    qtbot.waitUntil(lambda: bool(named(strip, "2 Supplies used").state().expanded))
    assert entry.text(QAccessible.Text.Description) == "Alt 2"


def test_a_table_is_called_as_its_entry_and_a_typed_number_says_what_it_was_before(
    shell: Shell, qtbot: QtBot
) -> None:
    settle(shell, qtbot)
    press(Key.Key_2, Qt.KeyboardModifier.AltModifier)
    settle(shell, qtbot)
    table = QApplication.focusWidget()
    assert name_of(QAccessible.queryAccessibleInterface(table)) == "Supplies used"
    type_words("45")
    press(Key.Key_Return)
    settle(shell, qtbot)
    said = [one.name for one in told(table) if one.role == Role.Cell]
    assert any("changed from" in one for one in said), said


def test_what_is_found_is_a_list_with_the_line_that_enter_opens(shell: Shell, qtbot: QtBot) -> None:
    press(Key.Key_K, CONTROL)
    type_words("shelf")
    found("shelf", qtbot)
    face = QAccessible.queryAccessibleInterface(shell.finder)
    assert face.role() == Role.List
    line = named(shell.finder, "Shelf")
    assert line.role() == Role.ListItem
    assert line.state().selected
    line.doAction(line.pressAction())
    qtbot.waitUntil(lambda: shell.here_key == "shelf")


def test_a_time_bar_says_until_when_the_supply_lasts(shell: Shell, qtbot: QtBot) -> None:
    shell.open("shelf")
    settle(shell, qtbot)
    press(Key.Key_Space)  # also those that last long
    settle(shell, qtbot)
    said = [one.name for one in told(shell) if one.role == Role.Cell]
    assert any(one.startswith("lasts until ") for one in said), said


def test_a_figure_tells_its_numbers_line_by_line(shell: Shell, qtbot: QtBot) -> None:
    shell.open("figures")
    settle(shell, qtbot)
    assert shell.here is not None
    charts = [one for one in told(shell.here) if one.role == Role.Chart]
    assert [one.name[:9] for one in charts] == [f"Figure {n}:" for n in (1, 2, 3, 4)]
    lines = [one.name for one in told(shell.here) if one.role == Role.ListItem]
    assert any(any(letter.isdigit() for letter in line) for line in lines), lines


# without a mouse -----------------------------------------------------------------------------
def test_tab_comes_to_the_contents_and_arrows_and_enter_open_a_day(
    shell: Shell, qtbot: QtBot
) -> None:
    settle(shell, qtbot)
    for _ in range(30):
        if shell.leaf.hasFocus():
            break
        press(Key.Key_Tab)
    assert shell.leaf.hasFocus()
    shell.leaf.grab()
    for _ in range(40):
        if "2025" in focus_name(shell.leaf):
            break
        press(Key.Key_Down)
    assert "2025" in focus_name(shell.leaf)
    said = focus_name(shell.leaf)
    press(Key.Key_Right)
    assert focus_name(shell.leaf) != said
    press(Key.Key_Down)
    wanted = focus_name(shell.leaf)
    press(Key.Key_Return)
    settle(shell, qtbot)
    assert f"{shell.office.day.day} {shell.office.day:%B}" in wanted


def focus_name(drawing: QWidget) -> str:
    face = QAccessible.queryAccessibleInterface(drawing).focusChild()
    return name_of(face) if face is not None else ""


def test_whatever_can_be_clicked_in_a_drawing_has_a_key_or_is_reached_by_tab(
    shell: Shell, shop: SmallShop, qtbot: QtBot
) -> None:
    seen = 0
    for page in pages(shell, shop, qtbot):
        shell.grab()
        for drawing in shell.findChildren(Spotted):
            if not drawing.isVisible():
                continue
            for part in drawing.told_parts():
                if part.do is None:
                    continue
                seen += 1
                tab = bool(drawing.focusPolicy() & Qt.FocusPolicy.TabFocus)
                assert tab or ", " in part.name, f"{page}: {part.name}"  # a name ends in its key
    assert seen > 1000


def test_stop_has_a_key(shell: Shell, office: Office, qtbot: QtBot) -> None:
    settle(shell, qtbot)
    ended: list[str] = []
    turn = Event()

    def work(task: Task) -> None:
        while not turn.wait(0.005):
            task.say(0.5, "Counting")

    office.runner.ended.connect(lambda _task, how: ended.append(how))
    office.runner.run("Counting", work)
    try:
        qtbot.waitUntil(lambda: "Counting" in office.progress)
        press(Key.Key_Period, CONTROL)
        qtbot.waitUntil(lambda: "stopped" in ended)
    finally:
        turn.set()
