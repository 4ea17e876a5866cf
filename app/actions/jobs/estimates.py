"""What a job will take and cost: low, likely and not above, with how much is behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.actions.desk.desk import Desk
from app.actions.jobs.estimate_rounding import rounded
from app.actions.plan.job_hours import JobHours, factors, five, job_hours, sold_of
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import noun
from app.calculations.plan.expected_hours import ENOUGH, Sold, list_minutes
from app.records.queries.services import SoldService


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
    hours = job_hours(desk, services, size_outside, size_inside, condition)
    lines = tuple(
        _line(desk, hours.known[one.service], one, size_outside, size_inside, condition)
        for one in hours.sold
    )
    price = sum(line.price for line in lines) if agreed is None else agreed
    rate = desk.settings.hourly_rate
    price_low = max(0, price - rounded(desk, (hours.likely - hours.low) * rate / 60))
    price_high = price + rounded(desk, (hours.high - hours.likely) * rate / 60)
    return Estimate(
        minutes=hours.likely, low=hours.low, high=hours.high, by_list=hours.by_list, n=hours.n,
        own=hours.own, own_span=hours.own_span, price=price, price_low=price_low,
        price_high=price_high, lines=lines, voice=_voice(hours),
    )  # fmt: skip


def lines_of(
    desk: Desk,
    services: Sequence[tuple[int, int]],
    size_outside: str = "M",
    size_inside: str = "M",
    condition: str = "average",
) -> tuple[SoldLine, ...]:
    """These (service, layers) by the list alone, each as it would be sold on this vehicle."""
    known, sold = sold_of(desk, services)
    return tuple(
        _line(desk, known[one.service], one, size_outside, size_inside, condition) for one in sold
    )


def _line(
    desk: Desk, service: SoldService, sold: Sold, outside: str, inside: str, condition: str
) -> SoldLine:
    minutes = list_minutes([sold], outside, inside, condition, factors(desk))[sold.service]
    share = minutes / service.minutes if service.minutes else float(max(1, sold.layers))
    return SoldLine(
        sold.service,
        service.name,
        sold.layers,
        five(minutes),
        # The list's own price is charged to the cent; one worked out from it is rounded.
        round(service.price * share)
        if share.is_integer()
        else rounded(desk, service.price * share),
        service.tax_kind,
    )


def _voice(hours: JobHours) -> str:
    name = hours.main.name if hours.main is not None else ""
    n, by_list, own_span, by_own = hours.n, hours.by_list, hours.own_span, hours.own
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
