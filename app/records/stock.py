"""The stock ledger: balances from the last snapshot and the lines since, and new lines."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.models import Balance, Movement, Supply


@dataclass(frozen=True)
class Stand:
    """What stands of one supply: base units and minor units of money."""

    quantity: int = 0
    value: int = 0


def balances(session: Session, supply_id: int | None = None) -> dict[int, Stand]:
    """What stands on the shelf now, by supply; its cost does not grow with the years.

    The newest snapshot of each supply says up to which line it counted; only later lines are added.
    """
    newest = select(Balance.supply_id, func.max(Balance.up_to_movement).label("up_to")).group_by(
        Balance.supply_id
    )
    if supply_id is not None:
        newest = newest.where(Balance.supply_id == supply_id)
    latest = newest.subquery()
    stands = {
        row.supply_id: Stand(row.quantity, row.value)
        for row in session.execute(
            select(Balance.supply_id, Balance.quantity, Balance.value)
            .join(
                latest,
                (latest.c.supply_id == Balance.supply_id)
                & (latest.c.up_to == Balance.up_to_movement),
            )
            .order_by(Balance.day)
        )
    }
    later = (
        select(Movement.supply_id, func.sum(Movement.quantity), func.sum(Movement.value))
        .outerjoin(latest, latest.c.supply_id == Movement.supply_id)
        .where(Movement.id > func.coalesce(latest.c.up_to, 0))
        .group_by(Movement.supply_id)
    )
    if supply_id is not None:
        later = later.where(Movement.supply_id == supply_id)
    for supply, quantity, value in session.execute(later):
        stand = stands.get(supply, Stand())
        stands[supply] = Stand(stand.quantity + int(quantity), stand.value + int(value))
    return stands


def snapshot(session: Session, day: date) -> None:
    """Write what stands at the close of a day, for every supply that has any line."""
    last = session.scalar(select(func.max(Movement.id))) or 0
    standing = {
        row.supply_id: row for row in session.scalars(select(Balance).where(Balance.day == day))
    }
    for supply_id, stand in balances(session).items():
        row = standing.get(supply_id)
        if row is None:
            session.add(
                Balance(
                    supply_id=supply_id,
                    day=day,
                    up_to_movement=last,
                    quantity=stand.quantity,
                    value=stand.value,
                )
            )
        else:
            row.up_to_movement, row.quantity, row.value = last, stand.quantity, stand.value


def lots_left(session: Session, supply_id: int) -> list[tuple[int, int, int]]:
    """(lot id, quantity, value) of each lot with anything left, oldest received first."""
    from app.records.models import Lot

    rows = session.execute(
        select(Lot.id, func.sum(Movement.quantity), func.sum(Movement.value))
        .join(Movement, Movement.lot_id == Lot.id)
        .where(Lot.supply_id == supply_id)
        .group_by(Lot.id, Lot.received_on, Lot.expires_on)
        .having(func.sum(Movement.quantity) > 0)
        .order_by(func.coalesce(Lot.expires_on, date.max), Lot.received_on, Lot.id)
    )
    return [(lot, int(quantity), int(value)) for lot, quantity, value in rows]


def costing_of(session: Session, supply_id: int) -> str:
    """`lot` or `average`."""
    return session.scalar(select(Supply.costing).where(Supply.id == supply_id)) or "average"
