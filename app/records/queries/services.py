"""Services: what is sold, its steps and its recipe."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.asking import made, to_write
from app.records.models import JobService, RecipeLine, Service, ServiceStep


@dataclass(frozen=True, kw_only=True)
class SoldService:
    """A service as it stands on the list; minutes and minor units for medium, average."""

    service_id: int
    name: str
    outside: bool
    minutes: int
    price: int
    tax_kind: str  # empty: no tax
    in_bay: bool  # else it is done outside
    stopped: bool
    notes: str
    steps: int
    lines: int
    jobs: int


@dataclass(frozen=True)
class ServiceStepRow:
    """A step of a service."""

    step_id: int
    position: int
    name: str
    minutes: int
    hold: str
    hold_minutes: int
    effect: str
    supply_id: int | None
    surface_groups: tuple[str, ...]


@dataclass(frozen=True)
class RecipeRow:
    """A line of a recipe; base units, medium, average."""

    line_id: int
    supply_id: int
    scaling: str
    amount: int


def services(session: Session, *, stopped: bool = True) -> list[SoldService]:
    """All services in order of name, those no longer sold last."""
    steps, lines, jobs = (
        dict(session.execute(select(named, func.count()).group_by(named)).all())
        for named in (ServiceStep.service_id, RecipeLine.service_id, JobService.service_id)
    )
    query = select(Service).order_by(Service.stopped, func.lower(Service.name), Service.id)
    if not stopped:
        query = query.where(Service.stopped.is_(False))
    return [
        made(
            SoldService,
            row,
            service_id=row.id,
            steps=steps.get(row.id, 0),
            lines=lines.get(row.id, 0),
            jobs=jobs.get(row.id, 0),
        )
        for row in session.scalars(query)
    ]


def steps_of_service(session: Session, service_id: int) -> list[ServiceStepRow]:
    """The steps of a service, in order."""
    order = (ServiceStep.position, ServiceStep.id)
    rows = to_write(session, ServiceStep, *order, service_id=service_id)
    return [made(ServiceStepRow, row, step_id=row.id) for row in rows]


def recipe_of(session: Session, service_id: int) -> list[RecipeRow]:
    """The recipe of a service, in the order it was written."""
    rows = to_write(session, RecipeLine, service_id=service_id)
    return [made(RecipeRow, row, line_id=row.id) for row in rows]


def line_to_write(session: Session, service_id: int, supply_id: int) -> RecipeLine | None:
    """The recipe's line of a supply, to write to."""
    rows = to_write(session, RecipeLine, service_id=service_id, supply_id=supply_id)
    return rows[0] if rows else None
