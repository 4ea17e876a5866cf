"""What was agreed beside what is charged; what is missing is charged by one step."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs import estimate_versions as estimates
from app.actions.jobs import estimate_writing
from app.actions.jobs.agreed import Agreed, agreed_with, charge_agreed
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.enquiries import note_enquiry
from app.actions.jobs.invoices import credit, issue, papers_of
from app.actions.jobs.job_card import job_card
from app.actions.jobs.job_changes import edit_charge
from app.actions.jobs.services import add_service
from app.errors import Mendable
from app.records.contents import contents
from app.records.models import Job
from tests.shop import TODAY, SmallShop


@pytest.fixture
def job(desk: Desk, shop: SmallShop) -> int:
    """An enquiry for a coating at 500.00, with travel 30.00 and a discount of 25.00, agreed to."""
    made = note_enquiry(desk, "Jonas Quell", "a coating")[1]
    number = estimates.make_version(desk, made)[1]
    line = estimates.versions(desk, made)[-1].lines[0]
    estimate_writing.edit_line(desk, line.line_id, "likely", "400 500 700")
    estimate_writing.add_line(desk, number, "Travel", "30")
    estimate_writing.add_line(desk, number, "Discount", "-25")
    estimates.approve(desk, number, "Jonas Quell", "phone")
    return made


def agreed(desk: Desk, job: int) -> Agreed:
    card = job_card(desk, job)
    found = agreed_with(card.versions, card.money.charges)
    assert found is not None
    return found


def charged(desk: Desk, job: int) -> dict[str, int]:
    return {one.text: one.amount for one in job_card(desk, job).money.charges}


def test_what_was_agreed_is_charged_at_once_and_undone_at_once(desk: Desk, job: int) -> None:
    before = contents(desk.book)
    assert [one.text for one in agreed(desk, job).missing] == ["a coating", "Travel", "Discount"]
    assert charge_agreed(desk, job).name == "3 charges on 0413: 505.00"
    assert charged(desk, job) == {"a coating": 50_000, "Travel": 3_000, "Discount": -2_500}
    assert agreed(desk, job).missing == ()
    with pytest.raises(Mendable, match="Nothing was agreed"):
        charge_agreed(desk, job)
    desk.book.undo(today=TODAY)
    assert contents(desk.book) == before


def test_a_line_is_charged_as_typed_and_its_likely_price_stays_beside_it(
    desk: Desk, job: int
) -> None:
    travel = agreed(desk, job).missing[1]
    charge_agreed(desk, job, travel.line_id, "45")
    (charge,) = job_card(desk, job).money.charges
    assert (charge.amount, agreed(desk, job).likely) == (4_500, {charge.charge_id: 3_000})


def test_services_sold_since_stand_for_the_words_of_the_enquiry(
    desk: Desk, job: int, shop: SmallShop
) -> None:
    coating = add_service(desk, "Two-year coating", minutes="5:00", price="480")[1]
    book_job(
        desk,
        NewJob(customer_id=shop.customers["quell"], services=((coating, 1),), of_enquiry=job),
    )
    assert [one.text for one in agreed(desk, job).missing] == ["Travel", "Discount"]


def test_nothing_is_missing_before_they_said_yes(desk: Desk, shop: SmallShop) -> None:
    made = note_enquiry(desk, "Jonas Quell", "a coating")[1]
    estimates.make_version(desk, made)
    assert agreed(desk, made).missing == ()


def test_what_was_credited_whole_is_charged_again_to_be_put_right(desk: Desk, job: int) -> None:
    charge_agreed(desk, job)
    with desk.book.load() as session:
        row = session.get_one(Job, job)
        row.state, row.done_on = "done", TODAY
    issue(desk, job)
    with pytest.raises(Mendable, match="Nothing was agreed"):
        charge_agreed(desk, job)
    credit(desk, papers_of(desk, job).issued[0].invoice.invoice_id, "the wrong name")
    with pytest.raises(Mendable, match="Space writes the charges again"):
        issue(desk, job)
    charge_agreed(desk, job)
    again = papers_of(desk, job).open_charges
    assert [(one.text, one.amount) for one in again] == [
        ("a coating", 50_000), ("Travel", 3_000), ("Discount", -2_500),
    ]  # fmt: skip
    edit_charge(desk, again[0].charge_id, typed="450")
    issue(desk, job)
    assert papers_of(desk, job).issued[-1].invoice.net == 45_500
    assert desk.book.check() == []
