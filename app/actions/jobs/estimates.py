"""What a job will take and cost: low, likely and not above, with how much is behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.actions.desk.desk import Desk, kept
from app.actions.jobs.estimate_rounding import rounded
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import noun
from app.calculations.plan.expected_hours import (
    ENOUGH,
    HourFactors,
    Sold,
    list_minutes,
    main_service,
)
from app.calculations.plan.own_hours import ClosedJob, OwnHours, own_hours
from app.records.queries import days as day_queries
from app.records.queries import jobs as queries
from app.records.queries import services as service_queries
from app.records.queries.services import SoldService

# By the list alone: how far work strays from its estimate (common practice,
# no source). The middle half of jobs lies within -5 and +25 %.
GUESS_LOW, GUESS_HIGH = 0.95, 1.25


@dataclass(frozen=True)
class SoldLine:
    """A service as it would be sold on this vehicle: minutes and price, minor units."""

    service_id: int
    name: str
    layers: int
    minutes: int
    price: int
    tax_kind: str  # empty: no tax


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """Three numbers for hours and for money, and in words where they come from."""

    minutes: int  # likely
    low: int
    high: int
    by_list: int
    n: int  # closed jobs of mainly this service
    own: bool  # whether `minutes` are the shop's own
    own_span: tuple[int, int, int] | None  # the shop's own low, likely and 80th percentile
    price: int
    price_low: int
    price_high: int
    lines: tuple[SoldLine, ...]
    voice: str


def factors(desk: Desk) -> HourFactors:
    """What size and condition do to hours, as the shop set it."""
    settings = desk.settings
    return HourFactors(settings.hours_outside, settings.hours_inside, settings.hours_condition)


def estimate(
    desk: Desk,
    services: Sequence[tuple[int, int]],
    size_outside: str = "M",
    size_inside: str = "M",
    condition: str = "average",
    agreed: int | None = None,
) -> Estimate:
    """What these (service, layers) will take on a vehicle.

    With `agreed` (minor units) that is the likely price; else the list's, scaled as the hours are.
    """
    known, sold = _sold(desk, services)
    by_service = list_minutes(sold, size_outside, size_inside, condition, factors(desk))
    by_list = sum(by_service.values())
    main = main_service(by_service)
    outside = main is not None and known[main].outside
    size = size_outside if outside else size_inside
    own = own_hours(_closed(desk), main, outside, size) if main is not None else None
    n = own.n if own is not None else 0
    own_span = _own_span(own, by_list) if own is not None and n >= ENOUGH else None
    by_own = own_span is not None and desk.settings.hours_from == "own"
    listed = _five(by_list * GUESS_LOW), _five(by_list), _five(by_list * GUESS_HIGH)
    low, minutes, high = own_span if own_span is not None and by_own else listed
    lines = tuple(
        _line(desk, known[one.service], one, size_outside, size_inside, condition) for one in sold
    )
    price = sum(line.price for line in lines) if agreed is None else agreed
    rate = desk.settings.hourly_rate
    price_low = max(0, price - rounded(desk, (minutes - low) * rate / 60))
    price_high = price + rounded(desk, (high - minutes) * rate / 60)
    return Estimate(
        minutes=minutes, low=low, high=high, by_list=listed[1], n=n, own=by_own, own_span=own_span,
        price=price, price_low=price_low, price_high=price_high, lines=lines,
        voice=_voice(known[main].name if main is not None else "", n, listed[1], own_span, by_own),
    )  # fmt: skip


def lines_of(
    desk: Desk,
    services: Sequence[tuple[int, int]],
    size_outside: str = "M",
    size_inside: str = "M",
    condition: str = "average",
) -> tuple[SoldLine, ...]:
    """These (service, layers) by the list alone, each as it would be sold on this vehicle."""
    known, sold = _sold(desk, services)
    return tuple(
        _line(desk, known[one.service], one, size_outside, size_inside, condition) for one in sold
    )


def _sold(
    desk: Desk, services: Sequence[tuple[int, int]]
) -> tuple[dict[int, SoldService], list[Sold]]:
    """(the list by service, these (service, layers) as far as they stand on it)."""
    with desk.book.reading() as session:
        known = {row.service_id: row for row in service_queries.services(session)}
    return known, [
        Sold(one, known[one].minutes, known[one].outside, layers)
        for one, layers in services
        if one in known
    ]


def _own_span(own: OwnHours, by_list: float) -> tuple[int, int, int]:
    low, likely, high = (_five(by_list * one) for one in (own.low, own.likely, own.high))
    return low, likely, high


@kept("ratios")
def _closed(desk: Desk) -> list[ClosedJob]:
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


def _line(
    desk: Desk, service: SoldService, sold: Sold, outside: str, inside: str, condition: str
) -> SoldLine:
    minutes = list_minutes([sold], outside, inside, condition, factors(desk))[sold.service]
    share = minutes / service.minutes if service.minutes else float(max(1, sold.layers))
    return SoldLine(
        sold.service,
        service.name,
        sold.layers,
        _five(minutes),
        # The list's own price is charged to the cent; one worked out from it is rounded.
        round(service.price * share)
        if share.is_integer()
        else rounded(desk, service.price * share),
        service.tax_kind,
    )


def _voice(
    name: str, n: int, by_list: int, own_span: tuple[int, int, int] | None, by_own: bool
) -> str:
    if not name:
        return "No service is on the job yet, so nothing can be expected of it."
    if own_span is not None:
        _low, likely, high = own_span
        said = (
            f"Your list says {shown_duration(by_list)}. Your own jobs say "
            f"{shown_duration(likely)}, and four in five stay under {shown_duration(high)}: {n} "
            f"that were mainly {name.lower()}, drawn a little toward your other work where they "
            "are few. "
        )
        if by_own:
            return f"{said}The likely figure is your own; a setting takes the list’s instead."
        return said + "The likely figure is the list’s, as your setting has it."
    have = "none" if n == 0 else str(n)
    return (
        f"From your list, by size and condition. After {ENOUGH} closed jobs of this kind your own "
        f"hours stand beside it; there {noun(n, 'is', 'are')} {have} yet. The span is a guess "
        "from common practice."
    )


def _five(minutes: float) -> int:
    return max(0, int(minutes / 5 + 0.5) * 5)
