"""A job's card as it is read."""

from __future__ import annotations

from app.actions.day.closing import close_day, reopen_day
from app.actions.day.money_taken import money_taken, set_money
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.invoices import issue
from app.actions.jobs.job_card import job_card
from app.actions.jobs.job_changes import add_charge
from app.actions.jobs.owed import list_owed
from app.actions.people.vehicles import edit_vehicle
from tests.shop import TODAY


def test_a_plate_that_a_vehicle_is_called_by_is_said_once(desk, shop):
    wagon = shop.vehicles["wagon"]
    number = book_job(desk, NewJob(vehicle_id=wagon))[1]
    edit_vehicle(desk, wagon, plate="KX16 ABC")
    assert job_card(desk, number).plate == "KX16 ABC"
    edit_vehicle(desk, wagon, description="plate KX16 ABC")
    assert job_card(desk, number).plate == ""


def test_what_a_closed_day_booked_as_paid_is_paid_on_the_card_on_the_same_day_too(desk, shop):
    wash = shop.jobs["0411"]
    assert job_card(desk, wash).money.paid == 0
    close_day(desk, TODAY)
    (booked,) = (one for one in money_taken(desk, TODAY).rows if one.job.job_id == wash)
    card = job_card(desk, wash)
    assert (card.money.paid, card.money.sums.due) == (booked.taken, 0) == (9653, 0)
    reopen_day(desk, TODAY, "paid nothing")
    assert job_card(desk, wash).money.paid == 0


def test_an_invoice_stays_among_what_is_owed_while_the_day_of_its_work_is_open_again(desk, shop):
    wash = shop.jobs["0411"]
    set_money(desk, TODAY, wash, "0")
    close_day(desk, TODAY)
    issue(desk, wash)
    reopen_day(desk, TODAY, "the hours were wrong")
    found = list_owed(desk)
    assert [one.due for one in found.invoices] == [9653]
    add_charge(desk, wash, "Bag", "20", 7250)
    assert list_owed(desk).rows == (), "work that is not done is not owed yet"
