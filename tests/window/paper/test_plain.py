"""Nothing that a person typed is shown as rich text, on any page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint
from PySide6.QtGui import QHelpEvent, QImage, Qt, QTextDocument
from PySide6.QtWidgets import QApplication, QHeaderView, QLabel, QToolTip, QWidget
from pytestqt.qtbot import QtBot
from sqlalchemy import select, update

from app.actions.desk.desk import Desk
from app.records.models import Customer, Job, Service, ServiceStep, Supplier, Supply, Vehicle
from app.window.exchange.bringing_in_page import BringingInPage
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.paper.brush import Spotted
from app.window.paper.plain import plain
from app.window.paper.rowtable import RowTable
from app.window.places import asides, places
from tests import ROOT
from tests.shop import SmallShop
from tests.window.test_places import pages, settle


def as_shown(tip: str) -> str:
    """A tooltip as Qt shows it; it is rich text where Qt takes it for that."""
    if not Qt.mightBeRichText(tip):
        return tip
    document = QTextDocument()
    document.setHtml(tip)
    return document.toPlainText()


@pytest.fixture
def tag(tmp_path: Path) -> str:
    """A name that would have a picture loaded."""
    QImage(4, 4, QImage.Format.Format_RGB32).save(str(tmp_path / "x.png"))
    return f'<img src="{tmp_path / "x.png"}"><b>Mara</b>'


@pytest.mark.parametrize("text", ["<b>Ann</b>", '<img src="a.png">', "a < b", "<i>1</i>\n2", "Ann"])
def test_a_text_is_shown_as_it_was_typed(text: str) -> None:
    assert as_shown(plain(text)) == text


def tips(shell: Shell) -> Iterator[tuple[str, str]]:
    """What all widgets, cells, heads and spots say under a resting mouse, and where."""
    for widget in shell.findChildren(QWidget):
        if widget.toolTip():
            yield widget.toolTip(), type(widget).__name__
        if not widget.isVisible():
            continue
        if isinstance(widget, RowTable):
            model = widget.model()
            for row in range(min(model.rowCount(), 12)):
                for column in range(model.columnCount()):
                    spot = widget.visualRect(model.index(row, column)).center()
                    yield resting(widget.viewport(), spot), f"cell {row}, {column}"
        elif isinstance(widget, QHeaderView):
            for column in range(widget.count()):
                spot = QPoint(widget.sectionViewportPosition(column) + 3, 3)
                yield resting(widget.viewport(), spot), f"head {column}"
        elif isinstance(widget, Spotted):
            for one in widget.spots:
                yield resting(widget, one.box.center().toPoint()), type(widget).__name__


def resting(widget: QWidget, at: QPoint) -> str:
    """What is said when the mouse rests at a point."""
    QToolTip.hideText()
    QApplication.sendEvent(widget, QHelpEvent(QEvent.Type.ToolTip, at, widget.mapToGlobal(at)))
    return QToolTip.text() if QToolTip.isVisible() else ""


def test_names_that_look_like_rich_text_are_shown_as_they_were_typed_on_every_page(
    office: Office,
    desk: Desk,
    shop: SmallShop,
    tag: str,
    shown: Callable[[QWidget, int, int], QWidget],
    qtbot: QtBot,
) -> None:
    with desk.book.load() as session:
        for model, column in (
            (Customer, "name"), (Customer, "notes"), (Vehicle, "description"), (Supply, "name"),
            (Supplier, "name"), (Service, "name"), (ServiceStep, "name"), (Job, "notes"),
        ):  # fmt: skip
            for one in session.scalars(select(model.id)).all():
                session.execute(
                    update(model).where(model.id == one).values({column: f"{tag}{one}"})
                )
    shell = Shell(office, places(), asides=asides())
    shown(shell, 1366, 768)
    seen = 0
    for page in pages(shell, shop, qtbot):
        for tip, where in tips(shell):
            seen += "img" in tip
            assert "<img" in as_shown(tip) or "img" not in tip, f"{where} on {page}: {tip}"
        for label in shell.findChildren(QLabel):
            if label.objectName() == "qtooltip_label":
                continue  # the tooltip itself, which guesses
            assert label.textFormat() == Qt.TextFormat.PlainText, f"{label.text()} on {page}"
    assert seen > 30


def test_names_of_files_and_sheets_and_what_stands_in_them_are_shown_as_they_are(
    office: Office,
    tag: str,
    tmp_path: Path,
    shown: Callable[[QWidget, int, int], QWidget],
    qtbot: QtBot,
) -> None:
    path = tmp_path / "<b>list<b>.csv"
    path.write_text(f"Name,Phone,<i>More</i>\n{tag.replace(chr(34), '')},212 555 0142,1\n")
    shell = Shell(office, places(), asides=asides())
    shown(shell, 1366, 768)
    shell.open_item("bringing in", (path,))
    page = shell.here
    assert isinstance(page, BringingInPage)
    qtbot.waitUntil(lambda: page.plan is not None)
    seen = 0
    for entry in page.strip.entries:
        page.strip.open(entry.key, still=True)
        settle(shell, qtbot)
        for tip, where in tips(shell):
            for mark in ("b>list", "i>More", "img src"):
                seen += mark in tip
                assert f"<{mark}" in as_shown(tip) or mark not in tip, f"{where}: {tip}"
    assert seen > 2


def test_only_one_place_gives_qt_a_text_of_either_kind() -> None:
    either = re.compile(
        r"\b(?:setToolTip|QToolTip\.|QLabel|QMessageBox|QTextBrowser|QTextDocument|QStaticText|"
        r"setHtml|insertHtml|appendHtml|setWhatsThis|setStatusTip|QErrorMessage)"
    )
    found = {
        path.relative_to(ROOT / "app").as_posix()
        for folder in ("window", "documents")
        for path in (ROOT / "app" / folder).rglob("*.py")
        if either.search(path.read_text(encoding="utf-8"))
    }
    # A style sheet names kinds of widget, and shows nothing; the guide's text is the program's own.
    known = {"window/paper/sheet.py", "window/house/guide_page.py"}
    assert found - known == {"window/paper/plain.py"}
