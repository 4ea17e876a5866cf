"""The habits of a desktop, by keys and dropped files, in the real window over the small shop."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QElapsedTimer, QMimeData, QPoint, QPointF, QSettings, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.records.models import Order
from app.window.day.place import DayPlace
from app.window.house import habits
from app.window.house.habits import SAVED
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry
from app.window.house.printing import PagePrint
from app.window.house.shell import Shell
from app.window.jobs.place import JobsPlace
from app.window.people.customers_place import CustomersPlace
from app.window.places import asides, places
from app.window.renewals.letters_page import LettersPage
from tests.shop import SmallShop
from tests.window.keys import press, type_words
from tests.window.shelf import test_shelf_place as shelf

Show = Callable[[QWidget, int, int], QWidget]
Key = Qt.Key
CTRL, ALT, SHIFT = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.AltModifier,
    Qt.KeyboardModifier.ShiftModifier,
)


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Show, settings: QSettings, qtbot: QtBot) -> Shell:
    made = Shell(office, places(), asides=asides(), settings=settings)
    shown(made, 1366, 768)
    made.open("customers")
    qtbot.waitUntil(lambda: not office.runner.busy)
    QApplication.processEvents()
    return made


def customers(shell: Shell) -> CustomersPlace:
    place = shell.place("customers")
    assert isinstance(place, CustomersPlace)
    return place


def test_alt_left_leads_out_of_a_card_and_then_to_the_place_before(
    shell: Shell, shop: SmallShop
) -> None:
    shell.open_item("jobs", shop.jobs["0411"])
    jobs = shell.here
    assert isinstance(jobs, JobsPlace)
    assert jobs.body is jobs.card
    press(Key.Key_Left, ALT)
    assert jobs.body is jobs.listing
    press(Key.Key_Left, ALT)
    assert shell.here_key == "customers"
    press(Key.Key_Left, ALT)
    assert shell.here_key == "customers"


def test_esc_goes_back_where_a_jump_came_from_and_stays_where_a_person_went(
    shell: Shell, shop: SmallShop
) -> None:
    press(Key.Key_5, CTRL)
    press(Key.Key_Escape)
    assert shell.here_key == "renewals"
    shell.office.go("shelf")
    press(Key.Key_Escape)
    assert shell.here_key == "renewals"


def test_esc_puts_a_number_back_before_it_leads_anywhere(shell: Shell, qtbot: QtBot) -> None:
    shell.office.go("day")
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    press(Key.Key_F1)
    assert shell.here is not None
    assert shell.here.margin.shows_all_keys
    press(Key.Key_Escape)
    assert not shell.here.margin.shows_all_keys
    assert shell.here_key == "day"


def test_ctrl_f_goes_to_the_words_that_narrow_a_list(shell: Shell, qtbot: QtBot) -> None:
    place = customers(shell)
    press(Key.Key_F, CTRL)
    assert place.filter.hasFocus()
    press(Key.Key_1, CTRL)
    qtbot.waitUntil(lambda: not shell.office.runner.busy)


def test_ctrl_f_narrows_a_list_without_a_field_and_esc_shows_all_again(
    shell: Shell, qtbot: QtBot
) -> None:
    shell.open("suppliers")
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    here = shell.here
    assert here is not None
    table = here.list_table()
    assert table is not None
    whole = len(table.rows)
    name = table.rows[0].cells[0].text  # type: ignore[union-attr]
    assert whole > 2
    press(Key.Key_F, CTRL)
    type_words(name)
    # The line in which another supplier is written stays.
    assert [row.cells[0].text for row in table.rows] == [name, ""]  # type: ignore[union-attr]
    press(Key.Key_Return)
    assert table.hasFocus()
    press(Key.Key_Escape)
    assert len(table.rows) == whole
    assert shell.here_key == "suppliers"


def test_ctrl_f_where_there_is_no_list_says_so(shell: Shell) -> None:
    shell.open("settings")
    press(Key.Key_F, CTRL)
    assert shell.office.trouble == "There is no list on this page to narrow."


def test_ctrl_r_sorts_by_each_column_and_with_shift_turns_it_round(shell: Shell) -> None:
    table = customers(shell).table
    as_it_came = [row.key for row in table.rows]
    press(Key.Key_R, CTRL)
    press(Key.Key_R, CTRL | SHIFT)
    names = [row.cells[0].text for row in table.rows]  # type: ignore[union-attr]
    assert names == sorted(names, key=str.casefold, reverse=True)
    assert shell.office.saved.endswith("last first")
    for _ in table.entries.columns:
        if table.sorted_by:
            press(Key.Key_R, CTRL)
    assert [row.key for row in table.rows] == as_it_came


def test_ctrl_c_copies_the_row_with_the_focus(shell: Shell) -> None:
    table = customers(shell).table
    table.setFocus()
    press(Key.Key_C, CTRL)
    row = table.rows[0]
    assert QGuiApplication.clipboard().text().startswith(row.cells[0].text)  # type: ignore[union-attr]
    press(Key.Key_A, CTRL)
    assert shell.here is not None
    assert f"{len(table.rows)} rows are chosen" in shell.here.foot_right.text()
    press(Key.Key_Escape)
    assert "chosen" not in shell.here.foot_right.text()


def test_ctrl_s_says_that_all_is_saved(shell: Shell) -> None:
    press(Key.Key_S, CTRL)
    assert shell.office.saved == SAVED


def test_ctrl_o_and_ctrl_n_ask_for_a_book_and_ctrl_q_leaves(shell: Shell) -> None:
    asked: list[str] = []
    shell.open_asked.connect(lambda: asked.append("open"))
    shell.new_asked.connect(lambda: asked.append("new"))
    press(Key.Key_O, CTRL)
    press(Key.Key_N, CTRL)
    assert asked == ["open", "new"]
    press(Key.Key_Q, CTRL)
    assert not shell.isVisible()


def test_ctrl_p_shows_each_place_as_it_would_be_printed(
    shell: Shell, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    printed: list[tuple[str, int]] = []

    def into_a_file(preview: QWidget) -> int:
        assert shell.here is not None
        job = PagePrint(shell.here)
        job.printer.setOutputFileName(str(tmp_path / f"{len(printed)}.pdf"))
        printed.append((shell.here_key, job.paint(job.printer)))
        return 0

    monkeypatch.setattr("app.window.house.printing.QPrintPreviewDialog.exec", into_a_file)
    keys = [entry.key for entry in (*places(), *asides())]
    for key in keys:
        shell.open(key)
        qtbot.waitUntil(lambda: not shell.office.runner.busy)
        QApplication.processEvents()
        press(Key.Key_P, CTRL)
    assert [key for key, _pages in printed] == keys
    assert all(pages >= 1 for _key, pages in printed)
    for number in range(len(keys)):
        written = (tmp_path / f"{number}.pdf").read_bytes()
        assert written.startswith(b"%PDF")
        sizes = [int(size) for size in re.findall(rb"/Width (\d+)", written)]
        assert max(sizes, default=0) < 4000, "no picture of half a gigabyte"


def data_of(*paths: Path) -> QMimeData:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    return data


def drop(shell: Shell, data: QMimeData) -> bool:
    """Drag over the window and let go; whether the window takes it."""
    buttons, held = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    over = QDragEnterEvent(QPoint(400, 300), Qt.DropAction.CopyAction, data, buttons, held)
    QApplication.sendEvent(shell, over)
    if not over.isAccepted():
        return False
    at = QPointF(400, 300)
    QApplication.sendEvent(shell, QDropEvent(at, Qt.DropAction.CopyAction, data, buttons, held))
    return True


def test_a_dropped_list_is_read_to_be_brought_in_and_a_dropped_book_is_opened(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    people = tmp_path / "people.csv"
    people.write_text("Name,Phone\nOda Wren,555 0100\n", encoding="utf-8")
    assert drop(shell, data_of(people))
    assert shell.here_key == "bringing in"
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    assert [reading.path for reading in shell.here.readings] == [people]  # type: ignore[union-attr]
    other = tmp_path / "other.bayledger"
    other.write_bytes(b"")
    asked: list[Path] = []
    shell.book_dropped.connect(asked.append)
    assert drop(shell, data_of(other))
    assert asked == [other]
    words = QMimeData()
    words.setText("no file at all")
    assert not drop(shell, words)


def test_the_last_place_and_row_are_gone_back_to_in_the_next_run(
    shell: Shell, office: Office, shown: Show, settings: QSettings, qtbot: QtBot
) -> None:
    table = customers(shell).table
    table.setFocus()
    press(Key.Key_Down)
    press(Key.Key_Down)
    key = table.current_key()
    assert key != table.rows[0].key
    shell.habits.keep()
    again = Shell(office, places(), asides=asides(), settings=settings)
    shown(again, 1366, 768)
    assert again.habits.last_place() == "customers"
    again.open("customers")
    qtbot.waitUntil(lambda: not office.runner.busy)
    assert customers(again).table.current_key() == key


def orders(office: Office) -> list[str]:
    with office.desk.book.reading() as session:
        return [one.state for one in session.query(Order).order_by(Order.id)]


def test_an_order_only_just_written_is_not_taken_in_as_come(
    office: Office, shop: SmallShop, shown: Show, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = shelf.opened(office, shown, qtbot)
    QTest.keyClick(place.table, Key.Key_Space)
    shelf.type_at(place, qtbot, shop.supplies["wheel"], "now", "2")
    monkeypatch.setattr(habits, "TWICE", 10**9)
    shelf.press(place, qtbot, Key.Key_Return, control=True)
    wrote = orders(office)
    assert set(wrote) == {"written"}
    shelf.press(place, qtbot, Key.Key_Return, control=True)
    assert orders(office) == wrote
    assert "Pressed twice, taken once" in office.saved
    monkeypatch.setattr(habits, "TWICE", 0)
    shelf.press(place, qtbot, Key.Key_Return, control=True)
    assert "received" in orders(office)


class Watch(QElapsedTimer):
    """A timer that the test sets."""

    ms = 0

    def start(self) -> None:
        """From now on."""
        super().start()
        Watch.ms = 0

    def elapsed(self) -> int:
        """What the test says."""
        return Watch.ms


class Once(Place):
    """A page that counts how often its action was asked for."""

    asked = 0

    def primary(self) -> None:
        """Count."""
        self.asked += 1


class Again(Once):
    """One on which a person goes on with the same key."""

    goes_on = True


def test_a_page_that_goes_on_takes_each_press_once_it_was_there_before(
    office: Office, shown: Show, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(habits, "TWICE", 10**9)
    entries = [PlaceEntry("once", "Once", "day", Once), PlaceEntry("again", "", "day", Again)]
    shell = Shell(office, entries)
    shown(shell, 1366, 768)
    asked = []
    for here in ("again", "again", "once"):
        shell.open(here)
        QTest.keyClick(shell, Key.Key_Return, CTRL)
        place = shell.place(here)
        assert isinstance(place, Once)
        asked.append(place.asked)
    assert asked == [1, 2, 0]
    assert DayPlace.goes_on
    assert LettersPage.goes_on


def test_a_page_that_opens_late_is_as_new_as_the_press(
    office: Office, shown: Show, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(habits, "TWICE", 800)
    monkeypatch.setattr(habits, "QElapsedTimer", Watch)
    shell = Shell(office, [PlaceEntry("once", "Once", "day", Once)])
    shown(shell, 1366, 768)
    shell.open("once")
    place = shell.place("once")
    assert isinstance(place, Once)
    asked = []
    for ms, title in (
        (900, ""),
        (900, "What the key opened"),
        (900, ""),
        (4000, "What it did not"),
    ):
        QTest.keyClick(shell, Key.Key_Return, CTRL)
        asked.append(place.asked)
        Watch.ms = ms
        place.set_head(title or place.title)
    QTest.keyClick(shell, Key.Key_Return, CTRL)
    assert [*asked, place.asked] == [1, 2, 2, 3, 4]
