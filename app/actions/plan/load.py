"""What each day holds of booked work, and what to ask when one then holds more than it has."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.actions.plan.job_plan import JobPlan, days_off, plans, working_weekdays
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of, listed
from app.calculations.plan.load import DayLoad, with_job
from app.calculations.plan.visit_days import minutes_by_day, planned_days
from app.records.queries import days as day_queries

NAMED = 2  # jobs of a day that a question names
ASKED = 2  # days that it names
SOON = 7  # days within which the weekday alone says which day


@dataclass(frozen=True)
class Load:
    """The days of a span: what they hold, and of which jobs: in words with minutes, and their ids.

    Of each day the job that takes most of it comes first.
    """

    days: dict[date, DayLoad]
    jobs: dict[date, tuple[tuple[str, int], ...]]
    ids: dict[date, tuple[int, ...]]


def load(desk: Desk, first: date, last: date, without: int | None = None) -> Load:
    """What is booked on each day from `first` to `last`; `without` leaves one job out."""
    from app.actions.plan.opening import open_hours  # not before the first picture

    hours = open_hours(desk)
    with desk.book.reading() as session:
        found = plans(desk, session, day_queries.visits(session, first, last))
    jobs: dict[date, list[tuple[str, int, int]]] = {}
    for plan in found.values():
        if plan.job_id == without:
            continue
        for day in plan.days:
            minutes = plan.minutes_on(day) if first <= day <= last else 0
            if minutes and not plan.is_off(day):
                jobs.setdefault(day, []).append((job_words(plan), minutes, plan.job_id))
    span = [first + timedelta(days=at) for at in range((last - first).days + 1)]
    days = {
        day: DayLoad(
            day,
            hours.on(day) * desk.settings.people,
            sum(minutes for _words, minutes, _job in jobs.get(day, ())),
        )
        for day in span
    }
    most_first = {day: sorted(of, key=lambda one: -one[1]) for day, of in jobs.items()}
    return Load(
        days,
        {
            day: tuple((words, minutes) for words, minutes, _job in of)
            for day, of in most_first.items()
        },
        {day: tuple(job for _words, _minutes, job in of) for day, of in most_first.items()},
    )


def job_words(plan: JobPlan) -> str:
    """A job as it is named among others of a day: `Paint coating on the grey wagon`."""
    job = plan.job
    what = plan.services_text.split(", ")[0] or f"job {job.number_text}"
    return f"{what} on the {job.vehicle}" if job.vehicle else f"{what} for {job.customer}"


def added(desk: Desk, first: date | None, last: date | None, minutes: int) -> dict[date, int]:
    """How a job that is not booked yet would fall on its days."""
    if first is None:
        return {}
    days = planned_days(first, last or first, working_weekdays(desk), days_off(desk))
    return minutes_by_day(minutes, days, {})


def over_sentence(
    desk: Desk, standing: Load, minutes: Mapping[date, int], *, named: bool = True
) -> str:
    """One sentence for each day that then holds more than it has, with the jobs where they are to
    be `named`; nothing where none does."""
    loads = with_job(standing.days, minutes)
    over = [one for one in loads if one.over]
    said = []
    for one in over[:ASKED]:
        names = [words for words, _minutes in standing.jobs.get(one.day, ())]
        others = [count_of(len(names) - NAMED, "more job")] if len(names) > NAMED else []
        jobs = listed([*names[:NAMED], *others, "this one"])
        said.append(f"{_when(one, desk.today)}{f': {jobs}' if named else ''}.")
    if len(over) > ASKED:
        said.append(f"So do {count_of(len(over) - ASKED, 'day')} after it.")
    return " ".join(said)


def asked_of(desk: Desk, job_id: int) -> str:
    """What to ask of a job that stands on its days now; nothing where each of them has room."""
    with desk.book.reading() as session:
        plan = next(iter(plans(desk, session, day_queries.jobs_by_id(session, [job_id])).values()))
    if not plan.days or plan.days[-1] < desk.today:
        return ""
    own = {day: plan.minutes_on(day) for day in plan.days if day >= desk.today}
    return over_sentence(desk, load(desk, min(own), max(own), without=job_id), own)


def _when(one: DayLoad, today: date) -> str:
    soon = timedelta() <= one.day - today < timedelta(days=SOON)
    day = f"{one.day:%A}" if soon else weekday_day(one.day)
    held = shown_duration(one.held)
    if not one.open_minutes:
        return f"{day} is no working day and then holds {held}"
    return f"{day} then holds {held} of {shown_duration(one.open_minutes)}"
