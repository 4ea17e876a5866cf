"""What a job is expected to use, from its services' recipes and what the shop's own uses taught."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.plan.learnt_uses import corrections, line_amount
from app.calculations.numbers.units import Kind
from app.calculations.plan.expected_use import Expected
from app.calculations.stock.pools import whole_pieces
from app.records.queries.days import JobRow, LineRow, ServiceRow


@dataclass(frozen=True, kw_only=True)
class Need:
    """What a whole job is expected to use of one supply; base units."""

    supply_id: int
    service_id: int  # the service that asks for most of it
    amount: int
    recipe: int  # recipe x size x condition, before what the shop's own uses taught
    low: int
    high: int
    n: int
    past: tuple[int, ...]
    spread: float
    whole_container: bool = False
    pieces: bool = False  # counted, so a filled-in number is a whole one
    washed: bool = False  # of a pool: whole pieces also where it is less than one


def needs(
    desk: Desk,
    job: JobRow,
    services: Iterable[ServiceRow],
    recipes: dict[int, list[LineRow]],
) -> dict[int, Need]:
    """What a whole job is expected to use, by supply, in the order of its recipes."""
    learnt = corrections(desk)
    found: dict[int, Need] = {}
    for service in services:
        size = job.size_outside if service.outside else job.size_inside
        for line in recipes.get(service.service_id, ()):
            recipe = line_amount(desk, line, service, size, job.condition)
            whole = line.scaling == "container"
            if whole:
                one = Expected(recipe, recipe, recipe, 0, (), 0.0)
            else:
                one = learnt.expect(line.supply_id, service.service_id, size, recipe)
            need = Need(
                supply_id=line.supply_id,
                service_id=service.service_id,
                amount=one.amount,
                recipe=recipe,
                low=one.low,
                high=one.high,
                n=one.n,
                past=one.past,
                spread=one.spread,
                whole_container=whole,
            )
            before = found.get(line.supply_id)
            found[line.supply_id] = need if before is None else _together(before, need)
    kinds = all_supplies(desk)
    for supply, need in found.items():
        if supply in kinds and kinds[supply].kind == Kind.PIECE:
            washed = bool(kinds[supply].pool)
            amount = whole_pieces(need.amount, washed=washed)
            found[supply] = replace(need, pieces=True, washed=washed, amount=amount)
    return found


def _together(a: Need, b: Need) -> Need:
    """Two services' need of one supply; what is known of it is known of the larger."""
    most = a if a.amount >= b.amount else b
    return replace(
        most,
        amount=a.amount + b.amount,
        recipe=a.recipe + b.recipe,
        low=a.low + b.low,
        high=a.high + b.high,
        n=min(a.n, b.n),
        past=(),
        whole_container=a.whole_container and b.whole_container,
    )
