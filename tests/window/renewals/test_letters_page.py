"""Letters by keyboard: read, changed, kept, sent through a real server, noted, and left again."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPlainTextEdit, QWidget
from pytestqt.qtbot import QtBot

from app.actions.people import customers
from app.records.models import Customer, Reminder
from app.records.queries import settings as setting_queries
from app.window.house.office import Office
from app.window.renewals import letters_page
from app.window.renewals.letter_body import LetterBody
from app.window.renewals.letters_page import MORE, NO_ACCOUNT, LettersPage
from tests.mailserver import Box, serving
from tests.window.renewals.test_renewals_place import (
    fill,
    letters_of,
    opened,
    press,
    states,
    use_server,
)

Shown = Callable[[QWidget, int, int], QWidget]
TODAY = date(2025, 8, 14)


@pytest.fixture(autouse=True)
def a_second_press_is_meant(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(letters_page, "TWICE", 0)


@pytest.fixture
def page(office: Office, shown: Shown, qtbot: QtBot) -> LettersPage:
    """Three letters, opened by Ctrl+Enter on Renewals."""
    fill(office, 3)
    place = opened(office, shown, qtbot)
    press(place, qtbot, Qt.Key.Key_Return, ctrl=True)
    return letters_of(place, qtbot)


def key(page: LettersPage, qtbot: QtBot, which: Qt.Key, held: str = "") -> None:
    modifiers = {
        "": Qt.KeyboardModifier.NoModifier,
        "ctrl": Qt.KeyboardModifier.ControlModifier,
        "alt": Qt.KeyboardModifier.AltModifier,
    }
    QTest.keyClick(page.window().focusWidget(), which, modifiers[held])
    qtbot.waitUntil(lambda: not page.office.runner.busy)


def body(page: LettersPage) -> LetterBody:
    found = page._open_body()
    assert found is not None
    return found


def words(page: LettersPage) -> QPlainTextEdit:
    found = page.window().focusWidget()
    assert isinstance(found, QPlainTextEdit)
    return found


def stored(office: Office, number: int = 1) -> Reminder:
    with office.desk.book.reading() as session:
        return session.get_one(Reminder, number)


def test_the_letter_stands_open_with_why_to_whom_and_by_which_way(page: LettersPage) -> None:
    assert page.title == "Letters to send"
    assert page._fact.text() == "0 of 3 sent"
    assert [entry.result for entry in page.strip.entries] == ["by e-mail"] * 3
    here = body(page)
    assert here.letter is not None
    assert here.letter.reason.startswith("Carnauba wax on upper sides")
    assert here.page is not None
    assert here.page.where == "o1@example.org"
    assert [way.name for way in here.page.ways if not way.why_not] == ["e-mail"]
    assert "answer with the word stop" in here.page.tail
    assert words(page).toPlainText().startswith("Hello Owner 0001")


def test_a_letter_is_changed_and_goes_once_through_the_owners_own_server(
    page: LettersPage, office: Office, qtbot: QtBot
) -> None:
    """The server is a real one on this machine (aiosmtpd)."""
    box = Box()
    with serving(box) as server:
        use_server(office, server)
        page.refresh(frozenset())
        qtbot.waitUntil(lambda: not office.runner.busy)
        QTest.keyClicks(words(page), "Good morning! ")
        key(page, qtbot, Qt.Key.Key_Return, "ctrl")
        qtbot.waitUntil(lambda: states(office) == ["sent"])
    assert len(box.taken) == 1
    assert stored(office).text.startswith("Good morning! Hello Owner 0001")
    first = page.strip.entries[0]
    assert first.state == "done"
    assert first.result.startswith("sent by e-mail")
    assert page._fact.text() == "1 of 3 sent"
    assert words(page).toPlainText().startswith("Hello Owner 0002"), "the next one is open"


def test_a_key_pressed_twice_sends_no_letter_that_nobody_read(
    page: LettersPage, office: Office, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(letters_page, "TWICE", 10**9)
    box = Box()
    with serving(box) as server:
        use_server(office, server)
        page.refresh(frozenset())
        qtbot.waitUntil(lambda: not office.runner.busy)
        key(page, qtbot, Qt.Key.Key_Return, "ctrl")
        qtbot.waitUntil(lambda: states(office) == ["sent"])
        key(page, qtbot, Qt.Key.Key_Return, "ctrl")
    assert states(office) == ["sent"]
    assert "The same key again sends this one" in office.saved


def test_without_a_mail_account_the_key_says_so_and_nothing_goes(
    page: LettersPage, office: Office, qtbot: QtBot
) -> None:
    assert not body(page).row.button.ready
    key(page, qtbot, Qt.Key.Key_Return, "ctrl")
    assert office.trouble == NO_ACCOUNT
    assert states(office) == []


def test_f4_keeps_a_letter_as_a_draft_and_f9_notes_it_as_sent(
    page: LettersPage, office: Office, qtbot: QtBot
) -> None:
    QTest.keyClicks(words(page), "Good morning! ")
    key(page, qtbot, Qt.Key.Key_F4)
    assert states(office) == ["prepared"]
    assert stored(office).text.startswith("Good morning! ")
    assert page.strip.entries[0].result == "written, by e-mail"
    key(page, qtbot, Qt.Key.Key_F9)
    assert states(office) == ["sent"]
    key(page, qtbot, Qt.Key.Key_Z, "ctrl")
    assert states(office) == ["prepared"], "undo by name takes it back"
    assert page._fact.text() == "0 of 3 sent"


def test_esc_brings_the_words_back_and_then_leads_back(
    page: LettersPage, office: Office, qtbot: QtBot
) -> None:
    before = words(page).toPlainText()
    QTest.keyClicks(words(page), "Nonsense ")
    key(page, qtbot, Qt.Key.Key_Escape)
    assert words(page).toPlainText() == before
    key(page, qtbot, Qt.Key.Key_Escape)
    assert page.window().here.title == "Renewals"  # type: ignore[attr-defined]
    assert states(office) == []


def test_how_to_stop_may_be_worded_and_not_dropped(
    page: LettersPage, office: Office, qtbot: QtBot
) -> None:
    field = words(page)
    field.selectAll()
    QTest.keyClicks(field, "Come by on Monday.")
    key(page, qtbot, Qt.Key.Key_F9)
    assert "how to stop" in office.trouble
    assert "sent" not in states(office)
    QTest.keyClicks(field, " Write stop and I shall not ask again.")
    key(page, qtbot, Qt.Key.Key_F9)
    assert states(office) == ["sent"]


def test_more_than_ninety_words_are_counted_and_may_go_all_the_same(page: LettersPage) -> None:
    assert "over 90" not in body(page).row.hints.text()
    QTest.keyClicks(words(page), "word " * 91)
    assert " words, over 90" in body(page).row.hints.text()
    assert body(page).row.reason == NO_ACCOUNT, "nothing else keeps it"


def test_another_way_is_chosen_from_the_keyboard_and_its_words_are_others(
    page: LettersPage, office: Office, qtbot: QtBot
) -> None:
    customers.edit_customer(office.desk, 1, phone="+13125550142")
    page.refresh(frozenset())
    qtbot.waitUntil(lambda: not office.runner.busy)
    mail = next(one for one in body(page)._ways if one.isChecked())
    mail.setFocus()
    for _ in range(2):
        if stored_channel(office) != "phone":
            key(page, qtbot, Qt.Key.Key_Right)
    assert stored_channel(office) == "phone"
    assert "Shall we find a day" in body(page).words.text
    assert body(page).row.button.text() == "Note the call"
    assert body(page).subject.isHidden()


def stored_channel(office: Office) -> str:
    with office.desk.book.reading() as session:
        found = session.query(Reminder).first()
        return found.channel if found is not None else ""


def test_who_said_stop_since_then_gets_no_letter_and_the_foot_says_why(
    page: LettersPage, office: Office, qtbot: QtBot
) -> None:
    key(page, qtbot, Qt.Key.Key_F4)
    customers.stop(office.desk, 1, TODAY)  # in another window: this page does not hear of it
    key(page, qtbot, Qt.Key.Key_F9)
    assert states(office) == ["withheld"]
    assert "is taken off the list: asked on 14 August 2025" in office.saved
    assert page._fact.text() == "0 of 2 sent"


def test_f6_writes_the_letters_files_into_the_folder_that_is_chosen(
    page: LettersPage,
    office: Office,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    with office.desk.book.load() as session:
        setting_queries.write(session, {"shop_email": "shop@example.org"})
    office.desk.reload()
    seen: list[Path] = []
    monkeypatch.setattr(letters_page, "open_outside", seen.append)
    monkeypatch.setattr(
        "app.window.renewals.letters_page.QFileDialog.getExistingDirectory",
        lambda *_: str(tmp_path / "out"),
    )
    key(page, qtbot, Qt.Key.Key_F6)
    assert [path.suffix for path in seen] == [".eml"]
    assert seen[0].exists()
    assert states(office) == ["prepared"]


def test_alt_down_leaves_a_letter_and_opens_the_next(page: LettersPage, qtbot: QtBot) -> None:
    key(page, qtbot, Qt.Key.Key_Down, "alt")
    assert words(page).toPlainText().startswith("Hello Owner 0002")


def test_of_many_letters_those_without_room_are_counted_and_reached(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    fill(office, 40)
    place = opened(office, shown, qtbot)
    press(place, qtbot, Qt.Key.Key_Return, ctrl=True)
    page = letters_of(place, qtbot)
    assert page.strip.entries[-1].key == MORE
    seen = set()
    for _ in range(39):
        seen.add(words(page).toPlainText().split(",")[0])
        key(page, qtbot, Qt.Key.Key_Down, "alt")
    seen.add(words(page).toPlainText().split(",")[0])
    assert len(seen) == 40


def test_an_empty_page_says_what_will_stand_there(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    place = opened(office, shown, qtbot)
    office.go("letters")
    page = letters_of(place, qtbot)
    assert page.body is page._empty
    with office.desk.book.reading() as session:
        assert session.query(Customer).count() == 0
