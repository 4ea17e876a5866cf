"""The station *Whom to remind* by its own keys: words, drafts, sent, and what must not go."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.actions.letters.reminders import prepare_all, whom_to_remind
from app.actions.people.customers import stop
from app.records.models import Job, Reminder
from app.records.queries import settings
from tests.shop import TODAY, SmallShop
from tests.waxed import wax_the_coupe
from tests.window.day.conftest import Hands

Key = Qt.Key


def into_table(hands: Hands, key: object, column: str) -> None:
    table = hands.sheet.station().table
    table.setFocus()
    assert table.go(key, column)  # type: ignore[arg-type]
    hands.settle()


@pytest.fixture
def due(desk: Desk, shop: SmallShop) -> None:
    wax_the_coupe(desk, shop)


def test_the_words_of_a_reminder_are_changed_copied_and_noted_as_sent(
    due: None, hands: Hands, desk: Desk
) -> None:
    letters = whom_to_remind(desk, TODAY).letters
    assert len(letters) == 1
    hands.open(5)
    into_table(hands, ("letter", letters[0].key), "name")
    hands.press(Key.Key_E)
    field = QApplication.focusWidget()
    QTest.keyClicks(field, "Good day. ")
    hands.sheet.margin.keep()
    hands.settle()
    changed = whom_to_remind(desk, TODAY).letters[0]
    assert changed.text.startswith("Good day. ")
    assert changed.prepared_id is not None
    into_table(hands, ("letter", letters[0].key), "name")
    hands.press(Key.Key_C)
    assert "Good day. " in QGuiApplication.clipboard().text()
    hands.press(Key.Key_S)
    assert not whom_to_remind(desk, TODAY).letters


@pytest.mark.parametrize(("key", "state"), [(Key.Key_Y, "sent"), (Key.Key_R, "prepared")])
def test_a_mail_that_may_have_gone_is_settled_at_the_station(
    due: None, hands: Hands, desk: Desk, key: Key, state: str
) -> None:
    _, (number,) = prepare_all(desk, TODAY)
    with desk.book.change("Sending a reminder", undoable=False) as session:
        session.get_one(Reminder, number).state = "uncertain"
    hands.open(5)
    into_table(hands, ("unsure", number), "name")
    hands.press(key)
    with desk.book.reading() as session:
        assert session.get_one(Reminder, number).state == state


def test_a_letter_at_the_station_is_not_noted_as_sent_to_whoever_was_booked_meanwhile(
    due: None, hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    _, (number,) = prepare_all(desk, TODAY)
    hands.open(5)
    with desk.book.load() as session:  # the page that lies open does not hear of it
        job = session.get_one(Job, shop.jobs["0412"])
        job.state, job.first_day, job.last_day = "booked", TODAY + timedelta(days=5), None
    into_table(hands, ("letter", "tolk"), "name")
    hands.press(Key.Key_S)
    with desk.book.reading() as session:
        assert session.get_one(Reminder, number).state == "withheld"
    assert "taken off the list: is booked for 19 August 2025" in hands.sheet.office.saved


def test_what_the_close_prepared_is_noted_as_sent_on_the_same_evening(
    due: None, hands: Hands, desk: Desk
) -> None:
    close_day(desk, TODAY)
    hands.sheet.refresh(frozenset({"days", "reminders"}))
    hands.settle()
    hands.open(5)
    into_table(hands, ("letter", "tolk"), "name")
    hands.press(Key.Key_S)
    with desk.book.reading() as session:
        (row,) = session.query(Reminder)
        assert (row.state, row.sent_on) == ("sent", TODAY)


def test_the_words_to_whoever_said_stop_meanwhile_are_not_copied(
    due: None, hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    _, (number,) = prepare_all(desk, TODAY)
    hands.open(5)
    QGuiApplication.clipboard().setText("what was there")
    stop(desk, shop.customers["tolk"], TODAY)  # elsewhere: the page does not hear of it
    into_table(hands, ("letter", "tolk"), "name")
    hands.press(Key.Key_C)
    assert QGuiApplication.clipboard().text() == "what was there"
    assert "The reminder to Mara Tolk is taken off the list" in hands.sheet.office.saved
    with desk.book.reading() as session:
        assert session.get_one(Reminder, number).state == "withheld"


def test_f4_writes_the_drafts_of_those_who_may_be_written_to_and_names_the_others(
    due: None, hands: Hands, desk: Desk, shop: SmallShop, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    with desk.book.load() as session:
        settings.write(session, {"shop_email": "shop@lindmoor.example"})
    desk.reload()
    out = tmp_path / "drafts"
    monkeypatch.setattr("PySide6.QtWidgets.QFileDialog.getExistingDirectory", lambda *_: str(out))
    hands.open(5)
    hands.press(Key.Key_F4)
    hands.settle()
    assert {path.suffix for path in out.iterdir()} == {".txt", ".eml", ".ics"}
    assert "3 files written to" in hands.sheet.office.saved
    for path in out.iterdir():
        path.unlink()
    _, (number,) = prepare_all(desk, TODAY)
    stop(desk, shop.customers["tolk"], TODAY)  # elsewhere: the page does not hear of it
    hands.press(Key.Key_F4)
    hands.settle()
    assert list(out.iterdir()) == []
    assert "The reminder to Mara Tolk is taken off the list" in hands.sheet.office.saved
    with desk.book.reading() as session:
        assert session.get_one(Reminder, number).state == "withheld"
