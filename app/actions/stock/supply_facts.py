"""Changing what is known of a supply: its facts, its packs and prices."""

from __future__ import annotations

from datetime import date
from typing import Any

from app.actions.desk.amounts import all_supplies, entry_setting, money, read_parts, supply_of
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.typed_days import read_written_day
from app.actions.stock.neighbors import shelf_caution
from app.actions.stock.pool_lines import begin as begin_pool
from app.calculations.layers.protection import ProtectionClass
from app.calculations.numbers.amounts import base_of, read_amount
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.entries import EntrySetting, read_use
from app.calculations.numbers.money import read_money
from app.calculations.numbers.temperatures import read_temperature
from app.calculations.numbers.units import Kind
from app.calculations.stock.pools import RUNGS
from app.errors import Mendable, about
from app.records.models import Pack, Supply
from app.records.queries import stock as queries
from app.records.queries import terms as term_queries
from app.records.queries.days import Session
from app.records.queries.stock import SupplyRow

KINDS = frozenset({"supplies"})
_EMPTY = {"density": 1000, "protection": "", "costing": "", "pool": ""}
# What a person may set on a supply, and how it is read when it comes as typed text.
_TEXT = frozenset({"name", "show_unit", "shelf_place", "signal_word", "sds_file", "notes"})
_LISTS = frozenset({"hazard_statements", "pictograms", "ingredients"})
_FLAGS = frozenset({"whole_container", "stopped", "flammable", "no_frost"})
_DAYS = frozenset(
    {
        "shelf_life_days",
        "opened_life_days",
        "life_low_days",
        "life_high_days",
        "wait_next_hours",
        "wait_water_hours",
        "pool_load",
        "pool_uses",
    }
)
SUPPLY_FIELDS = (
    _TEXT
    | _LISTS
    | _FLAGS
    | _DAYS
    | {
        "kind",
        "density",
        "dilution",
        "bottle",
        "tare",
        "costing",
        "supplier_id",
        "protection",
        "pool",
        "sds_date",
        "least_temperature",
    }
)


def add_supply(desk: Desk, name: str, kind: str = "liquid", **fields: Any) -> tuple[Changed, int]:
    """A new supply; nothing but its name is needed."""
    title = f"Added supply {name.strip()}"
    with desk.book.change(title, kinds=KINDS, at=desk.clock()) as session:
        row = Supply(name="", kind="liquid")
        _write(session, desk, row, {"name": name, "kind": kind, **fields})
        session.add(row)
        session.flush()
        supply_id = row.id
    return Changed(title, KINDS), supply_id


def edit_supply(desk: Desk, supply_id: int, **fields: Any) -> Changed:
    """Change facts of a supply; amounts and weights may come as typed text."""
    title = f"Changed supply {supply_of(desk, supply_id).name}"
    with desk.book.change(title, kinds=KINDS, at=desk.clock()) as session:
        row = session.get_one(Supply, supply_id)
        pool = row.pool
        _write(session, desk, row, fields)
        begin_pool(session, desk, pool, row)
    caution = ""
    if fields.keys() & {"shelf_place", "ingredients"}:
        caution = shelf_caution(desk, supply_of(desk, supply_id))
    return Changed(title, KINDS, question=caution)


def use_up(desk: Desk, supply_id: int, on: bool = True) -> Changed:
    """Use a supply up and order it no more, or take that back."""
    supply = supply_of(desk, supply_id)
    title = f"Use up {supply.name}, don't reorder" if on else f"Reorder {supply.name} again"
    with desk.book.change(title, kinds=KINDS | {"orders"}, at=desk.clock()) as session:
        session.get_one(Supply, supply_id).stopped = on
    return Changed(title, KINDS | {"orders"})


def _write(session: Session, desk: Desk, row: Supply, fields: dict[str, Any]) -> None:
    unknown = fields.keys() - SUPPLY_FIELDS
    if unknown:
        raise Mendable(f"A supply has no “{sorted(unknown)[0]}”.")
    if "kind" in fields:
        _set_kind(session, row, str(fields["kind"]))
    if "name" in fields:
        name = str(fields["name"]).strip()
        if not name:
            raise Mendable("A supply needs a name, such as Wash soap.")
        twin = queries.named(session, Supply, name)
        if twin is not None and twin != row.id:
            raise Mendable(f"There is a supply “{name}” already; give this one another name.")
        row.name = name[:120]
    for key, value in fields.items():
        if key in ("kind", "name"):
            continue
        setattr(row, key, _read(desk, row, key, value))


def _set_kind(session: Session, row: Supply, kind: str) -> None:
    if kind not in {one.value for one in Kind}:
        raise Mendable(f"A supply is a liquid, a paste or pieces, not “{kind}”.")
    if row.id is not None and row.kind != kind and queries.ledger(session, row.id, limit=1):
        raise Mendable(
            f"{row.name} has lines in its ledger, so it stays a {row.kind}; add a new supply and "
            "use this one up."
        )
    row.kind = kind


def _read(desk: Desk, row: Supply, key: str, value: Any) -> Any:
    if key in _TEXT:
        return str(value).strip()
    if key in _LISTS:
        parts = value.replace("\n", ";").split(";") if isinstance(value, str) else value
        return [part.strip() for part in parts if part.strip()]
    if key in _FLAGS:
        return bool(value)
    if value in (None, ""):
        return _EMPTY.get(key)
    if key in _DAYS:
        return whole_number(key, value)
    if key == "density":
        density = whole_number(key, value)
        if not 500 <= density <= 3000:
            raise Mendable("A density lies between 500 and 3,000 g per L; water has 1,000.")
        return density
    if key == "dilution":
        return round(read_parts(desk, value) * 1000) if isinstance(value, str) else int(value)
    if key == "bottle":
        return _amount(desk, row, value)
    if key == "tare":
        return _weight(value)
    if key == "least_temperature":
        return read_temperature(str(value), desk.settings.system)
    if key == "sds_date":
        return _sheet_day(desk, value)
    if key == "costing" and value not in ("average", "lot"):
        raise Mendable("Costs go by moving average or by lot.")
    if key == "pool" and (value not in RUNGS or row.kind != Kind.PIECE):
        raise Mendable("A pool is of pieces, for paint, interior or wheels.")
    if key == "protection" and value not in tuple(ProtectionClass):
        raise Mendable(f"“{value}” is no class of protection; choose one of the list.")
    return value


def _sheet_day(desk: Desk, value: Any) -> date:
    """The day of a safety data sheet, typed or known."""
    if isinstance(value, date):
        return value
    found = read_written_day(desk, str(value))
    if found > desk.today:
        raise Mendable(f"The sheet cannot be of {day_year(found)}, which is still to come.")
    return found


def whole_number(key: str, value: Any) -> int:
    """A whole number of zero or more; `Mendable` names the field."""
    try:
        number = int(value)
    except (TypeError, ValueError):
        raise Mendable(f"“{value}” is no whole number for {key.replace('_', ' ')}.") from None
    if number < 0:
        raise Mendable(f"{key.replace('_', ' ').capitalize()} cannot be below zero.")
    return number


def _amount(desk: Desk, row: Supply, value: Any) -> int:
    if isinstance(value, int):
        return value
    known = all_supplies(desk).get(row.id) if row.id is not None else None
    system, imperial = desk.settings.system, desk.settings.imperial
    setting = EntrySetting(kind=Kind(row.kind), system=system, imperial=imperial)
    if known is not None:
        setting = entry_setting(desk, known, on_hand=None, last_weight=None)
    return read_use(str(value), setting).amount


def _weight(value: Any) -> int:
    if isinstance(value, int):
        return value
    return base_of(read_amount(str(value)).bare_in("g"), Kind.PASTE)


def add_pack(
    desk: Desk,
    supply_id: int,
    label: str,
    price_typed: str = "",
    *,
    supplier_id: int | None = None,
    code: str = "",
    weight: Any = None,
) -> tuple[Changed, int]:
    """A pack it can be bought in; its size is read from the label, such as `1 gal`, `3 x 32 oz`."""
    supply = supply_of(desk, supply_id)
    size = pack_size(desk, supply, label)
    with about("price"):
        price = read_money(price_typed, desk.settings.currency) if price_typed.strip() else 0
    title = f"Added {label.strip()} of {supply.name}"
    with desk.book.change(title, kinds=KINDS | {"orders"}, at=desk.clock()) as session:
        pack = Pack(
            supply_id=supply_id,
            supplier_id=supplier_id,
            label=label.strip()[:60],
            size=size,
            price=price,
            weight=None if weight in (None, "") else _weight(weight),
            code=code.strip()[:60],
            priced_on=desk.today,
        )
        session.add(pack)
        session.flush()
        pack_id = pack.id
    return Changed(title, KINDS | {"orders"}), pack_id


def pack_size(desk: Desk, supply: SupplyRow, label: str) -> int:
    """The content of a pack by its label, base units."""
    setting = entry_setting(desk, supply, on_hand=None, last_weight=None)
    size = read_use(label.strip(), setting).amount
    if size <= 0:
        raise Mendable(f"“{label.strip()}” does not say how much is in it; write 1 gal or 32 oz.")
    return size


def set_price(desk: Desk, pack_id: int, typed: str) -> Changed:
    """The price of a pack from today."""
    price = read_money(typed, desk.settings.currency)
    if price < 0:
        raise Mendable("A price cannot be below zero.")
    with desk.book.reading() as session:
        label = queries.pack_to_write(session, pack_id).label
        breaks = term_queries.breaks(session).get(pack_id, ())
    title = f"Price of {label}: {money(desk, price)}"
    with desk.book.change(title, kinds=KINDS | {"orders"}, at=desk.clock()) as session:
        pack = queries.pack_to_write(session, pack_id)
        pack.price, pack.priced_on = price, desk.today
    late = next((one for one in breaks if one[1] >= price), None)
    question = ""
    if late is not None:
        question = (
            f"From {late[0]} packs on one costs {money(desk, late[1])}, no less than alone now. "
            "Is that price break still right?"
        )
    return Changed(title, KINDS | {"orders"}, question=question)
