"""What the shop's own confirmed uses taught of each supply, service and size."""

from __future__ import annotations

from app.actions.desk import Desk
from app.calculations.expected_use import Corrections, Observation, fit, recipe_amount
from app.records.queries import days as day_queries
from app.records.queries import uses as use_queries
from app.records.queries.days import LineRow, ServiceRow

# What the corrections are learnt from: the newest confirmed uses. It bounds what is read and
# forgets how the shop worked long ago.
LEARN_FROM = 3000
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
    by_supply = {
        (service, line.supply_id): line for service, lines in recipes.items() for line in lines
    }
    found = []
    for row in taken:
        if row.recipe <= 0:
            continue
        asking = [
            (service, line)
            for service in services.get(row.job_id, ())
            if (line := by_supply.get((service.service_id, row.supply_id))) is not None
        ]
        if not asking:
            continue
        size_of = {True: row.size_outside, False: row.size_inside}
        if len(asking) > 1:
            # Of several services that ask for it, the use is counted with the one that asks most.
            asking.sort(
                key=lambda one: line_amount(
                    desk, one[1], one[0], size_of[one[0].outside], row.condition
                ),
                reverse=True,
            )
        service, line = asking[0]
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
