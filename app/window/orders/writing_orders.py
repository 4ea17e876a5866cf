"""Writing the proposed orders, from the day sheet or the shelf."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject

from app.actions.desk.desk import Changed
from app.actions.orders import order_writing
from app.window.house.office import Office
from app.window.house.runner import Lock


def write_orders(office: Office, owner: QObject, then: Callable[[tuple[int, ...]], object]) -> None:
    """Write the orders in the background; `then` is called with the ids of those of the day."""
    desk, day = office.desk, office.day

    def written(done: tuple[Changed, tuple[int, ...]]) -> None:
        office.note(done[0])
        then(done[1])

    office.write_long(
        "writing the orders",
        lambda _task: (
            order_writing.write_orders(desk, day),
            order_writing.orders_written(desk, day),
        ),
        written,
        owner=owner,
        lock=Lock("The orders are being written; the sheet can be written in then.", day),
    )
