"""What the shop's own confirmed uses taught of each supply, service and size."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from app.actions.desk.desk import Desk, kept
from app.calculations.plan.expected_use import ConfirmedUse, Corrections, fit, recipe_amount
from app.records.queries import days as day_queries
from app.records.queries import uses as use_queries
from app.records.queries.days import LineRow, ServiceRow

# What the corrections are learnt from: the newest confirmed uses. It bounds what is read and
# forgets how the shop worked long ago.
LEARN_FROM = 3000
Taken = use_queries.TakenRow | use_queries.SupplyUse


@kept("corrections")
def corrections(desk: Desk) -> Corrections:
    """What the shop's own confirmed uses taught."""
    return fit(observations(desk))


@kept("corrections", "from")
def observations(desk: Desk) -> list[ConfirmedUse]:
    """The newest confirmed uses, each with what the recipe said of it."""
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
        asked = asking(desk, row, services.get(row.job_id, ()), by_supply)
        if asked is None:
            continue
        service, line = asked
        if line.scaling == "container":
            continue
        found.append(
            ConfirmedUse(
                row.supply_id,
                service.service_id,
                size_for(service, row),
                row.recipe,
                row.used,
                row.day.toordinal(),
            )
        )
    return found


def size_for(service: ServiceRow, row: Taken) -> str:
    """The size that counts for a service: the outside's or the inside's."""
    return row.size_outside if service.outside else row.size_inside


def asking(
    desk: Desk,
    row: Taken,
    services: Iterable[ServiceRow],
    lines: Mapping[tuple[int, int], LineRow],
) -> tuple[ServiceRow, LineRow] | None:
    """The service of a job that asks for a supply; of several, the one that asks for most.

    `lines` are the recipes by service and supply.
    """
    found = [
        (service, line)
        for service in services
        if (line := lines.get((service.service_id, row.supply_id))) is not None
    ]
    if len(found) > 1:
        found.sort(
            key=lambda one: line_amount(desk, one[1], one[0], size_for(one[0], row), row.condition),
            reverse=True,
        )
    return found[0] if found else None


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
