"""The shelf: supplies with their packs, suppliers, lots and ledger."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from app.records.asking import grouped, made
from app.records.models import (
    Balance,
    Job,
    Lot,
    Movement,
    Order,
    OrderLine,
    Pack,
    Service,
    Supplier,
    Supply,
)


@dataclass(frozen=True, kw_only=True)
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
    wait_next_hours: int | None = None  # by the label, where the owner entered it
    wait_water_hours: int | None = None
    least_temperature: int | None = None  # tenths of a degree Celsius
    archived_on: date | None = None


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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
    use_tax_rate: int  # thousandths of a percent; 0: they sell with tax
    notes: str


@dataclass(frozen=True, kw_only=True)
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


@dataclass(frozen=True, kw_only=True)
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


def supplies(session: Session) -> dict[int, SupplyRow]:
    """All supplies by id, in order of name."""
    query = select(Supply).order_by(Supply.name, Supply.id)
    return {row.id: made(SupplyRow, row, supply_id=row.id) for row in session.scalars(query)}


def packs(session: Session) -> dict[int, list[PackRow]]:
    """The packs of each supply, smallest first."""
    rows = session.scalars(select(Pack).order_by(Pack.size, Pack.id))
    return grouped((made(PackRow, row, pack_id=row.id) for row in rows), "supply_id")


def smallest_packs(session: Session) -> dict[int, int]:
    """The content of the smallest pack of each supply, base units."""
    query = select(Pack.supply_id, func.min(Pack.size)).where(Pack.size > 0)
    return dict(session.execute(query.group_by(Pack.supply_id)).all())


def pack_to_write(session: Session, pack_id: int) -> Pack:
    """A pack, to write to or to read its size within a change."""
    return session.get_one(Pack, pack_id)


def suppliers(session: Session) -> dict[int, SupplierRow]:
    """All suppliers by id, in order of name."""
    return {
        row.id: made(
            SupplierRow, row, supplier_id=row.id, order_weekdays=weekdays(row.order_weekdays)
        )
        for row in session.scalars(select(Supplier).order_by(Supplier.name, Supplier.id))
    }


def weekdays(text: str) -> tuple[int, ...]:
    """Weekday numbers from the stored "0,3"; what is no weekday is left out."""
    found = {int(part) for part in text.split(",") if part.strip().isdecimal()}
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
        made(
            LotRow,
            lot,
            lot_id=lot.id,
            left=int(left or 0),
            value=int(value or 0),
            came=int(received or 0),
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
    return [made(LedgerRow, line, movement_id=line.id, job_number=number) for line, number in rows]


def ledger_length(session: Session, supply_id: int) -> int:
    """How many lines a supply's ledger has."""
    query = select(func.count()).select_from(Movement).where(Movement.supply_id == supply_id)
    return session.scalar(query) or 0


def standing_on(session: Session, day: date) -> dict[int, int]:
    """What stood on the shelf when a day was closed, by supply; empty where it was not."""
    query = select(Balance.supply_id, Balance.quantity).where(Balance.day == day)
    return dict(session.execute(query).all())


def last_count(session: Session) -> date | None:
    """The last day on which anything was counted."""
    return session.scalar(select(func.max(Movement.day)).where(Movement.kind == "counted"))


def last_price(
    session: Session, supply_id: int, *, for_nothing: bool = True
) -> tuple[int, int, date] | None:
    """(cost, quantity, day) of the receipt of the newest day, or of the newest that cost anything.

    By day, as the index has a supply's ledger: by number all of it would be sorted each time.
    """
    query = select(Movement.value, Movement.quantity, Movement.day).where(
        Movement.supply_id == supply_id, Movement.kind == "received", Movement.quantity > 0
    )
    if not for_nothing:
        query = query.where(Movement.value > 0)
    newest = query.order_by(Movement.day.desc(), Movement.id.desc()).limit(1)
    row = session.execute(newest).first()
    return (int(row[0]), int(row[1]), row[2]) if row else None


def named(session: Session, model: type[Supply | Service], name: str) -> int | None:
    """The supply or service of that name, whatever its capitals."""
    return session.scalar(select(model.id).where(func.lower(model.name) == name.lower()).limit(1))


def use_tax_rate(session: Session, order_line_id: int | None) -> int:
    """The rate of use tax on a delivery: of the order's supplier; 0 of what no order brought."""
    query = (
        select(Supplier.use_tax_rate)
        .join(Order, Order.supplier_id == Supplier.id)
        .join(OrderLine, OrderLine.order_id == Order.id)
        .where(OrderLine.id == order_line_id)
    )
    return session.scalar(query) or 0
