"""The services to choose from, to sell on a job or to take off it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from app.actions.desk.amounts import money
from app.actions.jobs import booking_jobs, services
from app.calculations.numbers.durations import shown_duration
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.paper.finder import FoundLine

if TYPE_CHECKING:
    from app.window.jobs.card import CardStrip


def services_to_sell(
    office: Office, strip: CardStrip, job_id: int
) -> Callable[[str], list[FoundLine]]:
    """What finds the services that are typed: those to add to a job, and those on it."""
    desk = office.desk

    def put(service: int) -> None:
        on_book(office, booking_jobs.sell, job_id, service)

    def drop(service: int) -> None:
        on_book(office, booking_jobs.drop_service, job_id, service)

    def look_up(text: str) -> list[FoundLine]:
        low, card = text.lower(), strip.card
        sold = card.services if card is not None else ()
        on = {one.service_id for one in sold}
        lines = [
            FoundLine(
                "Add",
                line.name,
                f"{shown_duration(line.minutes)}, {money(desk, line.price)} for a medium car",
                partial(put, line.service_id),
            )
            for line in services.list_services(desk, stopped=False)
            if low in line.name.lower() and line.service_id not in on
        ]
        lines += [
            FoundLine(
                "Take off",
                one.name,
                "with its charge and steps to do",
                partial(drop, one.service_id),
            )
            for one in sold
            if low in one.name.lower()
        ]
        return lines

    return look_up
