"""Versions of a job's estimate: written from the job, put right, given, and said yes to.

A given version stays as it was given; the next one begins from it and from the job as it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from app.actions.desk.amounts import money
from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.open_day import numbered
from app.actions.desk.typed_days import read_typed_day
from app.actions.jobs.booking_jobs import changing, job_of, whose_of
from app.actions.jobs.charge_tax import new_rate
from app.actions.jobs.estimate_lines import carried, lines_of_job
from app.actions.jobs.estimate_supplies import proposed_supplies
from app.actions.jobs.estimate_writing import KINDS, called, drafted, sum_up
from app.actions.jobs.estimates import estimate
from app.actions.shop.tax_rates import WORK
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.money import read_money
from app.calculations.numbers.wording import counted
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Customer, Estimate, EstimateLine, HoldPoint, JobService, Vehicle
from app.records.models.words import CHANNELS
from app.records.queries import estimates as queries
from app.records.queries import jobs as job_queries
from app.records.queries.jobs import Session

HOW = CHANNELS
STANDS = 30  # days for which an estimate stands (common practice, no source)
TEXTS = ("reason", "assumptions", "not_included", "left_alone")
LONGEST = 2000  # characters of a text
# What the customer is told, and asked again about, on nearly every job (common practice).
FIRST_POINT = "If it is likely to go above the amount agreed: we call before going on."


@dataclass(frozen=True)
class Version:
    """A version with its lines, hold points and calls."""

    row: queries.VersionRow
    lines: tuple[queries.LineRow, ...] = ()
    holds: tuple[queries.HoldRow, ...] = ()
    calls: tuple[queries.CallRow, ...] = ()
    differs: tuple[str, ...] = field(default=())  # from the version before

    @property
    def given(self) -> bool:
        """Whether a customer holds it, so that it never changes."""
        return self.row.given_on is not None

    @property
    def counted(self) -> tuple[queries.LineRow, ...]:
        """The lines that count: without what is filled in and not yet taken."""
        return tuple(one for one in self.lines if not one.proposed)

    @property
    def raised(self) -> tuple[int, date, str] | None:
        """(the ceiling, its day, how it was agreed) where it is not what the lines come to."""
        said = [one for one in self.calls if one.ceiling is not None]
        if said and said[-1].ceiling is not None:
            return said[-1].ceiling, said[-1].day, "call"
        if self.row.ceiling in (None, self.row.high) or self.row.approved_on is None:
            return None
        return self.row.ceiling or 0, self.row.approved_on, self.row.approved_how

    @property
    def ceiling(self) -> int | None:
        """Not above without another yes, as said last; none where none was agreed."""
        said = [one.ceiling for one in self.calls if one.ceiling is not None]
        return said[-1] if said else self.row.ceiling


def versions(desk: Desk, job_id: int) -> tuple[Version, ...]:
    """All versions of a job's estimate, the newest last, each with what differs."""
    with desk.book.reading() as session:
        rows = queries.versions_of(session, [job_id]).get(job_id, [])
        ids = [row.estimate_id for row in rows]
        lines = queries.lines_of(session, ids)
        holds = queries.holds_of(session, ids)
        calls = queries.calls_of(session, ids)
    found: list[Version] = []
    for row in rows:
        key = row.estimate_id
        told = tuple(lines.get(key, ()))
        differs = _differs(desk, found[-1], row, told) if found else ()
        found.append(
            Version(row, told, tuple(holds.get(key, ())), tuple(calls.get(key, ())), differs)
        )
    return tuple(found)


def version_words(number: int) -> str:
    """`second version`."""
    ordinals = ("first", "second", "third", "fourth", "fifth")
    return f"{ordinals[number - 1]} version" if number <= 5 else f"version {number}"


def approved(found: Sequence[Version]) -> Version | None:
    """The version that the customer said yes to last."""
    return next((one for one in reversed(found) if one.row.state == "approved"), None)


def make_version(desk: Desk, job_id: int) -> tuple[Changed, int]:
    """The job's draft, which is written from the job where there is none yet."""
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number = numbered(job.number)
        whose = whose_of(session, job.customer_id, job.vehicle_id)
        condition, title, state = job.condition, job.title, job.state
        expected = job.expected_minutes
        sold = [
            (one.service_id, one.layers) for one in to_write(session, JobService, job_id=job_id)
        ]
        charges = job_queries.charges_of(session, job_id)
        usual = new_rate(desk, job, WORK, whose.exemption)
    if state in ("done", "cancelled"):
        raise Mendable(f"Job {number} is {state}; an estimate is made before the work.")
    before = versions(desk, job_id)
    if before and not before[-1].given:
        return NOTHING, before[-1].row.estimate_id
    filled = proposed_supplies(desk, job_id, usual, WORK)
    guess = estimate(desk, sold, *whose.sizes, condition)
    last = before[-1] if before else None
    name = f"Estimate of {number}, version {len(before) + 1}"
    with changing(desk, name, KINDS) as session:
        row = Estimate(
            job_id=job_id, version=len(before) + 1, made_on=desk.today, at=desk.clock(),
            tax_rule=desk.settings.rounding_on(desk.today),
            valid_until=desk.today + timedelta(days=STANDS),
            reason=last.row.reason if last else "", deposit=last.row.deposit if last else 0,
            **{one: getattr(last.row, one) if last else "" for one in TEXTS[1:]},
        )  # fmt: skip
        session.add(row)
        session.flush()
        fresh = list(lines_of_job(desk, guess, expected, charges, title, usual))
        said = list(carried(fresh, last.lines if last else (), charges))
        taken = {line["text"] for line in said}
        said += [one for one in filled if one["text"] not in taken]
        for position, line in enumerate(said, 1):
            session.add(EstimateLine(estimate_id=row.id, position=position, **line))
        points = [one.text for one in last.holds] if last else [FIRST_POINT]
        for position, text in enumerate(points, 1):
            session.add(HoldPoint(estimate_id=row.id, position=position, text=text))
        session.flush()
        sum_up(session, desk, row)
        made = row.id
    return Changed(name, KINDS), made


def edit_version(desk: Desk, estimate_id: int, **typed: str) -> Changed:
    """Set texts, the day until which it stands, or the deposit asked, as typed."""
    values: dict[str, Any] = {}
    for name, text in typed.items():
        if name in TEXTS:
            if len(text) > LONGEST:
                raise Mendable(f"This is longer than {LONGEST:,} characters; shorten it.")
            values[name] = "\n".join(line.strip() for line in text.splitlines() if line.strip())
        elif name == "valid_until":
            values[name] = read_typed_day(desk, text) if text.strip() else None
        elif name == "deposit":
            values[name] = read_money(text, desk.settings.currency) if text.strip() else 0
            if values[name] < 0:
                raise Mendable("A deposit is not below zero; type what is asked.")
        else:
            raise ValueError(f"no such field of an estimate: {name}")
    with desk.book.reading() as session:
        row = drafted(session, estimate_id)
        if all(getattr(row, name) == value for name, value in values.items()):
            return NOTHING
    name = called(desk, estimate_id, "Estimate")
    with changing(desk, name, KINDS) as session:
        row = drafted(session, estimate_id)
        for field_name, value in values.items():
            setattr(row, field_name, value)
    return Changed(name, KINDS)


def add_hold_point(desk: Desk, estimate_id: int, text: str) -> Changed:
    """Another point where the work waits for the customer."""
    words = " ".join(text.split())
    if not words or len(words) > 300:
        raise Mendable("A hold point is said in 1 to 300 characters.")
    name = called(desk, estimate_id, "A hold point")
    with changing(desk, name, KINDS) as session:
        points = to_write(session, HoldPoint, estimate_id=estimate_id)
        position = max((one.position for one in points), default=0) + 1
        session.add(HoldPoint(estimate_id=estimate_id, position=position, text=words))
    return Changed(name, KINDS)


def remove_hold_point(desk: Desk, hold_id: int) -> Changed:
    """Take a hold point out of a draft."""
    with desk.book.reading() as session:
        point = there(session.get(HoldPoint, hold_id), "This hold point")
        name = called(desk, point.estimate_id, "A hold point out")
    with changing(desk, name, KINDS) as session:
        session.delete(there(session.get(HoldPoint, hold_id), "This hold point"))
    return Changed(name, KINDS)


def give(desk: Desk, estimate_id: int) -> Changed:
    """The customer holds it now: it stays as it is, and a change makes the next version."""
    with desk.book.reading() as session:
        row = drafted(session, estimate_id)
        if row.given_on is not None:
            return NOTHING
        if row.likely <= 0:
            raise Mendable("This estimate comes to nothing yet; type what its lines cost.")
        until, usual = row.valid_until, row.made_on + timedelta(days=STANDS)
        if until is not None and until < desk.today and until != usual:
            raise Mendable(
                f"Its price stands until {day_year(until)}, which is past; type a later day."
            )
        _not_called_off(session, row, "given")
    name = called(desk, estimate_id, "Given: estimate")
    with changing(desk, name, KINDS) as session:
        row = drafted(session, estimate_id)
        row.state, row.given_on = "given", desk.today
        if row.valid_until == usual:  # nobody typed another: the days run from when it is given
            row.valid_until = desk.today + timedelta(days=STANDS)
        _leave_out_proposed(session, row)
        _keep_as_given(session, desk, row)
    sentence = f"{name}. It stays as it is; a change makes the next version."
    return Changed(name, KINDS, sentence=sentence)


def _not_called_off(session: Session, row: Estimate, what: str) -> None:
    job = job_of(session, row.job_id)
    if job.state == "cancelled":
        raise Mendable(
            f"Job {numbered(job.number)} was called off; take it up again before its estimate is "
            f"{what}."
        )


def _leave_out_proposed(session: Session, row: Estimate) -> None:
    """What was filled in and never taken is no part of what is given."""
    for one in to_write(session, EstimateLine, estimate_id=row.id):
        if one.proposed:
            session.delete(one)


def _keep_as_given(session: Session, desk: Desk, row: Estimate) -> None:
    """The rate an hour, and to whom and for which vehicle, as the paper says them now."""
    job = job_of(session, row.job_id)
    customer = session.get(Customer, job.customer_id or 0)
    vehicle = session.get(Vehicle, job.vehicle_id or 0)
    row.hour_rate = desk.settings.hourly_rate
    if customer is not None:
        row.name, row.address = customer.name, "\n".join(place_of(customer))
    if vehicle is not None:
        row.vehicle = called_vehicle(vehicle)


def place_of(customer: Customer) -> list[str]:
    """The lines of a customer's address on an estimate."""
    city = f"{customer.city} {customer.postal_code}".strip()
    return [one for one in (customer.street, city) if one]


def called_vehicle(vehicle: Vehicle) -> str:
    """`1986 burgundy wagon, HS 714 Q`."""
    return ", ".join(filter(None, (vehicle.description, vehicle.plate)))


def approve(desk: Desk, estimate_id: int, by: str, how: str, ceiling: int | None = None) -> Changed:
    """They said yes: who, how, up to what (else what it says it is not above).

    A draft that was only spoken of is given by it. Only the newest version can be approved.
    """
    words = " ".join(by.split())[:120]
    if how not in CHANNELS:
        raise Mendable(f"How they said yes is one of {', '.join(CHANNELS)}.")
    with desk.book.reading() as session:
        row = drafted(session, estimate_id)
        newest = queries.versions_of(session, [row.job_id])[row.job_id][-1]
        if newest.estimate_id != estimate_id:
            raise Mendable(f"Version {newest.version} is newer; the yes belongs to that one.")
        if row.state == "approved":
            raise Mendable("This version is approved already; a change makes the next version.")
        if row.likely <= 0:
            raise Mendable("This estimate comes to nothing yet; type what its lines cost.")
        _not_called_off(session, row, "approved")
        up_to = row.high if ceiling is None else ceiling
        if up_to < row.likely:
            raise Mendable(
                f"Up to {money(desk, up_to)} is less than the likely {money(desk, row.likely)}; "
                "make the next version instead."
            )
    name = called(desk, estimate_id, "Approved: estimate")
    with changing(desk, name, KINDS) as session:
        row = drafted(session, estimate_id)
        if row.given_on is None:
            row.given_on = desk.today
            _leave_out_proposed(session, row)
            _keep_as_given(session, desk, row)
        row.state, row.approved_on, row.approved_at = "approved", desk.today, desk.clock()
        row.approved_by, row.approved_how, row.ceiling = words, how, up_to
    return Changed(name, KINDS, sentence=f"{name}, up to {money(desk, up_to)}")


def answer(desk: Desk, hold_id: int, said: str, channel: str = "phone") -> Changed:
    """What the customer answered at a hold point; the work may go on."""
    words = " ".join(said.split())
    if not words or len(words) > 300:
        raise Mendable("An answer is said in 1 to 300 characters, such as “go on”.")
    if channel not in CHANNELS:
        raise Mendable(f"How they answered is one of {', '.join(CHANNELS)}.")
    with desk.book.reading() as session:
        point = there(session.get(HoldPoint, hold_id), "This hold point")
        if drafted(session, point.estimate_id).given_on is None:
            raise Mendable("Give the estimate first; then its hold points can be answered.")
        name = called(desk, point.estimate_id, f"Answer to hold point {point.position}")
    with changing(desk, name, KINDS) as session:
        point = there(session.get(HoldPoint, hold_id), "This hold point")
        point.answer, point.channel = words, channel
        point.answered_on, point.answered_at = desk.today, desk.clock()
    return Changed(name, KINDS)


def _differs(
    desk: Desk, before: Version, row: queries.VersionRow, lines: Sequence[queries.LineRow]
) -> tuple[str, ...]:
    """What a version says otherwise than the one before, a sentence each."""
    said = []
    was, now = before.row, row
    if (was.minutes, was.high_minutes) != (now.minutes, now.high_minutes):
        spans = [
            f"{shown_duration(one.minutes)} to {shown_duration(one.high_minutes)}"
            for one in (now, was)
        ]
        said.append(f"Hours likely and most {spans[0]}, before {spans[1]}.")
    if (was.likely, was.high) != (now.likely, now.high):
        spans = [f"{money(desk, one.likely)} to {money(desk, one.high)}" for one in (now, was)]
        said.append(f"Likely and not above {spans[0]}, before {spans[1]}.")
    old, new = (
        {one.text: one.likely for one in some if not one.proposed} for some in (before.lines, lines)
    )
    more, less = [one for one in new if one not in old], [one for one in old if one not in new]
    said += [f"New: {one}." for one in more[:3]] + [f"Left out: {one}." for one in less[:3]]
    if len(more) > 3 or len(less) > 3:
        said.append(f"In all {counted(len(more) + len(less))} lines differ.")
    return tuple(said)
