"""Lots: until when each may be used, what of them cannot be counted on, and writing it off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.amounts import all_supplies, amount_said, money, stock_said, supply_of
from app.actions.desk.desk import Changed, Desk, kept, there
from app.actions.desk.open_day import writing_on
from app.actions.desk.typed_days import read_written_day
from app.actions.stock.stock_lines import write_line
from app.calculations.numbers.dates import day_year, near
from app.calculations.orders.shelf_state import BookedNeed
from app.calculations.stock.containers import opened_cost
from app.calculations.stock.expiry import DatedLot, Loss, loss
from app.errors import Mendable
from app.records.models import Lot
from app.records.queries import stock as queries
from app.records.queries.days import Session
from app.records.queries.stock import LotRow, SupplyRow

KINDS = frozenset({"stock", "supplies", "days"})
WARN_DAYS = 56  # eight weeks before a lot ends (common practice, no source)


@dataclass(frozen=True)
class LotStanding:
    """A lot of which something is left, and how much of that lies opened; base units."""

    lot: LotRow
    opened: int
    size: int  # of one container, 0 where it is not known

    @property
    def closed(self) -> int:
        """What stands in containers that nobody opened."""
        return self.lot.left - self.opened

    @property
    def opened_value(self) -> int:
        """What the opened part stands there for: the opener bore the cost of its container."""
        value = max(0, self.lot.value)
        return opened_cost(self.lot.left, value, self.size, self.opened)


def _opened_part(lot: LotRow, size: int) -> int:
    """How much of a lot lies in an opened container: what is left beside full ones."""
    if lot.opened_on is None:
        return 0
    if size <= 0 or size >= lot.left:
        # One container, or none known: where nothing is taken yet of a full one it is that.
        return lot.left if size != lot.left or lot.left == lot.came else 0
    rest = lot.left % size
    return rest if rest or lot.left < lot.came else size


def keeps_opened_to(supply: SupplyRow, lot: LotRow) -> date | None:
    """The last day for what lies opened: by how long it keeps opened, or by the label."""
    ends = [lot.expires_on] if lot.expires_on is not None else []
    if lot.opened_on is not None and supply.opened_life_days is not None:
        ends.append(lot.opened_on + timedelta(days=supply.opened_life_days))
    return min(ends, default=None)


def past_life(supply: SupplyRow, one: LotStanding, day: date) -> tuple[int, int, str]:
    """(amount, value, why) of what of a lot is past its life on a day; nothing where it is not."""
    lot = one.lot
    if lot.expires_on is not None and lot.expires_on < day:
        return lot.left, max(0, lot.value), f"expired {day_year(lot.expires_on)}"
    until = keeps_opened_to(supply, lot)
    if one.opened and until is not None and until < day and lot.opened_on is not None:
        why = f"opened {day_year(lot.opened_on)}, kept to {day_year(until)}"
        return one.opened, one.opened_value, why
    return 0, 0, ""


@kept("lots there")
def lots_there(desk: Desk) -> dict[int, list[LotStanding]]:
    """The lots of which something is left, by supply, oldest first."""
    supplies = all_supplies(desk)
    found: dict[int, list[LotStanding]] = {}
    with desk.book.reading() as session:
        smallest = queries.smallest_packs(session)
        for lot in queries.lots(session):
            supply = supplies.get(lot.supply_id)
            if supply is not None and lot.left > 0:
                size = supply.bottle or smallest.get(lot.supply_id, 0)
                one = LotStanding(lot, _opened_part(lot, size), size)
                found.setdefault(lot.supply_id, []).append(one)
    return found


def losses(
    desk: Desk,
    day: date,
    booked: Mapping[int, Sequence[BookedNeed]],
    used: Mapping[int, Sequence[int]],
) -> dict[int, Loss]:
    """What of each supply cannot be counted on after this day: past its life, or before long.

    `booked` are the needs of booked work by supply, `used` what was used on each of the last days.
    """
    supplies = all_supplies(desk)
    today = day.toordinal()
    found = {}
    for supply_id, lots in lots_there(desk).items():
        supply = supplies.get(supply_id)
        if supply is None:
            continue
        dated = [
            DatedLot(amount, last.toordinal())
            for one in lots
            for amount, last in (
                (one.opened, keeps_opened_to(supply, one.lot)),
                (one.closed, one.lot.expires_on),
            )
            if amount and last is not None
        ]
        past_days = used.get(supply_id, ())
        per_day = sum(past_days) / len(past_days) if past_days else 0.0
        needs = [(need.day, need.amount) for need in booked.get(supply_id, ())]
        lost = loss(dated, needs, per_day, today, WARN_DAYS)
        if lost.whole:
            found[supply_id] = lost
    return found


def loss_text(desk: Desk, day: date, supply: SupplyRow, one: Loss | None) -> tuple[str, ...]:
    """Sentences for the margin: what is past its life, and what will be before it is used."""
    if one is None:
        return ()
    sentences = []
    if one.past:
        sentences.append(
            f"{stock_said(desk, supply, one.past)} is past its life and not counted on: write "
            "it off (W) or look at its label."
        )
    if one.lost and one.first_day is not None:
        ends = date.fromordinal(one.first_day)
        sentences.append(
            f"{stock_said(desk, supply, one.lost)} will not be used before it is past its life, "
            f"{near(ends, day)}, and is not counted on after that."
        )
    return tuple(sentences)


def write_off_past(desk: Desk, day: date, supply_id: int) -> Changed:
    """Take off the shelf what is past its life, at what it stands there for."""
    supply = supply_of(desk, supply_id)
    past = [
        (one, *found)
        for one in lots_there(desk).get(supply_id, ())
        if (found := past_life(supply, one, day))[0]
    ]
    if not past:
        raise Mendable(
            f"Nothing of {supply.name} is past its life by the book; throw away by typing how much "
            "on its page."
        )
    amount, worth = sum(part[1] for part in past), sum(part[2] for part in past)
    name = f"Wrote off {amount_said(desk, supply, amount)} of {supply.name}"
    with writing_on(desk, day, name, KINDS) as session:
        for one, quantity, value, why in past:
            note = f"Past its life: {why}"
            _take_off(session, desk, day, one.lot, "expired", quantity, value, note)
    return Changed(name, KINDS, f"{name}, worth {money(desk, worth)}.")


def discard_opened(desk: Desk, day: date, supply_id: int) -> Changed:
    """Throw away what lies opened, oldest container first; what is closed stays."""
    supply = supply_of(desk, supply_id)
    opened = [one for one in lots_there(desk).get(supply_id, ()) if one.opened]
    if not opened:
        raise Mendable(f"No container of {supply.name} lies opened.")
    first = opened[0]
    name = f"Threw away the opened {amount_said(desk, supply, first.opened)} of {supply.name}"
    with writing_on(desk, day, name, KINDS) as session:
        note = "The rest of an opened container"
        lost = first.opened, first.opened_value
        _take_off(session, desk, day, first.lot, "wasted", *lost, note)
    return Changed(name, KINDS, f"{name}, worth {money(desk, first.opened_value)}.")


def _take_off(
    session: Session,
    desk: Desk,
    day: date,
    lot: LotRow,
    kind: str,
    quantity: int,
    value: int,
    note: str,
) -> None:
    """Write what of a lot leaves the shelf; a lot of which nothing is left is finished."""
    took = lot.supply_id, kind, -quantity, -value
    write_line(session, desk, day, *took, note, lot_id=lot.lot_id)
    if quantity == lot.left:
        session.get_one(Lot, lot.lot_id).finished_on = day


def taking_text(
    desk: Desk, day: date, supply: SupplyRow, amount: int, whole: int
) -> tuple[str, ...]:
    """Sentences on what a job pays that takes so much of whole containers, and on what is left.

    `whole` is what the recipe opens: what is typed instead when the rest is thrown away.
    """
    cost, rest, missing = 0, 0, amount
    for one in lots_there(desk).get(supply.supply_id, ()):
        if missing <= 0:
            break
        taken = min(missing, one.lot.left)
        missing -= taken
        cost += opened_cost(one.lot.left, max(0, one.lot.value), one.size, taken)
        rest = (one.lot.left - taken) % one.size if one.size else 0
    if amount <= 0:
        return ()
    sentences = []
    if cost:
        sentences.append(f"This job bears the container that it opens, {money(desk, cost)}.")
    elif missing < amount:
        sentences.append("It comes from a container that lies opened and costs this job nothing.")
    if missing > 0:
        sentences.append(
            f"{stock_said(desk, supply, missing)} of it is not on the shelf by the book."
        )
    elif rest:
        keeps = ""
        if supply.opened_life_days is not None:
            until = day + timedelta(days=supply.opened_life_days)
            keeps = f" and keeps to about {near(until, day)}; a later job takes it at no cost"
        left = amount_said(desk, supply, rest)
        sentences.append(f"{left} stays opened{keeps}.")
        if amount < whole:
            thrown = amount_said(desk, supply, whole)
            sentences.append(f"Type {thrown} if the rest is thrown away.")
    return tuple(sentences)


def edit_lot(
    desk: Desk, lot_id: int, *, code: str | None = None, expires_typed: str | None = None
) -> Changed:
    """Mend what was noted of a lot when it came: its code, or the last day on its label."""
    with desk.book.reading() as session:
        supply_id = there(session.get(Lot, lot_id), "This lot").supply_id
    expires = None
    if expires_typed is not None and expires_typed.strip():
        expires = read_written_day(desk, expires_typed)
    name = f"Mended a lot of {supply_of(desk, supply_id).name}"
    with desk.book.change(name, kinds=KINDS, at=desk.clock()) as session:
        lot = session.get_one(Lot, lot_id)
        if code is not None:
            lot.code = code.strip()[:60]
        if expires_typed is not None:
            lot.expires_on = expires
    return Changed(name, KINDS)


@dataclass(frozen=True)
class OpenLot:
    """A lot of which a container lies opened, until when that keeps, and both in words."""

    lot: LotStanding
    keeps_to: date | None
    text: str


def open_lots(desk: Desk, day: date, supply: SupplyRow) -> tuple[OpenLot, ...]:
    """What lies opened of a supply, the oldest first."""
    found = []
    for one in lots_there(desk).get(supply.supply_id, ()):
        if one.lot.opened_on is None or not one.opened:
            continue
        until = keeps_opened_to(supply, one.lot)
        text = f"opened {near(one.lot.opened_on, day)}"
        if until is not None:
            text += f", {'kept' if until < day else 'keeps'} to {near(until, day)}"
        found.append(OpenLot(one, until, text))
    return tuple(found)
