"""Tax on the lines of an invoice: per rate on the total, or per line.

EN 16931-1 (business rules BR-CO-10 to BR-CO-17, BR-S-08) sums the lines of each rate and takes the
tax of that sum, rounded half away from zero to the minor unit. Some places round on every line; the
shop chooses, after its own tax office.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from app.calculations.numbers.rounding import half_away


class Rounding(StrEnum):
    """Where the tax is rounded."""

    ON_TOTAL = "total"
    PER_LINE = "line"


@dataclass(frozen=True)
class TaxedLine:
    """One line: minor units after its discount, and its rate in percent (7.25 % is 29/4)."""

    net: int
    rate: Fraction = Fraction(0)


@dataclass(frozen=True)
class Totals:
    """Sums in minor units: net + tax = gross, gross - prepaid = due."""

    net: int
    tax_by_rate: dict[Fraction, int]
    tax: int
    gross: int
    due: int


def totals(
    lines: Sequence[TaxedLine], rule: Rounding = Rounding.ON_TOTAL, prepaid: int = 0
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

    Raises `ValueError` for a negative rate.
    """
    by_rate: dict[Fraction, int] = {}
    tax_by_rate: dict[Fraction, int] = {}
    for line in lines:
        if line.rate < 0:
            raise ValueError("A tax rate is not negative")
        by_rate[line.rate] = by_rate.get(line.rate, 0) + line.net
        tax = half_away(line.net * line.rate / 100)
        tax_by_rate[line.rate] = tax_by_rate.get(line.rate, 0) + tax
    if rule is Rounding.ON_TOTAL:
        tax_by_rate = {rate: half_away(net * rate / 100) for rate, net in by_rate.items()}
    net, tax = sum(by_rate.values()), sum(tax_by_rate.values())
    return Totals(net, dict(sorted(tax_by_rate.items())), tax, net + tax, net + tax - prepaid)


def charged(
    open_lines: Sequence[tuple[int, int]],
    invoiced: Sequence[tuple[int, int]],
    printed_tax: Mapping[int, int],
    rule: Rounding,
    came: int = 0,
) -> Totals:
    """What a job comes to, less what came for it, minor units.

    Lines are (amount before tax, rate in thousandths of a percent). The tax of those that stand on
    invoices and credit notes is as printed, by rate, whatever the rule is since.
    """
    lines = [TaxedLine(amount, Fraction(rate, 1000)) for amount, rate in open_lines]
    sums = totals(lines, rule, came)
    if not printed_tax:
        return sums
    by_rate = dict(sums.tax_by_rate)
    for whole, printed in printed_tax.items():
        rate = Fraction(whole, 1000)
        by_rate[rate] = by_rate.get(rate, 0) + printed
    net = sum(amount for amount, _ in (*open_lines, *invoiced))
    taxes = sums.tax + sum(printed_tax.values())
    return Totals(net, dict(sorted(by_rate.items())), taxes, net + taxes, net + taxes - came)
