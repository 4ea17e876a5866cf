"""The slip: from what a span of days earned to the money that came in it, to the minor unit.

Earned, received, deposits held, tips and tax are five numbers. A slip goes from one to the other by
steps that each stand alone, and adds all up twice: by what each job owes, and by what came.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.calculations.numbers.tax import Totals

TIP, CREDIT = "tip", "credit"  # kinds of money that pay nothing of the job that they came with


@dataclass(frozen=True, slots=True)
class CreditLine:
    """What a credit note takes back of a job on its day: net and tax of one rate, above zero."""

    day: date
    rate: int
    net: int
    tax: int


@dataclass(frozen=True, slots=True)
class Work:
    """What a job costs its customer.

    `lines`: (net in minor units, tax rate in thousandths of a percent), and `sums` with their tax;
    `done_on`: None while it is not done, and all that came for it is held; `invoiced`: what of it
    stands on invoices by the end of the span, with its tax, less credit notes. `credits` are in
    `lines` and `sums` already, and count from their own days on.
    """

    job_id: int
    done_on: date | None
    lines: tuple[tuple[int, int], ...]
    sums: Totals
    invoiced: int = 0
    credits: tuple[CreditLine, ...] = ()

    def gross_on(self, day: date) -> int:
        """What it comes to by the evening of a day; nothing before it is done."""
        if self.done_on is None or day < self.done_on:
            return 0
        return self.sums.gross + sum(one.net + one.tax for one in self.credits if one.day > day)

    def taxes_on(self, day: date) -> dict[int, tuple[int, int]]:
        """By rate, what was earned by the evening of a day and the tax on it."""
        found: dict[int, tuple[int, int]] = {}

        def add(rate: int, net: int, tax: int) -> None:
            before = found.get(rate, (0, 0))
            found[rate] = before[0] + net, before[1] + tax

        if self.done_on is not None and day >= self.done_on:
            for net, rate in self.lines:
                add(rate, net, 0)
            for percent, tax in self.sums.tax_by_rate.items():
                add(int(percent * 1000), 0, tax)
            for one in self.credits:
                if one.day > day:
                    add(one.rate, one.net, one.tax)
        return found


@dataclass(frozen=True, slots=True)
class Came:
    """A line of money that came, below zero where it went back; minor units.

    `method` "credit" is no money: it is paid from what was kept of the customer's before.
    """

    job_id: int | None
    day: date
    amount: int
    method: str
    kind: str


@dataclass(frozen=True, slots=True)
class Held:
    """Money held that is not earned: on the first morning, what came, what went, last evening."""

    start: int
    came: int
    went: int  # above zero
    end: int

    @property
    def difference(self) -> int:
        """What the four numbers are apart; 0 where they add up."""
        return self.start + self.came - self.went - self.end


@dataclass(frozen=True, slots=True)
class TaxPart:
    """The work of one rate (thousandths of a percent), and the tax on it; minor units."""

    rate: int
    on: int
    tax: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A span of days, both included; minor units.

    earned + tax = charged; charged + owed before - owed after - deposits used + deposits taken
    - deposits given back + overpaid = received; received + tips + credit = all that came in.
    """

    first: date
    last: date
    taxes: tuple[TaxPart, ...]  # the lowest rate first; work without tax has rate 0
    owed_before: int
    owed_after: int
    not_invoiced: int  # of what is owed after: work done that no invoice is written for yet
    deposits: Held
    deposits_used: int  # of what went: no deposit any more, its work was done
    overpaid: Held  # above what the job, once done, comes to
    credit: Held  # kept for customers' later jobs
    tips: int
    ways: tuple[tuple[str, int], ...]  # how it came, by way; what was paid from credit is none
    jobs: int
    credit_notes: int  # jobs that one took something back of
    received: int  # by what came

    @property
    def earned(self) -> int:
        """Work done, before tax."""
        return sum(one.on for one in self.taxes)

    @property
    def tax(self) -> int:
        """The tax on what was earned."""
        return sum(one.tax for one in self.taxes)

    @property
    def charged(self) -> int:
        """Work done, with its tax."""
        return self.earned + self.tax

    @property
    def received_by_work(self) -> int:
        """What must have come for the jobs, by what each of them owes."""
        held = sum(one.came - one.went for one in (self.deposits, self.overpaid))
        return self.charged + self.owed_before - self.owed_after + held

    @property
    def came_in(self) -> int:
        """All money that came, less what went back, by what the jobs owe."""
        return self.received_by_work + self.tips + self.credit.came - self.credit.went

    @property
    def came_by_ways(self) -> int:
        """The same, by how it came."""
        return sum(amount for _way, amount in self.ways)

    @property
    def difference(self) -> int:
        """By how much the two ways of adding up differ; 0 where every cent is accounted for."""
        return self.came_in - self.came_by_ways

    @property
    def adds_up(self) -> bool:
        """Whether both sums agree, and each thing that is held by itself."""
        parts = (self.deposits, self.overpaid, self.credit)
        agree = self.difference == 0 and self.received == self.received_by_work
        return agree and all(one.difference == 0 for one in parts)


def slip(work: Iterable[Work], came: Sequence[Came], first: date, last: date) -> Slip:
    """The slip for `first` to `last`, both included.

    Parameters
    ----------
    work
        All jobs up to `last`; money for a job that is not among them counts as held.
    came
        All money up to `last`, with the lines that take others back. Later days change nothing.

    Raises `ValueError` where the span ends before it begins.
    """
    if last < first:
        raise ValueError("A span ends before it begins")
    jobs = {one.job_id: one for one in work}
    paid: dict[int | None, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for one in came:
        if one.day <= last and one.kind not in (TIP, CREDIT):
            paid[one.job_id][one.day] += one.amount
    deposits, overpaid = _Running(first), _Running(first)
    eve = first - timedelta(days=1)
    owed_before = owed_after = not_invoiced = used = 0
    for key in {*jobs, *paid}:
        job = jobs.get(key) if key is not None else None
        before = _due(job, paid.get(key, {}), eve)
        after = _due(job, paid.get(key, {}), last)
        owed_before += before
        owed_after += after
        # What came pays first what is invoiced.
        if job is not None:
            not_invoiced += min(after, max(0, job.gross_on(last) - job.invoiced))
        used += _follow(job, paid.get(key, {}), last, deposits, overpaid)
    within = [one for one in came if first <= one.day <= last]
    done = [one for one in jobs.values() if one.done_on and first <= one.done_on <= last]
    credited = [
        one.job_id
        for one in jobs.values()
        if any(first <= each.day <= last for each in one.credits)
    ]
    return Slip(
        first=first,
        last=last,
        taxes=_taxes(jobs.values(), eve, last),
        owed_before=owed_before,
        owed_after=owed_after,
        not_invoiced=not_invoiced,
        deposits=deposits.held(_held_on(jobs, paid, last, done=False)),
        deposits_used=used,
        overpaid=overpaid.held(_held_on(jobs, paid, last, done=True)),
        credit=_credit(came, first, last),
        tips=sum(one.amount for one in within if one.kind == TIP),
        ways=_ways(within),
        jobs=len(done),
        credit_notes=len(credited),
        received=sum(one.amount for one in within if one.kind not in (TIP, CREDIT)),
    )


class _Running:
    """Something held, followed through the days; what is before the span makes its start."""

    def __init__(self, first: date) -> None:
        self._first = first
        self._start = self._came = self._went = 0

    def change(self, day: date, by: int) -> bool:
        """More or less of it on a day; whether that is within the span."""
        if day < self._first:
            self._start += by
            return False
        self._came += max(by, 0)
        self._went += max(-by, 0)
        return True

    def held(self, end: int) -> Held:
        return Held(self._start, self._came, self._went, end)


def _due(job: Work | None, paid: Mapping[date, int], on: date) -> int:
    """What a job that is done by the evening of a day still owes then."""
    if job is None or job.done_on is None or job.done_on > on:
        return 0
    came = sum(amount for day, amount in paid.items() if day <= on)
    return max(0, job.gross_on(on) - came)


def _follow(
    job: Work | None,
    paid: Mapping[date, int],
    last: date,
    deposits: _Running,
    overpaid: _Running,
) -> int:
    """Follow what is held for a job from day to day; what of it its work, done in the span, took.

    A job is done in the morning of its day: what comes on that day pays, and is no deposit. What
    came and was taken back on one day did not come.
    """
    done_on = job.done_on if job is not None else None
    so_far = held = used = 0
    own = {done_on, *(one.day for one in job.credits)} if job is not None else set()
    for day in sorted({*paid, *(one for one in own if one is not None and one <= last)}):
        gross = job.gross_on(day) if job is not None else 0
        if day == done_on:
            over = max(0, so_far - gross)
            if deposits.change(day, -held):
                used += max(held, 0)
            overpaid.change(day, over)
            held = over
        so_far += paid.get(day, 0)
        is_done = done_on is not None and day >= done_on
        # More given back than came before the job is done is held below zero: it is owed to us.
        now = max(0, so_far - gross) if is_done else so_far
        (overpaid if is_done else deposits).change(day, now - held)
        held = now
    return used


def _held_on(
    jobs: Mapping[int, Work],
    paid: Mapping[int | None, Mapping[date, int]],
    last: date,
    *,
    done: bool,
) -> int:
    """What is held at the end of a day, worked out from its sums alone."""
    found = 0
    for key, days in paid.items():
        job = jobs.get(key) if key is not None else None
        is_done = job is not None and job.done_on is not None and job.done_on <= last
        if is_done == done:
            so_far = sum(days.values())
            gross = job.gross_on(last) if job is not None else 0
            found += max(0, so_far - gross) if is_done else so_far
    if done:  # a discount above the price, and nothing paid
        for job in jobs.values():
            if job.job_id not in paid and job.done_on is not None and job.done_on <= last:
                found += max(0, -job.gross_on(last))
    return found


def _credit(came: Iterable[Came], first: date, last: date) -> Held:
    lines = [one for one in came if one.kind == CREDIT and one.day <= last]
    start = sum(one.amount for one in lines if one.day < first)
    by: dict[tuple[int | None, date], int] = defaultdict(int)
    for one in lines:
        if one.day >= first:
            by[one.job_id, one.day] += one.amount
    came_in = sum(amount for amount in by.values() if amount > 0)
    went = -sum(amount for amount in by.values() if amount < 0)
    return Held(start, came_in, went, sum(one.amount for one in lines))


def _taxes(jobs: Iterable[Work], eve: date, last: date) -> tuple[TaxPart, ...]:
    """What was earned after `eve` up to `last`, by rate, and its tax."""
    on: dict[int, int] = defaultdict(int)
    tax: dict[int, int] = defaultdict(int)
    for job in jobs:
        moves = [one.day for one in job.credits]
        if not any(eve < day <= last for day in (job.done_on or eve, *moves)):
            continue
        for sign, day in ((1, last), (-1, eve)):
            for rate, (net, its_tax) in job.taxes_on(day).items():
                on[rate] += sign * net
                tax[rate] += sign * its_tax
    return tuple(TaxPart(rate, on[rate], tax[rate]) for rate in sorted(on) if on[rate] or tax[rate])


def earned_by_job(
    work: Iterable[Work], first: date, last: date
) -> list[tuple[date, int, int, int, int]]:
    """What each job earned on a day of the span, and its tax: (day, job, rate, net, tax).

    A credit note stands on its own day, below zero. Together they come to the slip's taxes.
    """
    found = []
    for job in work:
        for day in sorted({job.done_on or last, *(one.day for one in job.credits)}):
            if not first <= day <= last:
                continue
            after, before = job.taxes_on(day), job.taxes_on(day - timedelta(days=1))
            for rate in sorted({*after, *before}):
                (net, tax), (net_before, tax_before) = (
                    at.get(rate, (0, 0)) for at in (after, before)
                )
                if net != net_before or tax != tax_before:
                    found.append((day, job.job_id, rate, net - net_before, tax - tax_before))
    return sorted(found)


def handed_on(came: Mapping[date, int], went: Mapping[date, int], first: date, last: date) -> Held:
    """Money held for others until it is handed on: what came and what went, by day."""
    start = sum(amount for day, amount in came.items() if day < first)
    start -= sum(amount for day, amount in went.items() if day < first)
    into, out = (
        sum(amount for day, amount in days.items() if first <= day <= last) for days in (came, went)
    )
    return Held(start, into, out, start + into - out)


def _ways(within: Iterable[Came]) -> tuple[tuple[str, int], ...]:
    """Sums by way; what is paid from credit takes away as much as it brings, and is no way."""
    by: dict[str, int] = defaultdict(int)
    for one in within:
        by[one.method] += one.amount
    return tuple((way, by[way]) for way in sorted(by) if by[way])
