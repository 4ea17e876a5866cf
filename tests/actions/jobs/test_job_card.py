"""A job's card as it is read."""

from __future__ import annotations

from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.job_card import job_card
from app.actions.people.vehicles import edit_vehicle


def test_a_plate_that_a_vehicle_is_called_by_is_said_once(desk, shop):
    wagon = shop.vehicles["wagon"]
    number = book_job(desk, NewJob(vehicle_id=wagon))[1]
    edit_vehicle(desk, wagon, plate="KX16 ABC")
    assert job_card(desk, number).plate == "KX16 ABC"
    edit_vehicle(desk, wagon, description="plate KX16 ABC")
    assert job_card(desk, number).plate == ""
