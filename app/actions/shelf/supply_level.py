"""What was left of a supply day by day, and what booked jobs leave of it: ready to be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.amounts import in_unit_of, supply_of, unit_of
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.orders.shelf_state import covers
from app.actions.shelf.supplies import booked_jobs
from app.actions.stock.left import left_on
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import count_of
from app.records.queries import stock_figures as queries
from app.records.stock import balance

DAYS_BACK, DAYS_AHEAD = 365, 60


@dataclass(frozen=True)
class BookedStep:
    """What is left after a booked job, in the supply's unit."""

    day: date
    left: float
    job: str


@dataclass(frozen=True, kw_only=True)
class SupplyLevel:
    """A supply's level in `unit`: `steps` of (day, left when it ends), the last one today's."""

    unit: str
    first: date
    today: date
    last: date
    steps: tuple[tuple[date, float], ...]
    deliveries: tuple[date, ...]
    booked: tuple[BookedStep, ...]
    reorder: float  # 0: none is known
    order_about: date | None  # when the level falls to it, if that is drawn

    @property
    def words(self) -> str:
        """The drawing in one sentence, for whoever does not see it."""
        ends = f"{self.steps[-1][1]:.4g} {self.unit} left on {day_year(self.today)}"
        came = count_of(len(self.deliveries), "delivery", "deliveries")
        return f"{ends}, after {came} in a year."


def supply_level(desk: Desk, day: date, supply_id: int) -> SupplyLevel:
    """The level of a year, and of the coming two months by what is booked."""
    supply = supply_of(desk, supply_id)
    first, last = day - timedelta(days=DAYS_BACK), day + timedelta(days=DAYS_AHEAD)

    def units(amount: int) -> float:
        return float(in_unit_of(desk, supply, amount))

    with desk.book.reading() as session:
        moved = queries.moved_by_day(session, supply_id, first)
        left, _value = balance(session, supply_id)
    left -= sum(amount for _day, amount, _came in moved)
    steps = [(first, units(left))]
    for when, amount, _came in moved:
        left += amount
        if when < day:
            steps.append((when, units(left)))
    now = left_on(desk, day).get(supply_id, 0)
    steps.append((day, units(now)))
    booked = []
    if not supply.pool:  # what is taken of a pool comes back
        for plan, when, amount in booked_jobs(desk, day, supply_id):
            now -= amount
            if when <= last:
                booked.append(BookedStep(when, units(now), numbered(plan.job.number)))
    cover = covers(desk, day).get(supply_id)
    about = date.fromordinal(cover.order_day) if cover and cover.order_day else None
    return SupplyLevel(
        unit=unit_of(desk, supply),
        first=first,
        today=day,
        last=last,
        steps=tuple(steps),
        deliveries=tuple(when for when, _amount, came in moved if came > 0 and when <= day),
        booked=tuple(booked),
        reorder=units(cover.reorder_level) if cover and not supply.stopped else 0.0,
        order_about=about if about is not None and day <= about <= last else None,
    )
