"""Invoices and credit notes: their tax line by line, and what a credit takes back.

The tax of a rate is that of its total, rounded once (EN 16931-1, BR-CO-17 and BR-S-08), or that of
each line, by the rule that the invoice was issued by. A credit takes back the tax of what stood
less the tax of what is left: so the tax taken back never passes what was charged, and all of it
comes to all of that, however many parts it is taken back in.
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

    @property
    def left(self) -> int:
        """What was not taken back, with the sign of the line."""
        return self.amount - self.credited


def room_of(lines: Sequence[Standing], at: int) -> int:
    """How much of a line can be credited, with its sign, so that neither it nor its rate turns
    round: of a line with a discount not more than is left with that."""
    own, rate = lines[at].left, _by_rate(lines)[lines[at].rate]
    if _sign(own) != _sign(rate):
        return 0
    return own if abs(own) <= abs(rate) else rate


def credit_of(lines: Sequence[Standing], taken: Mapping[int, int], rule: Rounding) -> Reckoned:
    """A credit of these amounts (line's place: amount before tax, with the line's sign).

    Raises `ValueError` where a line or a rate would be credited by more than stands.
    """
    of_rate = _by_rate(lines)
    picked, shares = [], []
    for at, amount in taken.items():
        line = lines[at]
        if not _within(amount, line.left):
            raise ValueError("A line cannot be credited by more than stands")
        picked.append((amount, line.rate))
        if rule is Rounding.PER_LINE:
            shares.append(tax_of(line.left, line.rate) - tax_of(line.left - amount, line.rate))
        else:
            rest = of_rate[line.rate]
            shares.append(tax_of(rest, line.rate) - tax_of(rest - amount, line.rate))
        of_rate[line.rate] -= amount
    for rate, stood in _by_rate(lines).items():
        if not _within(of_rate[rate], stood):
            raise ValueError("A rate cannot be credited by more than stands")
    return _together(picked, shares)


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
    return Reckoned(tuple(rates), net, sum(shares))
