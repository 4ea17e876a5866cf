"""Versions of a job's estimate: written from the job, put right, given, and said yes to.

A given version stays as it was given; the next one begins from it and from the job as it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.open_day import numbered
from app.actions.desk.typed_days import read_typed_day
from app.actions.jobs.booking_jobs import changing, job_of, whose_of
from app.actions.jobs.charge_tax import new_rate
from app.actions.jobs.estimate_lines import AMOUNTS as _AMOUNTS
from app.actions.jobs.estimate_lines import HOURS as _HOURS
from app.actions.jobs.estimate_lines import carried, lines_of_job
from app.actions.jobs.estimates import estimate
from app.actions.shop.tax_rates import WORK, rate_for
from app.calculations.numbers.durations import read_duration, shown_duration
from app.calculations.numbers.money import read_money
from app.calculations.numbers.tax_rates import read_rate
from app.calculations.numbers.wording import counted
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Estimate, EstimateLine, HoldPoint, JobService
from app.records.models.words import CHANNELS
from app.records.queries import estimates as queries
from app.records.queries import jobs as job_queries
from app.records.queries.jobs import Session

KINDS = frozenset({"jobs", "money"})
HOW = CHANNELS
STANDS = 30  # days for which an estimate stands (common practice, no source)
TEXTS = ("reason", "assumptions", "not_included", "left_alone")
LONGEST = 2000  # characters of a text
# What the customer is told, and asked again about, on nearly every job (common practice).
FIRST_POINT = "If it is likely to go above the amount agreed: we call before going on."
Span = tuple[int, int, int]
_COLUMNS = {"minutes": 1, "low": 0, "likely": 1, "high": 2}  # which of three one number means


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
    guess = estimate(desk, sold, *whose.sizes, condition)
    last = before[-1] if before else None
    name = f"Estimate of {number}, version {len(before) + 1}"
    with changing(desk, name, KINDS) as session:
        row = Estimate(
            job_id=job_id, version=len(before) + 1, made_on=desk.today, at=desk.clock(),
            tax_rule=desk.settings.tax_rule, valid_until=desk.today + timedelta(days=STANDS),
            reason=last.row.reason if last else "", deposit=last.row.deposit if last else 0,
            **{one: getattr(last.row, one) if last else "" for one in TEXTS[1:]},
        )  # fmt: skip
        session.add(row)
        session.flush()
        fresh = list(lines_of_job(desk, guess, expected, charges, title, usual))
        said = carried(fresh, last.lines if last else (), charges)
        for position, line in enumerate(said, 1):
            session.add(EstimateLine(estimate_id=row.id, position=position, **line))
        points = [one.text for one in last.holds] if last else [FIRST_POINT]
        for position, text in enumerate(points, 1):
            session.add(HoldPoint(estimate_id=row.id, position=position, text=text))
        session.flush()
        _sum_up(session, desk, row)
        made = row.id
    return Changed(name, KINDS), made


def _sum_up(session: Session, desk: Desk, row: Estimate) -> None:
    """What all lines come to, with the tax last."""
    session.flush()
    lines = to_write(session, EstimateLine, estimate_id=row.id)
    for name in ("low_minutes", "minutes", "high_minutes"):
        setattr(row, name, sum(getattr(one, name) for one in lines))
    for name in ("low", "likely", "high"):
        nets = [(getattr(one, name), one.tax_rate) for one in lines]
        setattr(row, name, totals(desk, nets).gross)


def _drafted(session: Session, estimate_id: int) -> Estimate:
    return there(session.get(Estimate, estimate_id), "This estimate")


def _called(desk: Desk, estimate_id: int, what: str) -> str:
    with desk.book.reading() as session:
        row = _drafted(session, estimate_id)
        return f"{what} of {numbered(job_of(session, row.job_id).number)}, version {row.version}"


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
        row = _drafted(session, estimate_id)
        if all(getattr(row, name) == value for name, value in values.items()):
            return NOTHING
    name = _called(desk, estimate_id, "Estimate")
    with changing(desk, name, KINDS) as session:
        row = _drafted(session, estimate_id)
        for field_name, value in values.items():
            setattr(row, field_name, value)
    return Changed(name, KINDS)


def add_line(desk: Desk, estimate_id: int, text: str, typed: str = "") -> Changed:
    """Another line: supplies, a whole bottle, bay nights, travel, risk, or a discount below zero.

    `typed` is one amount, or low, likely and most with spaces between, before tax.
    """
    words = " ".join(text.split())
    if not words:
        raise Mendable("A line needs its words, such as “Travel”.")
    low, likely, high = read_span(desk, typed)
    name = _called(desk, estimate_id, words[:60])
    with changing(desk, name, KINDS) as session:
        row = _drafted(session, estimate_id)
        lines = to_write(session, EstimateLine, estimate_id=estimate_id)
        position = max((one.position for one in lines), default=0) + 1
        session.add(
            EstimateLine(
                estimate_id=estimate_id, position=position, text=words[:200], low=low,
                likely=likely, high=high, tax_rate=_usual_rate(desk, lines),
            )
        )  # fmt: skip
        _sum_up(session, desk, row)
    return Changed(name, KINDS)


def _usual_rate(desk: Desk, lines: Sequence[EstimateLine]) -> int:
    """The rate of the line above; the shop's where there is none (an exempt customer has 0)."""
    return lines[-1].tax_rate if lines else rate_for(desk, WORK)


def edit_line(desk: Desk, line_id: int, column: str, typed: str) -> Changed:
    """Set a line's words, hours, amounts or rate as typed; three numbers are low, likely, most."""
    values: dict[str, Any]
    if column == "text":
        values = {"text": " ".join(typed.split())[:200]}
        if not values["text"]:
            raise Mendable("A line needs its words; take it out with Ctrl Del instead.")
    elif column in _COLUMNS:
        values = {}
    else:
        values = {"tax_rate": read_rate(typed)}
    with desk.book.reading() as session:
        line = there(session.get(EstimateLine, line_id), "This line")
        if not values:
            names = _HOURS if column == "minutes" else _AMOUNTS
            read = _hours(typed) if column == "minutes" else read_span(desk, typed)
            if len(typed.split()) == 1:
                stood = [getattr(line, name) for name in names]
                read = _one_of(stood, _COLUMNS[column], read[0], typed)
            values = dict(zip(names, read, strict=True))
        if all(getattr(line, name) == value for name, value in values.items()):
            return NOTHING
        name = f"{line.text[:60]} of an estimate"
    with changing(desk, name, KINDS) as session:
        line = there(session.get(EstimateLine, line_id), "This line")
        for field_name, value in values.items():
            setattr(line, field_name, value)
        _sum_up(session, desk, _drafted(session, line.estimate_id))
    return Changed(name, KINDS)


def _one_of(stood: Sequence[int], at: int, new: int, typed: str) -> Span:
    """Low, likely and most with one of them typed anew; another likely moves what it passes."""
    if len(set(stood)) == 1 and at == 1:
        return new, new, new
    if at == 1:
        return min(stood[0], new), new, max(stood[2], new)
    return _rising([new if one == at else was for one, was in enumerate(stood)], typed)


def remove_line(desk: Desk, line_id: int) -> Changed:
    """Take a line out of a draft."""
    with desk.book.reading() as session:
        line = there(session.get(EstimateLine, line_id), "This line")
        name = f"{line.text[:60]} out of an estimate"
    with changing(desk, name, KINDS) as session:
        line = there(session.get(EstimateLine, line_id), "This line")
        row = _drafted(session, line.estimate_id)
        session.delete(line)
        _sum_up(session, desk, row)
    return Changed(name, KINDS)


def read_span(desk: Desk, typed: str) -> Span:
    """Low, likely and most, minor units: one amount for all, or three that rise."""
    parts = typed.split()
    if len(parts) not in (0, 1, 3):
        raise Mendable(f"“{typed}” is neither one amount nor low, likely and most: 38 46 60.")
    found = [read_money(part, desk.settings.currency) for part in parts] or [0]
    return _rising(found, typed)


def _hours(typed: str) -> Span:
    parts = typed.split()
    if len(parts) not in (1, 3):
        raise Mendable(f"“{typed}” is neither one time nor low, likely and most: 1:00 1:30 2:00.")
    return _rising([read_duration(part, most=60_000) for part in parts], typed)


def _rising(found: Sequence[int], typed: str) -> Span:
    low, likely, high = found if len(found) == 3 else (found[0], found[0], found[0])
    if not low <= likely <= high:
        raise Mendable(f"“{typed}” does not rise from low over likely to most.")
    return low, likely, high


def add_hold_point(desk: Desk, estimate_id: int, text: str) -> Changed:
    """Another point where the work waits for the customer."""
    words = " ".join(text.split())
    if not words or len(words) > 300:
        raise Mendable("A hold point is said in 1 to 300 characters.")
    name = _called(desk, estimate_id, "A hold point")
    with changing(desk, name, KINDS) as session:
        points = to_write(session, HoldPoint, estimate_id=estimate_id)
        position = max((one.position for one in points), default=0) + 1
        session.add(HoldPoint(estimate_id=estimate_id, position=position, text=words))
    return Changed(name, KINDS)


def remove_hold_point(desk: Desk, hold_id: int) -> Changed:
    """Take a hold point out of a draft."""
    with desk.book.reading() as session:
        point = there(session.get(HoldPoint, hold_id), "This hold point")
        name = _called(desk, point.estimate_id, "A hold point out")
    with changing(desk, name, KINDS) as session:
        session.delete(there(session.get(HoldPoint, hold_id), "This hold point"))
    return Changed(name, KINDS)


def give(desk: Desk, estimate_id: int) -> Changed:
    """The customer holds it now: it stays as it is, and a change makes the next version."""
    with desk.book.reading() as session:
        row = _drafted(session, estimate_id)
        if row.given_on is not None:
            return NOTHING
        if not row.likely:
            raise Mendable("This estimate comes to nothing yet; type what its lines cost.")
    name = _called(desk, estimate_id, "Given: estimate")
    with changing(desk, name, KINDS) as session:
        row = _drafted(session, estimate_id)
        row.state, row.given_on = "given", desk.today
    sentence = f"{name}. It stays as it is; a change makes the next version."
    return Changed(name, KINDS, sentence=sentence)


def approve(desk: Desk, estimate_id: int, by: str, how: str, ceiling: int | None = None) -> Changed:
    """They said yes: who, how, up to what (else what it says it is not above).

    A draft that was only spoken of is given by it. Only the newest version can be approved.
    """
    words = " ".join(by.split())[:120]
    if how not in CHANNELS:
        raise Mendable(f"How they said yes is one of {', '.join(CHANNELS)}.")
    with desk.book.reading() as session:
        row = _drafted(session, estimate_id)
        newest = queries.versions_of(session, [row.job_id])[row.job_id][-1]
        if newest.estimate_id != estimate_id:
            raise Mendable(f"Version {newest.version} is newer; the yes belongs to that one.")
        if row.state == "approved":
            raise Mendable("This version is approved already; a change makes the next version.")
        if not row.likely:
            raise Mendable("This estimate comes to nothing yet; type what its lines cost.")
        up_to = row.high if ceiling is None else ceiling
        if up_to < row.likely:
            raise Mendable(
                f"Up to {money(desk, up_to)} is less than the likely {money(desk, row.likely)}; "
                "make the next version instead."
            )
    name = _called(desk, estimate_id, "Approved: estimate")
    with changing(desk, name, KINDS) as session:
        row = _drafted(session, estimate_id)
        row.given_on = row.given_on or desk.today
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
        if _drafted(session, point.estimate_id).given_on is None:
            raise Mendable("Give the estimate first; then its hold points can be answered.")
        name = _called(desk, point.estimate_id, f"Answer to hold point {point.position}")
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
    old, new = ({one.text: one.likely for one in some} for some in (before.lines, lines))
    more, less = [one for one in new if one not in old], [one for one in old if one not in new]
    said += [f"New: {one}." for one in more[:3]] + [f"Left out: {one}." for one in less[:3]]
    if len(more) > 3 or len(less) > 3:
        said.append(f"In all {counted(len(more) + len(less))} lines differ.")
    return tuple(said)
