"""The whole window for who cannot see it, or has no mouse: what is told, reached and pressed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from threading import Event

import pytest
from PySide6.QtCore import QAbstractAnimation, QPoint, QRect, QRectF, Qt
from PySide6.QtGui import QAccessible, QAccessibleInterface, QColor, QImage, QPainter
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QWidget
from pytestqt.qtbot import QtBot

from app.window.house.office import Office
from app.window.house.runner import Task
from app.window.house.shell import Shell
from app.window.paper.accessible import tell_of_drawings
from app.window.paper.brush import Brush, Drawn, Spotted
from app.window.paper.dotstrip import paint_strip
from app.window.paper.fields import LineField
from app.window.paper.notes import DotStrip
from app.window.paper.rowtable import RowTable
from app.window.paper.strip import Strip, StripEntry
from app.window.paper.theme import Theme
from app.window.places import asides, places
from app.window.shelf.timebars import ShelfBar, ShelfCalendar, shelf_column
from tests.contrast import SHAPE, TEXT, contrast, strongest
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


# seen ----------------------------------------------------------------------------------------
LEAST = 24  # pixels at scale 1 (WCAG 2.2, success criterion 2.5.8)


def pressed_boxes(shell: Shell) -> list[tuple[str, float, float]]:
    """What the mouse presses on the page: its name, width and height."""
    found = []
    for drawing in shell.findChildren(Drawn):
        if drawing.isVisible():
            found += [
                (part.name, part.box.width(), part.box.height())
                for part in drawing.told_parts()
                if part.do is not None and part.role == Role.Button
            ]
    for kind in (QAbstractButton, QComboBox):
        found += [
            (one.accessibleName(), one.width(), one.height())
            for one in shell.findChildren(kind)
            if one.isVisible()
        ]
    for table in shell.findChildren(RowTable):
        if table.isVisible():
            heights = [table.rowHeight(at) for at in range(len(table.rows))]
            found += [(table.accessibleName(), 100, min(heights))] if heights else []
    return found


def test_whatever_is_pressed_is_twenty_four_pixels_wide_and_high(
    shell: Shell, shop: SmallShop, qtbot: QtBot
) -> None:
    seen = 0
    for page in pages(shell, shop, qtbot):
        shell.grab()
        for name, wide, high in pressed_boxes(shell):
            seen += 1
            assert wide >= LEAST - 0.01, (page, name, wide)
            assert high >= LEAST - 0.01, (page, name, high)
    assert seen > 1500


def around(shell: Shell, widget: QWidget) -> QImage:
    """The widget and a little around it, where the ring of an action lies."""
    top_left = widget.mapTo(shell, QPoint(0, 0))
    return shell.grab(QRect(top_left, widget.size()).adjusted(-8, -8, 8, 8)).toImage()


def changed_pixels(one: QImage, other: QImage) -> int:
    """How many pixels of two pictures of a place stand out from each other by 3 to 1 or more."""
    return sum(
        contrast(QColor(one.pixel(x, y)), QColor(other.pixel(x, y))) >= 3
        for x in range(0, one.width())
        for y in range(0, one.height())
        if one.pixel(x, y) != other.pixel(x, y)
    )


def test_what_has_the_focus_is_always_seen(shell: Shell, shop: SmallShop, qtbot: QtBot) -> None:
    kinds: Counter[str] = Counter()
    for page in pages(shell, shop, qtbot):
        for widget in shell.findChildren(QWidget):
            kind = type(widget).__name__
            tab = bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
            if not (tab and widget.isVisible() and widget.isEnabled()) or kinds[kind] > 3:
                continue
            if isinstance(widget, RowTable) and not widget.rows:
                continue
            widget.setFocus(Qt.FocusReason.TabFocusReason)
            if not widget.hasFocus():
                continue
            QApplication.processEvents()
            with_focus = around(shell, widget)
            widget.clearFocus()
            QApplication.processEvents()
            if not widget.isVisible():
                continue
            assert changed_pixels(with_focus, around(shell, widget)) >= LEAST, (page, kind)
            kinds[kind] += 1
            settle(shell, qtbot)
    assert {"LineField", "EntryTable", "ActionButton", "Leaf", "ChartView"} <= set(kinds)


@pytest.mark.parametrize("look", ["light", "dark"])
def test_a_hint_in_an_empty_field_can_be_read(
    theme: Theme, shown: Callable[[QWidget, int, int], QWidget], look: str
) -> None:
    theme.set_look(look)
    field = LineField(theme, "", "MMMMMM")
    shown(field, 200, 30)
    field.clearFocus()
    middle = field.grab(field.rect().adjusted(6, 6, -6, -6)).toImage()
    assert strongest(middle, theme.palette.field) >= TEXT


@pytest.mark.parametrize("look", ["light", "dark"])
def test_the_usual_range_and_what_fades_out_have_edges(theme: Theme, look: str) -> None:
    theme.set_look(look)
    image = QImage(240, 80, QImage.Format.Format_RGB32)
    image.fill(theme.palette.paper)
    painter = QPainter(image)
    paint_strip(Brush(painter, theme), QRectF(0, 0, 240, 80), DotStrip((), 20, 60))
    painter.end()
    band = image.copy(0, 24, 240, 8)  # above the dots, under the words
    assert strongest(band, theme.palette.paper) >= SHAPE

    image.fill(theme.palette.paper)
    painter = QPainter(image)
    cell, _group, _head = shelf_column(ShelfCalendar(date(2025, 8, 14)))
    cell(Brush(painter, theme), QRectF(0, 0, 240, 30), ShelfBar(2, 33), False)
    painter.end()
    faint = image.copy(150, 8, 60, 15)  # where the fill has nearly gone
    assert strongest(faint, theme.palette.paper) >= SHAPE


def test_nothing_moves_for_who_wants_less_motion(theme: Theme) -> None:
    theme.set_less_motion(True)
    strip = Strip(theme, lambda _key: QWidget())
    strip.resize(600, 400)
    entries = [StripEntry(key, key) for key in ("one", "two")]
    strip.set_entries(entries)
    strip.open("one")
    strip.set_entries([entries[0], StripEntry("two", "two", state="done")])
    strip.open("two")
    running = [one for one in strip.findChildren(QAbstractAnimation) if one.state().value]
    assert not running
    strip.deleteLater()
