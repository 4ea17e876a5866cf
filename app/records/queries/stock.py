"""The shelf: supplies with their packs, suppliers, lots and ledger."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from app.records.models import Balance, Job, Lot, Movement, Pack, Supplier, Supply, Use


@dataclass(frozen=True)
class SupplyRow:
    """A supply, as far as days, shelf and orders need it."""

    supply_id: int
    name: str
    kind: str
    show_unit: str
    density: int
    dilution: int | None  # thousandths of parts water to one part product
    bottle: int | None
    tare: int | None
    costing: str
    whole_container: bool
    shelf_life_days: int | None
    opened_life_days: int | None
    shelf_place: str
    supplier_id: int | None
    stopped: bool
    protection: str
    signal_word: str
    hazard_statements: tuple[str, ...]
    pictograms: tuple[str, ...]
    ingredients: tuple[str, ...]
    flammable: bool
    sds_file: str
    sds_date: date | None
    notes: str
    life_low_days: int | None
    life_high_days: int | None
    pool: str = ""
    pool_load: int | None = None
    pool_uses: int | None = None
    no_frost: bool = False


@dataclass(frozen=True)
class PackRow:
    """A pack that can be bought."""

    pack_id: int
    supply_id: int
    supplier_id: int | None
    label: str
    size: int
    price: int
    weight: int | None
    code: str
    priced_on: date | None


@dataclass(frozen=True)
class SupplierRow:
    """Someone the shop buys from."""

    supplier_id: int
    name: str
    email: str
    phone: str
    address: str
    account_no: str
    promised_days: int | None
    freight: int
    free_freight_from: int | None
    minimum_order: int
    hazard_fee: int
    order_weekdays: tuple[int, ...]
    notes: str


@dataclass(frozen=True)
class LedgerRow:
    """A line of a supply's ledger, with the number of its job where it has one."""

    movement_id: int
    day: date
    at: datetime
    kind: str
    quantity: int
    value: int
    job_number: int | None
    note: str
    counters_id: int | None


@dataclass(frozen=True)
class LotRow:
    """A lot and what is left of it."""

    lot_id: int
    supply_id: int
    code: str
    received_on: date
    expires_on: date | None
    opened_on: date | None
    finished_on: date | None
    left: int
    value: int
    came: int = 0  # what was taken in of it


def supplies(session: Session, ids: Collection[int] | None = None) -> dict[int, SupplyRow]:
    """All supplies (or those named), by id, in order of name."""
    query = select(Supply).order_by(Supply.name, Supply.id)
    if ids is not None:
        query = query.where(Supply.id.in_(sorted(ids)))
    return {row.id: _supply(row) for row in session.scalars(query)}


def _supply(row: Supply) -> SupplyRow:
    return SupplyRow(
        row.id,
        row.name,
        row.kind,
        row.show_unit,
        row.density,
        row.dilution,
        row.bottle,
        row.tare,
        row.costing,
        row.whole_container,
        row.shelf_life_days,
        row.opened_life_days,
        row.shelf_place,
        row.supplier_id,
        row.stopped,
        row.protection,
        row.signal_word,
        tuple(row.hazard_statements or ()),
        tuple(row.pictograms or ()),
        tuple(row.ingredients or ()),
        row.flammable,
        row.sds_file,
        row.sds_date,
        row.notes,
        row.life_low_days,
        row.life_high_days,
        row.pool,
        row.pool_load,
        row.pool_uses,
        row.no_frost,
    )


def packs(session: Session) -> dict[int, list[PackRow]]:
    """The packs of each supply, smallest first."""
    found: dict[int, list[PackRow]] = {}
    for row in session.scalars(select(Pack).order_by(Pack.size, Pack.id)):
        found.setdefault(row.supply_id, []).append(
            PackRow(
                row.id,
                row.supply_id,
                row.supplier_id,
                row.label,
                row.size,
                row.price,
                row.weight,
                row.code,
                row.priced_on,
            )
        )
    return found


def smallest_packs(session: Session) -> dict[int, int]:
    """The content of the smallest pack of each supply, base units."""
    return {
        supply: int(size)
        for supply, size in session.execute(
            select(Pack.supply_id, func.min(Pack.size))
            .where(Pack.size > 0)
            .group_by(Pack.supply_id)
        )
    }


def pack_to_write(session: Session, pack_id: int) -> Pack:
    """A pack, to write to or to read its size within a change."""
    return session.get_one(Pack, pack_id)


def suppliers(session: Session) -> dict[int, SupplierRow]:
    """All suppliers by id, in order of name."""
    return {
        row.id: SupplierRow(
            row.id,
            row.name,
            row.email,
            row.phone,
            row.address,
            row.account_no,
            row.promised_days,
            row.freight,
            row.free_freight_from,
            row.minimum_order,
            row.hazard_fee,
            weekdays(row.order_weekdays),
            row.notes,
        )
        for row in session.scalars(select(Supplier).order_by(Supplier.name, Supplier.id))
    }


def weekdays(text: str) -> tuple[int, ...]:
    """Weekday numbers from the stored "0,3"; what is no weekday is left out."""
    found = {int(part) for part in text.split(",") if part.strip().isdigit()}
    return tuple(sorted(day for day in found if day < 7))


def lots(session: Session, supply_id: int | None = None) -> list[LotRow]:
    """Lots with what is left of them, oldest first; those finished and empty are left out."""
    came = func.sum(case((Movement.kind == "received", Movement.quantity), else_=0))
    query = (
        select(Lot, func.coalesce(func.sum(Movement.quantity), 0), func.sum(Movement.value), came)
        .outerjoin(Movement, Movement.lot_id == Lot.id)
        .group_by(Lot.id)
        .order_by(Lot.received_on, Lot.id)
    )
    if supply_id is not None:
        query = query.where(Lot.supply_id == supply_id)
    return [
        LotRow(
            lot.id,
            lot.supply_id,
            lot.code,
            lot.received_on,
            lot.expires_on,
            lot.opened_on,
            lot.finished_on,
            int(left or 0),
            int(value or 0),
            int(received or 0),
        )
        for lot, left, value, received in session.execute(query)
        if int(left or 0) != 0 or lot.finished_on is None
    ]


def ledger(session: Session, supply_id: int, limit: int = 200) -> list[LedgerRow]:
    """The newest lines of a supply's ledger, by day, newest first.

    The order is that of the index, so that a long ledger need not be sorted.
    """
    rows = session.execute(
        select(Movement, Job.number)
        .outerjoin(Job, Job.id == Movement.job_id)
        .where(Movement.supply_id == supply_id)
        .order_by(Movement.day.desc(), Movement.id.desc())
        .limit(limit)
    )
    return [
        LedgerRow(
            line.id,
            line.day,
            line.at,
            line.kind,
            line.quantity,
            line.value,
            number,
            line.note,
            line.counters_id,
        )
        for line, number in rows
    ]


def ledger_length(session: Session, supply_id: int) -> int:
    """How many lines a supply's ledger has."""
    return int(
        session.scalar(
            select(func.count()).select_from(Movement).where(Movement.supply_id == supply_id)
        )
        or 0
    )


def unit_costs(session: Session, supply_id: int) -> tuple[int, int] | None:
    """(cost, quantity) of the newest receipt that cost anything, None where there was none."""
    row = session.execute(
        select(Movement.value, Movement.quantity)
        .where(
            Movement.supply_id == supply_id,
            Movement.kind == "received",
            Movement.quantity > 0,
            Movement.value > 0,
        )
        .order_by(Movement.id.desc())
        .limit(1)
    ).first()
    return (int(row[0]), int(row[1])) if row else None


def standing_on(session: Session, day: date) -> dict[int, int]:
    """What stood on the shelf when a day was closed, by supply; empty where it was not."""
    return {
        supply: int(quantity)
        for supply, quantity in session.execute(
            select(Balance.supply_id, Balance.quantity).where(Balance.day == day)
        )
    }


def last_count(session: Session) -> date | None:
    """The last day on which anything was counted."""
    return session.scalar(select(func.max(Movement.day)).where(Movement.kind == "counted"))


def last_price(session: Session, supply_id: int) -> tuple[int, int, date] | None:
    """(cost, quantity, day) of the newest receipt."""
    row = session.execute(
        select(Movement.value, Movement.quantity, Movement.day)
        .where(Movement.supply_id == supply_id, Movement.kind == "received", Movement.quantity > 0)
        .order_by(Movement.id.desc())
        .limit(1)
    ).first()
    return (int(row[0]), int(row[1]), row[2]) if row else None


def last_uses(
    session: Session, supply_id: int, limit: int = 30
) -> list[tuple[date, int, int, str]]:
    """(day, job number, quantity, state) of the newest booked uses of a supply."""
    return [
        (day, number or 0, int(quantity), state)
        for day, number, quantity, state in session.execute(
            select(Use.day, Job.number, Use.quantity, Use.state)
            .outerjoin(Job, Job.id == Use.job_id)
            .where(Use.supply_id == supply_id, Use.booked.is_(True))
            .order_by(Use.day.desc(), Use.id.desc())
            .limit(limit)
        )
    ]


def supply_named(session: Session, name: str) -> int | None:
    """The supply of that name, in whatever case."""
    return session.scalar(select(Supply.id).where(func.lower(Supply.name) == name.lower()).limit(1))
