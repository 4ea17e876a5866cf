"""What jobs took of supplies: on a day, over a job, and as the shop's experience."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.models import Job, Movement, Supply, Use, Vehicle


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


def uses_of_supply(session: Session, supply_id: int, limit: int = 300) -> list[SupplyUse]:
    """The newest booked uses of a supply, newest first."""
    rows = session.execute(
        select(
            Use.id,
            Use.day,
            Use.job_id,
            Job.number,
            Vehicle.description,
            Use.supply_id,
            Use.quantity,
            Use.expected,
            Use.state,
            Vehicle.size_outside,
            Vehicle.size_inside,
            Job.condition,
        )
        .outerjoin(Job, Job.id == Use.job_id)
        .outerjoin(Vehicle, Vehicle.id == Job.vehicle_id)
        .where(Use.supply_id == supply_id, Use.booked.is_(True))
        .order_by(Use.day.desc(), Use.id.desc())
        .limit(limit)
    )
    return [
        SupplyUse(
            use, day, job, number or 0, vehicle or "", supply, int(quantity), int(expected), state,
            outside or "M", inside or "M", condition or "average",
        )
        for use, day, job, number, vehicle, supply, quantity, expected, state, outside, inside,
        condition in rows
    ]  # fmt: skip


def _row(use: Use) -> UseRow:
    return UseRow(
        use.id,
        use.day,
        use.job_id,
        use.supply_id,
        use.quantity,
        use.expected,
        use.recipe,
        use.state,
        use.typed,
        use.booked,
        use.cost,
        use.weight_before,
        use.weight_after,
        use.weighed_at,
    )


def uses_of(session: Session, job_ids: Collection[int]) -> dict[int, list[UseRow]]:
    """The uses of each job, on whatever day."""
    found: dict[int, list[UseRow]] = {}
    wanted = sorted(job_ids)
    for start in range(0, len(wanted), 500):
        part = wanted[start : start + 500]
        for use in session.scalars(select(Use).where(Use.job_id.in_(part)).order_by(Use.id)):
            if use.job_id is not None:
                found.setdefault(use.job_id, []).append(_row(use))
    return found


def uses_on(session: Session, day: date) -> list[UseRow]:
    """All uses of a day, of jobs and of the shop."""
    return [_row(use) for use in session.scalars(select(Use).where(Use.day == day))]


def use_to_write(session: Session, day: date, job_id: int, supply_id: int) -> Use | None:
    """The line to write to."""
    return session.scalars(
        select(Use)
        .where(Use.day == day, Use.job_id == job_id, Use.supply_id == supply_id)
        .order_by(Use.id)
        .limit(1)
    ).first()


def uses_to_write(session: Session, day: date) -> list[Use]:
    """All lines of a day, to book or to take back."""
    return list(session.scalars(select(Use).where(Use.day == day).order_by(Use.id)))


def lines_of_use(session: Session, use_id: int) -> list[Movement]:
    """The lines of the ledger that book a use and were not taken back."""
    lines = list(
        session.scalars(select(Movement).where(Movement.use_id == use_id).order_by(Movement.id))
    )
    taken_back = {line.counters_id for line in lines if line.counters_id is not None}
    return [line for line in lines if line.counters_id is None and line.id not in taken_back]


def has_lines(session: Session, use_id: int) -> bool:
    """Whether the ledger ever named this use."""
    return (
        session.scalars(select(Movement.id).where(Movement.use_id == use_id).limit(1)).first()
        is not None
    )


def unbooked_before(session: Session, day: date, since: date) -> dict[int, int]:
    """What was typed on earlier days that are not closed yet, by supply."""
    rows = session.execute(
        select(Use.supply_id, func.sum(Use.quantity))
        .where(Use.day >= since, Use.day < day, Use.booked.is_(False), Use.state == "confirmed")
        .group_by(Use.supply_id)
    )
    return {supply: int(total) for supply, total in rows}


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
            Vehicle.size_outside,
            Vehicle.size_inside,
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
    guessed = {
        (job, supply)
        for job, supply in session.execute(
            select(Use.job_id, Use.supply_id).where(Use.day >= oldest, Use.state == "recipe")
        )
    }
    sums: dict[tuple[int, int], TakenRow] = {}
    for job, supply, day, used, recipe, condition, outside, inside in rows:
        if job is None or (job, supply) in guessed:
            continue
        before = sums.get((job, supply))
        sums[job, supply] = TakenRow(
            job,
            supply,
            max(day, before.day) if before else day,
            condition,
            outside or "M",
            inside or "M",
            used + (before.used if before else 0),
            recipe + (before.recipe if before else 0),
        )
    return list(sums.values())
