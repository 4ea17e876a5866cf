"""A done job is invoiced, printed, mailed and credited by keys on its card."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

from app.actions.desk.desk import Desk
from app.actions.jobs.invoices import papers_of
from app.records.models import Job
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs import invoicing
from app.window.jobs.owed_bodies import MoneyBody
from app.window.jobs.place import JobsPlace
from app.window.paper.cells import TableRow
from tests.shop import TODAY, SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key


@pytest.fixture
def job(desk: Desk, shop: SmallShop) -> int:
    number = shop.jobs["0412"]
    with desk.book.load() as session:
        row = session.get_one(Job, number)
        row.state, row.done_on, row.customer_id = "done", TODAY, shop.customers["tolk"]
    return number


@pytest.fixture
def place(office: Office, job: int, shown: Callable[[QWidget, int, int], QWidget]) -> JobsPlace:
    made = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
    shown(made, 1366, 768)
    made.open("jobs")
    assert isinstance(made.here, JobsPlace)
    made.here.open_item(job)
    made.here.card.open("money", still=True)
    return made.here


def money_body(place: JobsPlace) -> MoneyBody:
    found = place.card.body("money")
    assert isinstance(found, MoneyBody)
    found.table.setFocus()
    return found


def test_an_invoice_is_asked_about_issued_printed_mailed_and_credited(
    place: JobsPlace, desk: Desk, job: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[Path] = []
    monkeypatch.setattr(invoicing, "open_outside", opened.append)
    body, office = money_body(place), place.office
    press(Key.Key_F11)
    assert office.trouble == "Nothing is invoiced yet; F2 issues the invoice."
    press(Key.Key_F2)
    assert "once issued it stays as it is. F2 once more issues it." in office.question
    assert papers_of(desk, job).issued == ()
    press(Key.Key_F2)
    (issued,) = papers_of(desk, job).issued
    number = issued.invoice.number_text
    shown = [row.cells[0].text for row in body.table.rows if isinstance(row, TableRow)]
    assert f"Invoice {number}" in shown
    before = [line.amount for line in issued.lines]
    body.table.go(("charge", issued.lines[0].charge_id), "amount")
    type_words("1")
    press(Key.Key_Return)
    assert [line.amount for line in papers_of(desk, job).issued[0].lines] == before
    press(Key.Key_F2)
    press(Key.Key_F3)
    assert [path.suffix for path in opened] == [".pdf", ".eml"]
    assert [word.how for word in papers_of(desk, job).issued[0].words] == ["paper", "mail"]
    body.table.go(("charge", issued.lines[0].charge_id), "text")
    press(Key.Key_F11)
    type_words("1 a high spot polished again")
    press(Key.Key_Return)
    QApplication.processEvents()
    credit = papers_of(desk, job).issued[-1].invoice
    assert (credit.kind, credit.net, credit.reason) == ("credit", 100, "a high spot polished again")
    money_body(place)
    press(Key.Key_F11)
    type_words("all of it was wrong")
    press(Key.Key_Return)
    papers = papers_of(desk, job)
    assert papers.issued[-1].invoice.kind == "credit"
    assert desk.book.check() == []


def test_a_number_ahead_of_the_reason_is_not_taken_for_a_part_alone(
    place: JobsPlace, desk: Desk, job: int
) -> None:
    body = money_body(place)
    press(Key.Key_F2)
    press(Key.Key_F2)
    line = papers_of(desk, job).issued[0].lines[0]
    look_up = invoicing.credit_lines(place.office, body.job, ("charge", line.charge_id))
    told = [(one.kind, one.text) for one in look_up("2 wheels were scratched")]
    number = papers_of(desk, job).issued[0].invoice.number_text
    assert told[0] == (f"Credit 2.00 of {line.text}", "wheels were scratched")
    assert told[-1] == (f"Credit all of {number}", "2 wheels were scratched")


def test_work_that_is_not_done_is_not_invoiced(
    place: JobsPlace, desk: Desk, shop: SmallShop
) -> None:
    place.open_item(shop.jobs["0411"])
    place.card.open("money", still=True)
    money_body(place)
    press(Key.Key_F2)
    assert "is not done; an invoice is issued for work that is" in place.office.trouble


def test_why_a_job_came_to_more_is_one_key_on_its_money(
    place: JobsPlace, desk: Desk, job: int
) -> None:
    body = money_body(place)
    press(Key.Key_R, Qt.KeyboardModifier.AltModifier)
    assert body.job.job.drift_reason == "redone"
    press(Key.Key_R, Qt.KeyboardModifier.AltModifier)
    assert body.job.job.drift_reason == ""
