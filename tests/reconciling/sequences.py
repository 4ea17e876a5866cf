"""A till that lives some days by chance; its slip must add up to the minor unit, whatever happens.

It keeps the rules of the program: a charge is written with the rate of its kind on the job's day,
an invoice prints its tax and a credit note takes back of it, days that were filed are locked, and
what was wrong in them is countered on a later day.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import pairwise
from random import Random

from app.calculations.figures.slip import Came, CreditLine, Slip, Work, slip
from app.calculations.figures.tax_counted import Counted, counted
from app.calculations.numbers.invoicing import Standing, credit_of, reckoned, room_of
from app.calculations.numbers.tax import Rounding, charged
from app.calculations.numbers.tax_rates import DatedRate, rate_on

FIRST = date(2026, 1, 1)
UNITS = {"JPY": 1, "USD": 100, "KWD": 1000}  # minor units in one
KINDS = ("work", "goods", "travel")


@dataclass
class Paper:
    """An invoice: its lines as they stand, and where each is among the job's lines."""

    lines: list[Standing]


@dataclass
class Job:
    """Lines are (amount before tax, rate); `open` are those on no invoice."""

    day: date
    done_on: date | None = None
    exempt: bool = False
    open: list[tuple[int, int]] = field(default_factory=list)
    invoiced: list[tuple[int, int]] = field(default_factory=list)
    printed: dict[int, int] = field(default_factory=lambda: defaultdict(int))
    papers: list[Paper] = field(default_factory=list)
    credits: list[CreditLine] = field(default_factory=list)
    gross_invoiced: int = 0


@dataclass
class Till:
    """The till of one sequence."""

    chance: Random
    unit: int
    rule: Rounding
    today: date = FIRST
    jobs: list[Job] = field(default_factory=list)
    came: list[Came] = field(default_factory=list)
    rates: list[DatedRate] = field(default_factory=list)
    bases: dict[str, str] = field(default_factory=dict)
    locked_to: date = FIRST - timedelta(days=1)
    filed: list[tuple[date, date, Slip, Counted]] = field(default_factory=list)

    # what happens ----------------------------------------------------------------------------
    def step(self) -> None:
        """One thing that a person does."""
        what = self.chance.choice(STEPS)
        what(self, self.chance.choice(self.jobs) if self.jobs else self._book(None))

    def _money(self, most: int = 2000) -> int:
        return self.chance.randint(1, most * self.unit)

    def _rate(self, job: Job) -> int:
        found = rate_on(self.rates, self.chance.choice(KINDS), job.day)
        return 0 if job.exempt or found is None else found.rate

    def _may_charge(self, job: Job) -> bool:
        return job.done_on is None or job.done_on > self.locked_to

    def _book(self, _job: Job | None) -> Job:
        job = Job(self.today + timedelta(days=self.chance.randint(0, 20)))
        job.exempt = self.chance.random() < 0.1
        self.jobs.append(job)
        return job

    def _charge(self, job: Job) -> None:
        if self._may_charge(job):
            job.open.append((self._money(), self._rate(job)))

    def _discount(self, job: Job) -> None:
        if job.open and self._may_charge(job):
            amount, rate = self.chance.choice(job.open)
            if amount > 0:
                job.open.append((-self.chance.randint(1, amount), rate))

    def _take(self, job: Job, amount: int, kind: str, method: str = "") -> None:
        at = self.jobs.index(job)
        way = method or self.chance.choice(("cash", "card", "check"))
        self.came.append(Came(at, self.today, amount, way, kind))

    def _deposit(self, job: Job) -> None:
        if job.done_on is None:
            self._take(job, self._money(300), "deposit")

    def _pay(self, job: Job) -> None:
        due = self._work(job).sums.gross - self._paid(job)
        if due > 0:
            self._take(job, due if self.chance.random() < 0.6 else self._money(), "payment")

    def _tip(self, job: Job) -> None:
        self._take(job, self._money(40), "tip")

    def _refund(self, job: Job) -> None:
        if (paid := self._paid(job)) > 0:
            self._take(job, -self.chance.randint(1, paid), "refund")

    def _keep(self, job: Job) -> None:
        self._take(job, self._money(100), "credit")

    def _spend(self, job: Job) -> None:
        kept = sum(one.amount for one in self.came if one.kind == "credit")
        if kept > 0:
            amount = self.chance.randint(1, kept)
            self._take(job, amount, "payment", "credit")
            self._take(job, -amount, "credit", "credit")

    def _done(self, job: Job) -> None:
        if job.done_on is None:
            job.done_on = self.today

    def _invoice(self, job: Job) -> None:
        if job.done_on is None or not job.open:
            return
        sums = reckoned(job.open, self.rule)
        if sums.gross <= 0:
            return
        job.papers.append(Paper([Standing(*one) for one in job.open]))
        job.invoiced += job.open
        job.open = []
        job.gross_invoiced += sums.gross
        for one in sums.rates:
            job.printed[one.rate] += one.tax

    def _credit(self, job: Job) -> None:
        if not job.papers:
            return
        paper = self.chance.choice(job.papers)
        taken = {at: one.left for at, one in enumerate(paper.lines) if one.left}
        if self.chance.random() < 0.7:
            at = self.chance.randrange(len(paper.lines))
            room = room_of(paper.lines, at)
            part = self.chance.randint(0, abs(room))
            taken = {at: part if room > 0 else -part}
        taken = {at: amount for at, amount in taken.items() if amount}
        sums = credit_of(paper.lines, taken, self.rule)
        if not taken or not sums.gross:
            return
        for at, amount in taken.items():
            one = paper.lines[at]
            paper.lines[at] = Standing(one.amount, one.rate, one.credited + amount)
            job.invoiced.append((-amount, one.rate))
        job.gross_invoiced -= sums.gross
        for part_of in sums.rates:
            job.printed[part_of.rate] -= part_of.tax
            job.credits.append(CreditLine(self.today, part_of.rate, part_of.net, part_of.tax))

    def _correct(self, _job: Job) -> None:
        """A receipt was noted wrong: written over, or countered today where its day was filed."""
        if not self.came:
            return
        at = self.chance.randrange(len(self.came))
        wrong = self.came[at]
        if wrong.kind == "credit" or wrong.method == "credit" or wrong.amount <= 0:
            return
        right = Came(wrong.job_id, wrong.day, self._money(500), wrong.method, wrong.kind)
        if wrong.day > self.locked_to:
            self.came[at] = right
            return
        back = "tip" if wrong.kind == "tip" else "reversed"
        self.came.append(Came(wrong.job_id, self.today, -wrong.amount, wrong.method, back))
        if right.amount:
            self.came.append(Came(wrong.job_id, self.today, right.amount, wrong.method, wrong.kind))

    def _lock(self, _job: Job) -> None:
        first, last = self.locked_to + timedelta(days=1), self.today - timedelta(days=1)
        if last >= first:
            self.filed.append((first, last, self.slip(first, last), self.counted(first, last)))
            self.locked_to = last
            if self.chance.random() < 0.3:  # from the next period on it is counted otherwise
                other = self.chance.choice(("invoiced", "received"))
                self.bases[(last + timedelta(days=1)).isoformat()] = other

    def _sleep(self, _job: Job) -> None:
        self.today += timedelta(days=self.chance.randint(1, 12))

    # what must hold --------------------------------------------------------------------------
    def _paid(self, job: Job) -> int:
        at = self.jobs.index(job)
        own = (one for one in self.came if one.job_id == at)
        return sum(one.amount for one in own if one.kind not in ("tip", "credit"))

    def _work(self, job: Job) -> Work:
        sums = charged(job.open, job.invoiced, job.printed, self.rule)
        lines = (*job.invoiced, *job.open)
        at = self.jobs.index(job)
        return Work(at, job.done_on, lines, sums, job.gross_invoiced, tuple(job.credits))

    def _stuff(self) -> tuple[list[Work], list[Came]]:
        return [self._work(one) for one in self.jobs if one.done_on], self.came

    def slip(self, first: date, last: date) -> Slip:
        """The slip of these days."""
        work, came = self._stuff()
        own = [one for one in came if one.day <= last]
        return slip([one for one in work if one.done_on and one.done_on <= last], own, first, last)

    def counted(self, first: date, last: date) -> Counted:
        """The tax that counts in these days."""
        work, came = self._stuff()
        return counted(work, came, first, last, self.bases)

    def wrong(self) -> str:
        """What does not hold; nothing where all does."""
        ends = sorted(self.chance.sample(range(0, (self.today - FIRST).days + 1),
                                         min(3, (self.today - FIRST).days + 1)))  # fmt: skip
        cuts = [FIRST - timedelta(days=1), *(FIRST + timedelta(days=one) for one in ends)]
        spans = [(a + timedelta(days=1), b) for a, b in pairwise(cuts) if a < b]
        whole = self.slip(cuts[0] + timedelta(days=1), cuts[-1])
        parts = [self.slip(*span) for span in spans]
        taxes = [self.counted(*span) for span in spans]
        for span, one, tax in zip(spans, parts, taxes, strict=True):
            if not one.adds_up:
                return f"the slip of {span[0]} to {span[1]} is {one.difference} apart"
            if tax.tax != one.tax + tax.waits_before - tax.waits_after:
                return f"the tax of {span[0]} to {span[1]} does not reconcile"
        for name in ("earned", "tax", "received", "tips"):
            if sum(getattr(one, name) for one in parts) != getattr(whole, name):
                return f"{name} of the parts is not that of the whole"
        if sum(one.tax for one in taxes) != self.counted(whole.first, whole.last).tax:
            return "the tax of the parts is not that of the whole"
        for first, last, filed, tax in self.filed:
            now = self.slip(first, last)
            if (now.taxes, now.received, now.tips, now.ways) != (
                filed.taxes, filed.received, filed.tips, filed.ways
            ) or self.counted(first, last).parts != tax.parts:  # fmt: skip
                return f"what was filed from {first} to {last} has changed"
        return ""


# The oftener one stands here, the oftener it happens.
STEPS: tuple[Callable[[Till, Job], object], ...] = (
    Till._book, Till._charge, Till._charge, Till._discount, Till._deposit, Till._pay, Till._tip,
    Till._refund, Till._keep, Till._spend, Till._done, Till._done, Till._invoice, Till._invoice,
    Till._credit, Till._credit, Till._correct, Till._lock, Till._sleep, Till._sleep, Till._sleep,
)  # fmt: skip


def lived(seed: int, steps: int = 30) -> Till:
    """The till after a sequence that the seed alone decides."""
    chance = Random(seed)
    currency = chance.choice(tuple(UNITS))
    rates = []
    for at, kind in enumerate(KINDS):
        for day in (FIRST, FIRST + timedelta(days=chance.randint(5, 60))):
            rate = chance.choice((0, 6875, 7250, 7375, 10_000, 19_000))
            rates.append(
                DatedRate(rate_id=at, kind=kind, place="", rate=rate, from_day=day, words="")
            )
    till = Till(chance, UNITS[currency], chance.choice(tuple(Rounding)), rates=rates)
    if chance.random() < 0.5:
        till.bases[FIRST.isoformat()] = "received"
    for _ in range(steps):
        till.step()
    return till
