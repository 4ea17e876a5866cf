"""How long services will take on a vehicle: by the list, and by the shop's own closed jobs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.actions.desk.desk import Desk, kept
from app.calculations.numbers.money import allocate
from app.calculations.plan.expected_hours import (
    ENOUGH,
    HourFactors,
    Sold,
    list_minutes,
    main_service,
)
from app.calculations.plan.own_hours import ClosedJob, own_hours
from app.records.queries import days as day_queries
from app.records.queries import jobs as queries
from app.records.queries import services as service_queries
from app.records.queries.services import ServiceStepRow, SoldService

# By the list alone: how far work strays from its estimate (common practice,
# no source). The middle half of jobs lies within -5 and +25 %.
GUESS_LOW, GUESS_HIGH = 0.95, 1.25


@dataclass(frozen=True, kw_only=True)
class JobHours:
    """Three numbers of minutes for services on a vehicle, and what they come from."""

    low: int
    likely: int
    high: int
    by_list: int
    main: SoldService | None  # what it mainly is
    n: int  # closed jobs of mainly this service
    own: bool  # whether `likely` is the shop's own
    own_span: tuple[int, int, int] | None  # the shop's own low, likely and 80th percentile
    known: Mapping[int, SoldService]  # the list
    sold: tuple[Sold, ...]  # of what was asked, what stands on it


def factors(desk: Desk) -> HourFactors:
    """What size and condition do to hours, as the shop set it."""
    settings = desk.settings
    return HourFactors(settings.hours_outside, settings.hours_inside, settings.hours_condition)


def job_hours(
    desk: Desk,
    services: Sequence[tuple[int, int]],
    size_outside: str = "M",
    size_inside: str = "M",
    condition: str = "average",
) -> JobHours:
    """What these (service, layers) will take on a vehicle."""
    known, sold = sold_of(desk, services)
    by_service = list_minutes(sold, size_outside, size_inside, condition, factors(desk))
    by_list = sum(by_service.values())
    main = main_service(by_service)
    outside = main is not None and known[main].outside
    size = size_outside if outside else size_inside
    own = own_hours(closed_jobs(desk), main, outside, size) if main is not None else None
    n = own.n if own is not None else 0
    own_span = None
    if own is not None and n >= ENOUGH:
        own_span = (five(by_list * own.low), five(by_list * own.likely), five(by_list * own.high))
    by_own = own_span is not None and desk.settings.hours_from == "own"
    listed = five(by_list * GUESS_LOW), five(by_list), five(by_list * GUESS_HIGH)
    low, likely, high = own_span if own_span is not None and by_own else listed
    return JobHours(
        low=low, likely=likely, high=high, by_list=listed[1],
        main=known[main] if main is not None else None, n=n, own=by_own, own_span=own_span,
        known=known, sold=tuple(sold),
    )  # fmt: skip


def sold_of(
    desk: Desk, services: Sequence[tuple[int, int]]
) -> tuple[dict[int, SoldService], list[Sold]]:
    """(the list by service, these (service, layers) as far as they stand on it)."""
    known = _list(desk)
    return known, [
        Sold(one, known[one].minutes, known[one].outside, layers)
        for one, layers in services
        if one in known
    ]


@kept("price list")
def _list(desk: Desk) -> dict[int, SoldService]:
    with desk.book.reading() as session:
        return {row.service_id: row for row in service_queries.services(session)}


@kept("ratios")
def closed_jobs(desk: Desk) -> list[ClosedJob]:
    """The newest closed jobs, each by its main service, as worked by the list's hours."""
    with desk.book.reading() as session:
        rows = queries.took(session)
        services = day_queries.services_of(session, [row.job_id for row in rows])
    found = []
    for row in rows:
        sold = [
            Sold(one.service_id, one.minutes, one.outside, one.layers)
            for one in services.get(row.job_id, ())
        ]
        minutes = list_minutes(
            sold, row.size_outside, row.size_inside, row.condition, factors(desk)
        )
        by_list, main = sum(minutes.values()), main_service(minutes)
        if by_list > 0 and main is not None:
            outside = next(one.outside for one in sold if one.service == main)
            size = row.size_outside if outside else row.size_inside
            found.append(ClosedJob(main, outside, size, row.minutes / by_list))
    return found


def minutes_of_steps(
    steps: Sequence[ServiceStepRow], often: Sequence[int], minutes: int
) -> list[int]:
    """What each step takes of a service's minutes, those that are done `often` one by one: as it
    says, or as much as the others; none where no step says anything."""
    told = [step.minutes for step in steps if step.minutes]
    usual = max(1, sum(told) // len(told)) if told else 0
    weights = [
        step.minutes or usual
        for step, times in zip(steps, often, strict=True)
        for _ in range(times)
    ]
    return allocate(minutes, weights) if told else weights


def five(minutes: float) -> int:
    """Minutes to the nearest five, halves up."""
    return max(0, int(minutes / 5 + 0.5) * 5)
