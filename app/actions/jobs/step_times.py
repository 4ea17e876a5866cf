"""How long a step of a service or of a job takes, and how long the vehicle stands after it."""

from __future__ import annotations

import re

from app.actions.bay.pieces import hold_after
from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.open_day import numbered
from app.actions.jobs.booking_jobs import KINDS as JOB_KINDS
from app.actions.jobs.booking_jobs import changing, job_of
from app.calculations.bay.runs import Kind
from app.calculations.numbers.durations import JOB_MINUTES, read_duration, shown_duration
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import JobStep, Service, ServiceStep
from app.records.queries.services import ServiceStepRow

KINDS = frozenset({"services", "jobs"})
OVERNIGHT = 12 * 60  # minutes (common practice, no source)
LONGEST = 14 * 24 * 60  # minutes that a vehicle stands after one step
_WORD = re.compile(r"(cures?|dr(?:y|ies)|stands?)? ?(?:for )?(.*)", re.IGNORECASE)


def read_hold(typed: str) -> tuple[str, int]:
    """(cures or dries, minutes) from `dries overnight`, `cures 12 h`, `18 h`, `none`.

    Nothing typed is ("", 0): as the supply asks. `none` is a cure of no time.
    """
    plain = " ".join(typed.split())
    if not plain:
        return "", 0
    if plain.casefold() in ("none", "no", "0"):
        return "cures", 0
    said = _WORD.fullmatch(plain)
    assert said is not None  # every text is one
    hold = "dries" if (said[1] or "").casefold().startswith("dr") else "cures"
    if said[2].casefold() in ("overnight", "a night", "night"):
        return hold, OVERNIGHT
    if not said[2]:
        raise Mendable("How long does it stand? Type such as dries overnight, cures 12 h, or none.")
    return hold, read_duration(said[2], most=LONGEST)


def hold_text(hold: str, minutes: int) -> str:
    """The same as text: `dries 12 h`, `none`, nothing where it is as the supply asks."""
    if not hold:
        return ""
    return f"{hold} {shown_duration(minutes)}" if minutes else "none"


def usual_hold(desk: Desk, step: ServiceStepRow, later: tuple[ServiceStepRow, ...]) -> str:
    """How the vehicle stands after a step that says nothing: as its supply asks, or not at all."""
    kind, minutes = hold_after(step, later, all_supplies(desk))
    word = "cures" if kind is Kind.CURES else "dries"
    return f"{word} {shown_duration(minutes)}" if minutes else "none"


def set_step_time(
    desk: Desk,
    service_id: int,
    step_id: int,
    *,
    minutes: str | None = None,
    hold: str | None = None,
) -> Changed:
    """How long a step of a service takes (`45 min`; nothing typed: as long as the others) and how
    the vehicle then stands (`dries overnight`); jobs booked before keep theirs. A service takes
    what its steps take until a time of its own is typed."""
    new = _read(minutes, hold)
    with desk.book.reading() as session:
        title = there(session.get(Service, service_id), "This service").name
        step = session.get(ServiceStep, step_id)
        if step is None or step.service_id != service_id:
            raise Mendable("This step is not in the service any more.")
        name = f"{title}: {step.name} {_said(new)}"
        if all(getattr(step, key) == value for key, value in new.items()):
            return NOTHING
    with desk.book.change(name[:200], day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        row, service = session.get_one(ServiceStep, step_id), session.get_one(Service, service_id)
        told = sum(one.minutes for one in to_write(session, ServiceStep, service_id=service_id))
        if service.minutes == told:
            # Its time was that of its steps, none at first, and stays so.
            service.minutes += int(new.get("minutes", row.minutes)) - row.minutes
        for key, value in new.items():
            setattr(row, key, value)
    return Changed(name, KINDS)


def set_job_step_time(
    desk: Desk, job_id: int, step_id: int, *, minutes: str | None = None, hold: str | None = None
) -> Changed:
    """The same for a step of one job."""
    new = _read(minutes, hold)
    with desk.book.reading() as session:
        number = numbered(job_of(session, job_id).number)
        step = session.get(JobStep, step_id)
        if step is None or step.job_id != job_id:
            raise Mendable("This step is not on the job any more.")
        name = f"{number}: {step.name} {_said(new)}"
        if all(getattr(step, key) == value for key, value in new.items()):
            return NOTHING
    with changing(desk, name[:200]) as session:
        for key, value in new.items():
            setattr(session.get_one(JobStep, step_id), key, value)
    return Changed(name, JOB_KINDS)


def _read(minutes: str | None, hold: str | None) -> dict[str, str | int]:
    new: dict[str, str | int] = {}
    if minutes is not None:
        new["minutes"] = read_duration(minutes, most=JOB_MINUTES) if minutes.strip() else 0
    if hold is not None:
        new["hold"], new["hold_minutes"] = read_hold(hold)
    return new


def _said(new: dict[str, str | int]) -> str:
    said = []
    if "minutes" in new:
        minutes = int(new["minutes"])
        said.append(f"takes {shown_duration(minutes)}" if minutes else "takes as long as others")
    if "hold" in new:
        text = hold_text(str(new["hold"]), int(new["hold_minutes"]))
        said.append("stands as its supply asks" if not text else
                    "does not stand after it" if text == "none" else text)  # fmt: skip
    return ", then ".join(said)
