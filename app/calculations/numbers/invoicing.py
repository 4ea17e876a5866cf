"""Invoices and credit notes: their tax line by line, and what a credit takes back.

The tax of a rate is that of its total, rounded once (EN 16931-1, BR-CO-17 and BR-S-08), or that of
each line, by the rule that the invoice was issued by. A credit takes back the tax of what stood
less the tax of what is left: so the tax taken back never passes what was charged, and all of it
comes to all of that, however many parts it is taken back in. On an invoice of many jobs each line
carries its share of its rate's tax, and a credit takes back what the lines of its job carry, so
that a credit of one job never moves a unit of another's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.tax import Rounding


@dataclass(frozen=True)
class RateSum:
    """One rate of an invoice: the rate, what it is on and what it comes to."""

    rate: int  # thousandths of a percent
    net: int
    tax: int


@dataclass(frozen=True)
class Reckoned:
    """Sums in minor units: those of each rate, and all together."""

    rates: tuple[RateSum, ...]
    net: int
    tax: int
    shares: tuple[int, ...] = ()  # what each line carries of the tax, in their order

    @property
    def gross(self) -> int:
        """What it comes to."""
        return self.net + self.tax


def tax_of(amount: int, rate: int) -> int:
    """The tax of an amount, rounded half away from zero to the minor unit."""
    return half_away(Fraction(amount * rate, 100_000))


def reckoned(lines: Sequence[tuple[int, int]], rule: Rounding) -> Reckoned:
    """An invoice of lines (amount before tax, rate in thousandths of a percent)."""
    if any(rate < 0 for _, rate in lines):
        raise ValueError("A tax rate is not negative")
    before: dict[int, int] = {}
    shares = []
    for amount, rate in lines:
        if rule is Rounding.PER_LINE:
            shares.append(tax_of(amount, rate))
            continue
        so_far = before.get(rate, 0)
        shares.append(tax_of(so_far + amount, rate) - tax_of(so_far, rate))
        before[rate] = so_far + amount
    return _together(lines, shares)


@dataclass(frozen=True)
class Standing:
    """A line of an invoice as it stands: minor units, with what was taken back of it so far."""

    amount: int
    rate: int
    credited: int = 0
    job: int = 0
    tax: int = 0  # what it still carries of the tax; read where a rate is on several jobs

    @property
    def left(self) -> int:
        """What was not taken back, with the sign of the line."""
        return self.amount - self.credited


def room_of(lines: Sequence[Standing], at: int) -> int:
    """How much of a line can be credited, with its sign, so that neither it nor its rate turns
    round: of a line with a discount not more than is left with that."""
    line = lines[at]
    of_job = sum(one.left for one in lines if (one.rate, one.job) == (line.rate, line.job))
    stands = (line.left, of_job, _by_rate(lines)[line.rate])
    if len({_sign(one) for one in stands}) > 1:
        return 0
    return min(stands, key=abs)


def credit_of(lines: Sequence[Standing], taken: Mapping[int, int], rule: Rounding) -> Reckoned:
    """A credit of these amounts (line's place: amount before tax, with the line's sign).

    Raises `ValueError` where a line or a rate would be credited by more than stands.
    """
    stood, carried = _by_job(lines)
    of_job = dict(stood)
    rates = [rate for rate, _ in stood]

    def tax_on(rate: int, job: int, rest: int) -> int:
        if rates.count(rate) == 1:
            return tax_of(rest, rate)
        whole = stood[rate, job]
        return half_away(Fraction(carried[rate, job] * rest, whole)) if whole else 0

    picked, shares = [], []
    for at, amount in taken.items():
        line = lines[at]
        if not _within(amount, line.left):
            raise ValueError("A line cannot be credited by more than stands")
        picked.append((amount, line.rate))
        if rule is Rounding.PER_LINE:
            shares.append(tax_of(line.left, line.rate) - tax_of(line.left - amount, line.rate))
        else:
            rest = of_job[line.rate, line.job]
            shares.append(
                tax_on(line.rate, line.job, rest) - tax_on(line.rate, line.job, rest - amount)
            )
        of_job[line.rate, line.job] -= amount
    for key, before in stood.items():
        if not _within(of_job[key], before):
            raise ValueError("A rate cannot be credited by more than stands")
    return _together(picked, shares)


def _by_job(
    lines: Sequence[Standing],
) -> tuple[dict[tuple[int, int], int], dict[tuple[int, int], int]]:
    """By rate and job: what stands before tax, and what it carries of the tax."""
    stood: dict[tuple[int, int], int] = {}
    carried: dict[tuple[int, int], int] = {}
    for line in lines:
        key = line.rate, line.job
        stood[key] = stood.get(key, 0) + line.left
        carried[key] = carried.get(key, 0) + line.tax
    return stood, carried


def _by_rate(lines: Sequence[Standing]) -> dict[int, int]:
    found: dict[int, int] = {}
    for line in lines:
        found[line.rate] = found.get(line.rate, 0) + line.left
    return found


def _within(part: int, whole: int) -> bool:
    return min(whole, 0) <= part <= max(whole, 0)


def _sign(amount: int) -> int:
    return (amount > 0) - (amount < 0)


def _together(lines: Sequence[tuple[int, int]], shares: Sequence[int]) -> Reckoned:
    rates = []
    for rate in sorted({rate for _, rate in lines}):
        at = [place for place, (_, other) in enumerate(lines) if other == rate]
        net, tax = sum(lines[one][0] for one in at), sum(shares[one] for one in at)
        rates.append(RateSum(rate, net, tax))
    net = sum(amount for amount, _ in lines)
    return Reckoned(tuple(rates), net, sum(shares), tuple(shares))


def covered(parts: Sequence[int], came: int) -> list[int]:
    """What of the money that came for a job covers each of its parts, the oldest first.

    The shares sum to `came`. A part below zero, such as what was taken off later, is covered whole
    and so covers others. What is above all parts stands on the last, what is below zero on the
    first.
    """
    if not parts:
        return []
    shares = [min(part, 0) for part in parts]
    rest = came - sum(shares)
    for at, part in enumerate(parts):
        if part > 0 and rest > 0:
            shares[at] = min(part, rest)
            rest -= shares[at]
    shares[-1 if rest > 0 else 0] += rest
    return shares
