"""The shop's own rule in the simulation: the shelf of a day's end, handed to `propose`."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.actions.stock.lots import WARN_DAYS
from app.calculations.orders.lead_times import comes_at_all
from app.calculations.orders.reorder import propose
from app.calculations.orders.shelf_state import (
    BookedNeed,
    OnOrder,
    OrderSettings,
    PackOffer,
    ShelfState,
    Span,
    SupplierState,
    SupplyState,
)
from app.calculations.plan.expected_use import ConfirmedUse, Corrections, fit
from app.calculations.stock.expiry import DatedLot, loss
from tests.simulated_shop.run import STORE_TRIP, Rule, Shop
from tests.simulated_shop.world import YEAR, Ints, World

MONDAY = 735_000 - (735_000 - 1) % 7  # the ordinal of the simulation's day 0
WINDOW = 365
NOTICE_JOBS = 100
RECENT_DAYS = 90  # whose use says how fast dated goods go
TAUGHT_EVERY = 7  # days, in which what was confirmed is read again
TAUGHT_DAYS = 2 * YEAR  # that are read


class Recipes:
    """What the shop takes a job to use: its recipes, right or wrong, moved by what it confirmed.

    What was not confirmed is written down as it was expected, so the history that the rule reads
    is no better than that. The shelf itself is seen as it is.
    """

    def __init__(self, world: World) -> None:
        self.world = world
        self.right = world.plan.wrong == 1.0 and world.plan.confirmed == 1.0
        self.taught: Corrections | None = None
        self.since = 0
        self.use = world.daily_use if self.right else np.zeros_like(world.daily_use)
        self.by_day = np.argsort(world.job_day, kind="stable").tolist()
        self.next = 0

    def until(self, day: int) -> None:
        """Write down what the jobs used up to this day's end, and learn from it once a week."""
        world = self.world
        if self.right:
            return
        while self.next < len(self.by_day) and world.job_day[self.by_day[self.next]] <= day:
            job = self.by_day[self.next]
            self.next += 1
            when = int(world.job_day[job]) + world.plan.history
            if when < 0:
                continue
            for i in np.flatnonzero(world.recipe[job]):
                known = world.written[job] or world.spread[job, i] == 0.0
                self.use[when, i] += world.use[job, i] if known else self.expected(job, int(i))[0]
        if self.taught is None or day >= self.since + TAUGHT_EVERY:
            self.taught, self.since = fit(self._confirmed(day)), day

    def _confirmed(self, day: int) -> list[ConfirmedUse]:
        world = self.world
        recent = (world.job_day <= day) & (world.job_day > day - TAUGHT_DAYS) & world.written
        recent &= world.job_day >= -world.plan.history
        return [
            ConfirmedUse(
                int(i),
                int(world.work[job]),
                str(world.size[job]),
                int(world.recipe[job, i]),
                int(world.use[job, i]),
                MONDAY + int(world.job_day[job]),
            )
            for job in np.flatnonzero(recent)
            for i in np.flatnonzero(world.spread[job])
        ]

    def expected(self, job: int, supply: int) -> tuple[int, float]:
        """(middle use, spread) of a job."""
        world = self.world
        told, spread = int(world.recipe[job, supply]), float(world.spread[job, supply])
        if self.right or self.taught is None or spread == 0.0:
            return told, spread
        found = self.taught.expect(supply, int(world.work[job]), str(world.size[job]), told)
        return found.amount, found.spread


class Diary:
    """What is booked at a day's end, as needs of each supply."""

    def __init__(self, world: World, recipes: Recipes) -> None:
        self.world = world
        self.recipes = recipes
        self.by_booking = np.argsort(world.job_booked, kind="stable").tolist()
        self.next = 0
        self.open: dict[int, list[tuple[int, BookedNeed]]] = {}

    def needs(self, day: int) -> list[list[BookedNeed]]:
        """The needs of jobs that are booked by this day and done after it, by supply."""
        world = self.world
        while self.next < len(self.by_booking):
            job = self.by_booking[self.next]
            if world.job_booked[job] > day:
                break
            self.next += 1
            if world.job_day[job] > day:
                self.open[job] = [
                    (int(i), self._need(job, int(i))) for i in np.flatnonzero(world.recipe[job])
                ]
        for job in [job for job in self.open if world.job_day[job] <= day]:
            del self.open[job]
        found: list[list[BookedNeed]] = [[] for _ in range(world.pack.size)]
        for needs in self.open.values():
            for supply, need in needs:
                found[supply].append(need)
        return found

    def _need(self, job: int, supply: int) -> BookedNeed:
        amount, spread = self.recipes.expected(job, supply)
        return BookedNeed(MONDAY + int(self.world.job_day[job]), amount, spread, job)


def _packs(world: World) -> list[tuple[PackOffer, ...]]:
    """Each supply's pack, and the store's, numbered on from the number of supplies."""
    plan, number = world.plan, world.pack.size
    store = int(world.supplier.max()) + 1
    found = []
    for i in range(number):
        price = int(world.price[i])
        breaks = ((plan.break_at, round(plan.break_share * price)),) if plan.break_at else ()
        offers = [PackOffer(i, int(world.pack[i]), price, breaks=breaks)]
        if plan.store:
            size, cost = int(world.store_pack[i]), int(world.store_price[i])
            offers.append(PackOffer(number + i, size, cost, store))
        found.append(tuple(offers))
    return found


def _cold_spans(world: World) -> tuple[Span, ...]:
    first, length = world.plan.cold
    if not length:
        return ()
    begins = [MONDAY + first + year * YEAR for year in range(-1, world.plan.years + 2)]
    return tuple((one, one + length - 1) for one in begins)


def proposed(
    world: World, settings: OrderSettings | None = None, *, tell_notice: bool = True
) -> Rule:
    """Ask `propose` at every day's end and order what it says."""
    settings = settings or OrderSettings()
    plan, recipes = world.plan, Recipes(world)
    diary, uses = Diary(world, recipes), recipes.use
    packs, number = _packs(world), world.pack.size
    store = int(world.supplier.max()) + 1
    cold = _cold_spans(world)
    jobs = np.argsort(world.job_day, kind="stable")
    job_days, notice = world.job_day[jobs], (world.job_day - world.job_booked)[jobs]
    users = [np.flatnonzero(world.recipe[jobs, i]) for i in range(number)]
    known = int(np.searchsorted(job_days, -plan.history))

    def notice_of(supply: int, done: int) -> Sequence[int]:
        """The notice of the latest jobs that took a supply."""
        if not tell_notice:
            return ()
        of = users[supply]
        first, last = np.searchsorted(of, (known, done))
        recent: Sequence[int] = notice[of[max(first, last - NOTICE_JOBS) : last]]
        return recent

    def usable(shop: Shop, day: int, i: int, booked: Sequence[BookedNeed]) -> int:
        """What stands there and will not be past its life before it is used, as the book does."""
        left = rest = int(shop.on_hand[i])
        if not plan.shelf_life:
            return left
        lots = []
        for when in np.flatnonzero(shop.came[: day + 1, i])[::-1]:
            part = min(rest, int(shop.came[when, i]))
            lots.append(DatedLot(part, MONDAY + int(when) + plan.shelf_life))
            rest -= part
        end = plan.history + day + 1
        per_day = float(uses[max(0, end - RECENT_DAYS) : end, i].mean())
        needs = [(one.day, one.amount) for one in booked]
        return left - loss(lots, needs, per_day, MONDAY + day, WARN_DAYS).whole

    def promised(supplier: int) -> int:
        return 1 if supplier == store else round(plan.lead_mean)

    def arrives(shop: Shop, supplier: int, waited: int) -> float:
        """The chance that a parcel of which nothing came in so many days comes at all."""
        days = promised(supplier)
        return comes_at_all(waited - days, days, shop.lead_seen[supplier], days)

    def rule(shop: Shop, day: int) -> Ints:
        recipes.until(day)
        needs = diary.needs(day)
        coming: list[list[OnOrder]] = [[] for _ in packs]
        comes = {
            (supplier, ordered): arrives(shop, supplier, day - ordered)
            for _, ordered, _, _, supplier in shop.coming
        }
        for _, ordered, supply, quantity, supplier in shop.coming:
            expected = MONDAY + max(ordered + promised(supplier), day + 1)
            coming[supply].append(OnOrder(quantity, expected, comes[supplier, ordered]))
        end = plan.history + day + 1
        begin = max(0, end - WINDOW)
        done = int(np.searchsorted(job_days, day, side="right"))
        recent = notice[max(known, done - NOTICE_JOBS) : done] if tell_notice else ()
        state = ShelfState(
            MONDAY + day,
            tuple(
                SupplyState(
                    supply=i,
                    supplier=int(world.supplier[i]),
                    on_hand=usable(shop, day, i, needs[i]),
                    packs=packs[i],
                    on_order=tuple(coming[i]),
                    booked=tuple(needs[i]),
                    use=uses[begin:end, i],
                    no_frost=bool(world.no_frost[i]),
                    shelf_life_days=plan.shelf_life or None,
                    notice=notice_of(i, done),
                )
                for i in range(len(packs))
            ),
            tuple(
                SupplierState(
                    supplier=s, lead_days=seen, promised_days=promised(s), freight=STORE_TRIP
                )
                if s == store
                else SupplierState(
                    supplier=s,
                    lead_days=seen,
                    promised_days=promised(s),
                    freight=plan.freight,
                    free_freight_from=plan.free_from,
                    cold_spans=cold,
                    waiting_days=sorted(
                        day - one
                        for (other, one), come in comes.items()
                        if other == s and come >= 0.5
                    ),
                )
                for s, seen in enumerate(shop.lead_seen)
                if s < store or plan.store
            ),
            recent,
            settings,
        )
        order = np.zeros((2, number), dtype=np.int64)
        answer = propose(state)
        for one in answer.orders:
            for line in one.lines:
                order[line.pack // number, line.supply] += line.count
        # What would come too late from the usual supplier is taken from the store instead.
        for other in answer.sooner:
            order[:, other.supply] = 0
            order[other.pack // number, other.supply] = other.count
        return order

    return rule
