"""Shops drawn at random: their supplies, services, jobs of some years, and what these use.

Everything here is invented. The supplies are kinds of goods with prices and uses of the usual
order (common practice, no source); a seed draws the jobs, their sizes, their uses and the lead
times. Quantities are thousandths of a fluid ounce, a gram or a piece; money is cents.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

UNIT = 1000
YEAR = 365


@dataclass(frozen=True)
class Good:
    """A supply: its pack (size in ounces, grams or pieces), the pack's price, who sells it."""

    name: str
    size: float
    price: int
    supplier: int


# Web house 0, distributor 1, maker 2, cleaning wholesaler 3.
GOODS = (
    Good("rinseless wash", 32, 3200, 0),
    Good("pre-wash", 128, 3500, 1),
    Good("shampoo", 128, 4500, 1),
    Good("iron remover", 128, 8000, 0),
    Good("tar solvent", 22, 1400, 1),
    Good("wheel cleaner", 128, 4000, 1),
    Good("tire cleaner", 128, 3500, 1),
    Good("all-purpose cleaner", 128, 2500, 3),
    Good("clay", 100, 1500, 0),
    Good("compound", 32, 4500, 0),
    Good("one-step polish", 32, 4500, 0),
    Good("finishing polish", 16, 2800, 0),
    Good("panel wipe", 128, 4200, 1),
    Good("masking tape", 6, 3300, 1),
    Good("sealant", 16, 2800, 0),
    Good("spray topper", 64, 5200, 0),
    Good("ceramic coating", 1, 6500, 2),
    Good("glass coating", 30, 3500, 2),
    Good("tire dressing", 128, 3500, 1),
    Good("interior cleaner", 128, 4000, 3),
    Good("fabric shampoo", 128, 3500, 3),
    Good("leather cleaner", 16, 1600, 0),
    Good("glass cleaner", 128, 1800, 3),
    Good("gloves", 100, 1800, 3),
)


@dataclass(frozen=True)
class Work:
    """A service: its share of the jobs, and its recipe for a medium vehicle by supply name.

    An amount in `fixed` does not grow with the vehicle nor vary.
    """

    name: str
    share: float
    recipe: dict[str, float]
    fixed: dict[str, float]


WASH = {
    "rinseless wash": 1.25,
    "wheel cleaner": 8,
    "tire cleaner": 3,
    "glass cleaner": 2,
    "tire dressing": 3,
}
WORKS = (
    Work("wash", 0.42, WASH | {"spray topper": 2}, {"gloves": 2}),
    Work(
        "full interior",
        0.20,
        {
            "interior cleaner": 8,
            "all-purpose cleaner": 2,
            "fabric shampoo": 3,
            "leather cleaner": 4,
            "glass cleaner": 3,
        },
        {"gloves": 4},
    ),
    Work(
        "decontamination and sealant",
        0.16,
        {
            "pre-wash": 3,
            "shampoo": 2,
            "iron remover": 10,
            "tar solvent": 2,
            "clay": 33,
            "sealant": 1,
            "tire dressing": 3,
        },
        {"gloves": 4},
    ),
    Work(
        "one-step",
        0.12,
        WASH | {"iron remover": 6, "one-step polish": 2.25, "panel wipe": 4, "masking tape": 0.3},
        {"gloves": 4},
    ),
    Work(
        "two-step and coating",
        0.10,
        WASH
        | {
            "pre-wash": 3,
            "iron remover": 10,
            "tar solvent": 2,
            "clay": 33,
            "compound": 3,
            "finishing polish": 2,
            "panel wipe": 14,
            "masking tape": 0.4,
            "glass coating": 8,
        },
        {"gloves": 6, "ceramic coating": 1},
    ),
)
SIZES = np.array([0.8, 1.0, 1.3, 1.8])
SIZE_SHARES = np.array([0.15, 0.45, 0.28, 0.12])


@dataclass(frozen=True)
class Plan:
    """A kind of shop."""

    name: str
    goods: tuple[Good, ...] = GOODS
    works: tuple[Work, ...] = WORKS
    years: int = 5
    jobs_per_week: float = 8.0
    season: float = 0.4  # spring above and winter below the mean, as a share
    workdays: tuple[int, ...] = (0, 1, 2, 3, 4)
    notice_mean: float = 8.0  # days between booking and work
    use_sigma: float = 0.35  # of the logarithm of the use
    lead_mean: float = 5.0
    lead_sd: float = 2.5
    late_share: float = 0.0  # of parcels that take two to six weeks longer
    freight: int = 1400
    free_from: int = 15000
    history: int = 365  # days that are known before the first day
    stops: tuple[tuple[str, float], ...] = ()  # a service that ends, after so many years
    starts: tuple[tuple[str, float], ...] = ()
    growth: float = 0.0  # of the number of jobs, a year
    # Suppliers' terms. In the cold days of a year (first, length) nothing in `frosty` is sent.
    cold: tuple[int, int] = (0, 0)
    frosty: tuple[str, ...] = ()
    break_at: int = 0  # from so many packs on they cost `break_share` of the price; 0: never
    break_share: float = 1.0
    # A store nearby has everything the next day or so: half the pack at 0.65 of its price.
    store: bool = False
    # (service, least, most days of notice), evenly drawn; the others by `notice_mean`
    notices: tuple[tuple[str, int, int], ...] = ()
    wrong: float = 1.0  # what recipes say is so many times too much or too little
    confirmed: float = 1.0  # share of the uses that are written down as they were
    doubles: float = inf  # years after which lead times are twice as long
    shelf_life: int = 0  # days; 0: everything keeps

    def in_cold(self, day: int) -> bool:
        """Whether this day lies in the cold stop."""
        first, length = self.cold
        return length > 0 and (day - first) % YEAR < length

    def refused(self, day: int) -> bool:
        """Whether what must not freeze is refused: it would leave on the next working day."""
        leaves = day + 1
        while leaves % 7 not in (0, 1, 2, 3, 4):
            leaves += 1
        return self.in_cold(leaves)


@dataclass(frozen=True)
class World:
    """One shop's jobs and their uses; days count from 0, the history is below 0."""

    plan: Plan
    seed: int
    job_day: Ints  # jobs
    job_booked: Ints
    recipe: Ints  # jobs x supplies: what the recipe says for that vehicle
    use: Ints  # jobs x supplies: what it will take
    spread: Floats  # jobs x supplies
    leads: Ints  # suppliers x 4096 lead times to come, in order; the last row is the store's
    work: Ints  # jobs: which service
    size: Ints  # jobs: which size
    written: NDArray[np.bool_]  # jobs: whether its uses are written down as they were

    @cached_property
    def no_frost(self) -> NDArray[np.bool_]:
        return np.array([g.name in self.plan.frosty for g in self.plan.goods])

    @cached_property
    def store_pack(self) -> Ints:
        return np.maximum(self.pack // 2, 1)

    @cached_property
    def store_price(self) -> Ints:
        return np.rint(0.65 * self.price).astype(np.int64)

    def each(self, packs: Ints) -> Ints:
        """What one pack of each costs where so many are ordered at once."""
        plan = self.plan
        broken = plan.break_at and packs >= plan.break_at
        return np.where(broken, np.rint(plan.break_share * self.price), self.price).astype(np.int64)

    @property
    def days(self) -> int:
        return self.plan.years * YEAR

    @cached_property
    def pack(self) -> Ints:
        return np.array([round(g.size * UNIT) for g in self.plan.goods])

    @cached_property
    def price(self) -> Ints:
        return np.array([g.price for g in self.plan.goods])

    @cached_property
    def supplier(self) -> Ints:
        return np.array([g.supplier for g in self.plan.goods])

    @cached_property
    def day_jobs(self) -> list[list[int]]:
        """The jobs of each day from 0."""
        lists: list[list[int]] = [[] for _ in range(self.days)]
        for j, d in enumerate(self.job_day):
            if 0 <= d < self.days:
                lists[d].append(j)
        return lists

    @cached_property
    def daily_use(self) -> Ints:
        """Days x supplies, from the first day of the history on."""
        table = np.zeros((self.plan.history + self.days, len(self.plan.goods)), dtype=np.int64)
        inside = (self.job_day >= -self.plan.history) & (self.job_day < self.days)
        np.add.at(table, self.job_day[inside] + self.plan.history, self.use[inside])
        return table


def draw(plan: Plan, seed: int) -> World:
    """The shop of that kind that the seed gives."""
    rng = np.random.default_rng([seed, 20260])
    first, last = -plan.history, plan.years * YEAR + 60
    days = np.arange(first, last)
    open_ = np.isin(days % 7, plan.workdays)
    wave = 1 + plan.season * np.sin(2 * np.pi * (days % YEAR) / YEAR)
    rate = plan.jobs_per_week / len(plan.workdays) * wave * (1 + plan.growth) ** (days / YEAR)
    count = np.where(open_, np.minimum(rng.poisson(rate), 4), 0)
    job_day = np.repeat(days, count)
    n = job_day.size
    shares = np.array([w.share for w in plan.works])
    works = rng.choice(len(plan.works), n, p=shares / shares.sum())
    keep = np.ones(n, dtype=bool)
    names = [w.name for w in plan.works]
    for name, years in plan.stops:
        keep &= ~((works == names.index(name)) & (job_day >= years * YEAR))
    for name, years in plan.starts:
        keep &= ~((works == names.index(name)) & (job_day < years * YEAR))
    job_day, works = job_day[keep], works[keep]
    n = job_day.size
    notice = np.floor(rng.gamma(2.0, plan.notice_mean / 2.0, n)).astype(np.int64)
    which_size = rng.choice(4, n, p=SIZE_SHARES)
    size = SIZES[which_size]
    # from a generator of its own, so that the shops without such terms stay the same
    more = np.random.default_rng([seed, 909])
    for name, least, most in plan.notices:
        here = works == names.index(name)
        notice[here] = more.integers(least, most + 1, int(here.sum()))
    index = {g.name: i for i, g in enumerate(plan.goods)}
    by_size = np.zeros((len(plan.works), len(plan.goods)))
    fixed = np.zeros_like(by_size)
    for w, work in enumerate(plan.works):
        for good, amount in work.recipe.items():
            by_size[w, index[good]] = amount * UNIT
        for good, amount in work.fixed.items():
            fixed[w, index[good]] = amount * UNIT
    noise = np.exp(plan.use_sigma * rng.standard_normal((n, len(plan.goods))))
    sized = by_size[works] * size[:, None]
    told = by_size * plan.wrong ** more.choice([-1.0, 1.0], by_size.shape)
    recipe = np.rint(told[works] * size[:, None] + fixed[works]).astype(np.int64)
    use = np.rint(sized * noise + fixed[works]).astype(np.int64)
    spread = np.where(sized > 0, plan.use_sigma, 0.0)
    shape = (plan.lead_mean / plan.lead_sd) ** 2
    suppliers = max(g.supplier for g in plan.goods) + 1
    leads = rng.gamma(shape, plan.lead_mean / shape, (suppliers, 4096))
    late = rng.random(leads.shape) < plan.late_share
    leads += np.where(late, rng.uniform(14, 42, leads.shape), 0.0)
    store = np.random.default_rng([seed, 4]).choice([1, 1, 1, 2], (1, 4096))
    return World(
        plan,
        seed,
        job_day,
        job_day - notice,
        recipe,
        use,
        spread,
        np.vstack([np.maximum(np.rint(leads), 1).astype(np.int64), store]),
        works,
        which_size,
        more.random(n) < plan.confirmed,
    )
