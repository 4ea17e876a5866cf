"""Days that suppliers announce, and price breaks of their packs."""

from __future__ import annotations

from datetime import date
from typing import Any

from app.actions.desk.amounts import money, supply_of
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.typed_days import read_typed_day
from app.calculations.numbers.dates import day_month, day_year
from app.calculations.orders.announced import occurrences
from app.calculations.orders.price_breaks import read_breaks
from app.calculations.orders.shelf_state import Span
from app.errors import Mendable, about
from app.records.models import PackBreak, SupplierDate
from app.records.queries import stock as stock_queries
from app.records.queries import terms as queries

KINDS = frozenset({"supplies", "orders"})
COLD, SALE = "cold", "sale"
DAY_KINDS = {COLD: "cold stop", SALE: "sale"}
_FIELDS = frozenset({"kind", "first_day", "last_day", "yearly", "note"})


def announced_days(desk: Desk, supplier_id: int) -> tuple[queries.DateRow, ...]:
    """What a supplier announced, the earliest first."""
    with desk.book.reading() as session:
        rows = queries.supplier_dates(session)
    return tuple(one for one in rows if one.supplier_id == supplier_id)


def shown_day(row: queries.DateRow, day: date) -> str:
    """The first or last of announced days: without a year where they come back each year."""
    return day_month(day) if row.yearly else day_year(day)


def spans_of(
    rows: list[queries.DateRow], day: date
) -> tuple[dict[int, tuple[Span, ...]], dict[int, tuple[Span, ...]]]:
    """(cold, sale) spans near a day, by supplier."""
    found: dict[str, dict[int, tuple[Span, ...]]] = {COLD: {}, SALE: {}}
    for row in rows:
        some = found.setdefault(row.kind, {})
        spans = occurrences(row.first_day, row.last_day, row.yearly, day)
        some[row.supplier_id] = (*some.get(row.supplier_id, ()), *spans)
    return found[COLD], found[SALE]


def add_days(
    desk: Desk,
    supplier_id: int,
    kind: str,
    first_typed: str,
    last_typed: str = "",
    *,
    yearly: bool = False,
    note: str = "",
) -> tuple[Changed, int]:
    """Note days that a supplier announced: a sale, or a cold stop in which nothing is sent that
    must not freeze. Without a last day it is the first alone."""
    name = _supplier(desk, supplier_id)
    kind = _kind(kind)
    first = _day(desk, first_typed, "first")
    with about("last"):
        last = _last(desk, last_typed, first)
    title = f"Noted a {DAY_KINDS[kind]} of {name}"
    with desk.book.change(title, kinds=KINDS, at=desk.clock()) as session:
        row = SupplierDate(
            supplier_id=supplier_id,
            kind=kind,
            first_day=first,
            last_day=last,
            yearly=yearly,
            note=note.strip()[:200],
        )
        session.add(row)
        session.flush()
        date_id = row.id
    return Changed(title, KINDS), date_id


def change_days(desk: Desk, date_id: int, **fields: Any) -> Changed:
    """Change announced days; days come as they are typed. A first day moved behind the last moves
    the last along."""
    unknown = fields.keys() - _FIELDS
    if unknown:
        raise Mendable(f"Announced days have no “{sorted(unknown)[0]}”.")
    known = _known(desk, date_id)
    new: dict[str, Any] = {}
    if "kind" in fields:
        new["kind"] = _kind(fields["kind"])
    if "yearly" in fields:
        new["yearly"] = bool(fields["yearly"])
    if "note" in fields:
        new["note"] = str(fields["note"]).strip()[:200]
    first = known.first_day
    if "first_day" in fields:
        first = new["first_day"] = _day(desk, str(fields["first_day"]), "first")
    if "last_day" in fields:
        new["last_day"] = _last(desk, str(fields["last_day"]), first)
    elif first > known.last_day:
        new["last_day"] = first + (known.last_day - known.first_day)
    title = f"Changed a {DAY_KINDS[known.kind]} of {_supplier(desk, known.supplier_id)}"
    if all(getattr(known, key) == value for key, value in new.items()):
        return Changed("", frozenset())
    with desk.book.change(title, kinds=KINDS, at=desk.clock()) as session:
        row = queries.date_to_write(session, date_id)
        assert row is not None
        for key, value in new.items():
            setattr(row, key, value)
    return Changed(title, KINDS)


def remove_days(desk: Desk, date_id: int) -> Changed:
    """Forget announced days."""
    known = _known(desk, date_id)
    what = DAY_KINDS[known.kind]
    title = f"Removed a {what} of {_supplier(desk, known.supplier_id)}"
    with desk.book.change(title, kinds=KINDS, at=desk.clock()) as session:
        session.delete(queries.date_to_write(session, date_id))
    return Changed(title, KINDS)


def set_breaks(desk: Desk, pack_id: int, typed: str) -> Changed:
    """The price breaks of a pack as typed, such as `4 at 38.00; 12 at 34.00`; nothing is none."""
    with desk.book.reading() as session:
        packs = [one for some in stock_queries.packs(session).values() for one in some]
        known = queries.breaks(session).get(pack_id, ())
    pack = next((one for one in packs if one.pack_id == pack_id), None)
    if pack is None:
        raise Mendable("This pack is not in the book any more.")
    breaks = read_breaks(typed, pack.price, desk.settings.currency)
    if breaks == known:
        return Changed("", frozenset())
    supply = supply_of(desk, pack.supply_id)
    title = f"Price breaks of {pack.label}, {supply.name}"
    with desk.book.change(title, kinds=KINDS, at=desk.clock()) as session:
        rows = {row.packs: row for row in queries.breaks_to_write(session, pack_id)}
        for packs_from, row in rows.items():
            if packs_from not in dict(breaks):
                session.delete(row)
        for packs_from, each in breaks:
            if packs_from in rows:
                rows[packs_from].price = each
            else:
                session.add(PackBreak(pack_id=pack_id, packs=packs_from, price=each))
    return Changed(title, KINDS)


def breaks_text(desk: Desk, breaks: tuple[tuple[int, int], ...]) -> str:
    """`4 at 38.00; 12 at 34.00`, as it is typed."""
    return "; ".join(f"{packs} at {money(desk, each)}" for packs, each in breaks)


def _known(desk: Desk, date_id: int) -> queries.DateRow:
    with desk.book.reading() as session:
        rows = queries.supplier_dates(session)
    found = next((one for one in rows if one.date_id == date_id), None)
    if found is None:
        raise Mendable("These days are not in the book any more.")
    return found


def _supplier(desk: Desk, supplier_id: int) -> str:
    with desk.book.reading() as session:
        found = stock_queries.suppliers(session).get(supplier_id)
    if found is None:
        raise Mendable("This supplier is not in the book any more.")
    return found.name


def _kind(kind: object) -> str:
    if kind not in DAY_KINDS:
        raise Mendable("Announced days are a sale or a cold stop.")
    return str(kind)


def _day(desk: Desk, typed: str, which: str) -> date:
    found = read_typed_day(desk, typed)
    if found is None:
        raise Mendable(f"Type the {which} day, such as 1 Dec.")
    return found


def _last(desk: Desk, typed: str, first: date) -> date:
    if not typed.strip():
        return first
    found = read_typed_day(desk, typed, first) or first
    if found < first and str(found.year) not in typed:
        found = read_typed_day(desk, typed, date(found.year + 1, 1, 1)) or found
    if found < first:
        raise Mendable(f"They would end on {day_year(found)}, before they begin.")
    if (found - first).days >= 366:
        raise Mendable("They would last over a year; look at the years.")
    return found
