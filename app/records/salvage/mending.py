"""Making rows that were got out of a damaged book fit each other again.

What a row belonged to may be lost; the ledgers, the uses and the snapshots of the shelf may not
agree any more. Each is put right from what else the book says, so that a check has nothing to say.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from itertools import pairwise
from typing import Any

from sqlalchemy import Table, delete, exists, func, insert, select, update
from sqlalchemy.orm import Session

from app.records import stock
from app.records.asking import in_parts
from app.records.models import (
    Action,
    Balance,
    DaySheet,
    Image,
    Movement,
    OrderLine,
    PoolEvent,
    Record,
    Supply,
    Use,
)
from app.records.undo.images import Values, decoded, key_as_text, key_column
from app.records.undo.ledgers import LEDGERS, LOOSE, standing

NOTE = "Put right when the book was salvaged."
# What stands in for a lost row that others belong to, until a person says what it was.
_STAND_INS = {
    "customers": "name",
    "jobs": "title",
    "services": "name",
    "suppliers": "name",
    "vehicles": "description",
}


@dataclass
class Mended:
    """What had to be done: rows taken out and stood in for by table, supplies whose quantity is to
    be counted, days to be looked at."""

    taken_out: Counter[str] = field(default_factory=Counter)
    restored: Counter[str] = field(default_factory=Counter)
    stood_in: Counter[str] = field(default_factory=Counter)
    supplies: set[int] = field(default_factory=set)
    days: set[date] = field(default_factory=set)


def mend(
    session: Session, lost: Mapping[str, Collection[Any]], lost_days: Iterable[date], told: Mended
) -> None:
    """Make the rows fit. `lost` are the numbers of lost rows by table, empty where nothing was
    lost of a table; `lost_days` those whose sheet was lost."""
    _references(session, lost, told)
    while _counters(session, told):
        _references(session, lost, told)
    session.execute(update(OrderLine).where(OrderLine.packs_received < 0).values(packs_received=0))
    _days(session, set(lost_days), told)
    added = _uses(session, told)
    _shelf(session, told, ledger_is_whole="movements" not in lost, added=added)
    session.execute(delete(Image))
    session.execute(update(Action).where(Action.state != "undone").values(state="kept"))
    session.flush()


# references ---------------------------------------------------------------------------------
def _references(session: Session, lost: Mapping[str, Collection[Any]], told: Mended) -> None:
    again = True
    while again:
        again = False
        for table in Record.metadata.sorted_tables:
            for reference in table.foreign_keys:
                column, target = reference.parent, reference.column.table
                parent = target.alias()
                key = parent.c[reference.column.name]
                rows = session.execute(
                    select(key_column(table), column).where(
                        column.is_not(None), ~exists().where(key == column)
                    )
                ).all()
                if not rows:
                    continue
                again = True
                back = _put_back(session, target, {wanted for _, wanted in rows}, lost, told)
                loose = [key for key, wanted in rows if wanted not in back]
                blank = column.nullable and column.name != "counters_id"
                for part in in_parts(loose):
                    these = key_column(table).in_(part)
                    if blank:
                        session.execute(update(table).where(these).values({column.name: None}))
                    else:
                        session.execute(delete(table).where(these))
                if not blank:
                    told.taken_out[table.name] += len(loose)
    session.expire_all()


def _put_back(
    session: Session,
    table: Table,
    keys: set[Any],
    lost: Mapping[str, Collection[Any]],
    told: Mended,
) -> set[Any]:
    """Write rows that others belong to anew: as the log of actions holds them, or by a name."""
    back = set()
    for key in sorted(keys):
        values = _last_image(session, table, key)
        if values is not None:
            told.restored[table.name] += 1
        elif table.name in _STAND_INS and key in lost.get(table.name, ()):
            words = f"{table.name[:-1].capitalize()} {key} (lost)"
            values = {"id": key, _STAND_INS[table.name]: words}
            if table.name == "jobs":
                number = table.c.number
                last = session.scalar(select(func.max(number))) or 0
                values |= {"number": last + 1, "state": "done"}
            told.stood_in[table.name] += 1
        else:
            continue
        wrote = session.execute(insert(table).prefix_with("OR IGNORE"), values)
        if wrote.rowcount:  # type: ignore[attr-defined]
            back.add(key)
    return back


def _last_image(session: Session, table: Table, key: Any) -> Values | None:
    """A row as the log of actions saw it last; None where it did not see all of it."""
    query = select(Image.before, Image.after).where(
        Image.table_name == table.name, Image.row_key == key_as_text(key)
    )
    state: Values | None = None
    for before, after in session.execute(query.order_by(Image.id)):
        if not isinstance(after, dict):
            state = None
        elif before is None:
            state = dict(after)
        elif state is not None:
            state |= after
    needed = {c.name for c in table.columns if not c.nullable and c.default is None}
    if state is None or any(state.get(name) is None for name in needed):
        return None
    try:
        return decoded(table, state)
    except (ValueError, TypeError):
        return None


# ledgers ------------------------------------------------------------------------------------
def _counters(session: Session, told: Mended) -> int:
    """Take out counter-lines that do not take back what they say, with what they took back."""
    going = 0
    for name, kind in LEDGERS.items():
        for counter in session.scalars(select(kind).where(kind.counters_id.is_not(None))).all():
            of = session.get(kind, counter.counters_id)
            if of is None:
                continue
            wanted = of.counter()
            chained = of.counters_id is not None
            if not chained and all(
                getattr(counter, key) == wanted[key] for key in wanted.keys() - LOOSE
            ):
                continue
            for line in (counter,) if chained else (counter, of):
                if isinstance(line, Movement):
                    told.supplies.add(line.supply_id)
                told.days.add(line.day)
                session.delete(line)
                told.taken_out[name] += 1
                going += 1
            session.flush()
    return going


def _days(session: Session, lost: set[date], told: Mended) -> None:
    """Write lost day sheets anew, without what was typed on them."""
    sheets = {sheet.day: sheet for sheet in session.scalars(select(DaySheet))}
    booked = set(session.scalars(select(Use.day).where(Use.booked.is_(True)).distinct()))
    last = max((day for day, sheet in sheets.items() if sheet.state == "closed"), default=date.min)
    for day in sorted((lost | booked) - sheets.keys()):
        before = max((one for one in sheets if one < day), default=None)
        closed = day in booked or day < last
        sheets[day] = DaySheet(
            day=day,
            page=sheets[before].page + 1 if before else 1,
            state="closed" if closed else "open",
            times_closed=int(closed),
        )
        session.add(sheets[day])
        told.days.add(day)
    session.flush()


def _uses(session: Session, told: Mended) -> set[int]:
    """Make the stock ledger say of each use what the use says; the numbers of lines written."""
    lines = {
        use: (int(quantity), int(value))
        for use, quantity, value in session.execute(
            select(Movement.use_id, func.sum(Movement.quantity), func.sum(Movement.value))
            .where(Movement.use_id.is_not(None))
            .group_by(Movement.use_id)
        )
    }
    kept = set(session.scalars(select(PoolEvent.use_id).where(standing(PoolEvent))))
    pools = set(session.scalars(select(Supply.id).where(Supply.pool != "")))
    closed = set(session.scalars(select(DaySheet.day).where(DaySheet.state == "closed")))
    added = []
    for use in session.scalars(select(Use)).all():
        quantity, value = lines.get(use.id, (0, 0))
        booked = use.booked or (use.quantity != 0 and use.day in closed)
        wanted = (0, 0)
        if booked:
            wanted = (0 if use.id in kept else -use.quantity, -use.cost)
        if use.booked == booked and wanted[0] == quantity and (not booked or wanted[1] == value):
            continue
        told.days.add(use.day)
        told.supplies.add(use.supply_id)
        use.booked = booked
        if booked and use.supply_id in pools and use.id not in kept:
            # What was used of a pool stays, and the line that said so is lost.
            use.quantity, use.cost = -quantity, -value
        elif wanted != (quantity, value):
            line = Movement(
                supply_id=use.supply_id,
                day=use.day,
                at=datetime.combine(use.day, time(12), UTC),
                kind="used",
                quantity=wanted[0] - quantity,
                value=wanted[1] - value,
                use_id=use.id,
                job_id=use.job_id,
                note=NOTE,
            )
            session.add(line)
            added.append(line)
    session.flush()
    return {line.id for line in added}


def _shelf(session: Session, told: Mended, *, ledger_is_whole: bool, added: set[int]) -> None:
    """Bring the ledger to what the last snapshot of each supply says, and write them anew.

    Where lines are lost, the snapshot still knows their sum. Fewer are written than there were:
    the last day's, and one a month, which tell all days as well.
    """
    if not ledger_is_whole:
        lines = defaultdict(list)
        for line in session.scalars(select(Movement)):
            lines[line.supply_id].append(line)
        last = {
            row.supply_id: row for row in session.scalars(select(Balance).order_by(Balance.day))
        }
        for supply, row in last.items():
            counted = [
                line
                for line in lines[supply]
                if line.day <= row.day and (line.id <= row.up_to_movement or line.id in added)
            ]
            quantity = row.quantity - sum(line.quantity for line in counted)
            value = row.value - sum(line.value for line in counted)
            if quantity or value:
                told.supplies.add(supply)
                session.add(
                    Movement(
                        supply_id=supply,
                        day=row.day,
                        at=datetime.combine(row.day, time(12), UTC),
                        kind="counted",
                        quantity=quantity,
                        value=value,
                        note=NOTE,
                    )
                )
    session.execute(delete(Balance))
    session.flush()
    session.expire_all()
    closed = session.scalars(
        select(DaySheet.day).where(DaySheet.state == "closed").order_by(DaySheet.day)
    ).all()
    for day, following in pairwise([*closed, None]):
        if day is not None and (
            following is None or (day.year, day.month) != (following.year, following.month)
        ):
            stock.snapshot(session, day)
