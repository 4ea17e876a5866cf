"""What the made-up shop buys: orders on the suppliers' days, deliveries, errands."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from app.calculations.numbers.money import allocate
from app.demo.catalog import Catalog, PackItem, SupplierItem
from app.demo.scene import Part, Scene
from app.demo.shelf import Shelf, Stock
from app.records.models import Order, OrderLine

# So that there is something to order when the demo opens: days since the last order was written.
QUIET_DAYS = {"Dunmarrow Trade Depot": 13, "Olvane Coatings": 30}
# For these only just enough was bought lately to come a few days past that day.
RUN_DOWN_DAYS = 45
RUN_DOWN = frozenset(
    {
        "Wheel cleaner", "Iron remover", "Glass cleaner", "Interior cleaner", "Panel wipe",
        "Nitrile gloves", "One-step polish", "Synthetic sealant", "Clay", "Paint towels",
        "Rinseless wash concentrate", "Leather cleaner", "Tire cleaner", "Towel detergent",
    }
)  # fmt: skip
# And so that something is on its way: workdays ago on which these were written to.
ON_ITS_WAY = {"Northmere Finishing Supply": 2, "Brell and Daughters Linen and Janitorial": 5}
DEARER_A_YEAR = 1.03
SALE_SHARE, SALE = 0.07, 0.85
COURIER = 1900  # minor units


@dataclass
class OrderedLine:
    """An order's line on its way."""

    id: int
    pack: PackItem
    price: int
    packs: int
    reason: str
    received: int = 0


@dataclass(kw_only=True)
class OrderState:
    """An order on its way."""

    id: int
    supplier: SupplierItem
    day: date
    expected_on: date
    freight: int
    lines: list[OrderedLine] = field(default_factory=list)
    state: str = "sent"
    received_on: date | None = None
    note: str = ""


class Purchasing(Part):
    """Writes orders by what is left and what is booked, and brings what comes of them."""

    def __init__(self, scene: Scene, shelf: Shelf) -> None:
        super().__init__(scene)
        self._shelf = shelf
        self._deliveries: dict[date, list[tuple[OrderState, OrderedLine, int]]] = {}
        self._orders: list[OrderState] = []
        self._booked_need: dict[int, int] = {}
        self._errand: OrderState | None = None
        self._one_job = _one_job(scene.catalog)
        shelf.fetch = self.fetch

    def morning(self, day: date) -> None:
        """Deliveries of the day."""
        for order, line, packs in self._deliveries.pop(day, ()):
            stock = self._shelf.stocks[line.pack.supply]
            quantity, cost = packs * line.pack.size, packs * line.price
            if order.freight and line.received == 0:
                cost += self._freight_of(order, line)
            stock.on_order -= quantity
            line.received += packs
            self._shelf.receive(stock, day, quantity, cost, line.id)
            complete = all(one.received >= one.packs for one in order.lines)
            order.state = "received" if complete else "part"
            if complete:
                order.received_on = day

    def booked(self, supply_id: int, quantity: int) -> None:
        """A booked job will need it (taken back with a negative quantity)."""
        self._booked_need[supply_id] = self._booked_need.get(supply_id, 0) + quantity

    def evening(self, day: date) -> None:
        """Orders to the suppliers whose day it is."""
        workdays_left = self._calendar.place[self._calendar.today] - self._calendar.place[day]
        for supplier in self._catalog.suppliers.values():
            last = ON_ITS_WAY.get(supplier.name, 0)
            if workdays_left == last > 0:
                self._order_soonest_needed(supplier, day)
            elif day.weekday() in supplier.weekdays and workdays_left > last:
                self._order(supplier, day)

    def write(self) -> None:
        """What became of the orders."""
        for order in self._orders:
            self._rows.change(Order, order.id, state=order.state, received_on=order.received_on)
            for line in order.lines:
                self._rows.change(OrderLine, line.id, packs_received=line.received)

    def fetch(self, stock: Stock, day: date, missing: int) -> None:
        """Fetch what is missing today from around the corner, or have it brought by courier."""
        pack = stock.supply.store_packs[0]
        by_courier = stock.supply.by_lot
        supplier = (
            self._catalog.suppliers[stock.supply.supplier] if by_courier else self._catalog.store
        )
        order = self._errand
        if by_courier or order is None or order.day != day:
            order = OrderState(
                id=self._rows.number(Order),
                supplier=supplier,
                day=day,
                expected_on=day,
                freight=COURIER if by_courier else 0,
                note="By courier" if by_courier else "Fetched over the counter",
            )
            self._write_order(order)
            if not by_courier:
                self._errand = order
        price = self.price(pack, day)
        if pack.supplier != supplier.id:
            price = round(price * 1.35)
        line = OrderedLine(0, pack, price, -(-missing // pack.size), "missing today")
        self._write_line(order, line)
        self._deliveries.setdefault(day, []).append((order, line, line.packs))
        self.morning(day)

    def _order(self, supplier: SupplierItem, day: date) -> None:
        today = self._calendar.today
        if day == today or (today - day).days < QUIET_DAYS.get(supplier.name, 0):
            return
        lines: list[OrderedLine] = []
        urgent = False
        sale = self._rng.random() < SALE_SHARE
        for stock in self._shelf.stocks.values():
            if stock.supply.supplier != supplier.id:
                continue
            line, pressing = self._line(stock, supplier, day, sale)
            if line is not None:
                lines.append(line)
                urgent = urgent or pressing
        self._write(supplier, day, lines, urgent)

    def _order_soonest_needed(self, supplier: SupplierItem, day: date) -> None:
        """An order of a pack of each of the two supplies that are needed soonest."""
        mine = [
            stock
            for stock in self._shelf.stocks.values()
            if stock.supply.supplier == supplier.id
            and stock.per_day > 0
            and stock.supply.name not in RUN_DOWN
        ]
        mine.sort(key=lambda stock: (stock.quantity + stock.on_order) / stock.per_day)
        lines = [
            OrderedLine(0, pack, self.price(pack, day), 1, "below the reorder level")
            for pack in (stock.supply.packs[-1] for stock in mine[:2])
        ]
        self._write(supplier, day, lines, urgent=True)

    def _write(
        self, supplier: SupplierItem, day: date, lines: list[OrderedLine], urgent: bool
    ) -> None:
        goods = sum(line.price * line.packs for line in lines)
        if not lines or (goods < supplier.minimum and not urgent):
            return
        free = supplier.free_from is not None and goods >= supplier.free_from
        order = OrderState(
            id=self._rows.number(Order),
            supplier=supplier,
            day=day,
            expected_on=self._arrival(day, supplier.promised),
            freight=0 if free else supplier.freight,
        )
        self._write_order(order)
        for line in lines:
            self._write_line(order, line)
        self._send(order)

    def _line(
        self, stock: Stock, supplier: SupplierItem, day: date, sale: bool
    ) -> tuple[OrderedLine | None, bool]:
        """How much of a supply to order now, and whether it cannot wait."""
        supply = stock.supply
        booked = max(0, self._booked_need.get(supply.id, 0)) if supply.by_lot else 0
        position = stock.quantity + stock.on_order - booked
        lead = supplier.lead[1]
        level = stock.per_day * (lead + 9) + self._one_job.get(supply.id, 0)
        if supply.pool:  # two loads stand there in any case: one in use, one in the wash
            level = stock.per_day * lead + 2 * supply.load * 1000
        if position > level:
            return None, False
        today = self._calendar.today
        if supply.name in RUN_DOWN and (today - day).days < RUN_DOWN_DAYS:
            left = self._calendar.place[today] - self._calendar.place[day]
            if supply.pool or position > stock.per_day * (left + 4):
                return None, False
            pack = supply.packs[0]
            return OrderedLine(0, pack, self.price(pack, day), 1, "running out"), True
        target = stock.per_day * 42
        if supply.pool:
            target = level + stock.per_day * 90
        if supply.keeps:
            target = min(target, stock.per_day * supply.keeps * 0.5)
        wanted = max(1.0, target - position)
        pack = supply.packs[0]
        for one in supply.packs[1:]:
            if one.size <= wanted * 1.25:
                pack = one
        count = max(1, round(wanted / pack.size))
        price = self.price(pack, day, sale)
        reason = "on sale, below the reorder level" if sale else "below the reorder level"
        line = OrderedLine(0, pack, price, count, reason)
        return line, position < stock.per_day * (lead + 2)

    def _send(self, order: OrderState) -> None:
        rng = self._rng
        supplier = order.supplier
        low, usual, high = supplier.lead
        days = rng.triangular(low, high, usual)
        if rng.random() < supplier.late_share:
            days += rng.randint(4, 9)
        arrives = self._arrival(order.day, round(days))
        today = self._calendar.today
        last = ON_ITS_WAY.get(supplier.name, 0)
        if last and self._calendar.place[today] - self._calendar.place[order.day] <= last:
            arrives = max(arrives, self._calendar.after(today, 2))
        for line in order.lines:
            now = line.packs
            if line.packs > 1 and rng.random() < supplier.part_share:
                now = line.packs // 2
                rest = self._arrival(order.day, round(days) + rng.randint(5, 12))
                self._deliveries.setdefault(rest, []).append((order, line, line.packs - now))
            self._deliveries.setdefault(arrives, []).append((order, line, now))

    def price(self, pack: PackItem, day: date, sale: bool = False) -> int:
        """What a pack cost then: today's price, less what it grew by since, in whole dimes."""
        years = (self._calendar.today - day).days / 365.25
        price = pack.price / DEARER_A_YEAR ** int(years)
        return max(10, round(price * (SALE if sale else 1.0) / 10) * 10)

    def _arrival(self, day: date, days: int) -> date:
        workdays = self._calendar.workdays
        return workdays[self._calendar.at_or_after(day + timedelta(days=max(days, 1)))]

    def _freight_of(self, order: OrderState, line: OrderedLine) -> int:
        """A line's share of the freight, by weight."""
        shares = allocate(order.freight, [one.pack.weight * one.packs for one in order.lines])
        return shares[order.lines.index(line)]

    def _write_order(self, order: OrderState) -> None:
        self._orders.append(order)
        self._rows.add(
            Order,
            id=order.id,
            number=order.id,
            supplier_id=order.supplier.id,
            day=order.day,
            expected_on=order.expected_on,
            freight=order.freight,
            note=order.note,
        )

    def _write_line(self, order: OrderState, line: OrderedLine) -> None:
        line.id = self._rows.add(
            OrderLine,
            order_id=order.id,
            supply_id=line.pack.supply,
            pack_id=line.pack.id,
            pack_label=line.pack.label,
            pack_size=line.pack.size,
            packs=line.packs,
            price=line.price,
            reason=line.reason,
        )
        order.lines.append(line)
        self._shelf.stocks[line.pack.supply].on_order += line.packs * line.pack.size


def _one_job(catalog: Catalog) -> dict[int, int]:
    """What one large job takes of each supply, base units."""
    most: dict[int, int] = {}
    for service in catalog.services.values():
        for line in service.lines:
            most[line.supply] = max(most.get(line.supply, 0), line.amount * 2)
    return most
