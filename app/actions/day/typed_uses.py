"""How a use that was typed was read: the weighing before it, its meaning in a sentence, and the
weighing after it, which began where this one ended."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from app.actions.desk.amounts import amount_said, entry_setting, number_of
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.stock.pool_lines import taken_as_typed
from app.calculations.numbers.dates import near
from app.calculations.numbers.entries import UseEntry, grams, of_mass, read_use
from app.errors import Mendable
from app.records.models import Job, Use
from app.records.queries import weighings
from app.records.queries.days import Session
from app.records.queries.stock import SupplyRow
from app.records.queries.uses import UseRow

_APART = timedelta(seconds=1)  # what keeps two weighings of one moment in their order


@dataclass(frozen=True)
class Typed:
    """What was typed as it is read: the amount, and for a weighing its place among the others.

    `before`: mg that the scale showed before, none where nothing was weighed; `at`: the moment of
    the weighing, none where nothing was weighed.
    """

    entry: UseEntry
    before: int | None = None
    at: datetime | None = None


def read_typed(
    desk: Desk, day: date, supply: SupplyRow, entered: UseRow | None, typed: str, on_hand: int
) -> Typed:
    """Read what was typed of a use; `Mendable` where it cannot be.

    A cell that is weighed anew keeps its place, so it is compared with the weight before it. A new
    one comes last; but a bottle only gets lighter, so where it is heavier than what another job of
    the day left, it was weighed before that one.
    """
    trouble: Mendable | None = None
    for at, before in _places(desk, day, supply, entered):
        setting = entry_setting(desk, supply, on_hand=on_hand, last_weight=before)
        try:
            entry = read_use(typed, setting)
        except Mendable as one_trouble:
            trouble = trouble or one_trouble
            continue
        if entry.weight_mg is None:
            return Typed(entry)
        return Typed(entry, before, at)
    assert trouble is not None
    raise trouble


def _places(
    desk: Desk, day: date, supply: SupplyRow, entered: UseRow | None
) -> list[tuple[datetime, int | None]]:
    """Where a weighing may stand, the likeliest first: its moment, and the weight before it."""
    besides = None if entered is None else entered.use_id
    own = None if entered is None else entered.weighed_at
    with desk.book.reading() as session:
        earlier = weighings.weighings_before(session, supply.supply_id, day, own, besides)
    if own is not None:
        # Where nothing in the book goes before it, what it was itself compared with does.
        return [(own, earlier[0].weight if earlier else entered.weight_before if entered else None)]
    # After all others of the day, even where the clock was put back.
    now = desk.clock()
    if earlier and earlier[0].day == day:
        now = max(now, earlier[0].at + _APART)
    places: list[tuple[datetime, int | None]] = []
    for at, one in enumerate(earlier):
        places.append((now, one.weight))
        before = earlier[at + 1] if at + 1 < len(earlier) else None
        same_day = before is not None and before.day == day
        now = one.at - ((one.at - before.at) / 2 if before and same_day else _APART)
    return places or [(now, None)]


def resting_on(
    session: Session, supply_id: int, day: date, entered: UseRow | None, read: Typed
) -> Use | None:
    """The use that was weighed next, if it began with the weight that this one now puts right."""
    if read.at is None:
        return None
    besides = None if entered is None else entered.use_id
    later = weighings.use_weighed_next(session, supply_id, day, read.at, besides)
    was = read.before if entered is None or entered.weight_after is None else entered.weight_after
    if later is None or later.weight_before != was or was == read.entry.weight_mg:
        return None
    return later


def move_on(session: Session, desk: Desk, supply: SupplyRow, later: Use, weight: int) -> str:
    """Let the next weighing begin with the right weight; a sentence on what comes of it.

    What is booked stays as it is until its day is opened again. Raises `Mendable` where the next
    weighing was heavier than this one.
    """
    job = session.get(Job, later.job_id) if later.job_id is not None else None
    whose = f" on {numbered(job.number)}" if job is not None else ""
    when = near(later.day, desk.today)
    if later.booked:
        return (
            f"The next weighing{whose}, {when}, is booked as it was; open that day again to type "
            "it anew."
        )
    after = later.weight_after or 0
    if after > weight:
        raise Mendable(
            f"{grams(weight)} is less than the {grams(after)} weighed next{whose}, "
            f"{when}; put that one right first."
        )
    setting = entry_setting(desk, supply, on_hand=None, last_weight=weight)
    later.weight_before = weight
    later.quantity = of_mass(weight - after, setting)
    text = amount_said(desk, supply, later.quantity)
    return f"The next weighing{whose}, {when}, is now {text}."


def meaning_of(desk: Desk, supply: SupplyRow, entered: UseRow, left: int) -> str:
    """How what was typed came to its amount; "" where it is the bare number that is shown.

    `left` is what stands on the shelf after it, base units.
    """
    typed = entered.typed.strip()
    if not typed or typed == number_of(desk, supply, entered.quantity):
        return ""
    if supply.pool:
        pieces = taken_as_typed(supply, typed)
        return "" if pieces is None else f"{typed}: {amount_said(desk, supply, pieces)}."
    setting = entry_setting(
        desk, supply, on_hand=left + entered.quantity, last_weight=entered.weight_before
    )
    try:
        entry = read_use(typed, setting)
    except Mendable:
        return ""
    # What was read otherwise since (another bottle, another strength) is not explained wrongly.
    return f"{entry.meaning}." if entry.amount == entered.quantity else ""
