"""The made-up shop's towels and pads: set out by jobs, washed, sorted down the ladder, lost.

Two books go along as in any shop's: the pool's pieces, and the shelf's ledger with the pieces of
the first step at what is left of their worth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from app.calculations.numbers.wording import count_of
from app.calculations.stock.costing import Average
from app.calculations.stock.pools import (
    LOST,
    OUT,
    OUTSIDE,
    RUNGS,
    Moved,
    Tally,
    clean,
    from_clean,
    in_use,
    leaving,
    next_rung,
    tally,
    washed,
    worth_of_uses,
)
from app.demo.catalog import SupplyItem
from app.demo.scene import Part, Scene
from app.records.models import Movement, PoolEvent

if TYPE_CHECKING:
    from app.demo.shelf import Stock

PIECE = 1000
# All common practice, no source: of the pieces at the end of their first life so many go down a
# step, the others out; of the pieces of a pool so many are lost in a month; of those on a lower
# step so many go down from there in a month.
DOWN_SHARE = 0.7
LOST_A_MONTH = 0.012
WORN_BELOW_A_MONTH = 0.3
# Sorted out shortly before the demo opens, so that something is to be rebought.
SORTED_OUT, SORTED_WORKDAYS_AGO, UNDER_TWO_LOADS = "Paint towels", 3, 9


@dataclass
class Pool:
    """One pool: its pieces, and how many of them uses have worn out since the last sorting."""

    stock: Stock
    each: Fraction  # minor units for a new piece, as last paid
    standing: Tally = field(default_factory=lambda: tally(()))
    worn: float = 0.0

    @property
    def supply(self) -> SupplyItem:
        """Its supply."""
        return self.stock.supply

    @property
    def first(self) -> int:
        """Pieces of the first step."""
        return self.standing.of_rung(self.supply.pool)


class Laundry(Part):
    """All pools of the shop."""

    def __init__(self, scene: Scene) -> None:
        super().__init__(scene)
        self._pools: dict[int, Pool] = {}

    def found(self, stock: Stock, day: date, per_day: float, cost_of_pack: int) -> None:
        """The pool as it stands when the book begins: enough for three days, some of it in use."""
        supply = stock.supply
        pack = supply.packs[0]
        wanted = max(2.4 * supply.load, 3 * per_day / PIECE)
        packs = max(1, -(-int(wanted * PIECE) // pack.size))
        pieces = packs * pack.size // PIECE
        pool = self._pools[supply.id] = Pool(stock, Fraction(cost_of_pack, pack.size) * PIECE)
        worth = int(packs * cost_of_pack * self._rng.uniform(0.6, 0.9))
        stock.book, stock.true = Average(pieces * PIECE, worth), pieces * PIECE
        line = self._ledger(pool, day, 480, "counted", pieces * PIECE, worth, "Opening count")
        self._move(pool, day, 480, "added", [Moved(OUTSIDE, clean(supply.pool), pieces)],
                   "Opening count", movement_id=line)  # fmt: skip
        out = self._rng.randint(0, supply.load // 2)
        moved = Moved(clean(supply.pool), in_use(supply.pool), out)
        self._move(pool, day, 481, "set out", [moved], "From before")

    def came(self, stock: Stock, day: date, quantity: int, cost: int, movement: int) -> None:
        """A delivery: new pieces, clean."""
        pool = self._pools[stock.supply.id]
        pool.each = Fraction(cost * PIECE, quantity)
        moved = Moved(OUTSIDE, clean(stock.supply.pool), quantity // PIECE)
        self._move(pool, day, 600, "added", [moved], "Delivered", movement_id=movement)

    def take(self, stock: Stock, day: date, quantity: int, job: int, use: int) -> int:
        """A job takes pieces: set out as far as they are clean; what their wear costs."""
        supply, pool = stock.supply, self._pools[stock.supply.id]
        if quantity <= 0:
            return 0
        wanted = quantity // PIECE
        pieces = from_clean(pool.standing, supply.pool, wanted)
        note = f"Job {job:04d}: {wanted}"
        if pieces < wanted:
            note += f", of them {pieces} were clean"
        out = Moved(clean(supply.pool), in_use(supply.pool), pieces)
        self._move(pool, day, 1050, "set out", [out], note, use_id=use)
        pool.worn += wanted / supply.uses
        cost = worth_of_uses(quantity, pool.each / PIECE, supply.uses, stock.book.value)
        if cost:
            stock.book = Average(stock.book.quantity, stock.book.value - cost)
            self._rows.add(
                Movement, supply_id=supply.id, day=day, at=self._clock.at(day, 1050), kind="used",
                quantity=0, value=-cost, job_id=job, use_id=use, note=f"Worn by {wanted} uses",
            )  # fmt: skip
        return cost

    def evening(self, day: date) -> None:
        """Full loads are washed, on the week's last day all; then worn pieces are sorted out, and
        at the month's end the pools are counted."""
        following = self._calendar.after(day)
        week_ends = following.isocalendar()[1] != day.isocalendar()[1]
        for pool in self._pools.values():
            self._wash(pool, day, everything=week_ends)
            if week_ends:
                self._sort(pool, day)
            if following.month != day.month:
                self._count(pool, day)
                self._sort_below(pool, day)
            if pool.supply.name == SORTED_OUT:
                self._sort_out(pool, day)

    def _wash(self, pool: Pool, day: date, *, everything: bool) -> None:
        load = pool.supply.load
        for rung in RUNGS[RUNGS.index(pool.supply.pool) :]:
            used = pool.standing.at(in_use(rung))
            loads = (used + load // 2) // load if everything else used // load
            if loads > 0:
                back = washed(pool.standing, rung, loads, load)
                moved = Moved(in_use(rung), clean(rung), back, loads)
                note = f"{count_of(loads, 'load')} of {pool.supply.name} washed"
                self._move(pool, day, 1060, "washed", [moved], note)

    def _sort(self, pool: Pool, day: date) -> None:
        """What the week has worn out leaves the first step."""
        worn = min(int(pool.worn), max(0, pool.standing.at(clean(pool.supply.pool))))
        pool.worn -= worn
        below = next_rung(pool.supply.pool)
        down = sum(self._rng.random() < DOWN_SHARE for _ in range(worn)) if below != OUT else 0
        if pool.supply.load < 10:
            down = 0  # pads, mitts and drying towels serve no lower step
        self._leave(pool, day, down, clean(below) if below != OUT else OUT)
        self._leave(pool, day, worn - down, OUT)

    def _sort_out(self, pool: Pool, day: date) -> None:
        ago = self._calendar.place[self._calendar.today] - self._calendar.place[day]
        many = pool.first - 2 * pool.supply.load + UNDER_TWO_LOADS
        if ago == SORTED_WORKDAYS_AGO and 0 < many < pool.first:
            spare = min(many, pool.standing.at(clean(pool.supply.pool)))
            self._leave(pool, day, spare, clean(next_rung(pool.supply.pool)))

    def _sort_below(self, pool: Pool, day: date) -> None:
        """On the lower steps pieces wear out too; they cost nothing any more."""
        for rung in RUNGS[: RUNGS.index(pool.supply.pool) : -1]:
            many = round(pool.standing.at(clean(rung)) * WORN_BELOW_A_MONTH)
            if not many:
                continue
            below = next_rung(rung)
            target, kind = (OUT, "retired") if below == OUT else (clean(below), "demoted")
            note = f"{many} of {pool.supply.name} " + (
                "retired" if below == OUT else f"down to {below}"
            )
            self._move(pool, day, 1075, kind, [Moved(clean(rung), target, many)], note)

    def _leave(self, pool: Pool, day: date, pieces: int, target: str) -> None:
        """Pieces leave the first step with what is left of their worth."""
        if pieces <= 0:
            return
        stock = pool.stock
        kind = "retired" if target == OUT else "demoted"
        word = "retired" if target == OUT else f"down to {target.split()[0]}"
        note = f"{pieces} of {pool.supply.name} {word}"
        stock.book, cost = stock.book.issue(pieces * PIECE)
        stock.true = stock.book.quantity
        stock.taken_today += pieces * PIECE
        line = self._ledger(pool, day, 1070, "wasted", -pieces * PIECE, -cost, note)
        moved = Moved(clean(pool.supply.pool), target, pieces)
        self._move(pool, day, 1070, kind, [moved], note, movement_id=line)

    def _count(self, pool: Pool, day: date) -> None:
        """The month's count: what is missing is lost."""
        lost = sum(self._rng.random() < LOST_A_MONTH for _ in range(max(0, pool.first)))
        moves = leaving(pool.standing, pool.supply.pool, lost, LOST)
        if not moves:
            return
        stock = pool.stock
        lost = sum(one.pieces for one in moves)
        stock.book, cost = stock.book.issue(lost * PIECE)
        stock.true = stock.book.quantity
        stock.taken_today += lost * PIECE
        line = self._ledger(pool, day, 1100, "counted", -lost * PIECE, -cost, "Counted")
        self._move(pool, day, 1100, "lost", moves, "Counted", movement_id=line)

    def _ledger(
        self, pool: Pool, day: date, minutes: int, kind: str, quantity: int, value: int, note: str
    ) -> int:
        return self._rows.add(
            Movement, supply_id=pool.supply.id, day=day, at=self._clock.at(day, minutes),
            kind=kind, quantity=quantity, value=value, physical=note == "Counted", note=note,
        )  # fmt: skip

    def _move(
        self,
        pool: Pool,
        day: date,
        minutes: int,
        kind: str,
        moves: Sequence[Moved],
        note: str,
        **named: int,
    ) -> None:
        pool.standing = pool.standing.after(*moves)
        for one in moves:
            self._rows.add(
                PoolEvent, supply_id=pool.supply.id, day=day, at=self._clock.at(day, minutes),
                kind=kind, source=one.source, target=one.target, pieces=one.pieces,
                loads=one.loads, note=note, **named,
            )  # fmt: skip
