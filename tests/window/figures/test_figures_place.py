"""The Figures place by keyboard: figures, their tables, the jobs behind, and other times."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.demo.story import build_demo
from app.records.book import Book
from app.window.figures.figures_place import FiguresPlace
from app.window.figures.pages import FIGURES, PAGES
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry
from app.window.house.runner import Runner
from app.window.house.shell import Shell
from app.window.paper.theme import Theme
from tests.window.conftest import MILLISECONDS

Shown = Callable[[QWidget, int, int], QWidget]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.bayledger"
    build_demo(path, years=1, jobs_per_week=6, seed=3)
    return path


@pytest.fixture
def place(
    demo: Path, theme: Theme, runner: Runner, shown: Shown, qtbot: QtBot
) -> Iterator[FiguresPlace]:
    with Book.open(demo) as book:
        office = Office(Desk(book), theme, runner)
        entries = [
            PlaceEntry("figures", "Figures", "figures", FiguresPlace),
            *(PlaceEntry(key, key, key, Place) for key in ("jobs", "shelf", "suppliers")),
        ]
        shell = Shell(office, entries)
        shown(shell, 1366, 768)
        shell.open("figures")
        made = shell.place("figures")
        assert isinstance(made, FiguresPlace)
        qtbot.waitUntil(lambda: all(view.picture for view in made.views[:4]))
        qtbot.waitUntil(lambda: not office.runner.busy_now)
        yield made
        assert runner.close(MILLISECONDS)  # it reads in the book, which closes first


def press(place: FiguresPlace, key: Qt.Key) -> None:
    QTest.keyClick(place.window().focusWidget() or place, key)


def test_the_arrows_go_from_figure_to_figure_and_the_margin_explains_each(
    place: FiguresPlace, qtbot: QtBot
) -> None:
    qtbot.waitUntil(lambda: not place.office.runner.busy)  # the other pages too
    place.entered()
    said = []
    for _ in range(FIGURES):
        said.append(str(place.margin.note.blocks[-1]))
        press(place, Qt.Key.Key_Right)
    assert len(set(said)) == FIGURES == 15
    assert place._here == 1, "the last goes on to the first"


def test_alt_and_a_number_turn_to_the_page_where_that_figure_stands(place: FiguresPlace) -> None:
    place.entered()
    QTest.keyClick(place.views[0], Qt.Key.Key_7, Qt.KeyboardModifier.AltModifier)
    assert [view.number for view in place.views if view.isVisible()] == [5, 6, 7]
    assert place.views[6].hasFocus()
    press(place, Qt.Key.Key_T)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)
    assert place.views[1].hasFocus()
    assert [view.number for view in place.views if view.isVisible()] == [1, 2, 3, 4]


def test_the_second_page_is_read_after_the_pictures_of_the_first_and_at_once_when_turned_to(
    place: FiguresPlace, qtbot: QtBot
) -> None:
    runner, begun = place.office.runner, list[str]()
    qtbot.waitUntil(lambda: not runner.busy)
    runner.began.connect(lambda task: begun.append(f"{task.name}{', later' * task.later}"))
    first = ["Adding up the figures", *(f"Figure {number}" for number in PAGES[0])]
    place.refresh(place.shows)
    qtbot.waitUntil(lambda: len(begun) == 6)
    assert begun == [*first, "Adding up the second page, later"]
    place.turn(6)
    qtbot.waitUntil(lambda: not runner.busy)
    assert begun[6] == "Adding up the second page"
    assert begun.count("Adding up the second page") == 1
    assert place.margin.note.title == "Who sends customers"
    last = [f"Adding up the {which} page, later" for which in ("third", "fourth")]
    assert [one for one in begun if one in last] == last, "after those that lie open, in order"


def test_t_swaps_a_figure_for_its_table_and_back(place: FiguresPlace) -> None:
    place.entered()
    press(place, Qt.Key.Key_T)
    view = place.views[0]
    assert view.shows_table
    assert view.table is not None
    assert len(view.table.rows) == 12 or len(view.table.rows) == 13
    press(place, Qt.Key.Key_T)
    assert not view.shows_table


def test_a_number_opens_into_the_jobs_behind_it(place: FiguresPlace, qtbot: QtBot) -> None:
    gone: list[object] = []
    place.office.go_asked.connect(lambda key, item: gone.append((key, item)))
    place._behind(1, 6)
    assert place.margin.note.title.endswith("the jobs behind")
    offer = place.margin.note.blocks[0]
    offer.on_click()  # type: ignore[union-attr]
    assert gone
    assert gone[0][0] == "jobs"  # type: ignore[index]


def test_page_up_shows_an_earlier_time_and_m_a_month(place: FiguresPlace, qtbot: QtBot) -> None:
    place.entered()
    press(place, Qt.Key.Key_M)
    qtbot.waitUntil(lambda: place._shown is not None and len(place._shown.money.bars) >= 28)
    before = place._shown
    press(place, Qt.Key.Key_PageUp)
    qtbot.waitUntil(lambda: place._shown is not before and not place.office.runner.busy)
    assert place._shown is not None
    assert before is not None
    assert place._shown.last < before.first


def test_the_page_is_kept_as_a_pdf(place: FiguresPlace, tmp_path: Path) -> None:
    place.keep_as_pdf(tmp_path / "figures.pdf")
    assert len(PdfReader(tmp_path / "figures.pdf").pages) == 1
    assert "Kept as figures.pdf" in place.foot_left.text()
    place.keep_as_pdf(tmp_path / "nowhere" / "figures.pdf")
    assert "could not be written" in place.foot_left.text()


def test_where_four_would_be_too_small_one_stands_at_a_time(
    place: FiguresPlace, qtbot: QtBot
) -> None:
    shell = place.window()
    shell.resize(900, 560)
    place.entered()
    standing = [view.number for view in place.views if view.isVisible()]
    assert standing == [1]
    press(place, Qt.Key.Key_Right)
    assert [view.number for view in place.views if view.isVisible()] == [2]
    assert place.views[1].width() >= 340
    assert "Other figures" in place.row.hints.text()
    qtbot.waitUntil(lambda: place.views[1].picture is not None)
    shell.resize(1366, 768)
    assert [view.number for view in place.views if view.isVisible()] == [1, 2, 3, 4]


def test_ctrl_and_page_down_turn_the_pages_and_each_figure_of_them_opens(
    place: FiguresPlace, qtbot: QtBot
) -> None:
    place.entered()
    turned = []
    for _ in PAGES:
        QTest.keyClick(
            QApplication.focusWidget(), Qt.Key.Key_PageDown, Qt.KeyboardModifier.ControlModifier
        )
        turned.append(tuple(view.number for view in place.views if view.isVisible()))
    assert turned == [*PAGES[1:], PAGES[0]]
    QTest.keyClick(
        QApplication.focusWidget(), Qt.Key.Key_PageUp, Qt.KeyboardModifier.ControlModifier
    )
    assert place.views[11].hasFocus()
    qtbot.waitUntil(lambda: not place.office.runner.busy)
    went: list[tuple[str, object]] = []
    place.office.go_asked.connect(lambda key, item: went.append((key, item)))
    for number, key in (
        (9, "jobs"),
        (11, "shelf"),
        (13, "shelf"),
        (14, "shelf"),
        (15, "suppliers"),
    ):
        place._behind(number, 0)
        if not went:
            place.margin.note.blocks[0].on_click()  # type: ignore[union-attr]
        assert went.pop()[0] == key
        place.window().open("figures")


def test_a_figure_is_kept_as_a_picture_and_all_of_them_as_a_workbook(
    place: FiguresPlace, tmp_path: Path, qtbot: QtBot
) -> None:
    place.turn(13)
    qtbot.waitUntil(lambda: not place.office.runner.busy)
    for name in ("figure.png", "figure.svg"):
        place.keep_as_picture(tmp_path / name)
        qtbot.waitUntil(lambda: not place.office.runner.busy)
        assert f"kept as {name}" in place.foot_left.text()
    png = QImage(str(tmp_path / "figure.png"))
    assert png.width() == 3 * 720
    svg = ElementTree.parse(tmp_path / "figure.svg").getroot()
    _, _, wide, high = map(float, svg.attrib["viewBox"].split())
    assert wide / high == pytest.approx(png.width() / png.height(), rel=0.01)
    known = {one.attrib["id"] for one in svg.iter() if "id" in one.attrib}
    links = [value for one in svg.iter() for name, value in one.attrib.items() if "href" in name]
    assert len(links) > 50, "letters are drawn, whatever fonts there are"
    assert {link.removeprefix("#") for link in links} <= known
    place.keep_as_picture(tmp_path / "figure.bmp")
    qtbot.waitUntil(lambda: "should end in .png or .svg" in place.foot_left.text())
    place.keep_as_workbook(tmp_path / "figures.xlsx")
    qtbot.waitUntil(lambda: "kept as figures.xlsx" in place.foot_left.text())
    assert (tmp_path / "figures.xlsx").stat().st_size > 10_000
