"""A written order, looked through again when it goes: not all of it may be wanted any more."""

from __future__ import annotations

from collections.abc import Iterator

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.orders.order_reasons import BY_HAND
from app.actions.orders.shelf_state import proposal_without
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
        elif line.reason != BY_HAND and not _asked_for(desk, order, line.supply_id):
            yield f"nothing asks for {line.supply} any more"


def _asked_for(desk: Desk, order: OrderRow, supply_id: int) -> bool:
    """Whether a supply would be ordered now, or bought along, were this order not there.

    A job that was called off takes the ground from under what was ordered for it.
    """
    day = max(order.day, desk.today)
    without = proposal_without(desk, day, order.order_id)
    if any(line.supply == supply_id for one in without.orders for line in one.lines):
        return True
    cover = next((one for one in without.covers if one.supply == supply_id), None)
    if cover is None or cover.order_day is None:
        return False
    return cover.order_day - day.toordinal() <= desk.settings.longest_days
