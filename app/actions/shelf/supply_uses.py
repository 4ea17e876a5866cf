"""What jobs took of one supply, by service and size, and how long its deliveries took."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

from app.actions.desk.amounts import amount_said, amount_text, in_unit_of, supply_of, unit_of
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.orders.supplier_page import LeadTimes, lead_sentence, lead_times
from app.actions.plan.learnt_uses import asking, corrections, line_amount, observations, size_for
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import counted, words_of
from app.records.queries import days as day_queries
from app.records.queries import orders as order_queries
from app.records.queries import uses as use_queries
from app.records.queries.stock import SupplyRow


@dataclass(frozen=True)
class UsedLine:
    """What one job took on a day; base units, and their texts."""

    use_id: int
    job_id: int | None
    day: date
    day_text: str
    job_text: str
    vehicle: str
    expected_text: str
    used_text: str
    state_text: str  # confirmed, from recipe
    more: bool  # outside the four-in-five span of its kind, above it
    less: bool


@dataclass(frozen=True)
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

    kinds: tuple[UseKind, ...]
    count: int


@dataclass(frozen=True)
class LeadLine:
    """One delivery of a supply."""

    order_text: str
    supplier: str
    ordered_text: str
    came_text: str
    days: int
    amount_text: str


@dataclass(frozen=True)
class SupplyLeads:
    """How long the deliveries of a supply took."""

    lines: tuple[LeadLine, ...]
    leads: LeadTimes
    text: str


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
    learnt = corrections(desk)
    seen = Counter((one.service, one.size) for one in observations(desk) if one.supply == supply_id)
    unit = unit_of(desk, supply)
    grouped: dict[tuple[int, str], list[use_queries.SupplyUse]] = {}
    facts: dict[tuple[int, str], tuple[str, int, bool]] = {}
    for use in uses:
        found = asking(desk, use, services.get(use.job_id or 0, ()), lines)
        key = (0, "") if found is None else (found[0].service_id, size_for(found[0], use))
        grouped.setdefault(key, []).append(use)
        if found is not None and key not in facts:
            service, line = found
            recipe = line_amount(desk, line, service, key[1], "average")
            facts[key] = (service.name, recipe, line.scaling == "container")
    kinds = []
    for key, taken in grouped.items():
        if key not in facts:
            asked_by = tuple(_line(desk, supply, use, None) for use in taken)
            kinds.append(
                UseKind(
                    "No recipe asked for it", "typed by hand", 0, unit, 0, 0, 0, 0, (), asked_by
                )
            )
            continue
        name, recipe, container = facts[key]
        if container:
            said = f"whole containers: {amount_said(desk, supply, recipe)} a layer"
            plain = _in(desk, supply, recipe)
            kinds.append(
                UseKind(
                    f"{name}, {key[1]}", said, 0, unit, plain, plain, plain, plain, (),
                    tuple(_line(desk, supply, use, None) for use in taken),
                )
            )  # fmt: skip
            continue
        one = learnt.expect(supply_id, key[0], key[1], recipe)
        if one.n:
            n = seen[key]
            jobs_said = f"{words_of(n, 'confirmed job')}"
            if n < one.n:
                jobs_said += f" of this size, {counted(one.n)} of all sizes"
            said = (
                f"middle {amount_said(desk, supply, one.amount)}, four in five use "
                f"{amount_said(desk, supply, one.low)} to {amount_said(desk, supply, one.high)}, "
                f"from {jobs_said}"
            )
        else:
            said = f"{amount_said(desk, supply, recipe)} by the recipe; none was confirmed yet"
        share = (one.low / recipe, one.high / recipe) if recipe and one.n else None
        kinds.append(
            UseKind(
                f"{name}, {key[1]}",
                said,
                seen[key],
                unit,
                _in(desk, supply, recipe),
                _in(desk, supply, one.amount),
                _in(desk, supply, one.low),
                _in(desk, supply, one.high),
                tuple(_in(desk, supply, past) for past in one.past),
                tuple(_line(desk, supply, use, share) for use in taken),
            )
        )
    kinds.sort(key=lambda kind: (-len(kind.lines), kind.title))
    return SupplyUses(tuple(kinds), len(uses))


def _line(
    desk: Desk,
    supply: SupplyRow,
    use: use_queries.SupplyUse,
    share: tuple[float, float] | None,
) -> UsedLine:
    """`share` is the span of its kind as parts of what was expected of an average such job."""
    sure = use.state == "confirmed" and use.expected > 0 and share is not None
    low, high = share or (0.0, 0.0)
    middle = (low * high) ** 0.5 or 1.0
    return UsedLine(
        use.use_id,
        use.job_id,
        use.day,
        day_year(use.day),
        numbered(use.job_number) if use.job_number else "",
        use.vehicle,
        amount_text(desk, supply, use.expected) if use.expected else "",
        amount_text(desk, supply, use.quantity),
        "from recipe" if use.state == "recipe" else "confirmed",
        sure and use.quantity > use.expected * high / middle,
        sure and use.quantity < use.expected * low / middle,
    )


def _in(desk: Desk, supply: SupplyRow, amount: int) -> float:
    return float(in_unit_of(desk, supply, amount))


def supply_leads(desk: Desk, supply_id: int) -> SupplyLeads:
    """Each delivery of a supply: ordered, came, days; the middle and nine in ten."""
    supply = supply_of(desk, supply_id)
    with desk.book.reading() as session:
        rows = order_queries.arrivals(session, supply_id)
    leads = lead_times([max(0, (row.came_on - row.ordered_on).days) for row in rows])
    return SupplyLeads(
        tuple(
            LeadLine(
                numbered(row.order_number),
                row.supplier,
                day_year(row.ordered_on),
                day_year(row.came_on),
                max(0, (row.came_on - row.ordered_on).days),
                amount_text(desk, supply, row.quantity),
            )
            for row in rows
        ),
        leads,
        lead_sentence(leads),
    )
