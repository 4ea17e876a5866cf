"""Keeping a move, and what is noted of vehicles that came late or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta

from app.actions.bay.plan_of_shop import Worked, clock_words, worked_out
from app.actions.bay.standing import Move
from app.actions.bay.waiting import who_could_come
from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.open_day import LEARNT, numbered
from app.calculations.bay.opening import instant_of, minute_of
from app.calculations.bay.runs import Kind
from app.calculations.numbers.dates import near, weekday_day
from app.calculations.numbers.durations import shown_duration
from app.errors import Mendable
from app.records.models import Job, JobMove, JobStep
from app.records.queries import bay as queries
from app.records.queries.bay import MoveRow

KINDS = frozenset({"jobs", "money", "days"})
WHO = {"": "", "customer": "the customer asked", "shop": "the shop asked"}
PLACES = {"bay": "in the bay", "outside": "outside", "yard": "in the customer’s yard"}
LATEST = 12 * 60  # minutes that somebody comes late, else it is another day


def keep_move(desk: Desk, move: Move, asked_by: str = "", note: str = "") -> Changed:
    """Save a job as it was tried; another begin is noted with who asked for it.

    Raises `Mendable` for a job that is done or gone, one that was begun, and words too long.
    """
    if asked_by not in WHO:
        raise Mendable(
            "A move was asked for by the customer or by the shop; say which, or neither."
        )
    note = _note(note)
    job = _job(desk, move.job_id)
    before, now = worked_out(desk), worked_out(desk, move)
    at = move.begins_at if move.begins_at != job.begins_at else None
    if at is not None and job.state == "working":
        raise Mendable(f"Job {numbered(job.number)} was begun already; its begin stands.")
    place = move.place if move.place not in (None, job.place) else None
    promised = move.promised_at if move.promised_at != job.promised_at else None
    if at is None and place is None and promised is None and not move.holds:
        return NOTHING
    name = _name(desk, numbered(job.number), at, place, promised)
    run = now.plan.runs.get(move.job_id)
    with _changing(desk, name) as session:
        row = session.get_one(Job, move.job_id)
        if at is not None:
            was = _began(before, row)
            row.begins_at = at
            row.first_day = desk.day_of(at)
            ends = [bar.end for bar in run.bars if bar.kind is Kind.HANDS] if run else []
            row.last_day = max([row.first_day, *(_day_ended(desk, end) for end in ends)])
            session.add(_moved(desk, row.id, "moved", asked_by, was, at, note=note))
        if place is not None:
            row.place = place
        if promised is not None:
            row.promised_at = promised
        for step_id, minutes in move.holds:
            step = session.get(JobStep, step_id)
            if step is None or step.job_id != row.id:
                raise Mendable("A step of this job is gone; look at the plan again.")
            step.hold, step.hold_minutes = step.hold or "cures", minutes
    left = before.plan.runs.get(move.job_id)
    days = {desk.day_of(instant_of(left.begin))} if at is not None and left else set()
    if at is not None:
        days.discard(desk.day_of(at))
    return Changed(name, KINDS, question=who_could_come(desk, days))


def came_late(desk: Desk, job_id: int, minutes: int, note: str = "") -> Changed:
    """A vehicle came so many minutes after its time; the job begins as much later."""
    if not 0 < minutes <= LATEST:
        raise Mendable("A vehicle comes late by 1 minute to 12 hours; else move the job.")
    job, note = _job(desk, job_id), _note(note)
    if job.first_day is None:
        raise Mendable(f"Job {numbered(job.number)} has no day, so it cannot be late.")
    _has_come(desk, job)
    name = f"{numbered(job.number)} came {shown_duration(minutes)} late"
    begun = worked_out(desk).plan.runs.get(job_id)
    with _changing(desk, name) as session:
        row = session.get_one(Job, job_id)
        was = row.begins_at
        if was is not None:
            row.begins_at = was + timedelta(minutes=minutes)
        planned = was or (instant_of(begun.begin) if begun else None)
        session.add(_moved(desk, job_id, "late", "customer", planned, row.begins_at, minutes, note))
    return Changed(name, KINDS)


def no_show(desk: Desk, job_id: int, note: str = "") -> Changed:
    """A vehicle did not come: its job stands without a day, and who waits could come instead."""
    job, note = _job(desk, job_id), _note(note)
    if job.first_day is None:
        raise Mendable(f"Job {numbered(job.number)} has no day on which it could have come.")
    if job.state == "working":
        raise Mendable(f"Job {numbered(job.number)} was begun already, so its vehicle came.")
    _has_come(desk, job)
    day = job.first_day
    name = f"{numbered(job.number)} did not come on {near(day, desk.today)}"
    with _changing(desk, name) as session:
        row = session.get_one(Job, job_id)
        session.add(_moved(desk, job_id, "no show", "", row.begins_at, None, note=note))
        row.begins_at = row.first_day = row.last_day = None
    return Changed(name, KINDS, question=who_could_come(desk, {day}, without=job_id))


def moves_of(desk: Desk, job_id: int) -> tuple[MoveRow, ...]:
    """What moved of a job, in order."""
    with desk.book.reading() as session:
        return tuple(queries.moves_of(session, job_id))


def move_words(desk: Desk, row: MoveRow) -> str:
    """A line of what moved: `moved from Thu 20 Aug, 8:30 to Fri 21 Aug, 8:30, the shop asked`."""
    before, after = (
        clock_words(desk, minute_of(at), long=True) if at is not None else ""
        for at in (row.before, row.after)
    )
    if row.kind == "late":
        said = f"came {shown_duration(row.minutes)} late"
    elif row.kind == "no show":
        said = "did not come"
    else:
        said = f"moved {f'from {before} ' if before else ''}to {after}"
    asked = WHO[row.asked_by] if row.kind == "moved" else ""  # nobody asks to be late
    return ", ".join(filter(None, (said, asked, row.note)))


@contextmanager
def _changing(desk: Desk, name: str) -> Iterator[queries.Session]:
    with (
        desk.still_standing(LEARNT),
        desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session,
    ):
        yield session


def _moved(
    desk: Desk, job_id: int, kind: str, asked_by: str, before: datetime | None,
    after: datetime | None, minutes: int = 0, note: str = "",
) -> JobMove:  # fmt: skip
    return JobMove(
        job_id=job_id, day=desk.today, at=desk.clock(), kind=kind, asked_by=asked_by,
        before=before, after=after, minutes=minutes, note=note,
    )  # fmt: skip


def _began(before: Worked, job: Job) -> datetime | None:
    """When it was to begin: as agreed, else as it was planned."""
    run = before.plan.runs.get(job.id)
    return job.begins_at or (instant_of(run.begin) if run else None)


def _day_ended(desk: Desk, end: int) -> date:
    return desk.day_of(instant_of(end - 1))


def _name(
    desk: Desk, number: str, at: datetime | None, place: str | None, promised: datetime | None
) -> str:
    if at is not None:
        return f"Moved {number} to {_moment(desk, at)}"
    if place is not None:
        return f"{number} is done {PLACES[place]}"
    if promised is not None:
        return f"{number} is promised for {_moment(desk, promised)}"
    return f"Holds of {number}"


def _moment(desk: Desk, at: datetime) -> str:
    return f"{weekday_day(desk.day_of(at))}, {desk.clock_of(at).removeprefix('0')}"


def _has_come(desk: Desk, job: Job) -> None:
    """Nobody is late, or stayed away, before the day is there."""
    if job.first_day is not None and job.first_day > desk.today:
        raise Mendable(
            f"Job {numbered(job.number)} comes on {near(job.first_day, desk.today)}; "
            "note it when that day is there."
        )


def _note(note: str) -> str:
    note = " ".join(note.split())
    if len(note) > 200:
        raise Mendable("The note is longer than 200 characters; shorten it.")
    return note


def _job(desk: Desk, job_id: int) -> Job:
    with desk.book.reading() as session:
        job: Job = there(session.get(Job, job_id), "This job")
    if job.state in ("done", "cancelled"):
        word = "done" if job.state == "done" else "called off"
        raise Mendable(f"Job {numbered(job.number)} is {word}; its days stand.")
    return job
