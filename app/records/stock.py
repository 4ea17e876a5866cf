"""The stock ledger: booking movements, and what stands on the shelf.

A balance is the sum of a supply's lines. So that its cost does not grow with the years, the close
of a day writes a snapshot, and a balance is the last snapshot with the lines that it does not
count in. A snapshot of day D counts the lines of days up to D that the ledger held when it was
written (up to its number `up_to_movement`); a line that is entered late comes on top.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.asking import columns, in_parts, rows_of
from app.records.models import Balance, Lot, Movement, Supply
from app.records.models.words import WORDS

KINDS = WORDS["movements", "kind"]
# Which way a kind of movement goes; the others may go both ways.
_INWARD = frozenset({"received"})
_OUTWARD = frozenset({"used", "wasted", "expired"})


@dataclass(frozen=True)
class _Snapshot:
    """A supply's last snapshot; `row` is its key in the balances."""

    row: int
    supply_id: int
    day: date
    up_to: int
    quantity: int
    value: int


_SNAPSHOT = columns(_Snapshot, Balance, row=Balance.id, up_to=Balance.up_to_movement)


def book_movement(
    session: Session,
    *,
    supply_id: int,
    day: date,
    at: datetime,
    kind: str,
    quantity: int,
    value: int = 0,
    note: str = "",
    **named: Any,
) -> Movement:
    """Write one line of the stock ledger.

    Args:
        session: the change's session.
        supply_id: the supply that moves.
        day: the shop's day that the line belongs to.
        at: the moment, aware.
        kind: one of `KINDS`, but not "reversed": a line is taken back by `ledgers.countering`.
        quantity: signed, base units (uL, mg, thousandths of a piece); in is positive.
        value: signed, minor units of money, never of the other sign than the quantity.
        named: its lot, job, use or order line by id; `physical` for what a person counted.

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
        note=note[:300],
        **named,
    )
    session.add(line)
    return line


def balances(session: Session, day: date | None = None) -> dict[int, tuple[int, int]]:
    """What stands on the shelf at the end of a day, or with every line that there is.

    Returns:
        Quantity (base units) and value (minor units) by supply, for every supply that ever moved.
    """
    snapshots = _snapshots(session, day)
    found = {supply_id: (base.quantity, base.value) for supply_id, base in snapshots.items()}
    for supply_id, (_, quantity, value) in _since(session, snapshots, day).items():
        before = found.get(supply_id, (0, 0))
        found[supply_id] = (before[0] + quantity, before[1] + value)
    return found


def balance(session: Session, supply_id: int, day: date | None = None) -> tuple[int, int]:
    """Quantity and value of one supply at the end of a day, or with every line."""
    return balances(session, day).get(supply_id, (0, 0))


def snapshot(session: Session, day: date) -> int:
    """Write the shelf as it stands at the end of a day, for each supply that has moved since.

    Written for the same day again (a day reopened and closed), it replaces that day's rows.

    Returns:
        How many rows were written.
    """
    session.flush()
    snapshots = _snapshots(session, day)
    since = _since(session, snapshots, day)
    if not since:
        return 0
    counted = max(
        [line for line, _, _ in since.values()] + [base.up_to for base in snapshots.values()]
    )
    for supply_id, (_, quantity, value) in sorted(since.items()):
        base = snapshots.get(supply_id)
        row = session.get(Balance, base.row) if base is not None and base.day == day else None
        if row is None:
            row = Balance(supply_id=supply_id, day=day)
            session.add(row)
        row.up_to_movement = counted
        row.quantity = (base.quantity if base else 0) + quantity
        row.value = (base.value if base else 0) + value
    session.flush()
    return len(since)


# The questions below are put so that none reads what grows with the years: one step through an
# index per supply, and the few lines that no snapshot counts in. (A sum by supply would be done
# by reading every line in order of supply.)


def _snapshots(session: Session, day: date | None) -> dict[int, _Snapshot]:
    """The last snapshot of each supply, up to a day."""
    last = select(Balance.id).where(Balance.supply_id == Supply.id)
    if day is not None:
        last = last.where(Balance.day <= day)
    last = last.order_by(Balance.day.desc()).limit(1)
    rows = session.scalars(select(last.correlate(Supply).scalar_subquery()).select_from(Supply))
    wanted = [row for row in rows if row is not None]
    found: dict[int, _Snapshot] = {}
    for part in in_parts(wanted):
        query = select(*_SNAPSHOT).where(Balance.id.in_(part))
        for base in rows_of(_Snapshot, session.execute(query)):
            found[base.supply_id] = base
    return found


def _since(
    session: Session, snapshots: dict[int, _Snapshot], day: date | None
) -> dict[int, tuple[int, int, int]]:
    """By supply: (highest line, quantity, value) of the lines that the snapshots do not count in.

    Any such line is of a later day than the latest snapshot, or was entered after it: whatever
    was there when the latest one was written is counted in its supply's snapshot.
    """
    if not snapshots:
        sums = select(
            Movement.supply_id,
            func.max(Movement.id),
            func.sum(Movement.quantity),
            func.sum(Movement.value),
        ).group_by(Movement.supply_id)
        if day is not None:
            sums = sums.where(Movement.day <= day)
        return {
            supply_id: (line, int(quantity), int(value))
            for supply_id, line, quantity, value in session.execute(sums)
        }
    latest = max(base.day for base in snapshots.values())
    floor = min(base.up_to for base in snapshots.values() if base.day == latest)
    lines = select(Movement.supply_id, Movement.id, Movement.day, Movement.quantity, Movement.value)
    later = lines.where(Movement.day > latest)
    if day is not None:
        later = later.where(Movement.day <= day)
    late = lines.where(Movement.id > floor, Movement.day <= latest)
    since: dict[int, tuple[int, int, int]] = {}
    for supply_id, line, on, quantity, value in [*session.execute(later), *session.execute(late)]:
        base = snapshots.get(supply_id)
        if base is None or on > base.day or line > base.up_to:
            last, had, worth = since.get(supply_id, (0, 0, 0))
            since[supply_id] = max(last, line), had + int(quantity), worth + int(value)
    return since


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
