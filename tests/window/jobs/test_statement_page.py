"""What is owed by invoice: paid, asked for and disputed by keys, with its statement."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from app.actions.desk.desk import Desk
from app.actions.jobs import invoices
from app.actions.jobs.invoice_standing import stand_of
from app.actions.jobs.jobs import list_jobs
from app.actions.people import customers
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs import statement_page
from app.window.jobs.place import JobsPlace
from app.window.jobs.statement_page import StatementPage
from app.window.people.customers_place import CustomersPlace
from tests.actions.jobs.test_invoice_standing import charged
from tests.shop import SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]) -> Shell:
    made = Shell(
        office,
        [
            PlaceEntry("jobs", "Jobs", "jobs", JobsPlace),
            PlaceEntry("customers", "Customers", "customers", CustomersPlace),
        ],
        asides=[PlaceEntry("statement", "A statement", "", StatementPage)],
    )
    shown(made, 1366, 768)
    made.open("jobs")
    return made


def test_two_jobs_are_put_on_one_invoice_that_is_paid_in_part_promised_and_disputed(
    shell: Shell, desk: Desk, shop: SmallShop
) -> None:
    jobs = charged(desk, shop.customers["quell"], "100", "50")
    press(Key.Key_6, ALT)
    place = shell.here
    assert isinstance(place, JobsPlace)
    table = place.listing.part.table
    table.go(jobs[0])
    table.setFocus()
    press(Key.Key_Down, SHIFT)
    press(Key.Key_F2)
    assert "for 2 jobs, 160.88: once issued it stays" in place.office.question
    press(Key.Key_F2)
    (one,) = list_jobs(desk, "owed").invoices
    assert (one.jobs, one.due) == (tuple(jobs), 16_088)
    table.go(("invoice", one.invoice_id))
    press(Key.Key_Return, CTRL)
    type_words("200 check")
    press(Key.Key_Return)
    assert "more than the 160.88 due" in place.office.trouble
    QApplication.processEvents()
    field = QApplication.focusWidget()
    assert isinstance(field, QLineEdit)
    assert field.text() == "200 check", "to be put right"
    field.selectAll()
    type_words("60.88 check")
    press(Key.Key_Return)
    assert list_jobs(desk, "owed").invoices[0].due == 10_000
    press(Key.Key_F5)
    type_words("+7")
    press(Key.Key_Return)
    assert list_jobs(desk, "owed").invoices[0].word == "pays on 21 Aug"
    press(Key.Key_F6)
    type_words("a spot on the roof")
    press(Key.Key_Return)
    assert list_jobs(desk, "owed").invoices[0].disputed
    press(Key.Key_F6)
    assert not list_jobs(desk, "owed").invoices[0].disputed
    press(Key.Key_Return, CTRL)
    press(Key.Key_Return)  # all of it, the first way
    assert list_jobs(desk, "owed").invoices == ()


def test_a_statement_is_printed_and_a_reminder_written_and_remembered(
    shell: Shell, desk: Desk, shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[Path] = []
    monkeypatch.setattr(statement_page, "open_outside", opened.append)
    tolk = shop.customers["tolk"]
    customers.edit_customer(desk, tolk, email="mara@example.org", street="3 Weir Terrace")
    invoices.issue(desk, *charged(desk, tolk, "100"))
    press(Key.Key_6, ALT)
    (one,) = list_jobs(desk, "owed").invoices
    place = shell.here
    assert isinstance(place, JobsPlace)
    place.listing.part.table.go(("invoice", one.invoice_id))
    press(Key.Key_F4)
    page = shell.here
    assert isinstance(page, StatementPage)
    press(Key.Key_Return, CTRL)
    press(Key.Key_2, ALT)
    press(Key.Key_Return, CTRL)
    press(Key.Key_F2)
    type_words("Dear Mara, ")
    press(Key.Key_F6)
    assert [path.suffix for path in opened] == [".pdf", ".eml", ".pdf"]
    with desk.book.reading() as session:
        stand = stand_of(session, desk, one.invoice_id)
    assert stand is not None
    assert [word.how for word in stand.asked] == ["mail", "letter"]
    mailed, letter = (word.text for word in stand.asked)
    assert letter == f"Dear Mara, {mailed}", "what went is kept in the words that went"
    assert "friendly word" in mailed
    customers.deceased(desk, tolk)
    page.refresh(page.shows)
    press(Key.Key_F6)
    assert "has died; no reminder goes to them" in page.office.trouble
    press(Key.Key_Escape)
    assert isinstance(shell.here, JobsPlace)


def test_who_pays_is_chosen_for_a_customer_and_for_a_job(
    shell: Shell, desk: Desk, shop: SmallShop
) -> None:
    tolk, quell = shop.customers["tolk"], shop.customers["quell"]
    (job,) = charged(desk, tolk, "100")
    shell.open("customers")
    place = shell.here
    assert isinstance(place, CustomersPlace)
    place.open_item(tolk)
    press(Key.Key_F3)
    name = customers.customer_page(desk, quell).title
    type_words(name)
    press(Key.Key_Return)
    assert dict(customers.customer_page(desk, tolk).facts)["Paid by"] == name
    assert invoices.who_pays(desk, job) == quell
    shell.open("jobs")
    assert isinstance(shell.here, JobsPlace)
    shell.here.open_item(job)
    press(Key.Key_F10)
    type_words("Tolk")
    press(Key.Key_Return)
    assert invoices.who_pays(desk, job) == tolk
