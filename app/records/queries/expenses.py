"""What went out beside the supplies, the rules it comes again by, the till, and what was driven."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import and_, func, or_, select
from sqlalchemy.orm import Session, aliased

from app.records.asking import columns, grouped, rows_in_parts, rows_of, sums_of
from app.records.models import NO_COST, DaySheet, Expense, Photo, Receipt, Repeat
from app.records.undo.ledgers import standing

CASH = "cash"


@dataclass(frozen=True, kw_only=True)
class ExpenseRow:
    """A line of the expenses; `taken_back_on`: the day of the line that takes it back."""

    expense_id: int
    day: date
    kind: str
    text: str
    amount: int
    tax: int
    use_tax_rate: int  # thousandths of a percent, of what was bought without tax; else 0
    method: str
    repeat_id: int | None
    counters_id: int | None
    taken_back_on: date | None


@dataclass(frozen=True, kw_only=True)
class RepeatRow:
    """A rule by which an expense comes again."""

    repeat_id: int
    kind: str
    text: str
    amount: int
    tax: int
    method: str
    every: str
    from_day: date
    until: date | None


_COUNTER = aliased(Expense)
_EXPENSE = columns(
    ExpenseRow, Expense, expense_id=Expense.id, taken_back_on=_COUNTER.day
)  # fmt: skip
_REPEAT = columns(RepeatRow, Repeat, repeat_id=Repeat.id)


def expenses(session: Session, first: date, last: date) -> list[ExpenseRow]:
    """The lines of these days, the newest first; without those that take each other back in them.

    So their sums are those of all lines.
    """
    of = aliased(Expense)
    query = (
        select(*_EXPENSE)
        .outerjoin(_COUNTER, _COUNTER.counters_id == Expense.id)
        .outerjoin(of, of.id == Expense.counters_id)
        .where(Expense.day.between(first, last))
        .where(or_(_COUNTER.day.is_(None), ~_COUNTER.day.between(first, last)))
        .where(or_(of.day.is_(None), ~of.day.between(first, last)))
        .order_by(Expense.day.desc(), Expense.id.desc())
    )
    return rows_of(ExpenseRow, session.execute(query))


def written_by_close(session: Session, day: date) -> list[ExpenseRow]:
    """What the last close of a day wrote by rules, by day; taken back since or not."""
    query = (
        select(*_EXPENSE)
        .outerjoin(_COUNTER, _COUNTER.counters_id == Expense.id)
        .join(DaySheet, and_(DaySheet.day == day, DaySheet.closed_at == Expense.at))
        .where(Expense.repeat_id.is_not(None), Expense.counters_id.is_(None))
        .order_by(Expense.day, Expense.id)
    )
    return rows_of(ExpenseRow, session.execute(query))


def expense(session: Session, expense_id: int) -> ExpenseRow | None:
    """One line."""
    query = select(*_EXPENSE).outerjoin(_COUNTER, _COUNTER.counters_id == Expense.id)
    found = rows_of(ExpenseRow, session.execute(query.where(Expense.id == expense_id)))
    return found[0] if found else None


@dataclass(frozen=True)
class PhotoRow:
    """A photo of an expense: its file's hash and kind, and what the file was called."""

    photo_id: int
    sha256: str
    form: str
    name: str
    expense_id: int | None


_PHOTO = columns(PhotoRow, Photo, photo_id=Photo.id)


def photos_of(session: Session, expense_ids: Collection[int]) -> dict[int, list[PhotoRow]]:
    """The photos of these expenses, the oldest first."""
    query = select(*_PHOTO).order_by(Photo.id)
    return grouped(rows_in_parts(PhotoRow, session, query, Photo.expense_id, expense_ids),
                   "expense_id")  # fmt: skip


def repeats(session: Session) -> list[RepeatRow]:
    """All rules, by kind and words."""
    query = select(*_REPEAT).order_by(Repeat.kind, Repeat.text, Repeat.id)
    return rows_of(RepeatRow, session.execute(query))


def written(session: Session, repeat_id: int) -> set[date]:
    """The months or years that need not be written by a rule: a line of each stands, or one that
    takes it back says that it is not owed."""
    query = select(Expense.period).where(Expense.repeat_id == repeat_id)
    query = query.where(or_(standing(Expense), Expense.counters_id.is_not(None)))
    return {period for period in session.scalars(query) if period is not None}


def by_kind(session: Session, first: date, last: date) -> dict[str, int]:
    """What the expenses of these days come to, by kind; what is no cost stands there too."""
    query = select(Expense.kind, func.sum(Expense.amount)).group_by(Expense.kind)
    return sums_of(session, query.where(Expense.day.between(first, last)))


def costs_of(kinds: dict[str, int]) -> tuple[tuple[str, int], ...]:
    """Those of them that are costs, the largest first; none that come to nothing."""
    found = [(kind, amount) for kind, amount in kinds.items() if amount and kind not in NO_COST]
    return tuple(sorted(found, key=lambda one: (-one[1], one[0])))


def cash_moves(session: Session) -> dict[date, int]:
    """The cash that came, less what went out, by day."""
    came = select(Receipt.day, func.sum(Receipt.amount)).where(Receipt.method == CASH)
    moves = sums_of(session, came.group_by(Receipt.day))
    went = select(Expense.day, func.sum(Expense.amount)).where(Expense.method == CASH)
    for day, amount in sums_of(session, went.group_by(Expense.day)).items():
        moves[day] = moves.get(day, 0) - amount
    return moves


def tips(session: Session) -> dict[date, int]:
    """The tips that came, by day."""
    query = select(Receipt.day, func.sum(Receipt.amount)).where(Receipt.kind == "tip")
    return sums_of(session, query.group_by(Receipt.day))


def went_of(session: Session, kind: str) -> dict[date, int]:
    """What went out of one kind, by day."""
    query = select(Expense.day, func.sum(Expense.amount)).where(Expense.kind == kind)
    return sums_of(session, query.group_by(Expense.day))


def counted(session: Session) -> dict[date, int]:
    """What was counted in the till, by day."""
    query = select(DaySheet.day, DaySheet.cash_counted).where(DaySheet.cash_counted.is_not(None))
    return {day: amount for day, amount in session.execute(query) if amount is not None}


def driven(session: Session, first: date, last: date) -> dict[date, int]:
    """Metres driven for the shop, by day."""
    query = select(DaySheet.day, DaySheet.driven).where(DaySheet.day.between(first, last))
    return {day: metres for day, metres in session.execute(query.where(DaySheet.driven != 0))}


def driven_on(session: Session, day: date) -> int:
    """Metres driven on a day."""
    row = session.get(DaySheet, day)
    return row.driven if row is not None else 0
