"""What jobs took of one supply, by service and size, and how long its deliveries took."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from app.actions.desk.amounts import amount_said, in_unit_of, supply_of, unit_of
from app.actions.desk.desk import Desk
from app.actions.orders.supplier_page import LeadTimes, lead_times
from app.actions.plan.learnt_uses import asking, corrections, line_amount, observations, size_for
from app.calculations.numbers.wording import counted, words_of
from app.records.queries import days as day_queries
from app.records.queries import orders as order_queries
from app.records.queries import uses as use_queries
from app.records.queries.stock import SupplyRow


@dataclass(frozen=True)
class UsedLine:
    """What one job took on a day, and whether that lies outside the span of its kind."""

    use: use_queries.SupplyUse
    more: bool = False  # than four in five of its kind
    less: bool = False


@dataclass(frozen=True, kw_only=True)
class UseKind:
    """A service and a size of vehicle: what such a job takes, from what was confirmed.

    `middle`, `low`, `high` and `past` are in `unit`, for a vehicle in average condition.
    """

    title: str
    note: str  # the middle, the four-in-five span and of how many, in words
    n: int
    unit: str
    recipe: float
    middle: float
    low: float
    high: float
    past: tuple[float, ...]
    lines: tuple[UsedLine, ...]


@dataclass(frozen=True)
class SupplyUses:
    """The uses of a supply, the kind of job that took it most often first."""

    supply: SupplyRow
    kinds: tuple[UseKind, ...]
    count: int


@dataclass(frozen=True)
class SupplyLeads:
    """How long the deliveries of a supply took."""

    supply: SupplyRow
    lines: tuple[order_queries.ArrivalRow, ...]
    leads: LeadTimes


@dataclass(frozen=True)
class _Asked:
    """What a recipe asks of a supply for a service and a size, base units."""

    title: str
    recipe: int
    container: bool


def supply_uses(desk: Desk, supply_id: int) -> SupplyUses:
    """The newest uses of a supply by the kind of job that took them, with what was learnt."""
    supply = supply_of(desk, supply_id)
    with desk.book.reading() as session:
        uses = use_queries.uses_of_supply(session, supply_id)
        jobs = {use.job_id for use in uses if use.job_id is not None}
        services = day_queries.services_of(session, jobs)
        recipes = day_queries.recipes(session)
    lines = {
        (service, line.supply_id): line
        for service, asked in recipes.items()
        for line in asked
        if line.supply_id == supply_id
    }
    seen = Counter((one.service, one.size) for one in observations(desk) if one.supply == supply_id)
    grouped: dict[tuple[int, str], list[use_queries.SupplyUse]] = {}
    asked: dict[tuple[int, str], _Asked] = {}
    for use in uses:
        found = asking(desk, use, services.get(use.job_id or 0, ()), lines)
        key = (0, "") if found is None else (found[0].service_id, size_for(found[0], use))
        grouped.setdefault(key, []).append(use)
        if found is not None and key not in asked:
            service, line = found
            recipe = line_amount(desk, line, service, key[1], "average")
            asked[key] = _Asked(f"{service.name}, {key[1]}", recipe, line.scaling == "container")
    kinds = [
        _learnt(desk, supply, key, asked[key], seen[key], taken)
        if key in asked and not asked[key].container
        else _untaught(desk, supply, asked.get(key), taken)
        for key, taken in grouped.items()
    ]
    kinds.sort(key=lambda kind: (-len(kind.lines), kind.title))
    return SupplyUses(supply, tuple(kinds), len(uses))


def _untaught(
    desk: Desk, supply: SupplyRow, asked: _Asked | None, taken: Sequence[use_queries.SupplyUse]
) -> UseKind:
    """Uses that teach nothing: no recipe asked for them, or it opens whole containers."""
    title, note, recipe = "No recipe asked for it", "typed by hand", 0.0
    if asked is not None:
        title, recipe = asked.title, _in(desk, supply, asked.recipe)
        note = f"whole containers: {amount_said(desk, supply, asked.recipe)} a layer"
    return UseKind(
        title=title,
        note=note,
        n=0,
        unit=unit_of(desk, supply),
        recipe=recipe,
        middle=recipe,
        low=recipe,
        high=recipe,
        past=(),
        lines=tuple(UsedLine(use) for use in taken),
    )


def _learnt(
    desk: Desk,
    supply: SupplyRow,
    key: tuple[int, str],
    asked: _Asked,
    n: int,
    taken: Sequence[use_queries.SupplyUse],
) -> UseKind:
    """Uses of a service (by id) and a size, with what the `n` confirmed ones taught."""
    one = corrections(desk).expect(supply.supply_id, *key, asked.recipe)
    share = None
    note = f"{amount_said(desk, supply, asked.recipe)} by the recipe; none was confirmed yet"
    if one.n:
        jobs = words_of(n, "confirmed job")
        if n < one.n:
            jobs += f" of this size, {counted(one.n)} of all sizes"
        note = (
            f"middle {amount_said(desk, supply, one.amount)}, four in five use "
            f"{amount_said(desk, supply, one.low)} to {amount_said(desk, supply, one.high)}, "
            f"from {jobs}"
        )
        share = (one.low / asked.recipe, one.high / asked.recipe) if asked.recipe else None
    return UseKind(
        title=asked.title,
        note=note,
        n=n,
        unit=unit_of(desk, supply),
        recipe=_in(desk, supply, asked.recipe),
        middle=_in(desk, supply, one.amount),
        low=_in(desk, supply, one.low),
        high=_in(desk, supply, one.high),
        past=tuple(_in(desk, supply, past) for past in one.past),
        lines=tuple(_compared(use, share) for use in taken),
    )


def _compared(use: use_queries.SupplyUse, share: tuple[float, float] | None) -> UsedLine:
    """`share` is the span of its kind as parts of what was expected of an average such job."""
    if use.state != "confirmed" or use.expected <= 0 or share is None:
        return UsedLine(use)
    low, high = share
    middle = (low * high) ** 0.5 or 1.0
    return UsedLine(
        use,
        more=use.quantity > use.expected * high / middle,
        less=use.quantity < use.expected * low / middle,
    )


def _in(desk: Desk, supply: SupplyRow, amount: int) -> float:
    return float(in_unit_of(desk, supply, amount))


def supply_leads(desk: Desk, supply_id: int) -> SupplyLeads:
    """Each delivery of a supply: ordered, came, days; the middle and nine in ten."""
    supply = supply_of(desk, supply_id)
    with desk.book.reading() as session:
        rows = order_queries.arrivals(session, supply_id)
    return SupplyLeads(supply, tuple(rows), lead_times([days_taken(row) for row in rows]))


def days_taken(row: order_queries.ArrivalRow) -> int:
    """Days from an order to what it brought."""
    return max(0, (row.came_on - row.ordered_on).days)
