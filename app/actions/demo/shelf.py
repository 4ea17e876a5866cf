"""The made-up shop's shelf: what comes, what is used, what is counted, and what the book says.

Two shelves run beside each other: the true one, and the book's. They drift apart where a use was
booked from the recipe, and a count brings them together again, as in any shop.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from app.actions.demo.calendar import Calendar
from app.actions.demo.catalog import Catalog, PackItem, SupplierItem, SupplyItem
from app.actions.demo.rows import Clock, Rows
from app.calculations.costing import Average, Lots
from app.calculations.money import allocate
from app.records.models import Balance, Lot, Movement, Order, OrderLine

QUIET_DAYS = {"Dunmarrow Trade Depot": 13, "Olvane Coatings": 30}  # no order written since
WAITING = {"Northmere Finishing Supply", "Brell and Daughters Linen and Janitorial"}


@dataclass
class LotState:
    """A delivery of a dated supply."""

    id: int
    supply: int
    code: str
    received_on: date
    expires_on: date | None
    opened_on: date | None = None
    finished_on: date | None = None


@dataclass
class Line:
    """An order's line on its way."""

    id: int
    pack: PackItem
    price: int
    packs: int
    reason: str
    received: int = 0


@dataclass
class OrderState:
    """An order on its way."""

    id: int
    supplier: SupplierItem
    day: date
    expected_on: date
    freight: int
    lines: list[Line] = field(default_factory=list)
    state: str = "sent"
    received_on: date | None = None
    note: str = ""


@dataclass
class Stock:
    """One supply on the shelf, as the book has it and as it is."""

    supply: SupplyItem
    book: Average = field(default_factory=Average)
    lots: Lots = field(default_factory=Lots)
    true: int = 0
    on_order: int = 0
    per_day: float = 0.0
    taken_today: int = 0
    lot_states: dict[int, LotState] = field(default_factory=dict)
    recent: deque[int] = field(default_factory=lambda: deque(maxlen=45))

    @property
    def quantity(self) -> int:
        """What the book has, base units."""
        return self.lots.quantity if self.supply.by_lot else self.book.quantity

    @property
    def value(self) -> int:
        """What the book has, minor units."""
        return self.lots.value if self.supply.by_lot else self.book.value


class Shelf:
    """All supplies, with the orders on their way."""

    def __init__(
        self, catalog: Catalog, calendar: Calendar, rows: Rows, clock: Clock, rng: Random
    ) -> None:
        self._catalog = catalog
        self._calendar = calendar
        self._rows = rows
        self._clock = clock
        self._rng = rng
        self.stocks = {one.id: Stock(one) for one in catalog.supplies.values()}
        self._deliveries: dict[date, list[tuple[OrderState, Line, int]]] = {}
        self._orders: list[OrderState] = []
        self._booked_need: dict[int, int] = {}
        self._errand: OrderState | None = None
        self._one_job = _one_job(catalog)

    # The days

    def found(self, day: date, per_day: dict[int, float]) -> None:
        """What stands on the shelf when the book begins, counted and priced."""
        for stock in self.stocks.values():
            supply = stock.supply
            pack = supply.packs[0]
            stock.per_day = per_day.get(supply.id, 0.0)
            wanted = stock.per_day * self._rng.uniform(14, 40)
            count = max(1, round(wanted / pack.size))
            quantity, cost = count * pack.size, count * pack.price
            if supply.step_unit not in ("mL", "pc") and not supply.whole:
                cut = quantity * self._rng.uniform(0.05, 0.45)  # bottles are begun
                kept = quantity - int(int(cut / float(supply.step)) * supply.step)
                quantity, cost = kept, round(cost * kept / quantity)
            lot = self._lot(stock, day) if supply.by_lot else None
            self._receive(stock, quantity, cost, lot)
            self._move(stock, day, 480, "counted", quantity, cost, lot, note="Opening count")

    def morning(self, day: date) -> None:
        """Deliveries of the day."""
        for order, line, packs in self._deliveries.pop(day, ()):
            stock = self.stocks[line.pack.supply]
            quantity, cost = packs * line.pack.size, packs * line.price
            if order.freight and line.received == 0:
                cost += self._freight_of(order, line)
            lot = self._lot(stock, day) if stock.supply.by_lot else None
            self._receive(stock, quantity, cost, lot)
            stock.on_order -= quantity
            line.received += packs
            self._move(stock, day, 600, "received", quantity, cost, lot, order_line_id=line.id)
            complete = all(one.received >= one.packs for one in order.lines)
            order.state = "received" if complete else "part"
            if complete:
                order.received_on = day

    def take(self, supply_id: int, day: date, recorded: int, true: int, job: int, use: int) -> int:
        """A job takes a supply; what it cost. Goes shopping first where the shelf is empty."""
        stock = self.stocks[supply_id]
        if recorded <= 0:
            stock.true = max(0, stock.true - true)
            return 0
        if stock.true < max(true, recorded):
            self._fetch(stock, day, max(true, recorded) - stock.true)
        if stock.quantity < recorded:
            note = "More on the shelf than in the book"
            self.count(stock, day, note=note, at_least=recorded)
        stock.true -= true
        stock.taken_today += recorded
        if not stock.supply.by_lot:
            stock.book, cost = stock.book.issue(recorded)
            self._move(stock, day, 1050, "used", -recorded, -cost, None, job_id=job, use_id=use)
            return cost
        stock.lots, cost, parts = stock.lots.issue(recorded)
        for part in parts:
            lot = stock.lot_states.get(part.lot or 0)
            if lot is not None:
                lot.opened_on = lot.opened_on or day
                if all(one.lot != lot.id for one in stock.lots.lots):
                    lot.finished_on = day
            self._move(
                stock, day, 1050, "used", -part.quantity, -part.cost, lot, job_id=job, use_id=use
            )
        return cost

    def count(self, stock: Stock, day: date, note: str = "", at_least: int = 0) -> None:
        """Count one supply: the book takes over what is there, as finely as it is read."""
        if stock.supply.by_lot:
            return
        step = stock.supply.step
        counted = max(at_least, int(int(max(0, stock.true) / step) * step))
        difference = counted - stock.book.quantity
        if difference == 0:
            return
        before = stock.book.value
        stock.book, _ = stock.book.correct(counted)
        stock.true = counted
        self._move(
            stock, day, 1100, "counted", difference, stock.book.value - before, None, note=note
        )

    def count_some(self, day: date, share: float) -> int:
        """The evening count of a part of the shelf; how many supplies."""
        chosen = [one for one in self.stocks.values() if self._rng.random() < share]
        for stock in chosen:
            self.count(stock, day)
        return len(chosen)

    def spill(self, day: date) -> None:
        """Something tips over."""
        stock = self.stocks[self._rng.choice(sorted(self.stocks))]
        if stock.supply.by_lot or stock.quantity <= 0:
            return
        lost = int(stock.quantity * self._rng.uniform(0.05, 0.25))
        if lost == 0:
            return
        stock.book, cost = stock.book.issue(lost)
        stock.true = max(0, stock.true - lost)
        self._move(stock, day, 1090, "wasted", -lost, -cost, None, note="Tipped over")

    def throw_out_expired(self, day: date) -> None:
        """Lots past their day leave the shelf."""
        for stock in self.stocks.values():
            for lot_id in [one.lot for one in stock.lots.lots]:
                lot = stock.lot_states.get(lot_id or 0)
                if lot is None or lot.expires_on is None or lot.expires_on > day:
                    continue
                left = sum(one.quantity for one in stock.lots.lots if one.lot == lot.id)
                stock.lots, cost, _ = stock.lots.issue(left, lot.id)
                stock.true -= left
                lot.finished_on = day
                self._move(stock, day, 1095, "expired", -left, -cost, lot, note="Past its day")

    def booked(self, supply_id: int, quantity: int) -> None:
        """A booked job will need it (taken back with a negative quantity)."""
        self._booked_need[supply_id] = self._booked_need.get(supply_id, 0) + quantity

    def evening(self, day: date) -> None:
        """What was used moves what is expected; orders go out; the day's snapshot is written."""
        for stock in self.stocks.values():
            stock.recent.append(stock.taken_today)
            stock.taken_today = 0
            seen = sum(stock.recent) / len(stock.recent)
            weight = len(stock.recent) / (len(stock.recent) + 20)
            stock.per_day = weight * seen + (1 - weight) * stock.per_day
        for supplier in self._catalog.suppliers.values():
            if day.weekday() in supplier.weekdays:
                self._order(supplier, day)

    def snapshot(self, day: date) -> None:
        """What stands when the day is closed."""
        last = self._rows.last(Movement)
        for stock in self.stocks.values():
            self._rows.add(
                Balance,
                supply_id=stock.supply.id,
                day=day,
                up_to_movement=last,
                quantity=stock.quantity,
                value=stock.value,
            )

    def write(self) -> None:
        """What became of lots and orders."""
        for stock in self.stocks.values():
            for lot in stock.lot_states.values():
                self._rows.change(Lot, lot.id, opened_on=lot.opened_on, finished_on=lot.finished_on)
        for order in self._orders:
            self._rows.change(Order, order.id, state=order.state, received_on=order.received_on)
            for line in order.lines:
                self._rows.change(OrderLine, line.id, packs_received=line.received)

    # Parts

    def _receive(self, stock: Stock, quantity: int, cost: int, lot: LotState | None) -> None:
        stock.true += quantity
        if stock.supply.by_lot:
            stock.lots = stock.lots.receive(quantity, cost, lot.id if lot else None)
        else:
            stock.book = stock.book.receive(quantity, cost)

    def _lot(self, stock: Stock, day: date) -> LotState:
        number = self._rows.number(Lot)
        keeps = stock.supply.keeps
        lot = LotState(
            number,
            stock.supply.id,
            f"{stock.supply.packs[0].code}-{day:%y%m}{'ABCDEFGH'[number % 8]}",
            day,
            day + timedelta(days=keeps - self._rng.randint(0, 120)) if keeps else None,
        )
        stock.lot_states[number] = lot
        self._rows.put(
            Lot,
            {
                "id": lot.id,
                "supply_id": lot.supply,
                "code": lot.code,
                "received_on": lot.received_on,
                "expires_on": lot.expires_on,
            },
        )
        return lot

    def _move(
        self,
        stock: Stock,
        day: date,
        minutes: int,
        kind: str,
        quantity: int,
        value: int,
        lot: LotState | None,
        *,
        job_id: int | None = None,
        use_id: int | None = None,
        order_line_id: int | None = None,
        note: str = "",
    ) -> None:
        self._rows.add(
            Movement,
            supply_id=stock.supply.id,
            day=day,
            at=self._clock.at(day, minutes),
            kind=kind,
            quantity=quantity,
            value=value,
            lot_id=lot.id if lot else None,
            job_id=job_id,
            use_id=use_id,
            order_line_id=order_line_id,
            note=note,
        )

    def _fetch(self, stock: Stock, day: date, missing: int) -> None:
        """Fetch what is missing today from around the corner, or have it brought by courier."""
        pack = stock.supply.store_packs[0]
        by_courier = stock.supply.by_lot
        supplier = (
            self._catalog.suppliers[stock.supply.supplier] if by_courier else self._catalog.store
        )
        order = self._errand
        if by_courier or order is None or order.day != day:
            order = OrderState(
                self._rows.number(Order), supplier, day, day, 1900 if by_courier else 0,
                note="By courier" if by_courier else "Fetched over the counter",
            )  # fmt: skip
            self._write_order(order)
            if not by_courier:
                self._errand = order
        price = pack.price if pack.supplier == supplier.id else round(pack.price * 1.35)
        line = Line(0, pack, price, -(-missing // pack.size), "missing today")
        self._write_line(order, line)
        self._deliveries.setdefault(day, []).append((order, line, line.packs))
        self.morning(day)

    def _order(self, supplier: SupplierItem, day: date) -> None:
        if day == self._calendar.today:
            return
        away = (self._calendar.today - day).days
        if away < QUIET_DAYS.get(supplier.name, 0):
            return
        lines: list[Line] = []
        urgent = False
        for stock in self.stocks.values():
            if stock.supply.supplier != supplier.id:
                continue
            line, pressing = self._line(stock, supplier)
            if line is not None:
                lines.append(line)
                urgent = urgent or pressing
        goods = sum(line.price * line.packs for line in lines)
        if not lines or (goods < supplier.minimum and not urgent):
            return
        free = supplier.free_from is not None and goods >= supplier.free_from
        order = OrderState(
            self._rows.number(Order),
            supplier,
            day,
            self._arrival(day, supplier.promised),
            0 if free else supplier.freight,
        )
        self._write_order(order)
        for line in lines:
            self._write_line(order, line)
        self._send(order)

    def _line(self, stock: Stock, supplier: SupplierItem) -> tuple[Line | None, bool]:
        """How much of a supply to order now, and whether it cannot wait."""
        supply = stock.supply
        booked = max(0, self._booked_need.get(supply.id, 0)) if supply.by_lot else 0
        position = stock.quantity + stock.on_order - booked
        lead = supplier.lead[1]
        level = stock.per_day * (lead + 9) + self._one_job.get(supply.id, 0)
        if position > level:
            return None, False
        target = stock.per_day * 42
        if supply.keeps:
            target = min(target, stock.per_day * supply.keeps * 0.5)
        wanted = max(1.0, target - position)
        pack = supply.packs[0]
        for one in supply.packs[1:]:
            if one.size <= wanted * 1.25:
                pack = one
        count = max(1, round(wanted / pack.size))
        line = Line(0, pack, pack.price, count, "below the reorder level")
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
        if supplier.name in WAITING and (today - order.day).days <= 6:
            # The demo's last orders are still on their way, one of them late.
            arrives = max(arrives, self._calendar.after(today, 2))
        for line in order.lines:
            now = line.packs
            if line.packs > 1 and rng.random() < supplier.part_share:
                now = line.packs // 2
                rest = self._arrival(order.day, round(days) + rng.randint(5, 12))
                self._deliveries.setdefault(rest, []).append((order, line, line.packs - now))
            self._deliveries.setdefault(arrives, []).append((order, line, now))

    def _arrival(self, day: date, days: int) -> date:
        workdays = self._calendar.workdays
        return workdays[self._calendar.at_or_after(day + timedelta(days=max(days, 1)))]

    def _freight_of(self, order: OrderState, line: Line) -> int:
        """A line's share of the freight, by weight."""
        shares = allocate(order.freight, [one.pack.weight * one.packs for one in order.lines])
        return shares[order.lines.index(line)]

    def _write_order(self, order: OrderState) -> None:
        self._orders.append(order)
        self._rows.put(
            Order,
            {
                "id": order.id,
                "number": order.id,
                "supplier_id": order.supplier.id,
                "day": order.day,
                "expected_on": order.expected_on,
                "freight": order.freight,
                "note": order.note,
            },
        )

    def _write_line(self, order: OrderState, line: Line) -> None:
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
        self.stocks[line.pack.supply].on_order += line.packs * line.pack.size


def _one_job(catalog: Catalog) -> dict[int, int]:
    """What one large job takes of each supply, base units."""
    most: dict[int, int] = {}
    for service in catalog.services.values():
        for line in service.lines:
            most[line.supply] = max(most.get(line.supply, 0), line.amount * 2)
    return most
