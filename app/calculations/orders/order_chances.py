"""On which evenings what can be ordered: a supplier's weekdays, cold stops and sales.

An order is written at a day's end and leaves the supplier on the next working day (Monday to
Friday) at the earliest. What must not freeze is not ordered where either of the two lies in a
cold stop.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.calculations.orders.need import HORIZON
from app.calculations.orders.shelf_state import Span, SupplierState

# Nothing relies on the chances of the last days before a stop: a day sheet may stay open, and what
# is missed then is missed for the whole stop. Judgement, no source.
CARE = 3


@dataclass(frozen=True, slots=True)
class Chances:
    """When a supply can be ordered from a supplier; all in days from today.

    `stop` is the cold stop that is on or comes next, for what must not freeze; `last` is the last
    evening before it that may be relied on (0: this one, or there is none) and `after` the first
    evening behind it.
    """

    today: bool
    following: int  # the first chance after today
    ordinary: int  # between two chances where no stop lies
    stop: Span | None = None
    last: int | None = None
    after: int = 0

    @property
    def first(self) -> int:
        """The first chance, today counted."""
        return 0 if self.today else self.following

    @property
    def stopped(self) -> bool:
        """Today lies in a cold stop already."""
        return self.stop is not None and not self.today and self.following == self.after

    @property
    def gap(self) -> int:
        """Days to the next chance that may be relied on."""
        return self.after if self.last == 0 else self.following


def inside(day: int, spans: Sequence[Span]) -> Span | None:
    """The span in which a day lies, first and last day counted in."""
    return next((span for span in spans if span[0] <= day <= span[1]), None)


def leaves(day: int) -> int:
    """When what is ordered on a day's end leaves the supplier: the next working day."""
    return day + {4: 3, 5: 2}.get((day - 1) % 7, 1)


def ordinary_gap(day: int, weekdays: Sequence[int]) -> int:
    """Days from this one to the next on which orders go out, at least 1."""
    return next((d for d in range(1, 8) if not weekdays or (day + d - 1) % 7 in weekdays), 1)


def goes_out(day: int, weekdays: Sequence[int]) -> bool:
    """Whether orders go out on this day."""
    return not weekdays or (day - 1) % 7 in weekdays


def cold_stop(day: int, spans: Sequence[Span]) -> Span | None:
    """The stop for which what must not freeze cannot be ordered on this day's end."""
    return inside(day, spans) or inside(leaves(day), spans)


def chances(day: int, supplier: SupplierState, *, no_frost: bool) -> Chances:
    """When a supplier can be asked for what freezes (`no_frost`), or for what does not."""
    weekdays, spans = supplier.order_weekdays, supplier.cold_spans
    today, following = goes_out(day, weekdays), ordinary_gap(day, weekdays)
    if not no_frost or not spans:
        return Chances(today, following, following)
    blocked = [d for d in range(HORIZON) if cold_stop(day + d, spans) is not None]
    if not blocked:
        return Chances(today, following, following)
    shut = set(blocked)
    begins = blocked[0]
    ends = begins
    while ends in shut:
        ends += 1
    after = next(
        (d for d in range(max(ends, 1), HORIZON) if goes_out(day + d, weekdays) and d not in shut),
        HORIZON,
    )
    before = [d for d in range(begins) if goes_out(day + d, weekdays)]
    stop = cold_stop(day + begins, spans)
    relied = [d for d in before if 0 < d <= before[-1] - CARE]
    coming = [d for d in before if d > 0]
    return Chances(
        today=0 in before,
        following=coming[0] if coming else after,
        ordinary=ordinary_gap(day + after, weekdays),
        stop=stop,
        last=relied[-1] if relied else 0,
        after=after,
    )


def sale_ahead(day: int, supplier: SupplierState, within: int) -> tuple[Span, int] | None:
    """(sale, days until its first chance to order; 0: it is on) of the sale that is on or begins
    within so many days."""
    for span in sorted(supplier.sale_spans):
        if span[1] < day or span[0] > day + within:
            continue
        begin = max(span[0], day)
        days = (d for d in range(begin, span[1] + 1) if goes_out(d, supplier.order_weekdays))
        chance = next(days, None)
        if chance is not None:
            return span, chance - day
    return None
