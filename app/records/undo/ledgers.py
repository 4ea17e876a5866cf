"""The ledgers: which lines are final, which stand, and how a line is taken back.

A ledger grows by lines. While its day is open a line may still be put right; once final it says
what it says for good, and a *counter-line* takes it back. A counter-line is never itself
countered: what it took back is written again, so that a line stands exactly when nothing
counters it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypeVar

from sqlalchemy import ColumnElement, Table, exists, func, inspect, or_, select
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session, aliased

from app.errors import Refused
from app.records.asking import in_parts
from app.records.models import (
    Balance,
    DaySheet,
    Expense,
    LayerEvent,
    Ledger,
    Movement,
    PoolEvent,
    Receipt,
    Record,
    Reminder,
    ReminderEvent,
)

if TYPE_CHECKING:
    from app.records.undo.images import Trace

Line = TypeVar("Line", Movement, PoolEvent, Receipt, Expense, LayerEvent, ReminderEvent)

LEDGERS: dict[str, type[Any]] = {
    mapper.local_table.name: mapper.class_  # type: ignore[attr-defined]
    for mapper in Record.registry.mappers
    if issubclass(mapper.class_, Ledger)
}

# What a final line may still have set anew: where it leads (two customers become one, a job is
# taken back) and a remark. What it says (day, kind, quantity, money) stays.
LINKS = frozenset(
    {"job_id", "step_id", "customer_id", "vehicle_id", "lot_id", "use_id", "order_line_id"}
)
LOOSE = LINKS | {"note"}
# A reminder in any other state went out, or may have.
NOT_SENT = ("prepared", "dropped", "withheld")


def _table(name: str) -> Table:
    return Record.metadata.tables[name]


def standing(line: Any) -> ColumnElement[bool]:
    """The condition that a line (a ledger class or an alias of it) stands.

    It is neither a counter-line nor taken back by one.
    """
    counter = aliased(inspect(line).mapper.class_)
    # Not `is_(None)`: the database would look for these lines in the index of `counters_id`, where
    # nearly all of them stand under one value. Lines are numbered from 1 on.
    no_counter = func.coalesce(line.counters_id, 0) == 0
    return no_counter & ~exists().where(counter.counters_id == line.id)


def countering(line: Line, *, day: date, at: datetime, note: str) -> Line:
    """The counter-line of a line, not yet written."""
    return type(line)(**line.counter(), day=day, at=at, counters_id=line.id, note=note[:300])


def final_keys(connection: Connection, table: Table, keys: Iterable[int]) -> set[int]:
    """Which of these lines of a ledger are final, as the book stands.

    A line is final once the sheet of its day is closed; a movement also once a shelf snapshot
    counts it in; a reminder's event also once the reminder was sent.
    """
    days = _table(DaySheet.__tablename__)
    reasons: list[ColumnElement[bool]] = [
        exists().where(days.c.day == table.c.day, days.c.state == "closed")
    ]
    if table.name == Movement.__tablename__:
        reasons.append(_counted(table))
    if table.name == ReminderEvent.__tablename__:
        reminders = _table(Reminder.__tablename__)
        reasons.append(
            exists().where(
                reminders.c.id == table.c.reminder_id,
                or_(reminders.c.sent_on.is_not(None), reminders.c.state.not_in(NOT_SENT)),
            )
        )
    found: set[int] = set()
    for part in in_parts(keys):
        query = select(table.c.id).where(table.c.id.in_(part)).where(or_(*reasons))
        found.update(connection.execute(query).scalars())
    return found


def hold_final_lines(session: Session, trace: Trace) -> None:
    """Refuse to change or remove a final line; its links and its note may be set anew.

    So is a line that was taken back, and the counter-line that took it back. A line whose day is
    closed by the very change that is going on may still be put right.

    Raises:
        Refused: the change would alter what a final line says.
    """
    connection = session.connection()
    for table, keys in _altered(session).items():
        final = final_keys(connection, table, keys)
        counter = table.alias()
        settled = exists().where(counter.c.counters_id == table.c.id)
        lines = connection.execute(
            select(table.c.id, table.c.day, or_(table.c.counters_id.is_not(None), settled)).where(
                table.c.id.in_(keys)
            )
        )
        for key, day, is_settled in lines:
            if is_settled:
                raise Refused(
                    f"A line of {day} was taken back by a counter-line, so both stay as they are. "
                    "Enter it anew instead."
                )
            if key in final and not _closed_just_now(connection, trace, table, key, day):
                raise Refused(
                    f"A line of {day} is final: its day is closed, or it was sent. "
                    "Take it back by a counter-line instead of changing it."
                )


def _altered(session: Session) -> dict[Table, set[int]]:
    """The ledger lines that are about to go, or to say something else."""
    found: dict[Table, set[int]] = {}
    for row in [*session.deleted, *session.dirty]:
        if not isinstance(row, Ledger):
            continue
        state = inspect(row)
        names = {name for name, value in state.attrs.items() if value.history.has_changes()}
        if row in session.deleted or names - LOOSE:
            found.setdefault(state.mapper.local_table, set()).add(state.identity[0])
    return found


def _closed_just_now(
    connection: Connection, trace: Trace, table: Table, key: int, day: date
) -> bool:
    """Whether a line is final only because this change has closed its day."""
    days = _table(DaySheet.__tablename__)
    if not trace.holds(days, day) or (trace.before(days, day) or {}).get("state") == "closed":
        return False
    if table.name != Movement.__tablename__:
        return True
    return (
        connection.execute(select(table.c.id).where(table.c.id == key, _counted(table))).first()
        is None
    )


def _counted(movements: Table) -> ColumnElement[bool]:
    """The condition that a shelf snapshot counts a movement in."""
    balances = _table(Balance.__tablename__)
    return exists().where(
        balances.c.supply_id == movements.c.supply_id,
        balances.c.day >= movements.c.day,
        balances.c.up_to_movement >= movements.c.id,
    )
