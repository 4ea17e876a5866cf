"""The made-up shop's shelf: what comes, what is used, what is counted, and what the book says.

Two shelves run beside each other: the true one, and the book's. They drift apart where a use was
booked from the recipe, and a count brings them together again, as in any shop.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from app.calculations.numbers.units import Kind
from app.calculations.stock.costing import Average, Lots
from app.demo.catalog import PackItem, SupplyItem
from app.demo.laundry import Laundry
from app.demo.scene import Part, Scene
from app.records.models import Balance, Lot, Movement


@dataclass
class LotState:
    """A delivery of a dated supply."""

    id: int
    expires_on: date | None
    opened_on: date | None = None
    finished_on: date | None = None


@dataclass(kw_only=True)
class Stock:
    """One supply on the shelf, as the book has it and as it is."""

    supply: SupplyItem
    book: Average = field(default_factory=Average)
    lots: Lots = field(default_factory=Lots)
    true: int = 0
    on_order: int = 0
    per_day: float = 0.0
    taken_today: int = 0
    last_line: int = 0  # the newest of its ledger
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


class Shelf(Part):
    """All supplies; `fetch` is asked for what is missing in the middle of the day."""

    def __init__(self, scene: Scene, laundry: Laundry) -> None:
        super().__init__(scene)
        self._laundry = laundry
        self.stocks = {one.id: Stock(supply=one) for one in scene.catalog.supplies.values()}
        self.fetch: Callable[[Stock, date, int], None] | None = None

    def found(
        self, day: date, per_day: dict[int, float], price: Callable[[PackItem, date], int]
    ) -> None:
        """What stands on the shelf when the book begins, counted and priced."""
        for stock in self.stocks.values():
            supply = stock.supply
            pack = supply.packs[0]
            stock.per_day = per_day.get(supply.id, 0.0)
            if supply.pool:
                self._laundry.found(stock, day, stock.per_day, price(pack, day))
                stock.per_day /= supply.uses
                continue
            wanted = stock.per_day * self._rng.uniform(14, 40)
            count = max(1, round(wanted / pack.size))
            quantity, cost = count * pack.size, count * price(pack, day)
            if supply.step_unit not in ("mL", "pc") and not supply.whole:
                cut = quantity * self._rng.uniform(0.05, 0.45)  # bottles are begun
                kept = quantity - int(int(cut / float(supply.step)) * supply.step)
                quantity, cost = kept, round(cost * kept / quantity)
            lot = self._lot(stock, day) if supply.by_lot else None
            self._receive(stock, quantity, cost, lot)
            self._move(stock, day, 480, "counted", quantity, cost, lot, note="Opening count")

    def receive(
        self, stock: Stock, day: date, quantity: int, cost: int, order_line_id: int
    ) -> None:
        """Goods of an order arrive."""
        lot = self._lot(stock, day) if stock.supply.by_lot else None
        self._receive(stock, quantity, cost, lot)
        line = self._move(
            stock, day, 600, "received", quantity, cost, lot, order_line_id=order_line_id
        )
        if stock.supply.pool:
            self._laundry.came(stock, day, quantity, cost, line)

    def take(self, supply_id: int, day: date, recorded: int, true: int, job: int, use: int) -> int:
        """A job takes a supply; what it cost. Goes shopping first where the shelf is empty."""
        stock = self.stocks[supply_id]
        if stock.supply.pool:
            return self._laundry.take(stock, day, recorded, job, use)
        if recorded <= 0:
            stock.true = max(0, stock.true - true)
            return 0
        missing = max(true, recorded) - stock.true
        if missing > 0 and self.fetch is not None:
            self.fetch(stock, day, missing)
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
        if stock.supply.by_lot or stock.supply.pool:
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
            stock, day, 1100, "counted", difference, stock.book.value - before, None,
            physical=not note, note=note,
        )  # fmt: skip

    def count_some(self, day: date, share: float) -> int:
        """The evening count of a part of the shelf; how many supplies."""
        chosen = [one for one in self.stocks.values() if self._rng.random() < share]
        for stock in chosen:
            self.count(stock, day)
        return len(chosen)

    def spill(self, day: date) -> None:
        """Something tips over."""
        stock = self.stocks[self._rng.choice(sorted(self.stocks))]
        if stock.supply.by_lot or stock.supply.pool or stock.quantity <= 0:
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

    def evening(self, day: date) -> None:
        """The wash; then what was used today moves what is expected of the days to come."""
        self._laundry.evening(day)
        for stock in self.stocks.values():
            stock.recent.append(stock.taken_today)
            stock.taken_today = 0
            seen = sum(stock.recent) / len(stock.recent)
            weight = len(stock.recent) / (len(stock.recent) + 20)
            stock.per_day = weight * seen + (1 - weight) * stock.per_day

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
        """What became of the lots, and what the begun bottles weigh."""
        for stock in self.stocks.values():
            for lot in stock.lot_states.values():
                self._rows.change(Lot, lot.id, opened_on=lot.opened_on, finished_on=lot.finished_on)
            weight = _on_the_scale(stock)
            if weight is not None:
                self._rows.change(Movement, stock.last_line, weight=weight)

    def _receive(self, stock: Stock, quantity: int, cost: int, lot: LotState | None) -> None:
        stock.true += quantity
        if stock.supply.by_lot:
            stock.lots = stock.lots.receive(quantity, cost, lot.id if lot else None)
        else:
            stock.book = stock.book.receive(quantity, cost)

    def _lot(self, stock: Stock, day: date) -> LotState:
        number = self._rows.number(Lot)
        keeps = stock.supply.keeps
        ends = day + timedelta(days=keeps - self._rng.randint(0, 120)) if keeps else None
        lot = stock.lot_states[number] = LotState(number, ends)
        code = f"{stock.supply.packs[0].code}-{day:%y%m}{'ABCDEFGH'[number % 8]}"
        self._rows.add(
            Lot, id=number, supply_id=stock.supply.id, code=code, received_on=day, expires_on=ends
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
        **columns: Any,
    ) -> int:
        stock.last_line = self._rows.add(
            Movement,
            supply_id=stock.supply.id,
            day=day,
            at=self._clock.at(day, minutes),
            kind=kind,
            quantity=quantity,
            value=value,
            lot_id=lot.id if lot else None,
            **columns,
        )
        return stock.last_line


def _on_the_scale(stock: Stock) -> int | None:
    """Milligrams that the begun bottle of a weighed supply weighs with its container."""
    supply = stock.supply
    bottle, tare = supply.columns["bottle"], supply.columns["tare"]
    if not bottle or not tare or supply.step_unit != "g" or stock.true <= 0:
        return None
    begun = stock.true % bottle or bottle
    inside = begun * supply.density // 1000 if supply.kind is Kind.LIQUID else begun
    weight: int = tare + inside
    return weight
