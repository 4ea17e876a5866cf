"""Is the book whole? What the database says, and whether the ledgers agree with each other."""

from __future__ import annotations

from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session, aliased

from app.records.engine import complaints
from app.records.models import Balance, DaySheet, Movement, OrderLine, Supply, Use


def complaints_of(engine: Engine) -> list[str]:
    """Plain sentences, one for each thing that is wrong."""
    with engine.connect() as connection:
        found = complaints(connection)
    if found:
        return found
    with Session(engine, autoflush=False) as session:
        return [
            *_snapshots(session),
            *_booked_uses(session),
            *_counters(session),
            *_orders(session),
            *_days(session),
        ]


def _snapshots(session: Session) -> list[str]:
    """Each supply's newest snapshot equals the sum of the lines it counted in."""
    newest = (
        select(Balance.supply_id, func.max(Balance.day).label("day"))
        .group_by(Balance.supply_id)
        .subquery()
    )
    rows = session.execute(
        select(Supply.name, Balance.quantity, Balance.value, Balance.up_to_movement, Supply.id)
        .join(Balance, Balance.supply_id == Supply.id)
        .join(newest, (newest.c.supply_id == Balance.supply_id) & (newest.c.day == Balance.day))
    )
    found = []
    for name, quantity, value, up_to, supply_id in rows:
        ledger = session.execute(
            select(func.sum(Movement.quantity), func.sum(Movement.value)).where(
                Movement.supply_id == supply_id, Movement.id <= up_to
            )
        ).one()
        if (int(ledger[0] or 0), int(ledger[1] or 0)) != (quantity, value):
            found.append(f"The snapshot of {name} differs from the lines of its ledger.")
    return found


def _booked_uses(session: Session) -> list[str]:
    """A booked use and its lines in the ledger are the same quantity and cost."""
    lines = (
        select(
            Movement.use_id,
            func.sum(Movement.quantity).label("quantity"),
            func.sum(Movement.value).label("value"),
        )
        .where(Movement.use_id.is_not(None))
        .group_by(Movement.use_id)
        .subquery()
    )
    rows = session.execute(
        select(Use, Supply.name, lines.c.quantity, lines.c.value)
        .join(Supply, Supply.id == Use.supply_id)
        .outerjoin(lines, lines.c.use_id == Use.id)
        .where(
            (Use.booked.is_(True) & (func.coalesce(lines.c.quantity, 0) != -Use.quantity))
            | (Use.booked.is_(False) & (func.coalesce(lines.c.quantity, 0) != 0))
            | (Use.booked.is_(True) & (func.coalesce(lines.c.value, 0) != -Use.cost))
        )
        .limit(20)
    )
    return [
        f"The use of {name} on {use.day} is not what the shelf's ledger says."
        for use, name, _, _ in rows
    ]


def _counters(session: Session) -> list[str]:
    """No line is countered twice, and a counter takes back exactly its line."""
    other = aliased(Movement)
    twice = session.execute(
        select(Movement.counters_id, func.count())
        .where(Movement.counters_id.is_not(None))
        .group_by(Movement.counters_id)
        .having(func.count() > 1)
    ).all()
    unequal = session.execute(
        select(Movement.id)
        .join(other, Movement.counters_id == other.id)
        .where(
            (Movement.quantity != -other.quantity)
            | (Movement.value != -other.value)
            | (Movement.supply_id != other.supply_id)
        )
    ).all()
    found = [f"Line {line} of the shelf's ledger is taken back twice." for line, _ in twice]
    found += [f"Line {line[0]} does not take back what it says it does." for line in unequal]
    return found


def _orders(session: Session) -> list[str]:
    rows = session.scalars(select(OrderLine).where(OrderLine.packs_received < 0).limit(20))
    return [f"Line {row.id} of order {row.order_id} received fewer than no packs." for row in rows]


def _days(session: Session) -> list[str]:
    """A closed day has no use left unbooked."""
    rows = session.execute(
        select(Use.day, func.count())
        .join(DaySheet, DaySheet.day == Use.day)
        .where(DaySheet.state == "closed", Use.booked.is_(False), Use.quantity != 0)
        .group_by(Use.day)
        .limit(20)
    )
    return [f"{day} is closed but {count} of its uses are not booked." for day, count in rows]
