"""Who waits for a day, and who could come when one falls free."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta
from typing import NamedTuple

from app.actions.bay.keeping import ROUND
from app.actions.bay.plan_of_shop import Worked, clock_words, worked_out
from app.actions.bay.standing import as_waiting, open_jobs
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.calculations.bay.planning import earliest


class Waiting(NamedTuple):
    """A job without a day, and the first minute at which it could begin."""

    job_id: int
    number: str
    customer: str
    work: str
    minutes: int
    begin: int | None


def waiting_list(desk: Desk) -> tuple[Waiting, ...]:
    """The jobs that are booked without a day, who asked first comes first."""
    now = worked_out(desk)
    return tuple(_fits(desk, now, at, now.days.now) for at in range(len(now.waiting)))


def first_begin(desk: Desk, job_id: int, after: int = 0) -> int | None:
    """The first minute from `after` on, today on a half hour, at which a job without a day clashes
    with nothing."""
    now = worked_out(desk)
    at = next((at for at, plan in enumerate(now.waiting) if plan.job_id == job_id), None)
    if at is None:
        return None
    begin = _fits(desk, now, at, max(after, now.days.now)).begin
    if begin is None or begin > now.days.now:
        return begin
    half_hour = -(-(now.days.now + 1) // ROUND) * ROUND
    return _fits(desk, now, at, half_hour).begin


def _fits(desk: Desk, now: Worked, at: int, after: int) -> Waiting:
    plan = now.waiting[at]
    one = as_waiting(desk, now.days, plan)
    found = earliest(one.wanted, now.shop, after=after)
    return Waiting(
        plan.job_id, numbered(plan.job.number), plan.job.customer, plan.services_text,
        one.minutes, found.begin if found else None,
    )  # fmt: skip


def who_could_come(desk: Desk, days: Collection[date], without: int | None = None) -> str:
    """A sentence of the first who waits and fits on one of these days, now free; else empty."""
    to_come = sorted(day for day in days if day >= desk.today)
    if not to_come or all(one.job.first_day or one.job_id == without for one in open_jobs(desk)):
        return ""
    now = worked_out(desk)
    hours = now.days.hours
    for day in to_come:
        start, end = hours.midnight(day), hours.midnight(day + timedelta(days=1))
        for at, plan in enumerate(now.waiting):
            if plan.job_id == without:
                continue
            one = _fits(desk, now, at, max(start, now.days.now))
            if one.begin is not None and one.begin < end:
                who = one.customer or one.work
                return (
                    f"{one.number} {who} waits for a day and fits "
                    f"{clock_words(desk, one.begin, long=True)}; move it there, or let it wait."
                )
    return ""
