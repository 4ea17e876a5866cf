"""What the order rule reads that typing on the day sheet does not change: packs, terms, parcels."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Desk
from app.calculations.orders.shelf_state import PackOffer
from app.records.queries import orders as order_queries
from app.records.queries import stock as queries
from app.records.queries import terms as term_queries
from app.records.queries.orders import OrderRow
from app.records.queries.stock import PackRow, SupplierRow, SupplyRow


@dataclass(frozen=True)
class Offers:
    """Packs with their price breaks."""

    packs: dict[int, PackRow]
    by_supply: dict[int, tuple[PackOffer, ...]]
    breaks: dict[int, tuple[tuple[int, int], ...]]

    def offer(self, pack: PackRow) -> PackOffer:
        """A pack as the rule reads it."""
        return PackOffer(
            pack.pack_id,
            pack.size,
            pack.price,
            pack.supplier_id,
            self.breaks.get(pack.pack_id, ()),
            containers_in(pack.label),
        )


@dataclass(frozen=True)
class RuleFacts:
    """What the rule needs that typing on the day sheet does not change."""

    supplies: dict[int, SupplyRow]
    offers: Offers
    suppliers: dict[int, SupplierRow]
    coming: list[OrderRow]
    last_part: dict[int, date]  # of orders on their way: when the last part of them came
    leads: dict[int, list[int]]
    notice: list[int]
    notice_of: dict[int, list[int]]  # of the jobs that took a supply
    announced: list[term_queries.DateRow]


def rule_facts(desk: Desk) -> RuleFacts:
    """They are kept until the book changes."""
    return desk.remembered(("shelf facts",), lambda: _read_facts(desk))


def offers(desk: Desk) -> Offers:
    """All packs that can be bought."""
    return rule_facts(desk).offers


def supplier_names(desk: Desk) -> dict[int, str]:
    """The names of the suppliers."""
    return {one: row.name for one, row in rule_facts(desk).suppliers.items()}


def _read_facts(desk: Desk) -> RuleFacts:
    with desk.book.reading() as session:
        suppliers = queries.suppliers(session)
        packs = queries.packs(session)
        known = Offers(
            {one.pack_id: one for some in packs.values() for one in some},
            {},
            term_queries.breaks(session),
        )
        for supply, some in packs.items():
            known.by_supply[supply] = tuple(known.offer(one) for one in some if one.size > 0)
        return RuleFacts(
            queries.supplies(session),
            known,
            suppliers,
            order_queries.on_their_way(session),
            order_queries.last_parts(session),
            {one: order_queries.lead_days(session, one) for one in suppliers},
            order_queries.notice_days(session),
            order_queries.notice_by_supply(session),
            term_queries.supplier_dates(session),
        )


def containers_in(label: str) -> int:
    """How many containers a pack holds, by its label: three in `3 x 32 oz`."""
    entered = re.match(r"\s*(\d{1,4})\s*[x×]\s*\d", label, re.IGNORECASE)
    return max(1, int(entered[1])) if entered else 1
