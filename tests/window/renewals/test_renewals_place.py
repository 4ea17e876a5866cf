"""The Renewals place by keyboard: write, change, note as sent, answer, check, put off, undo."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.people import customers
from app.documents.papers.post import MailServer
from app.records.models import Customer, LayerEvent, OwnerLink, Reminder, Supply, Vehicle
from app.records.queries import settings as setting_queries
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.paper.cells import TableRow
from app.window.paper.finder import Finder
from app.window.paper.notes import Facts, Offer, Voice
from app.window.people.customers_place import CustomersPlace
from app.window.renewals.letters_page import LettersPage
from app.window.renewals.renewals_place import RenewalsPlace
from tests.mailserver import Box, serving

TODAY = date(2025, 8, 14)
Shown = Callable[[QWidget, int, int], QWidget]


def fill(office: Office, count: int) -> None:
    """So many customers, each with a vehicle waxed ten weeks ago."""
    day = TODAY - timedelta(days=70)
    with office.desk.book.load() as session:
        session.add(Supply(id=1, name="Carnauba paste", kind="paste", protection="carnauba wax"))
        for number in range(1, count + 1):
            session.add(
                Customer(id=number, name=f"Owner {number:04d}", email=f"o{number}@example.org")
            )
            session.add(Vehicle(id=number, description="blue wagon"))
            session.flush()
            session.add(OwnerLink(vehicle_id=number, customer_id=number))
            session.add(
                LayerEvent(
                    vehicle_id=number,
                    day=day,
                    at=datetime(day.year, day.month, day.day, 17, tzinfo=UTC),
                    kind="applied",
                    surface_group="upper sides",
                    supply_id=1,
                )
            )


def opened(office: Office, shown: Shown, qtbot: QtBot) -> RenewalsPlace:
    shell = Shell(
        office,
        [
            PlaceEntry("renewals", "Renewals", "renewals", RenewalsPlace),
            PlaceEntry("customers", "Customers", "customers", CustomersPlace),
        ],
        asides=[PlaceEntry("letters", "Letters to send", "", LettersPage)],
    )
    shown(shell, 1366, 768)
    shell.open("renewals")
    place = shell.place("renewals")
    assert isinstance(place, RenewalsPlace)
    qtbot.waitUntil(lambda: not office.runner.busy)
    return place


def press(place: RenewalsPlace, qtbot: QtBot, key: Qt.Key, *, ctrl: bool = False) -> None:
    place.table.setFocus()
    held = Qt.KeyboardModifier.ControlModifier if ctrl else Qt.KeyboardModifier.NoModifier
    QTest.keyClick(place.table, key, held)
    qtbot.waitUntil(lambda: not place.office.runner.busy)


def letters_of(place: RenewalsPlace, qtbot: QtBot) -> LettersPage:
    """The letters, once they are read."""
    shell = place.window()
    assert isinstance(shell, Shell)
    page = shell.place("letters")
    assert isinstance(page, LettersPage)
    qtbot.waitUntil(lambda: not place.office.runner.busy)
    return page


def by_letter(place: RenewalsPlace, qtbot: QtBot, key: Qt.Key) -> None:
    """Open the letter about the layer with the focus by Enter, press a key there, and go back."""
    press(place, qtbot, Qt.Key.Key_Return)
    letters_of(place, qtbot)
    QTest.keyClick(place.window().focusWidget(), key)
    qtbot.waitUntil(lambda: not place.office.runner.busy)
    place.office.go("renewals")
    qtbot.waitUntil(lambda: not place.office.runner.busy)


def write(place: RenewalsPlace, qtbot: QtBot) -> None:
    by_letter(place, qtbot, Qt.Key.Key_F4)


def note_sent(place: RenewalsPlace, qtbot: QtBot) -> None:
    by_letter(place, qtbot, Qt.Key.Key_F9)


def states(office: Office) -> list[str]:
    with office.desk.book.reading() as session:
        return [one.state for one in session.query(Reminder).order_by(Reminder.id)]


@pytest.fixture
def place(office: Office, shown: Shown, qtbot: QtBot) -> RenewalsPlace:
    fill(office, 2)
    return opened(office, shown, qtbot)


def test_a_letter_is_written_sent_and_answered_by_keyboard(
    place: RenewalsPlace, office: Office, qtbot: QtBot
) -> None:
    assert place.row.button.text() == "Read the 2 letters"
    write(place, qtbot)
    assert states(office) == ["prepared"]
    note_sent(place, qtbot)
    assert states(office) == ["sent"]
    with office.desk.book.reading() as session:
        sent_to = session.get_one(Reminder, 1).customer_id
    place.open_item(sent_to)
    press(place, qtbot, Qt.Key.Key_B)
    assert states(office) == ["answered"]
    press(place, qtbot, Qt.Key.Key_Z, ctrl=True)
    assert states(office) == ["sent"], "undo by name takes the answer back"


def test_checked_and_still_good_moves_the_layer_to_what_is_to_come(
    place: RenewalsPlace, qtbot: QtBot
) -> None:
    key = place.table.current_key()
    press(place, qtbot, Qt.Key.Key_G)
    assert place._view is not None
    row = next(row for row in place._view.rows if row.key == key)
    assert row.state == "coming"
    assert row.checks == (TODAY,)


def test_not_now_puts_the_customer_off_and_says_until_when(
    place: RenewalsPlace, office: Office, qtbot: QtBot
) -> None:
    press(place, qtbot, Qt.Key.Key_N)
    place.table.setFocus()
    assert "11 September" in place.foot_left.text()
    assert len(place._whom.letters if place._whom else ()) == 1


def test_an_empty_book_teaches_and_its_action_says_why_not(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    place = opened(office, shown, qtbot)
    assert place.table.rows == ()
    assert not place.row.button.ready
    press(place, qtbot, Qt.Key.Key_Return, ctrl=True)
    assert states(office) == []


def test_two_thousand_layers_are_shown_and_walked_through(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    fill(office, 2000)
    place = opened(office, shown, qtbot)
    press(place, qtbot, Qt.Key.Key_Space)
    assert sum(1 for row in place.table.rows if isinstance(row, TableRow) and not row.low) >= 2000
    for _ in range(5):
        press(place, qtbot, Qt.Key.Key_PageDown)
    assert place.table.current_key() is not None


def make_unsure(office: Office, number: int) -> None:
    with office.desk.book.change("Sending a reminder", undoable=False) as session:
        session.get_one(Reminder, number).state = "uncertain"
    office.changed.emit(frozenset({"reminders"}))


@pytest.mark.parametrize(("key", "state"), [(Qt.Key.Key_Y, "sent"), (Qt.Key.Key_R, "prepared")])
def test_what_may_or_may_not_have_gone_waits_for_one_of_two_answers(
    place: RenewalsPlace, office: Office, qtbot: QtBot, key: Qt.Key, state: str
) -> None:
    write(place, qtbot)
    make_unsure(office, 1)
    qtbot.waitUntil(lambda: not office.runner.busy)
    place.table.go(("unsure", 1))
    row = place.table.rows[1]
    assert isinstance(row, TableRow)
    assert "may or may not have gone" in row.cells[0].detail
    assert place._whom is not None
    assert 1 not in [one.customer_id for one in place._whom.letters], (
        "no second one is written while nobody knows"
    )
    press(place, qtbot, key)
    assert states(office) == [state]
    assert place._whom.unsure == ()
    press(place, qtbot, Qt.Key.Key_Z, ctrl=True)
    assert states(office) == ["uncertain"], "said by mistake, it can be taken back"


def test_what_came_of_the_reminders_opens_by_h_and_a_figure_opens_its_reminder(
    place: RenewalsPlace, office: Office, qtbot: QtBot
) -> None:
    note_sent(place, qtbot)
    with office.desk.book.reading() as session:
        name = session.get_one(Customer, session.get_one(Reminder, 1).customer_id).name
    press(place, qtbot, Qt.Key.Key_H)
    press(place, qtbot, Qt.Key.Key_H)
    assert "wagon" in place.margin._note.title, "H goes back to the layer"
    press(place, qtbot, Qt.Key.Key_H)
    offers = [block.text for block in place.margin._note.blocks if isinstance(block, Offer)]
    assert offers[0] == "1 of 1 delivered"
    assert "1 no answer" in offers
    press(place, qtbot, Qt.Key.Key_7)  # no answer
    finder = place.findChild(Finder)
    assert finder is not None
    QTest.keyClicks(place.window().focusWidget(), name[-2:])
    QTest.keyClick(place.window().focusWidget(), Qt.Key.Key_Return)
    shell = place.window()
    assert isinstance(shell, Shell)
    assert isinstance(shell.here, CustomersPlace)
    assert shell.here.title == name


def use_server(office: Office, server: MailServer) -> None:
    with office.desk.book.load() as session:
        setting_queries.write(
            session,
            {
                "shop_email": "shop@example.org",
                "mail_host": server.host,
                "mail_port": server.port,
                "mail_security": "none",
            },
        )
    office.desk.reload()


def test_m_sends_what_is_written_through_the_owners_own_server_once(
    place: RenewalsPlace, office: Office, qtbot: QtBot
) -> None:
    """The server is a real one on this machine (aiosmtpd)."""
    box = Box()
    with serving(box) as server:
        use_server(office, server)
        write(place, qtbot)
        assert states(office) == ["prepared"]
        press(place, qtbot, Qt.Key.Key_M)
        qtbot.waitUntil(lambda: states(office) == ["sent"])
        press(place, qtbot, Qt.Key.Key_M)
    assert len(box.taken) == 1


def holder(place: RenewalsPlace) -> int:
    row = place._current()
    assert row is not None
    return row.layer.holder.customer_id


@pytest.mark.parametrize("way", ["draft", "mail"])
def test_who_said_stop_after_the_letter_was_written_gets_none_and_the_foot_says_why(
    place: RenewalsPlace,
    office: Office,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    way: str,
) -> None:
    box = Box()
    monkeypatch.setattr(
        "PySide6.QtWidgets.QFileDialog.getExistingDirectory",
        lambda *_: str(tmp_path / "out"),
    )
    with serving(box) as server:
        use_server(office, server)
        write(place, qtbot)
        # In another window, or on the page of the customer: this page does not hear of it.
        customers.stop(office.desk, holder(place), TODAY)
        press(place, qtbot, {"draft": Qt.Key.Key_D, "mail": Qt.Key.Key_M}[way])
    assert states(office) == ["withheld"]
    assert "is taken off the list: asked on 14 August 2025" in office.saved
    assert box.taken == []
    assert not list((tmp_path / "out").glob("*"))
    press(place, qtbot, Qt.Key.Key_Z, ctrl=True)
    assert states(office) == ["prepared"], "taken back by its name"


def test_drafts_are_written_by_d_and_the_foot_says_how_many(
    place: RenewalsPlace,
    office: Office,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    with office.desk.book.load() as session:
        setting_queries.write(session, {"shop_email": "shop@example.org"})
    office.desk.reload()
    monkeypatch.setattr(
        "PySide6.QtWidgets.QFileDialog.getExistingDirectory",
        lambda *_: str(tmp_path / "out"),
    )
    write(place, qtbot)
    press(place, qtbot, Qt.Key.Key_D)
    assert "3 files written to" in office.saved
    assert len(list((tmp_path / "out").glob("*.eml"))) == 1


def margin_words(place: RenewalsPlace) -> str:
    note = place.margin.note
    return " ".join(block.text for block in note.blocks if isinstance(block, Voice))


def test_an_address_that_the_server_refuses_is_told_and_a_call_is_proposed(
    place: RenewalsPlace, office: Office, qtbot: QtBot
) -> None:
    customers.edit_customer(office.desk, 1, phone="+13125550142")
    with serving(Box(rcpt="550 no such user")) as server:
        use_server(office, server)
        place.refresh(frozenset())
        qtbot.waitUntil(lambda: not office.runner.busy)
        place.open_item(1)
        write(place, qtbot)
        place.open_item(1)
        press(place, qtbot, Qt.Key.Key_M)
    place.open_item(1)
    assert "“550 no such user”" in margin_words(place)
    assert Facts((("Goes by", "phone"),)) in place.margin.note.blocks
    press(place, qtbot, Qt.Key.Key_O)
    card = place.window().place("customers")  # type: ignore[attr-defined]
    QTest.keyClick(card.card, Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    assert "“550 no such user”" in margin_words(card)


def test_the_letters_of_the_chosen_rows_are_read_and_no_others(
    office: Office, shown: Shown, qtbot: QtBot
) -> None:
    fill(office, 4)
    place = opened(office, shown, qtbot)
    assert place.row.button.text() == "Read the 4 letters"
    place.table.setFocus()
    QTest.keyClick(place.table, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert place.row.button.text() == "Read the 2 letters"
    press(place, qtbot, Qt.Key.Key_Return, ctrl=True)
    shell = place.window()
    assert isinstance(shell, Shell)
    page = shell.here
    assert isinstance(page, LettersPage)
    assert len(page.strip.entries) == 2
    assert page._fact.text() == "0 of 2 sent, 2 others not chosen"
    shell.open("renewals")
    place.table.choose_none()
    press(place, qtbot, Qt.Key.Key_Return, ctrl=True)
    assert len(page.strip.entries) == 4
