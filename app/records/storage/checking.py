"""Is the book whole? What the database says, and whether the ledgers agree with each other."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Engine, case, exists, func, select
from sqlalchemy.orm import Session

from app.records.models import (
    Balance,
    DaySheet,
    Movement,
    OrderLine,
    PoolEvent,
    Supply,
    Use,
)
from app.records.storage.engine import complaints
from app.records.storage.readable import unreadable
from app.records.undo.ledgers import LEDGERS, LOOSE, standing

# A line of a supply's ledger: its day as ISO 8601 text, number, quantity, value.
_Line = tuple[str, int, int, int]


def complaints_of(engine: Engine) -> list[str]:
    """Plain sentences, one for each thing that is wrong."""
    with engine.connect() as connection:
        found = complaints(connection) or unreadable(connection)
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


class _Late:
    """Sums of a supply's lines by number, where one was written late for an earlier day: a binary
    indexed tree over the numbers."""

    def __init__(self, lines: list[_Line]) -> None:
        self._lines = lines
        self._numbers = sorted(line[1] for line in lines)
        self._tree = [(0, 0)] * (len(lines) + 1)
        self._in_tree = 0

    def up_to(self, count: int, number: int) -> tuple[int, int]:
        """(quantity, value) of the first `count` lines with this number or a lower one."""
        for _, added, amount, worth in self._lines[self._in_tree : count]:
            place = bisect_right(self._numbers, added)
            while place < len(self._tree):
                self._tree[place] = (self._tree[place][0] + amount, self._tree[place][1] + worth)
                place += place & -place
        self._in_tree = count
        place = bisect_right(self._numbers, number)
        quantity = value = 0
        while place:
            quantity += self._tree[place][0]
            value += self._tree[place][1]
            place -= place & -place
        return quantity, value


def _differing(lines: list[_Line], snapshots: list[_Line]) -> Iterator[str]:
    """The days of those snapshots of one supply that are not the sum of the lines they count in."""
    lines.sort()
    late: _Late | None = None
    count = newest = quantity = value = 0
    for day, up_to, stated, worth_stated in sorted(snapshots):
        while count < len(lines) and lines[count][0] <= day:
            _, number, amount, worth = lines[count]
            newest = number if number > newest else newest
            quantity += amount
            value += worth
            count += 1
        if newest <= up_to:  # mostly: then all lines of days until then are counted in
            differs = quantity != stated or value != worth_stated
        else:
            late = late or _Late(lines)
            differs = late.up_to(count, up_to) != (stated, worth_stated)
        if differs:
            yield day


def _snapshots(session: Session) -> list[str]:
    """Each snapshot equals the sum of the lines it counted in: of days up to its own, and of
    numbers up to the last line that the ledger then held."""
    lines: dict[int, list[_Line]] = defaultdict(list)
    kept: dict[int, list[_Line]] = defaultdict(list)
    # As the driver gives them: a book of ten years has 300,000, and days are in order as text too.
    for by_supply, model, number in (
        (lines, Movement, Movement.id),
        (kept, Balance, Balance.up_to_movement),
    ):
        columns = (model.supply_id, model.day, number, model.quantity, model.value)
        rows: Any = session.connection().execute(select(*columns)).cursor
        for supply, on, at, quantity, value in rows.fetchall():
            by_supply[supply].append((on, at, quantity, value))
    found = [
        (supply, on)
        for supply, snapshots in sorted(kept.items())
        for on in _differing(lines[supply], snapshots)
    ]
    names = {number: name for number, name in session.execute(select(Supply.id, Supply.name))}
    return [
        f"The snapshot of {names.get(supply)} on {on} differs from the lines of its ledger."
        for supply, on in found[:20]
    ]


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
