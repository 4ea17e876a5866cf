"""Station 4, *What to order*: the proposal, changed by hand, written as orders; a person sends."""

from __future__ import annotations

from app.actions.orders.order_papers import order_draft, order_files, order_files_stand, order_mail
from app.actions.orders.order_proposal import (
    OpenOrder,
    OrderLineView,
    SupplierOrder,
    WhatToOrder,
    freight_of,
    short_supplies,
    what_to_order,
)
from app.actions.orders.order_terms import SoonerView
from app.actions.orders.order_writing import (
    add_orders,
    as_proposed,
    orders_written,
    set_packs,
    write_orders,
)
from app.actions.orders.receiving import (
    LotTyped,
    cancel_order,
    mark_order_sent,
    overdue_text,
    receive,
    rest_will_not_come,
)
from app.actions.orders.shelf_state import proposal, shelf_state

__all__ = [
    "LotTyped", "OpenOrder", "OrderLineView", "SoonerView", "SupplierOrder", "WhatToOrder",
    "add_orders", "as_proposed", "cancel_order", "freight_of", "mark_order_sent", "order_draft",
    "order_files", "order_files_stand", "order_mail", "orders_written", "overdue_text",
    "proposal", "receive", "rest_will_not_come", "set_packs",
    "shelf_state", "short_supplies", "what_to_order", "write_orders",
]  # fmt: skip
