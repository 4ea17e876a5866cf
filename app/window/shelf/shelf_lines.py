"""All rows of the shelf, made once for what was read; narrowing only chooses among them."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from app.actions.desk.amounts import stock_number, supply_of
from app.actions.desk.desk import Desk
from app.actions.orders.order_proposal import OrderLineView
from app.actions.shelf.counting import Counted
from app.actions.shelf.pool_view import PoolView
from app.actions.shelf.shelf import ShelfGroup, ShelfRow, ShelfView
from app.window.paper.cells import Column, GroupRow, TableRow
from app.window.paper.namefit import Rows
from app.window.paper.theme import Theme
from app.window.shelf import shelf_count
from app.window.shelf.pool_rows import pool_key, pool_rows
from app.window.shelf.shelf_rows import deliveries, fit_shelf, shelf_line

LONG_NAME = 34  # letters of a supplier's name beyond which a group line has room for one day
Wanted = Callable[[ShelfRow], bool]


@dataclass
class ShelfLines:
    """What was read of the shelf, and its rows as the table shows them."""

    desk: Desk
    view: ShelfView
    orders: Mapping[int, OrderLineView]
    pools: Sequence[PoolView]
    counted: Mapping[int, Counted]
    _fitted: dict[tuple[bool, int, float], tuple[tuple[Column, ...], dict[Hashable, TableRow]]] = (
        field(default_factory=dict)
    )

    @cached_property
    def walk(self) -> list[ShelfRow]:
        """The supplies in the order in which the shelf is walked along."""
        return shelf_count.walk(self.view)

    def listed(
        self, wanted: Wanted, pools: Callable[[PoolView], bool], room: int, theme: Theme
    ) -> tuple[tuple[Column, ...], Rows]:
        """The rows that are wanted, by supplier, and the pools under them."""
        columns, made = self._made(False, room, theme)
        rows: Rows = []
        for group in self.view.groups:
            shown = [made[row.supply_id] for row in group.rows if wanted(row)]
            if not shown:
                continue
            key = f"group {group.supplier_id}"
            coming = deliveries(group, self.view.day)
            rows += [GroupRow(key, group.name, _deliveries_text(group), coming), *shown]
        some = [one for one in self.pools if pools(one)]
        if some:
            rows += [made[row.key] if isinstance(row, TableRow) else row for row in pool_rows(some)]
        return columns, rows

    def to_count(self, wanted: Wanted, room: int, theme: Theme) -> tuple[tuple[Column, ...], Rows]:
        """The rows to be counted, along the places."""
        columns, made = self._made(True, room, theme)
        return columns, [made[row.supply_id] for row in self.walk if wanted(row)]

    def _made(
        self, counting: bool, room: int, theme: Theme
    ) -> tuple[tuple[Column, ...], dict[Hashable, TableRow]]:
        key = (counting, room, theme.scale)
        if key not in self._fitted:
            if counting:
                columns, rows = shelf_count.fit_count(self._count_rows(), room, theme)
            else:
                columns, rows = fit_shelf(self._list_rows(), self.view.day, room, theme)
            self._fitted[key] = (
                columns,
                {row.key: row for row in rows if isinstance(row, TableRow)},
            )
        return self._fitted[key]

    def _list_rows(self) -> Rows:
        rows: Rows = [
            shelf_line(row, group, self.view.day, self.orders.get(row.supply_id))
            for group in self.view.groups
            for row in group.rows
        ]
        return [*rows, *pool_rows(self.pools)]

    def _count_rows(self) -> Rows:
        rows: Rows = []
        for row in self.walk:
            found = self.counted.get(row.supply_id)
            before = ""
            if found is not None and found.gone:
                supply = supply_of(self.desk, row.supply_id)
                before = stock_number(self.desk, supply, row.on_hand + found.gone)
            rows.append(shelf_count.count_row(self.desk, row, found, before))
        return rows

    def row_at(self, key: Hashable) -> ShelfRow | None:
        groups = self.view.groups
        return next((row for group in groups for row in group.rows if row.supply_id == key), None)

    def pool_at(self, key: Hashable) -> PoolView | None:
        return next((one for one in self.pools if pool_key(one) == key), None)


def _deliveries_text(group: ShelfGroup) -> str:
    """When the supplier comes, or what must wait; beside a long name there is little room."""
    if group.waits_text:
        return group.waits_text
    short = len(group.name) > LONG_NAME
    if group.sale_text:
        return group.sale_text if short else f"{group.next_text}; {group.sale_text}"
    return group.next_text if short else group.deliveries_text
