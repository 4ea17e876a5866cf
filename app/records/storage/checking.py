"""Is the book whole? What the database says, and whether the ledgers agree with each other."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from datetime import date
from typing import Any

from sqlalchemy import Connection, Engine, case, exists, func, select
from sqlalchemy.orm import Session

from app.records.models import (
    Balance,
    DaySheet,
    Movement,
    OrderLine,
    PoolEvent,
    Record,
    Supply,
    Use,
)
from app.records.storage.engine import complaints
from app.records.undo.images import image
from app.records.undo.ledgers import LEDGERS, LOOSE, standing


def complaints_of(engine: Engine) -> list[str]:
    """Plain sentences, one for each thing that is wrong."""
    with engine.connect() as connection:
        found = complaints(connection) or _unreadable(connection)
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


def _unreadable(connection: Connection) -> list[str]:
    """Tables with a value that is not of its kind: a day that is none, broken JSON."""
    found = []
    for table in Record.metadata.sorted_tables:
        try:
            for row in connection.execute(select(table)).mappings():
                image(table, row)
        except (ValueError, TypeError, AttributeError) as trouble:
            found.append(f"A line in {table.name} cannot be read ({trouble}).")
    return found


class _Sums:
    """Sums of a supply's lines up to a number, while lines are added in order of their day.

    A binary indexed tree over the numbers, so that ten years of snapshots take seconds.
    """

    def __init__(self, numbers: list[int]) -> None:
        self._numbers = sorted(numbers)
        self._sums = [(0, 0)] * (len(numbers) + 1)

    def add(self, number: int, quantity: int, value: int) -> None:
        place = bisect_right(self._numbers, number)
        while place < len(self._sums):
            before = self._sums[place]
            self._sums[place] = (before[0] + quantity, before[1] + value)
            place += place & -place

    def up_to(self, number: int) -> tuple[int, int]:
        place = bisect_right(self._numbers, number)
        quantity = value = 0
        while place:
            quantity += self._sums[place][0]
            value += self._sums[place][1]
            place -= place & -place
        return quantity, value


def _snapshots(session: Session) -> list[str]:
    """Each snapshot equals the sum of the lines it counted in: of days up to its own, and of
    numbers up to the last line that the ledger then held."""
    lines: dict[int, list[tuple[date, int, int, int]]] = defaultdict(list)
    for supply, on, number, amount, worth in session.execute(
        select(
            Movement.supply_id, Movement.day, Movement.id, Movement.quantity, Movement.value
        ).order_by(Movement.day)
    ):
        lines[supply].append((on, number, amount, worth))
    names = {number: name for number, name in session.execute(select(Supply.id, Supply.name))}
    found = []
    at, sums, place = 0, _Sums([]), 0
    for supply, day, up_to, quantity, value in session.execute(
        select(
            Balance.supply_id, Balance.day, Balance.up_to_movement, Balance.quantity, Balance.value
        ).order_by(Balance.supply_id, Balance.day)
    ):
        if supply != at:
            at, sums, place = supply, _Sums([line[1] for line in lines[supply]]), 0
        while place < len(lines[supply]) and lines[supply][place][0] <= day:
            sums.add(*lines[supply][place][1:])
            place += 1
        if sums.up_to(up_to) != (quantity, value):
            found.append(
                f"The snapshot of {names.get(supply)} on {day} differs from the lines of its "
                "ledger."
            )
    return found[:20]


def _booked_uses(session: Session) -> list[str]:
    """A booked use and its lines in the ledger are the same quantity and cost; what was used of a
    pool stays, so its lines have no quantity."""
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
    kept = exists().where(PoolEvent.use_id == Use.id, standing(PoolEvent))
    took = case((kept, 0), else_=-Use.quantity)
    rows = session.execute(
        select(Use, Supply.name, lines.c.quantity, lines.c.value)
        .join(Supply, Supply.id == Use.supply_id)
        .outerjoin(lines, lines.c.use_id == Use.id)
        .where(
            (Use.booked.is_(True) & (func.coalesce(lines.c.quantity, 0) != took))
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
    """In every ledger: no line is countered twice, no counter is, and each takes back its line."""
    found = []
    for name, kind in LEDGERS.items():
        line: Any = kind
        for counter in session.scalars(select(line).where(line.counters_id.is_not(None))):
            of = session.get(line, counter.counters_id)
            if of is None:
                continue  # said already, as a reference that leads nowhere
            wanted = of.counter()
            if any(getattr(counter, key) != wanted[key] for key in wanted.keys() - LOOSE):
                found.append(
                    f"Line {counter.id} in {name} does not take back what it says it does."
                )
            if of.counters_id is not None:
                found.append(f"Line {counter.id} in {name} takes back what takes back another.")
        twice = session.scalars(
            select(line.counters_id)
            .where(line.counters_id.is_not(None))
            .group_by(line.counters_id)
            .having(func.count() > 1)
        )
        found += [f"Line {number} in {name} is taken back twice." for number in twice]
    return found[:20]


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
