"""The suppliers: whom the shop buys from, on what terms."""

from __future__ import annotations

from typing import Any

from app.actions.desk.desk import Changed, Desk
from app.actions.stock.supply_facts import whole_number
from app.calculations.numbers.money import read_money
from app.calculations.numbers.tax_rates import read_rate
from app.calculations.numbers.weekdays import read_weekdays
from app.documents.reading.people import read_mails
from app.errors import Mendable
from app.records.models import Supplier
from app.records.queries import stock as queries

KINDS = frozenset({"supplies"})
SUPPLIER_FIELDS = frozenset(
    {
        "name",
        "email",
        "phone",
        "address",
        "account_no",
        "promised_days",
        "freight",
        "free_freight_from",
        "minimum_order",
        "hazard_fee",
        "order_weekdays",
        "use_tax_rate",
        "notes",
    }
)
_MONEY = frozenset({"freight", "free_freight_from", "minimum_order", "hazard_fee"})


def add_supplier(desk: Desk, name: str, **fields: Any) -> tuple[Changed, int]:
    """A new supplier; nothing but the name is needed."""
    title = f"Added supplier {name.strip()}"
    with desk.book.change(title, kinds=KINDS, at=desk.clock()) as session:
        row = Supplier(name="")
        _write_supplier(desk, row, {"name": name, **fields})
        session.add(row)
        session.flush()
        supplier_id = row.id
    return Changed(title, KINDS), supplier_id


def edit_supplier(desk: Desk, supplier_id: int, **fields: Any) -> Changed:
    """Change facts of a supplier; money may come as typed text."""
    with desk.book.reading() as session:
        known = queries.suppliers(session).get(supplier_id)
    if known is None:
        raise Mendable("This supplier is not in the book any more.")
    title = f"Changed supplier {known.name}"
    with desk.book.change(title, kinds=KINDS | {"orders"}, at=desk.clock()) as session:
        _write_supplier(desk, session.get_one(Supplier, supplier_id), fields)
    return Changed(title, KINDS | {"orders"})


def _write_supplier(desk: Desk, row: Supplier, fields: dict[str, Any]) -> None:
    unknown = fields.keys() - SUPPLIER_FIELDS
    if unknown:
        raise Mendable(f"A supplier has no “{sorted(unknown)[0]}”.")
    if "name" in fields:
        _check_name(desk, row, str(fields["name"]).strip())
    for key, value in fields.items():
        if key in _MONEY:
            if isinstance(value, str):
                value = read_money(value, desk.settings.currency) if value.strip() else None
            if value is None and key != "free_freight_from":
                value = 0
            if value is not None and value < 0:
                raise Mendable(f"{key.replace('_', ' ').capitalize()} cannot be below zero.")
        elif key == "use_tax_rate":
            value = read_rate(value) if isinstance(value, str) else value
        elif key == "promised_days":
            value = None if value in (None, "") else whole_number("the days promised", value)
        elif key == "order_weekdays":
            days = read_weekdays(value) if isinstance(value, str) else tuple(value)
            value = ",".join(str(day) for day in sorted(set(days)))
        else:
            value = str(value).strip()
            if key == "email" and value and len(read_mails(value).addresses) != 1:
                raise Mendable(
                    f"“{value[:60]}” is no mail address; write one like orders@example.org."
                )
        setattr(row, key, value)


def _check_name(desk: Desk, row: Supplier, name: str) -> None:
    if not name:
        raise Mendable("A supplier needs a name.")
    for known in list_suppliers(desk):
        if known.name.casefold() == name.casefold() and known.supplier_id != row.id:
            raise Mendable(f"There is a supplier “{name}” already; give this one another name.")


def list_suppliers(desk: Desk) -> tuple[queries.SupplierRow, ...]:
    """All suppliers, in order of name."""
    with desk.book.reading() as session:
        return tuple(queries.suppliers(session).values())
