"""What the shop's own confirmed uses taught of each supply, service and size."""

from __future__ import annotations

from app.actions.desk import Desk
from app.calculations.expected_use import Corrections, Observation, fit, recipe_amount
from app.records.queries import days as day_queries
from app.records.queries import uses as use_queries
from app.records.queries.days import LineRow, ServiceRow

# What the corrections are learnt from: the newest confirmed uses. It bounds what is read and
# forgets how the shop worked long ago.
LEARN_FROM = 4000
CORRECTIONS = ("corrections",)


def corrections(desk: Desk) -> Corrections:
    """What the shop's own confirmed uses taught, fitted once until the book changes."""
    return desk.remembered(CORRECTIONS, lambda: fit(observations(desk)))


def observations(desk: Desk) -> list[Observation]:
    """The newest confirmed uses, each with what the recipe said of it."""
    return desk.remembered((*CORRECTIONS, "from"), lambda: _observations(desk))


def _observations(desk: Desk) -> list[Observation]:
    with desk.book.reading() as session:
        taken = use_queries.taken_lately(session, LEARN_FROM)
        services = day_queries.services_of(session, {row.job_id for row in taken})
        recipes = day_queries.recipes(session)
    found = []
    for row in taken:
        if row.recipe <= 0:
            continue
        size_of = {True: row.size_outside, False: row.size_inside}
        lines = [
            (
                line_amount(desk, line, service, size_of[service.outside], row.condition),
                service,
                line,
            )
            for service in services.get(row.job_id, ())
            for line in recipes.get(service.service_id, ())
            if line.supply_id == row.supply_id
        ]
        if not lines:
            continue
        _, service, line = max(lines, key=lambda one: one[0])
        if line.scaling == "container":
            continue
        found.append(
            Observation(
                row.supply_id,
                service.service_id,
                size_of[service.outside],
                row.recipe,
                row.used,
                row.day.toordinal(),
            )
        )
    return found


def line_amount(desk: Desk, line: LineRow, service: ServiceRow, size: str, condition: str) -> int:
    """A line of a service's recipe for a job, base units, before any correction."""
    return recipe_amount(
        line.amount,
        line.scaling,
        size,
        condition,
        layers=service.layers,
        size_factors=desk.settings.size_factors,
        condition_factors=desk.settings.condition_factors,
    )
