"""Parts of a page that is too low for them: nothing is out of reach."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.window.paper.cells import Column, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Form
from app.window.paper.partsbody import PartsBody
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]


def made(theme: Theme, lines: int) -> PartsBody:
    form = Form(theme, 2)
    for number in range(lines):
        form.add_line(f"Line {number}")
    return PartsBody(theme, form, focus=form.first_field)


def test_tab_brings_each_field_of_a_form_into_sight_on_a_low_page(
    theme: Theme, shown: Show
) -> None:
    body = made(theme, 16)
    shown(body, 500, 200)
    body.entered()
    QApplication.processEvents()
    for _ in range(32):
        field = QApplication.focusWidget()
        assert field is not None
        place = QRect(field.mapTo(body, QPoint(0, 0)), field.size())
        assert body.rect().contains(place), field.accessibleName()
        QTest.keyClick(field, Qt.Key.Key_Tab)
        QApplication.processEvents()


def test_a_page_that_is_high_enough_shows_all_at_once(theme: Theme, shown: Show) -> None:
    body = made(theme, 6)
    shown(body, 500, body.natural_height(500))
    fields = [field for _label, field in body.findChildren(Form)[0].lines()]
    for field in fields:
        assert body.rect().contains(QRect(field.mapTo(body, QPoint(0, 0)), field.size()))


def test_rows_that_come_later_are_given_room(theme: Theme, shown: Show) -> None:
    table = EntryTable(theme, (Column("name", "Name", width=0, least=80),))
    body = PartsBody(theme, table)
    shown(body, 500, 600)
    table.show_rows([row_of(at, f"Row {at}") for at in range(6)])
    QApplication.processEvents()
    assert table.height() >= table.natural_height(500)
