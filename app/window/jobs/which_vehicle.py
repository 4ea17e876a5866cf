"""The vehicle of a job that is not done: one of the customer's, or a new one typed in a line."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.actions.jobs import job_changes
from app.actions.jobs.booking_jobs import vehicles_of
from app.actions.people.as_typed import add_typed_vehicle, read_vehicle, vehicle_said
from app.records.queries.days import JobRow
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.paper.finder import FoundLine


def vehicles_to_choose(office: Office, job: JobRow) -> Callable[[str], list[FoundLine]]:
    """What finds the vehicles that are typed, and reads a new one from the words."""
    desk, customer = office.desk, job.customer_id
    held = office.read(lambda: vehicles_of(desk, customer)) if customer is not None else ()

    def put(vehicle: int) -> None:
        on_book(office, job_changes.edit_job, job.job_id, vehicle_id=vehicle)

    def add(words: str) -> None:
        made = on_book(office, add_typed_vehicle, customer, words)
        if made is not None:
            put(made[1])

    def look_up(text: str) -> list[FoundLine]:
        low = text.casefold()
        found = [
            FoundLine("This vehicle", words, "", partial(put, vehicle))
            for vehicle, words in held or ()
            if low in words.casefold() and vehicle != job.vehicle_id
        ]
        if text:
            said = ", ".join(value for _label, value in vehicle_said(read_vehicle(desk, text)))
            found.append(FoundLine("A new vehicle", text, said, partial(add, text)))
        return found

    return look_up
