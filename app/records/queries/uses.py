"""What jobs took of supplies: on a day, over a job, and as the shop's experience."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.asking import columns, grouped, rows_in_parts, rows_of, sums_of, to_write
from app.records.models import Job, Movement, Supply, Use, Vehicle
from app.records.queries.days import SIZE_INSIDE, SIZE_OUTSIDE
from app.records.undo.ledgers import standing


@dataclass(frozen=True, kw_only=True)
class UseRow:
    """A use of a supply by a job on a day; base units, cost in minor units."""

    use_id: int
    day: date
    job_id: int | None
    supply_id: int
    quantity: int
    expected: int
    recipe: int
    state: str
    typed: str
    booked: bool
    cost: int
    weight_before: int | None = None
    weight_after: int | None = None
    weighed_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class TakenRow:
    """What one job took of one supply, all its days together, as it teaches expected use."""

    job_id: int
    supply_id: int
    day: date
    condition: str
    size_outside: str
    size_inside: str
    used: int
    recipe: int


@dataclass(frozen=True, kw_only=True)
class SupplyUse:
    """A booked use of one supply, with the job that took it; base units."""

    use_id: int
    day: date
    job_id: int | None
    job_number: int
    vehicle: str
    supply_id: int
    quantity: int
    expected: int
    state: str
    size_outside: str
    size_inside: str
    condition: str


_USE = columns(UseRow, Use, use_id=Use.id)
_SUPPLY_USE = columns(
    SupplyUse,
    Use,
    use_id=Use.id,
    job_number=func.coalesce(Job.number, 0),
    vehicle=func.coalesce(Vehicle.description, ""),
    size_outside=SIZE_OUTSIDE,
    size_inside=SIZE_INSIDE,
    condition=func.coalesce(Job.condition, "average"),
)


def uses_of_supply(session: Session, supply_id: int, limit: int = 300) -> list[SupplyUse]:
    """The newest booked uses of a supply, newest first."""
    query = (
        select(*_SUPPLY_USE)
        .outerjoin(Job, Job.id == Use.job_id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .where(Use.supply_id == supply_id, Use.booked.is_(True))
        .order_by(Use.day.desc(), Use.id.desc())
        .limit(limit)
    )
    return rows_of(SupplyUse, session.execute(query))


def uses_of(session: Session, job_ids: Collection[int]) -> dict[int, list[UseRow]]:
    """The uses of each job, on whatever day."""
    query = select(*_USE).order_by(Use.id)
    return grouped(rows_in_parts(UseRow, session, query, Use.job_id, job_ids), "job_id")


def use_to_write(session: Session, day: date, job_id: int, supply_id: int) -> Use | None:
    """The line to write to."""
    return next(iter(to_write(session, Use, day=day, job_id=job_id, supply_id=supply_id)), None)


def lines_of_use(session: Session, use_id: int) -> list[Movement]:
    """The lines of the ledger that book a use and were not taken back."""
    query = select(Movement).where(Movement.use_id == use_id, standing(Movement))
    return list(session.scalars(query.order_by(Movement.id)))


def unbooked_before(session: Session, day: date, since: date) -> dict[int, int]:
    """What was typed on earlier days that are not closed yet, by supply."""
    query = select(Use.supply_id, func.sum(Use.quantity)).group_by(Use.supply_id)
    typed = (Use.booked.is_(False), Use.state == "confirmed")
    return sums_of(session, query.where(Use.day >= since, Use.day < day, *typed))


def use_by_day(session: Session, first: date, last: date) -> dict[int, dict[date, int]]:
    """What booked uses took, by supply and day, from `first` to `last`."""
    found: dict[int, dict[date, int]] = {}
    for supply, day, total in session.execute(
        select(Use.supply_id, Use.day, func.sum(Use.quantity))
        .where(Use.day >= first, Use.day <= last, Use.booked.is_(True))
        .group_by(Use.supply_id, Use.day)
    ):
        found.setdefault(supply, {})[day] = int(total)
    return found


def first_days(session: Session) -> dict[int, date]:
    """The first day on which each supply moved at all."""
    # One step through the index per supply, not one per line: the lines grow with the years.
    first = (
        select(func.min(Movement.day))
        .where(Movement.supply_id == Supply.id)
        .correlate(Supply)
        .scalar_subquery()
    )
    rows = session.execute(select(Supply.id, first))
    return {supply: day for supply, day in rows if day is not None}


def taken_lately(session: Session, lines: int) -> list[TakenRow]:
    """What jobs took, from the newest `lines` booked uses that a person confirmed.

    The days of one job count together, so only jobs that are done teach. A job is left out for a
    supply that was booked "from recipe" on any of its days: such a day says nothing.
    """
    # The newest lines first, by their key, then what belongs to them: else all jobs ever done
    # would be read for it.
    newest = (
        select(Use.id)
        .where(Use.state == "confirmed", Use.booked.is_(True))
        .order_by(Use.id.desc())
        .limit(lines)
        .subquery()
    )
    rows = session.execute(
        select(
            Use.job_id,
            Use.supply_id,
            Use.day,
            Use.quantity,
            Use.recipe,
            Job.condition,
            SIZE_OUTSIDE,
            SIZE_INSIDE,
        )
        .select_from(newest)
        .join(Use, Use.id == newest.c.id)
        .join(Job, Job.id == Use.job_id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .where(Job.state == "done")
        .order_by(Use.id.desc())
    ).all()
    if not rows:
        return []
    oldest = min(row[2] for row in rows)
    # Found by its day: by the index of states, those of all years would be gone through.
    guess = Use.day >= oldest, Use.state.concat("") == "recipe"
    guessed = {
        (job, supply)
        for job, supply in session.execute(select(Use.job_id, Use.supply_id).where(*guess))
    }
    sums: dict[tuple[int, int], TakenRow] = {}
    for job, supply, day, used, recipe, condition, outside, inside in rows:
        if job is None or (job, supply) in guessed:
            continue
        before = sums.get((job, supply))
        sums[job, supply] = TakenRow(
            job_id=job,
            supply_id=supply,
            day=max(day, before.day) if before else day,
            condition=condition,
            size_outside=outside,
            size_inside=inside,
            used=used + (before.used if before else 0),
            recipe=recipe + (before.recipe if before else 0),
        )
    return list(sums.values())
