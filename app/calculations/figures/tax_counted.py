"""The tax that counts in a span of days: of work as it is done, or of the money as it comes.

A job keeps to the basis of the day on which it was done. So a change of the basis counts no job
twice and leaves none out: what is done before is counted to its end as it was begun.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from app.calculations.figures.slip import CREDIT, TIP, Came, TaxPart, Work
from app.calculations.numbers.rounding import half_away

INVOICED, RECEIVED = "invoiced", "received"


@dataclass(frozen=True)
class Counted:
    """The tax that counts in a span, and what of the work's tax waits for its money."""

    parts: tuple[TaxPart, ...]  # the lowest rate first
    waits_before: int  # on the evening before the span, minor units
    waits_after: int

    @property
    def on(self) -> int:
        """What it is on, before tax."""
        return sum(one.on for one in self.parts)

    @property
    def tax(self) -> int:
        """The tax."""
        return sum(one.tax for one in self.parts)


def basis_on(bases: Mapping[str, str], day: date) -> str:
    """What tax is counted by on a day; `bases` by the first day of each, as 2026-01-01."""
    begun = [first for first in bases if date.fromisoformat(first) <= day]
    return bases[max(begun)] if begun else INVOICED


def counted(
    work: Iterable[Work],
    came: Sequence[Came],
    first: date,
    last: date,
    bases: Mapping[str, str],
) -> Counted:
    """The tax from `first` to `last`, both included; arguments as those of `slip`."""
    eve = first - timedelta(days=1)
    paid: dict[int | None, list[Came]] = defaultdict(list)
    for one in came:
        if one.kind not in (TIP, CREDIT):
            paid[one.job_id].append(one)
    on: dict[int, int] = defaultdict(int)
    tax: dict[int, int] = defaultdict(int)
    waits = {eve: 0, last: 0}
    for job in work:
        if job.done_on is None or job.done_on > last:
            continue
        received = basis_on(bases, job.done_on) == RECEIVED
        for sign, day in ((1, last), (-1, eve)):
            whole = job.taxes_on(day)
            shares = whole
            if received:
                money = sum(one.amount for one in paid[job.job_id] if one.day <= day)
                shares = paid_share(whole, money)
                waits[day] += sum(whole[rate][1] - shares[rate][1] for rate in whole)
            for rate, (net, its_tax) in shares.items():
                on[rate] += sign * net
                tax[rate] += sign * its_tax
    parts = (TaxPart(rate, on[rate], tax[rate]) for rate in sorted(on) if on[rate] or tax[rate])
    return Counted(tuple(parts), waits[eve], waits[last])


def paid_share(whole: Mapping[int, tuple[int, int]], paid: int) -> dict[int, tuple[int, int]]:
    """What of each rate's net and tax is paid by so much money, to the minor unit.

    The parts come to what was paid, and to all of it once all is paid; what is above is no part
    of it. Each is rounded on the running sum, so none is lost between them.
    """
    gross = sum(net + tax for net, tax in whole.values())
    money = min(max(paid, 0), gross)
    if gross <= 0 or money == gross:
        return dict(whole)
    found: dict[int, tuple[int, int]] = {}
    so_far = given = 0
    for rate in sorted(whole):
        parts = []
        for amount in whole[rate]:
            so_far += amount
            upto = half_away(Fraction(money * so_far, gross))
            parts.append(upto - given)
            given = upto
        found[rate] = parts[0], parts[1]
    return found
