"""Tax on the lines of an invoice: per rate on the total, or per line.

EN 16931-1 (business rules BR-CO-10 to BR-CO-17, BR-S-08) sums the lines of each rate and takes the
tax of that sum, rounded half away from zero to the minor unit. Some places round on every line; the
shop chooses, after its own tax office.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from app.calculations.numbers.rounding import half_away


class Rule(StrEnum):
    """Where the tax is rounded."""

    ON_TOTAL = "total"
    PER_LINE = "line"


@dataclass(frozen=True)
class Line:
    """One line: minor units after its discount, and its rate in percent (7.25 % is 29/4).

    With `inclusive` totals, `net` is the price with its tax. A line that is not `taxable` has the
    rate zero, whatever `rate` says.
    """

    net: int
    rate: Fraction = Fraction(0)
    taxable: bool = True


@dataclass(frozen=True)
class Totals:
    """Sums in minor units: net + tax = gross, gross - prepaid = due."""

    net: int
    tax_by_rate: dict[Fraction, int]
    tax: int
    gross: int
    due: int


def totals(
    lines: Sequence[Line], rule: Rule = Rule.ON_TOTAL, prepaid: int = 0, inclusive: bool = False
) -> Totals:
    """Net, tax per rate, gross and what is due.

    Parameters
    ----------
    lines
        In minor units; discounts are negative lines with the rate of what they discount.
    rule
        Round once per rate, or on every line.
    prepaid
        Deposits and payments already made, minor units.
    inclusive
        The lines' amounts already hold their tax; it is taken out of them (gross x rate / (100 +
        rate)), and the gross stays what the lines say.

    Raises `ValueError` for a negative rate.
    """
    by_rate: dict[Fraction, int] = {}
    tax_by_rate: dict[Fraction, int] = {}
    for line in lines:
        rate = Fraction(line.rate) if line.taxable else Fraction(0)
        if rate < 0:
            raise ValueError("A tax rate is not negative")
        by_rate[rate] = by_rate.get(rate, 0) + line.net
        tax_by_rate[rate] = tax_by_rate.get(rate, 0) + _tax(line.net, rate, inclusive)
    if rule is Rule.ON_TOTAL:
        tax_by_rate = {rate: _tax(amount, rate, inclusive) for rate, amount in by_rate.items()}
    amounts = sum(by_rate.values())
    tax = sum(tax_by_rate.values())
    net = amounts - tax if inclusive else amounts
    return Totals(net, dict(sorted(tax_by_rate.items())), tax, net + tax, net + tax - prepaid)


def _tax(amount: int, rate: Fraction, inclusive: bool) -> int:
    return half_away(amount * rate / ((100 + rate) if inclusive else 100))
