"""A written order, looked through again when it goes: not all of it may be wanted any more."""

from __future__ import annotations

from collections.abc import Iterator

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.records.queries import stock as stock_queries
from app.records.queries.orders import OrderRow


def order_doubts(desk: Desk, order: OrderRow) -> str:
    """What speaks against sending a written order as it stands; nothing where nothing does."""
    if order.state != "written":
        return ""
    against = "; ".join(_against(desk, order))
    return f"Since it was written: {against}. Take it back, or send it as it is." if against else ""


def _against(desk: Desk, order: OrderRow) -> Iterator[str]:
    supplies = all_supplies(desk)
    with desk.book.reading() as session:
        packs = stock_queries.packs(session)
    for line in order.lines:
        supply = supplies.get(line.supply_id)
        if supply is None or supply.archived_on is not None:
            yield f"{line.supply} is archived"
        elif supply.stopped:
            yield f"{line.supply} is to be used up, not reordered"
        elif order.supplier_id not in {
            pack.supplier_id or supply.supplier_id for pack in packs.get(line.supply_id, ())
        }:
            yield f"{line.supply} is bought elsewhere"
