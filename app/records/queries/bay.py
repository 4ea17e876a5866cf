"""What of the book the plan of the bay asks beside the jobs: how punctual, what moved."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.records.asking import columns, rows_of
from app.records.models import Job, JobMove, Weather


@dataclass(frozen=True)
class MoveRow:
    """A line of what moved: by whose wish, from when to when, or how late somebody came."""

    job_id: int
    day: date
    at: datetime
    kind: str
    asked_by: str
    before: datetime | None
    after: datetime | None
    minutes: int
    note: str


@dataclass(frozen=True)
class WeatherRow:
    """What was noted of a day's weather; tenths of a degree Celsius."""

    day: date
    holds_outside: bool
    low: int | None
    note: str


_MOVE = columns(MoveRow, JobMove)
_WEATHER = columns(WeatherRow, Weather)


def weather_between(session: Session, first: date, last: date) -> list[WeatherRow]:
    """What was noted of the days from one to another."""
    query = select(*_WEATHER).where(Weather.day.between(first, last)).order_by(Weather.day)
    return rows_of(WeatherRow, session.execute(query))


def begun_between(
    session: Session, first: date, last: date
) -> list[tuple[date | None, date | None, int]]:
    """(booked on, first day, expected minutes) of the jobs that were done and began in a span."""
    query = select(Job.booked_on, Job.first_day, Job.expected_minutes)
    query = query.where(Job.first_day.between(first, last), Job.state == "done")
    return [(booked, day, minutes) for booked, day, minutes in session.execute(query)]


def minutes_late(session: Session, first: date, last: date) -> list[int]:
    """How many minutes vehicles came after their time, of those that did."""
    query = select(JobMove.minutes).where(JobMove.kind == "late")
    return list(session.scalars(query.where(JobMove.day.between(first, last))))


def moves_of(session: Session, job_id: int) -> list[MoveRow]:
    """What moved of a job, in order."""
    query = select(*_MOVE).where(JobMove.job_id == job_id).order_by(JobMove.id)
    return rows_of(MoveRow, session.execute(query))
