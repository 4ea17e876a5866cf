"""Suppliers as a page shows them: their terms, the lead times really seen, the orders so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from statistics import median

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.calculations.numbers.wording import words_of
from app.errors import Mendable
from app.records.queries import orders as order_queries
from app.records.queries import stock as queries
from app.records.queries.stock import SupplierRow

STATE_WORDS = {
    "written": "not sent yet", "sent": "on its way", "part": "came in part",
    "received": "came", "cancelled": "called off",
}  # fmt: skip


@dataclass(frozen=True)
class LeadTimes:
    """Days from order to shelf as seen: the middle one, nine in ten within, and of how many."""

    n: int
    middle: int | None
    nine_in_ten: int | None


@dataclass(frozen=True)
class ListedSupplier:
    """A supplier in the list."""

    supplier_id: int
    name: str
    text: str  # promised and seen


@dataclass(frozen=True)
class SupplierPage:
    """Everything about one supplier; money is in minor units."""

    supplier: SupplierRow
    leads: LeadTimes
    orders_count: int
    orders: tuple[order_queries.OrderRow, ...]
    supplies: tuple[tuple[int, str], ...]


def lead_times(days: Sequence[int]) -> LeadTimes:
    """The middle and the ninth decile of what was seen.

    The decile is the smallest day within which nine in ten deliveries had come (the inverse of
    the empirical distribution; Hyndman & Fan 1996, definition 1). It needs ten deliveries.
    """
    ordered = sorted(days)
    if not ordered:
        return LeadTimes(0, None, None)
    late = ordered[ceil(0.9 * len(ordered)) - 1] if len(ordered) >= 10 else None
    return LeadTimes(len(ordered), round(median(ordered)), late)


def lead_sentence(leads: LeadTimes) -> str:
    """`4 days in the middle of 12 deliveries, nine in ten within 9.`"""
    if not leads.n:
        return "No delivery was seen yet."
    text = f"{leads.middle} days in the middle of {words_of(leads.n, 'delivery')}"
    if leads.nine_in_ten is not None:
        return f"{text}, nine in ten within {leads.nine_in_ten}."
    return f"{text}; ten are needed to say more."


def supplier_lines(desk: Desk) -> tuple[ListedSupplier, ...]:
    """Every supplier, in order of name."""
    with desk.book.reading() as session:
        known = queries.suppliers(session)
        seen = {one: lead_times(order_queries.lead_days(session, one)) for one in known}
    return tuple(
        ListedSupplier(row.supplier_id, row.name, _short(row, seen[row.supplier_id]))
        for row in known.values()
    )


def _short(row: SupplierRow, leads: LeadTimes) -> str:
    if leads.middle is not None:
        return f"about {leads.middle} days, {leads.n} seen"
    if row.promised_days is not None:
        return f"{row.promised_days} days promised"
    return "no days known"


def supplier_page(desk: Desk, supplier_id: int) -> SupplierPage:
    """One supplier's terms, lead times, orders and supplies."""
    with desk.book.reading() as session:
        row = queries.suppliers(session).get(supplier_id)
        if row is None:
            raise Mendable("This supplier is not in the book any more.")
        leads = lead_times(order_queries.lead_days(session, supplier_id))
        orders = order_queries.orders_of(session, supplier_id)
        number = order_queries.order_counts(session).get(supplier_id, 0)
    return SupplierPage(
        row,
        leads,
        number,
        tuple(orders),
        tuple(
            (one.supply_id, one.name)
            for one in all_supplies(desk).values()
            if one.supplier_id == supplier_id
        ),
    )
