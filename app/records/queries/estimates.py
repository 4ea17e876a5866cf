"""Estimates of jobs: their versions, lines, hold points, and calls about the price."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.asking import columns, grouped, in_parts, rows_of
from app.records.models import (
    Customer,
    Estimate,
    EstimateCall,
    EstimateLine,
    HoldPoint,
    Hours,
    Job,
)


@dataclass(frozen=True, kw_only=True)
class VersionRow:
    """A version of an estimate; minutes, and minor units with their tax."""

    estimate_id: int
    job_id: int
    version: int
    made_on: date
    state: str
    low_minutes: int
    minutes: int
    high_minutes: int
    low: int
    likely: int
    high: int
    tax_rule: str
    valid_until: date | None
    reason: str
    assumptions: str
    not_included: str
    left_alone: str
    deposit: int
    given_on: date | None
    hour_rate: int  # as given, so the next three; nothing in drafts and older versions
    name: str
    address: str
    vehicle: str
    approved_on: date | None
    approved_at: datetime | None
    approved_by: str
    approved_how: str
    ceiling: int | None


@dataclass(frozen=True, kw_only=True)
class LineRow:
    """A line of an estimate; amounts before tax."""

    line_id: int
    estimate_id: int
    position: int
    text: str
    low_minutes: int
    minutes: int
    high_minutes: int
    low: int
    likely: int
    high: int
    tax_rate: int
    tax_kind: str
    proposed: bool  # filled in, neither taken nor changed yet
    service_id: int | None


@dataclass(frozen=True, kw_only=True)
class HoldRow:
    """A hold point, answered where it has a day."""

    hold_id: int
    estimate_id: int
    position: int
    text: str
    answer: str
    answered_on: date | None
    answered_at: datetime | None
    channel: str


@dataclass(frozen=True, kw_only=True)
class CallRow:
    """A call about the price that was made."""

    estimate_id: int
    day: date
    who: str
    said: str
    reached: int
    ceiling: int | None


@dataclass(frozen=True, kw_only=True)
class RunningJob:
    """What says how far a job has come: minutes, and whom to call."""

    job_id: int
    expected_minutes: int
    worked_minutes: int
    customer: str
    phone: str


_VERSION = columns(VersionRow, Estimate, estimate_id=Estimate.id)
_LINE = columns(LineRow, EstimateLine, line_id=EstimateLine.id)
_HOLD = columns(HoldRow, HoldPoint, hold_id=HoldPoint.id)
_CALL = columns(CallRow, EstimateCall)


def versions_of(session: Session, job_ids: Collection[int]) -> dict[int, list[VersionRow]]:
    """The versions of each of these jobs that has any, the newest last."""
    found: list[VersionRow] = []
    for part in in_parts(job_ids):
        query = select(*_VERSION).where(Estimate.job_id.in_(part)).order_by(Estimate.version)
        found += rows_of(VersionRow, session.execute(query))
    return grouped(found, "job_id")


def _of(session: Session, kind: Any, cols: Any, model: Any, ids: Collection[int]) -> dict[Any, Any]:
    found: list[Any] = []
    order = (model.id,) if model is EstimateCall else (model.position, model.id)
    for part in in_parts(ids):
        query = select(*cols).where(model.estimate_id.in_(part)).order_by(*order)
        found += rows_of(kind, session.execute(query))
    return grouped(found, "estimate_id")


def lines_of(session: Session, ids: Collection[int]) -> dict[int, list[LineRow]]:
    """The lines of these versions, in order."""
    return _of(session, LineRow, _LINE, EstimateLine, ids)


def holds_of(session: Session, ids: Collection[int]) -> dict[int, list[HoldRow]]:
    """The hold points of these versions, in order."""
    return _of(session, HoldRow, _HOLD, HoldPoint, ids)


def calls_of(session: Session, ids: Collection[int]) -> dict[int, list[CallRow]]:
    """The calls noted on these versions, the newest last."""
    return _of(session, CallRow, _CALL, EstimateCall, ids)


def running(session: Session, job_ids: Collection[int]) -> list[RunningJob]:
    """How far these jobs have come by what a person confirmed, and whom to call."""
    worked = (
        select(Hours.job_id, func.sum(Hours.minutes).label("minutes"))
        .where(Hours.state == "confirmed")
        .group_by(Hours.job_id)
        .subquery()
    )
    cols = columns(
        RunningJob, Job, job_id=Job.id, worked_minutes=func.coalesce(worked.c.minutes, 0),
        customer=func.coalesce(Customer.name, ""), phone=func.coalesce(Customer.phone, ""),
    )  # fmt: skip
    found: list[RunningJob] = []
    for part in in_parts(job_ids):
        query = (
            select(*cols)
            .outerjoin(worked, worked.c.job_id == Job.id)
            .outerjoin(Customer, Customer.id == Job.customer_id)
            .where(Job.id.in_(part))
        )
        found += rows_of(RunningJob, session.execute(query))
    return found
