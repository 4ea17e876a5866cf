"""Enquiries: noted from one line, booked, or kept with why they came to nothing."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.enquiries import CALLED_OFF, REASONS, note_enquiry, reasons
from app.actions.jobs.job_card import job_card
from app.actions.jobs.job_changes import book_again, cancel_job
from app.actions.jobs.jobs import list_jobs
from app.actions.people.customers import add_customer, customer_page, list_customers
from app.errors import Mendable
from app.records.contents import contents
from tests.shop import TODAY, SmallShop


def test_who_asked_what_for_and_when_are_noted_in_one_change(desk: Desk, shop: SmallShop) -> None:
    before = contents(desk.book)
    job = note_enquiry(desk, "ilse varga 312 555 0177", "a coating", "+4")[1]
    (row,) = list_jobs(desk, "enquiries").rows
    assert (row.job_id, row.customer, row.phone) == (job, "Ilse Varga", "+13125550177")
    assert (row.services, row.when_text, row.asked) == ("a coating", "+4", TODAY)
    assert job_card(desk, job).job.first_day == TODAY + timedelta(days=4)
    assert list_jobs(desk, "enquiries").sentence == "1 enquiry"
    assert job not in [one.job_id for one in list_jobs(desk, "booked").rows]
    desk.book.undo(today=TODAY)
    assert contents(desk.book) == before


def test_an_enquiry_of_somebody_known_is_theirs(desk: Desk, shop: SmallShop) -> None:
    job = note_enquiry(desk, "Tolk, Mara", "", "before winter")[1]
    card = job_card(desk, job).job
    assert (card.customer_id, card.wanted, card.first_day) == (
        shop.customers["tolk"], "before winter", None,
    )  # fmt: skip
    assert card.vehicle_id is None  # she holds two
    other = note_enquiry(desk, "jonas quell jonas@quell.example")[1]
    assert job_card(desk, other).job.vehicle_id == shop.vehicles["sedan"]
    assert customer_page(desk, shop.customers["quell"]).fields["email"] == "jonas@quell.example"
    assert list_customers(desk)[1] == 2


def test_two_of_one_name_are_told_apart_by_their_number(desk: Desk, shop: SmallShop) -> None:
    other = add_customer(desk, name="Mara Tolk", phone="312 555 0188")[1]
    with pytest.raises(Mendable, match="Two customers are called Mara Tolk"):
        note_enquiry(desk, "Mara Tolk")
    job = note_enquiry(desk, "Mara Tolk 312 555 0188")[1]
    assert job_card(desk, job).job.customer_id == other
    with pytest.raises(Mendable, match="name first"):
        note_enquiry(desk, "  ")


def test_an_enquiry_becomes_a_booking_that_is_known_from_that_day(
    desk: Desk, shop: SmallShop
) -> None:
    job = note_enquiry(desk, "Mara Tolk", "a coating", "+4")[1]
    assert book_again(desk, job).name.startswith("Booked")
    card = job_card(desk, job).job
    assert (card.state, card.asked_on, card.booked_on) == ("booked", TODAY, TODAY)
    assert list_jobs(desk, "enquiries").rows == ()
    # What is called off after it was booked is no enquiry any more.
    cancel_job(desk, job, "sold the car")
    assert list_jobs(desk, "enquiries").rows == ()


def test_what_came_to_nothing_is_kept_with_why_after_those_that_wait(
    desk: Desk, shop: SmallShop
) -> None:
    first = note_enquiry(desk, "Mara Tolk")[1]
    waiting = note_enquiry(desk, "Jonas Quell")[1]
    said = cancel_job(desk, first, "wanted it tomorrow")
    assert said.name.endswith("came to nothing: wanted it tomorrow")
    found = list_jobs(desk, "enquiries")
    assert [(one.job_id, one.state, one.because) for one in found.rows] == [
        (waiting, "enquiry", ""),
        (first, "came to nothing", "wanted it tomorrow"),
    ]
    assert found.sentence == "1 enquiry"
    assert reasons(desk)[0] == "wanted it tomorrow"
    assert reasons(desk, "dear") == ("dear", "too dear")
    assert set(REASONS) <= set(reasons(desk))
    assert reasons(desk, booked=True) == CALLED_OFF
    book_again(desk, first)
    assert job_card(desk, first).job.state == "booked"


def test_an_enquiry_of_an_older_book_keeps_its_day_when_it_ends(
    desk: Desk, shop: SmallShop
) -> None:
    from app.records.models import Job

    job = book_job(desk, NewJob(customer_id=shop.customers["tolk"], enquiry=True))[1]
    with desk.book.load() as session:
        row = session.get_one(Job, job)
        row.asked_on, row.booked_on = None, date(2025, 7, 1)
    cancel_job(desk, job)
    assert [one.asked for one in list_jobs(desk, "enquiries").rows] == [date(2025, 7, 1)]


def test_an_enquiry_becomes_the_job_that_is_booked_and_is_booked_once(
    desk: Desk, shop: SmallShop
) -> None:
    job = note_enquiry(desk, "ilse varga", "a coating", "before winter")[1]
    before = contents(desk.book)
    wash, asked = shop.services["wash"], job_card(desk, job).job
    new = NewJob(
        customer_id=asked.customer_id, services=((wash, 1),), first_day=TODAY + timedelta(days=4),
        of_enquiry=job,
    )  # fmt: skip
    assert book_job(desk, new)[1] == job
    booked = job_card(desk, job).job
    assert (booked.state, booked.number, booked.wanted) == (
        "booked", asked.number, "before winter",
    )  # fmt: skip
    with pytest.raises(Mendable, match="no enquiry any more"):
        book_job(desk, new)
    desk.book.undo(today=TODAY)
    assert contents(desk.book) == before
