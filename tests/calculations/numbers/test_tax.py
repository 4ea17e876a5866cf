"""Tax, against the official example invoices of EN 16931 (CEN/TC 434 validation artefacts)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.tax import Line, Rule, totals

RATES = st.fractions(0, 40, max_denominator=1000)
LINES = st.lists(st.builds(Line, st.integers(-(10**8), 10**8), RATES, st.booleans()), max_size=12)


def test_official_example_2_with_three_rates_and_a_prepayment() -> None:
    """1460.50 at 25 % is 365.125, half away 365.13; with 1.00 at 15 % and -25.00 at 0 %.

    Lines 1436.50, allowance 100, charge 100, tax 365.28, gross 1801.78, prepaid 1000, due 801.78.
    """
    lines = [
        Line(146050, Fraction(25)),
        Line(100, Fraction(15)),
        Line(-2500, Fraction(0)),
        Line(-10000, Fraction(25)),
        Line(10000, Fraction(25)),
    ]
    result = totals(lines, Rule.ON_TOTAL, prepaid=100000)
    assert result.tax_by_rate == {Fraction(0): 0, Fraction(15): 15, Fraction(25): 36513}
    assert (result.net, result.tax, result.gross, result.due) == (143650, 36528, 180178, 80178)


def test_official_example_1_with_two_rates() -> None:
    """183.23 at 6 % is 10.99, 46.37 at 21 % is 9.74, in all 250.33."""
    result = totals([Line(18323, Fraction(6)), Line(4637, Fraction(21))])
    assert result.tax_by_rate == {Fraction(6): 1099, Fraction(21): 974}
    assert result.gross == 25033


@pytest.mark.parametrize(
    ("net", "rate", "tax", "gross"),
    [
        (90891, 21, 19087, 109978),  # example 8
        (14700, 21, 3087, 17787),  # example 9
        (1212, 25, 303, 1515),  # discount sample
    ],
)
def test_official_examples_with_one_rate(net: int, rate: int, tax: int, gross: int) -> None:
    result = totals([Line(net, Fraction(rate))])
    assert (result.tax, result.gross) == (tax, gross)


@pytest.mark.parametrize(
    ("cents", "rate", "per_line", "on_total"),
    [
        # Computed by decimal with ROUND_HALF_UP.
        ([99] * 3, "7.25", 21, 22),
        ([105, 205, 305, 405], "10", 104, 102),
        ([1010] * 10, "6.25", 630, 631),
    ],
)
def test_the_two_rules_differ_by_cents(
    cents: list[int], rate: str, per_line: int, on_total: int
) -> None:
    lines = [Line(net, Fraction(rate)) for net in cents]
    assert totals(lines, Rule.PER_LINE).tax == per_line
    assert totals(lines, Rule.ON_TOTAL).tax == on_total


def test_a_line_that_is_not_taxable_counts_at_zero() -> None:
    result = totals([Line(1000, Fraction("8.25")), Line(500, Fraction("8.25"), taxable=False)])
    assert result.tax_by_rate == {Fraction(0): 0, Fraction("8.25"): 83}
    assert result.gross == 1583


def test_tax_is_taken_out_of_inclusive_prices() -> None:
    """119.00 with 19 % inside is 100.00 and 19.00."""
    result = totals([Line(11900, Fraction(19))], inclusive=True)
    assert (result.net, result.tax, result.gross) == (10000, 1900, 11900)


def test_no_lines_are_nothing_owed() -> None:
    result = totals([], prepaid=500)
    assert (result.net, result.tax, result.gross, result.due) == (0, 0, 0, -500)
    assert result.tax_by_rate == {}


def test_a_full_discount_leaves_no_tax() -> None:
    lines = [Line(12345, Fraction("7.25")), Line(-12345, Fraction("7.25"))]
    for rule in Rule:
        assert totals(lines, rule).gross == 0


def test_a_negative_rate_is_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        totals([Line(100, Fraction(-1))])


@given(LINES, st.sampled_from(Rule), st.integers(0, 10**8), st.booleans())
def test_the_sums_of_en_16931_always_hold(
    lines: list[Line], rule: Rule, prepaid: int, inclusive: bool
) -> None:
    """BR-CO-10, -14, -15, -16: sums of lines, of tax, with tax, due."""
    result = totals(lines, rule, prepaid, inclusive)
    amounts = sum(line.net for line in lines)
    assert (result.gross if inclusive else result.net) == amounts
    assert result.tax == sum(result.tax_by_rate.values())
    assert result.gross == result.net + result.tax
    assert result.due == result.gross - prepaid


@given(LINES, st.sampled_from(Rule), st.booleans())
def test_a_credit_note_is_the_exact_opposite(
    lines: list[Line], rule: Rule, inclusive: bool
) -> None:
    credit = [Line(-line.net, line.rate, line.taxable) for line in lines]
    assert (
        totals(credit, rule, inclusive=inclusive).tax
        == -totals(lines, rule, inclusive=inclusive).tax
    )


@given(st.integers(-(10**8), 10**8), RATES)
def test_inclusive_undoes_exclusive_within_its_rounding(net: int, rate: Fraction) -> None:
    gross = totals([Line(net, rate)]).gross
    assert totals([Line(gross, rate)], inclusive=True).net == net
