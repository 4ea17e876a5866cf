"""From an enquiry to its estimate, the yes, the job, the invoice, money and a credit, by keys."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from app.actions.desk.desk import Desk
from app.actions.figures.slips import slip
from app.actions.jobs.enquiries import note_enquiry
from app.actions.jobs.estimate_versions import Version, versions
from app.actions.jobs.invoices import papers_of
from app.actions.jobs.job_card import job_card
from app.actions.jobs.job_changes import add_charge
from app.records.models import Job
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.estimate_body import EstimateBody
from app.window.jobs.owed_bodies import MoneyBody
from app.window.jobs.place import JobsPlace
from tests.shop import SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


@pytest.fixture
def place(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]
) -> JobsPlace:
    made = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
    shown(made, 1366, 768)
    made.open("jobs")
    assert isinstance(made.here, JobsPlace)
    return made.here


def body(place: JobsPlace) -> EstimateBody:
    found = place.card.body("estimate")
    assert isinstance(found, EstimateBody)
    return found


def newest(desk: Desk, job: int) -> Version:
    return versions(desk, job)[-1]


def test_an_enquiry_becomes_an_estimate_a_job_an_invoice_a_payment_and_a_credit(
    place: JobsPlace, desk: Desk, shop: SmallShop
) -> None:
    job = note_enquiry(desk, "Jonas Quell 312 555 0177", "a coating")[1]
    place.listing.read()
    press(Key.Key_4, ALT)
    press(Key.Key_F8)
    version = newest(desk, job)
    assert place.card.open_key == "estimate"
    assert version.row.state == "draft"
    type_words("400 500 700")
    press(Key.Key_Return)
    assert newest(desk, job).lines[0].likely == 50_000
    table = body(place).table
    table.write_in("new", "text")
    type_words("Travel 30")
    press(Key.Key_Return)
    assert [line.text for line in newest(desk, job).lines] == ["a coating", "Travel"]
    assert not body(place).range.isHidden()
    press(Key.Key_Return, CTRL)  # given
    given = newest(desk, job)
    assert given.given
    press(Key.Key_Return, CTRL)  # who said yes: the customer, by telephone
    press(Key.Key_Return)
    yes = newest(desk, job)
    assert (yes.row.approved_by, yes.row.approved_how) == ("Jonas Quell", "phone")
    assert yes.ceiling == yes.row.high
    assert "agreed" in body(place).range.accessibleName()
    table.write_in(("answer", yes.holds[0].hold_id), "text")
    type_words("go on, by mail")
    press(Key.Key_Return)
    hold = newest(desk, job).holds[0]
    assert (hold.answer, hold.channel) == ("go on", "mail")
    press(Key.Key_Escape)
    press(Key.Key_Escape)
    press(Key.Key_Return, CTRL)  # the booking, filled in from the enquiry
    press(Key.Key_Return, CTRL)  # is booked
    assert job_card(desk, job).job.state == "booked"
    add_charge(desk, job, "Coating", "900", 0)
    assert job_card(desk, job).call is not None
    place.open_item(job)
    place.card.open("estimate", still=True)
    body(place).table.write_in("call", "text")
    type_words("go on 950")
    press(Key.Key_Return)
    assert newest(desk, job).ceiling == 95_000
    assert job_card(desk, job).call is None
    place.card.open("money", still=True)
    money = place.card.body("money")
    assert isinstance(money, MoneyBody)
    assert "not above 950.00" in money.bar.accessibleName()
    money.table.setFocus()
    press(Key.Key_Space)  # what was agreed and not charged
    assert "Travel" in [one.text for one in job_card(desk, job).money.charges]
    with desk.book.load() as session:
        row = session.get_one(Job, job)
        row.state, row.done_on = "done", desk.today
    place.open_item(job)
    place.card.open("money", still=True)
    money = place.card.body("money")
    assert isinstance(money, MoneyBody)
    money.table.setFocus()
    press(Key.Key_F2)
    press(Key.Key_F2)  # issued
    (issued,) = papers_of(desk, job).issued
    money.table.write_in("take", "amount")
    type_words("600 card tip 25")
    press(Key.Key_Return)
    came = [(one.amount, one.kind) for one in job_card(desk, job).money.receipts]
    assert sorted(came) == [(2_500, "tip"), (57_500, "payment")]
    money.table.setFocus()
    money.table.go(("charge", issued.lines[0].charge_id), "text")
    press(Key.Key_F11)
    type_words("100 one door left as it was")
    press(Key.Key_Return)
    credit = papers_of(desk, job).issued[-1].invoice
    assert (credit.kind, credit.net) == ("credit", 10_000)
    assert job_card(desk, job).money.sums.due == issued.invoice.gross - credit.gross - 57_500
    found = slip(desk, desk.today, desk.today)
    assert found.adds_up
    assert (found.tips, found.owed_after) == (2_500, job_card(desk, job).money.sums.due)
