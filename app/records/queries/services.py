"""Services: what is sold, its steps and its recipe."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.models import JobService, RecipeLine, Service, ServiceStep


@dataclass(frozen=True)
class SoldService:
    """A service as it stands on the list; minutes and minor units for medium, average."""

    service_id: int
    name: str
    outside: bool
    minutes: int
    price: int
    taxed: bool
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
    counts = {
        model: {
            service_id: int(count)
            for service_id, count in session.execute(
                select(model.service_id, func.count()).group_by(model.service_id)
            )
        }
        for model in (ServiceStep, RecipeLine, JobService)
    }
    query = select(Service).order_by(Service.stopped, func.lower(Service.name), Service.id)
    if not stopped:
        query = query.where(Service.stopped.is_(False))
    return [
        SoldService(
            row.id, row.name, row.outside, row.minutes, row.price, row.taxed, row.stopped,
            row.notes, counts[ServiceStep].get(row.id, 0), counts[RecipeLine].get(row.id, 0),
            counts[JobService].get(row.id, 0),
        )
        for row in session.scalars(query)
    ]  # fmt: skip


def steps_of_service(session: Session, service_id: int) -> list[ServiceStepRow]:
    """The steps of a service, in order."""
    return [
        ServiceStepRow(
            row.id, row.position, row.name, row.effect, row.supply_id,
            tuple(row.surface_groups or ()),
        )
        for row in steps_to_write(session, service_id)
    ]  # fmt: skip


def recipe_of(session: Session, service_id: int) -> list[RecipeRow]:
    """The recipe of a service, in the order it was written."""
    return [
        RecipeRow(row.id, row.supply_id, row.scaling, row.amount)
        for row in session.scalars(
            select(RecipeLine).where(RecipeLine.service_id == service_id).order_by(RecipeLine.id)
        )
    ]


def steps_to_write(session: Session, service_id: int) -> list[ServiceStep]:
    """The steps of a service in order, to write to."""
    return list(
        session.scalars(
            select(ServiceStep)
            .where(ServiceStep.service_id == service_id)
            .order_by(ServiceStep.position, ServiceStep.id)
        )
    )


def line_to_write(session: Session, service_id: int, supply_id: int) -> RecipeLine | None:
    """The recipe's line of a supply, to write to."""
    return session.scalars(
        select(RecipeLine)
        .where(RecipeLine.service_id == service_id, RecipeLine.supply_id == supply_id)
        .limit(1)
    ).first()


def service_named(session: Session, name: str) -> int | None:
    """The service of that name, whatever its capitals."""
    return session.scalars(
        select(Service.id).where(func.lower(Service.name) == name.lower()).limit(1)
    ).first()
