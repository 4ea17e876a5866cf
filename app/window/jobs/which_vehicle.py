"""The vehicle of a job that is not done: one of the customer's, or a new one typed in a line."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.actions.desk.undoing import as_one
from app.actions.jobs import job_changes
from app.actions.jobs.booking_jobs import vehicles_of
from app.actions.people.as_typed import add_typed_vehicle, read_vehicle, vehicle_said
from app.calculations.numbers.spelling import words_of
from app.records.queries.days import JobRow
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.paper.finder import FoundLine

_A_PLATE = 4  # letters and digits; a shorter one is in too many


def vehicles_to_choose(office: Office, job: JobRow) -> Callable[[str], list[FoundLine]]:
    """What finds the vehicles that are typed, and reads a new one from the words.

    The job's own is found too, last of theirs, and another's by its whole plate: whoever types
    what is in the book already makes no second vehicle of it.
    """
    desk, customer = office.desk, job.customer_id
    held = office.read(lambda: vehicles_of(desk, customer)) if customer is not None else ()
    own = sorted(held or (), key=lambda one: one[0] == job.vehicle_id)

    def put(vehicle: int) -> None:
        on_book(office, job_changes.edit_job, job.job_id, vehicle_id=vehicle)

    def add(words: str) -> None:
        with as_one(desk, f"The vehicle of {job.number_text}: {words}"):
            made = on_book(office, add_typed_vehicle, customer, words)
            if made is not None:
                put(made[1])

    def look_up(text: str) -> list[FoundLine]:
        from app.actions.finding import find  # not before the first picture

        typed = _together(text)
        found = [
            FoundLine("This vehicle", words, "as it is now" if vehicle == job.vehicle_id else "",
                      partial(put, vehicle))
            for vehicle, words in own
            if typed in _together(words)
        ]  # fmt: skip
        if len(typed) >= _A_PLATE and any(one.isdigit() for one in typed):
            theirs = {vehicle for vehicle, _words in own}
            found += [
                FoundLine("In the book already", hit.text, hit.detail, partial(put, hit.id))
                for hit in find(desk, text, ("vehicle",))
                if hit.id not in theirs and _together(hit.detail.split(",")[0]) == typed
            ]
        if text:
            said = ", ".join(value for _label, value in vehicle_said(read_vehicle(desk, text)))
            found.append(FoundLine("A new vehicle", text, said, partial(add, text)))
        return found

    return look_up


def _together(text: str) -> str:
    """As compared: without accents, spaces and signs."""
    return "".join(words_of(text))
