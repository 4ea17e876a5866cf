"""A shop on Thursday 14 August 2025 at 8:00, when it opens, with nothing booked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.job_changes import cancel_job
from app.actions.jobs.services import service_page
from app.actions.jobs.step_times import set_step_time
from tests.shop import Clock, SmallShop

At = Callable[[int, str], datetime]
Book = Callable[..., int]


@pytest.fixture
def desk(desk: Desk, shop: SmallShop, clock: Clock) -> Desk:
    """The small shop's desk, its two jobs called off."""
    clock.now = datetime(2025, 8, 14, 13, tzinfo=UTC)
    for job in shop.jobs.values():
        cancel_job(desk, job)
    return desk


@pytest.fixture
def at(desk: Desk) -> At:
    """`at(18, "8:00")`: that time of a day of August on the shop's clock."""

    def instant(day: int, clock: str) -> datetime:
        hour, minute = clock.split(":")
        return desk.instant(date(2025, 8, day), time(int(hour), int(minute)))

    return instant


@pytest.fixture
def book(desk: Desk, shop: SmallShop) -> Book:
    """`book("wash", 18, minutes=90)`: a job of a service on a day of August, or on none."""

    def booked(service: str, day: int | None, **values: Any) -> int:
        first = date(2025, 8, day) if day else None
        new = NewJob(
            vehicle_id=shop.vehicles["wagon"], services=((shop.services[service], 1),),
            first_day=first, **values,
        )  # fmt: skip
        return book_job(desk, new)[1]

    return booked


@pytest.fixture
def dries(desk: Desk, shop: SmallShop) -> None:
    """A wash after which the vehicle dries overnight (common practice, no source)."""
    service = shop.services["wash"]
    for step in service_page(desk, service).steps[:1]:
        set_step_time(desk, service, step.step_id, hold="dries overnight")
