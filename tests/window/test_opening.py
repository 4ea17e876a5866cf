"""From the start to an open book: offers, troubles with a way out, changing books, no display."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import bootstrap
from app.actions.day import closing
from app.demo import demo_copy
from app.errors import Mendable
from app.records.book import Book
from app.records.models import Customer, Reminder
from app.window.house.first_run import FirstRun
from app.window.house.place import Place, PlaceEntry
from app.window.house.shell import Shell
from app.window.opening import LAST, Opening
from app.window.paper.theme import Theme
from tests import WAIT
from tests.shop import TODAY, small_desk

CTRL = Qt.KeyboardModifier.ControlModifier


class Blank(Place):
    """A place that shows nothing, so that only the opening is tested."""


@pytest.fixture(autouse=True)
def only_a_blank_place(monkeypatch: pytest.MonkeyPatch) -> None:
    entry = PlaceEntry("day", "Day sheet", "day", Blank)
    monkeypatch.setattr("app.window.opening.places", lambda: [entry])
    monkeypatch.setattr("app.window.opening.asides", lambda: [])


@pytest.fixture
def opening(settings: QSettings, theme: Theme, qtbot: QtBot) -> Iterator[Opening]:
    made = Opening(settings, theme)
    yield made
    if made.window is not None:
        made.window.close()
    made.close()


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "shop.bayledger"
    Book.create(path).close()
    return path


def test_without_a_book_the_first_page_makes_its_offers(opening: Opening) -> None:
    opening.begin()
    page = opening.window
    assert isinstance(page, FirstRun)
    assert [entry.key for entry in page.strip.entries] == [
        "new", "bring", "demo", "open", "back"
    ]  # fmt: skip
    assert page.trouble == ""


def test_a_new_book_is_begun_by_typing_a_name_and_ctrl_enter(
    opening: Opening, tmp_path: Path, settings: QSettings, qtbot: QtBot
) -> None:
    opening.begin()
    page = opening.window
    assert isinstance(page, FirstRun)
    page.place.setText(str(tmp_path / "new folder" / "mine"))
    page.name.setFocus()
    QTest.keyClicks(page.name, "Lindmoor Finish Care")
    QTest.keyClick(page.name, Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: isinstance(opening.window, Shell))
    assert opening.desk is not None
    assert opening.desk.settings.shop_name == "Lindmoor Finish Care"
    made = tmp_path / "new folder" / "mine.bayledger"
    assert made.exists()
    assert settings.value(LAST) == str(made)


def test_the_last_book_is_opened_again(opening: Opening, book: Path, settings: QSettings) -> None:
    settings.setValue(LAST, str(book))
    opening.begin()
    assert isinstance(opening.window, Shell)
    assert opening.desk is not None
    assert opening.desk.book.path == book


def test_a_book_that_was_moved_is_said_and_nothing_is_made(
    opening: Opening, tmp_path: Path
) -> None:
    opening.begin(tmp_path / "gone.bayledger")
    page = opening.window
    assert isinstance(page, FirstRun)
    assert "moved" in page.trouble
    assert page.strip.open_key == "open"
    assert list(tmp_path.glob("*.bayledger")) == []


def test_a_damaged_book_is_said_in_one_sentence(opening: Opening, tmp_path: Path) -> None:
    path = tmp_path / "torn.bayledger"
    path.write_bytes(b"not a book at all" * 100)
    opening.begin(path)
    page = opening.window
    assert isinstance(page, FirstRun)
    assert page.trouble
    assert "Traceback" not in page.trouble


def test_a_book_of_a_newer_version_is_said_with_its_version_and_what_to_do(
    opening: Opening, book: Path
) -> None:
    with Book.open(book) as newer, newer.load() as session:
        session.connection().exec_driver_sql("UPDATE alembic_version SET version_num = '9000'")
    before = book.read_bytes()
    opening.begin(book)
    page = opening.window
    assert isinstance(page, FirstRun)
    assert "its tables are version 9000, and this one knows up to version" in page.trouble
    assert "Update Bayledger" in page.trouble
    assert book.read_bytes() == before


def test_a_book_in_use_elsewhere_is_said_with_the_other_offers(
    opening: Opening, book: Path
) -> None:
    other = Book.open(book)
    try:
        opening.begin(book)
        page = opening.window
        assert isinstance(page, FirstRun)
        assert "is open in another window or command" in page.trouble
        assert page.strip.open_key == "look"
        other.close()
        assert opening.open(book)
        assert isinstance(opening.window, Shell)
    finally:
        other.close()


def test_a_backup_is_put_back_where_no_book_is_open(
    opening: Opening, book: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    with Book.open(book) as opened:
        with opened.load() as session:
            session.add(Customer(name="Bram"))
        copy = opened.backup()
    book.write_bytes(b"no book any more")
    opening.begin(book)
    page = opening.window
    assert isinstance(page, FirstRun)
    qtbot.waitUntil(page.isActiveWindow)
    QTest.keyClick(page, Qt.Key.Key_5, Qt.KeyboardModifier.AltModifier)
    page.backup.setFocus()
    QTest.keyClicks(page.backup, str(copy))
    page.back_place.setText(str(book))
    QTest.keyClick(page.backup, Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: isinstance(opening.window, Shell))
    assert opening.desk is not None
    with opening.desk.book.reading() as session:
        assert [one.name for one in session.query(Customer)] == ["Bram"]
    office = opening.window.office  # type: ignore[union-attr]
    qtbot.waitUntil(lambda: "when the backup was made; that of before is" in office.saved)
    assert len(list(tmp_path.glob("*before the restore*"))) == 1


def test_a_backup_that_is_not_there_is_said_on_the_first_page(
    opening: Opening, tmp_path: Path
) -> None:
    opening.begin()
    page = opening.window
    assert isinstance(page, FirstRun)
    page.strip.open("back", still=True)
    page.backup.setText(str(tmp_path / "none.bayledger"))
    QTest.keyClick(page.backup, Qt.Key.Key_Return, CTRL)
    assert page.trouble.startswith("There is no backup at")


def test_another_book_takes_the_window_over_and_lets_the_first_go(
    opening: Opening, book: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    opening.begin(book)
    first = opening.window
    opening.create(tmp_path / "second.bayledger")
    qtbot.waitUntil(lambda: opening.window is not first)
    Book.open(book).close()  # nobody holds it any more


def test_another_book_is_not_opened_while_something_is_being_written(
    opening: Opening, book: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    other = tmp_path / "other.bayledger"
    Book.create(other).close()
    assert opening.open(book)
    window = opening.window
    assert isinstance(window, Shell)
    runner = window.office.runner
    qtbot.waitUntil(lambda: not runner.busy)
    go = threading.Event()
    window.office.write_long("closing the day", lambda _task: go.wait(60), lambda _done: None)
    assert not opening.open(other)
    assert opening.window is window
    assert "Still closing the day" in window.office.trouble
    go.set()
    qtbot.waitUntil(lambda: not runner.busy)
    assert opening.open(other)


def test_a_book_that_cannot_be_opened_leaves_the_open_one_standing(
    opening: Opening, book: Path, tmp_path: Path
) -> None:
    opening.begin(book)
    shell = opening.window
    assert isinstance(shell, Shell)
    path = tmp_path / "torn.bayledger"
    path.write_bytes(b"not a book at all" * 100)
    assert not opening.open(path)
    assert opening.window is shell
    assert shell.office.trouble


def test_the_made_up_shop_is_built_in_the_background_and_opened(
    opening: Opening, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    def build(progress: Callable[[int, int], None] | None = None) -> Path:
        path = tmp_path / "demo.bayledger"
        if progress is not None:
            progress(1, 2)
        Book.create(path).close()
        return path

    monkeypatch.setattr(demo_copy, "demo_copy", build)
    opening.begin(demo=True)
    qtbot.waitUntil(lambda: isinstance(opening.window, Shell))


def test_the_copy_of_the_made_up_shop_is_made_once_a_day(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from datetime import date

    made: list[Path] = []

    def build(path: Path, **_more: object) -> None:
        Book.create(path).close()
        made.append(path)

    monkeypatch.setattr("app.demo.demo_copy.build_demo", build)
    first = demo_copy.demo_copy(date(2025, 8, 14), tmp_path)
    again = demo_copy.demo_copy(date(2025, 8, 14), tmp_path)
    next_day = demo_copy.demo_copy(date(2025, 8, 15), tmp_path)
    assert first == again
    assert len(made) == 2
    assert next_day.exists()
    assert not first.exists()


def test_commands_are_found_by_their_words(opening: Opening, book: Path) -> None:
    opening.begin(book)
    shell = opening.window
    assert isinstance(shell, Shell)
    shell.find_anything()
    QTest.keyClicks(shell.finder.field, "backup")
    shell.finder.search()
    assert [line.text for line in shell.finder.lines][:2] == ["Backups", "Make a backup"]
    QApplication.processEvents()


def test_without_a_display_the_commands_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("sys.platform", "linux")
    with pytest.raises(Mendable, match="no display") as trouble:
        bootstrap.open_window(None)
    assert "close" in trouble.value.sentence
    assert "\n" not in trouble.value.sentence


def test_a_display_that_is_not_there_counts_as_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("QT_QPA_PLATFORM", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("DISPLAY", "elsewhere:0")
    assert bootstrap.has_display()
    if Path("/tmp/.X11-unix").is_dir():
        monkeypatch.setenv("DISPLAY", ":941")
        assert not bootstrap.has_display()


def test_a_mail_that_was_going_out_when_the_last_run_ended_is_uncertain_and_said(
    opening: Opening, book: Path, qtbot: QtBot
) -> None:
    with Book.open(book) as there, there.load() as session:
        session.add(Customer(id=1, name="Ida Morrow", email="ida@example.org"))
        session.add(
            Reminder(
                customer_id=1,
                day=date(2026, 8, 13),
                channel="mail",
                state="sending",
                uid="reminder-1",
            )
        )
    opening.begin(book)
    shell = opening.window
    assert isinstance(shell, Shell)
    here = shell.here
    assert here is not None
    qtbot.waitUntil(lambda: "1 may or may not have gone" in here.foot_left.text())
    assert opening.desk is not None
    with opening.desk.book.reading() as session:
        assert [one.state for one in session.query(Reminder)] == ["uncertain"]


def test_the_backup_that_a_close_did_not_come_to_is_made_when_the_book_is_opened(
    opening: Opening, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    desk, _shop = small_desk(tmp_path / "shop.bayledger")
    with monkeypatch.context() as broken_off:
        broken_off.setattr(closing, "_files", lambda *_given: ([], None, [], []))
        closing.close_day(desk, TODAY)
    desk.book.close()
    opening.open(desk.book.path)
    window = opening.window
    assert isinstance(window, Shell)
    qtbot.waitUntil(lambda: "its backup is made now" in window.office.saved, timeout=WAIT * 1000)
    assert window.office.desk.book.newest_backup() is not None
