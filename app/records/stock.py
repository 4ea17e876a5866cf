"""The stock ledger: booking movements, and what stands on the shelf.

A balance is the sum of a supply's lines. So that its cost does not grow with the years, the close
of a day writes a snapshot, and a balance is the last snapshot with the lines that it does not
count in. A snapshot of day D counts the lines of days up to D that the ledger held when it was
written (up to its number `up_to_movement`); a line that is entered late comes on top.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from app.records.models import Balance, Lot, Movement, Supply

KINDS = (
    "received", "used", "counted", "wasted", "returned", "opened", "expired", "reversed",
)  # fmt: skip
# Which way a kind of movement goes; the others may go both ways.
_INWARD = frozenset({"received"})
_OUTWARD = frozenset({"used", "wasted", "expired"})


@dataclass(frozen=True)
class _Snapshot:
    """A supply's last snapshot; `row` is its key in the balances."""

    row: int
    day: date
    up_to: int
    quantity: int
    value: int


@dataclass(frozen=True)
class _Since:
    """What the ledger adds to the snapshots: per supply, with the highest line counted."""

    quantity: dict[int, int]
    value: dict[int, int]
    lines: dict[int, int]


def book_movement(
    session: Session,
    *,
    supply_id: int,
    day: date,
    at: datetime,
    kind: str,
    quantity: int,
    value: int = 0,
    lot_id: int | None = None,
    job_id: int | None = None,
    use_id: int | None = None,
    order_line_id: int | None = None,
    note: str = "",
) -> Movement:
    """Write one line of the stock ledger.

    Args:
        session: the change's session.
        supply_id: the supply that moves.
        day: the shop's day that the line belongs to.
        at: the moment, aware.
        kind: one of `KINDS`, but not "reversed": a line is taken back by `ledgers.counter_line`.
        quantity: signed, base units (uL, mg, thousandths of a piece); in is positive.
        value: signed, minor units of money, never of the other sign than the quantity.

    Raises:
        ValueError: the kind is unknown, or the signs do not fit it.
    """
    if kind not in KINDS or kind == "reversed":
        raise ValueError(f"no such kind of movement: {kind!r}")
    if (kind in _INWARD and quantity < 0) or (kind in _OUTWARD and quantity > 0):
        raise ValueError(f"a movement {kind!r} does not go that way: {quantity}")
    if (quantity > 0 > value) or (quantity < 0 < value):
        raise ValueError(f"quantity {quantity} and value {value} go opposite ways")
    line = Movement(
        supply_id=supply_id,
        day=day,
        at=at,
        kind=kind,
        quantity=quantity,
        value=value,
        lot_id=lot_id,
        job_id=job_id,
        use_id=use_id,
        order_line_id=order_line_id,
        note=note[:300],
    )
    session.add(line)
    return line


def balances(session: Session, day: date | None = None) -> dict[int, tuple[int, int]]:
    """What stands on the shelf at the end of a day, or with every line that there is.

    Returns:
        Quantity (base units) and value (minor units) by supply, for every supply that ever moved.
    """
    snapshots = _snapshots(session, day)
    since = _since(session, snapshots, day)
    found = {}
    for supply_id in snapshots.keys() | since.lines.keys():
        base = snapshots.get(supply_id)
        found[supply_id] = (
            (base.quantity if base else 0) + since.quantity.get(supply_id, 0),
            (base.value if base else 0) + since.value.get(supply_id, 0),
        )
    return found


def balance(session: Session, supply_id: int, day: date | None = None) -> tuple[int, int]:
    """Quantity and value of one supply at the end of a day, or with every line."""
    base = _latest(session, supply_id, day)
    uncounted = select(
        func.coalesce(func.sum(Movement.quantity), 0), func.coalesce(func.sum(Movement.value), 0)
    ).where(Movement.supply_id == supply_id)
    if day is not None:
        uncounted = uncounted.where(Movement.day <= day)
    if base is None:
        quantity, value = session.execute(uncounted).one()
        return int(quantity), int(value)
    later = session.execute(uncounted.where(Movement.day > base.day)).one()
    late = session.execute(
        uncounted.where(Movement.day <= base.day, Movement.id > base.up_to)
    ).one()
    return base.quantity + later[0] + late[0], base.value + later[1] + late[1]


def snapshot(session: Session, day: date) -> int:
    """Write the shelf as it stands at the end of a day, for each supply that has moved since.

    Written for the same day again (a day reopened and closed), it replaces that day's rows.

    Returns:
        How many rows were written.
    """
    session.flush()
    snapshots = _snapshots(session, day)
    since = _since(session, snapshots, day)
    if not since.lines:
        return 0
    counted = max(
        [line for line in since.lines.values()] + [base.up_to for base in snapshots.values()]
    )
    for supply_id in sorted(since.lines):
        base = snapshots.get(supply_id)
        quantity = (base.quantity if base else 0) + since.quantity[supply_id]
        value = (base.value if base else 0) + since.value[supply_id]
        row = session.get(Balance, base.row) if base is not None and base.day == day else None
        if row is None:
            row = Balance(supply_id=supply_id, day=day)
            session.add(row)
        row.up_to_movement, row.quantity, row.value = counted, quantity, value
    session.flush()
    return len(since.lines)


def _latest(session: Session, supply_id: int, day: date | None) -> _Snapshot | None:
    query = select(Balance).where(Balance.supply_id == supply_id)
    if day is not None:
        query = query.where(Balance.day <= day)
    row = session.scalars(query.order_by(Balance.day.desc()).limit(1)).first()
    if row is None:
        return None
    return _Snapshot(row.id, row.day, row.up_to_movement, row.quantity, row.value)


def _snapshots(session: Session, day: date | None) -> dict[int, _Snapshot]:
    """The last snapshot of each supply, up to a day."""
    # One step through the index per supply, not one per row: the rows grow with the years.
    other = aliased(Balance)
    last = select(func.max(other.day)).where(other.supply_id == Supply.id)
    if day is not None:
        last = last.where(other.day <= day)
    query = select(
        Balance.supply_id,
        Balance.id,
        Balance.day,
        Balance.up_to_movement,
        Balance.quantity,
        Balance.value,
    ).join_from(
        Supply,
        Balance,
        (Balance.supply_id == Supply.id)
        & (Balance.day == last.correlate(Supply).scalar_subquery()),
    )
    return {row[0]: _Snapshot(*row[1:]) for row in session.execute(query)}


def _since(session: Session, snapshots: dict[int, _Snapshot], day: date | None) -> _Since:
    """The lines that the snapshots do not count in.

    Any such line is of a later day than the latest snapshot, or was entered after it: whatever
    was there when the latest one was written is counted in its supply's snapshot.
    """
    since = _Since({}, {}, {})
    query = select(
        Movement.supply_id,
        func.max(Movement.id),
        func.sum(Movement.quantity),
        func.sum(Movement.value),
    ).group_by(Movement.supply_id)
    if day is not None:
        query = query.where(Movement.day <= day)
    if snapshots:
        latest = max(base.day for base in snapshots.values())
        query = query.where(Movement.day > latest)
        floor = min(base.up_to for base in snapshots.values() if base.day == latest)
        late = select(
            Movement.supply_id, Movement.id, Movement.day, Movement.quantity, Movement.value
        ).where(Movement.id > floor, Movement.day <= latest)
        if day is not None:
            late = late.where(Movement.day <= day)
        for supply_id, line, on, quantity, value in session.execute(late):
            base = snapshots.get(supply_id)
            if base is None or on > base.day or line > base.up_to:
                _add(since, supply_id, line, quantity, value)
    for supply_id, line, quantity, value in session.execute(query):
        _add(since, supply_id, line, quantity, value)
    return since


def _add(since: _Since, supply_id: int, line: int, quantity: int, value: int) -> None:
    since.quantity[supply_id] = since.quantity.get(supply_id, 0) + int(quantity)
    since.value[supply_id] = since.value.get(supply_id, 0) + int(value)
    since.lines[supply_id] = max(since.lines.get(supply_id, 0), line)


def lots_left(session: Session, supply_id: int) -> list[tuple[int, int, int]]:
    """(lot id, quantity, value) of each lot with anything left, the first to expire first."""
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
