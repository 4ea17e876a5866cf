"""Tax, against the official example invoices of EN 16931 (CEN/TC 434 validation artefacts)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.tax import Rounding, TaxedLine, charged, totals

RATES = st.fractions(0, 40, max_denominator=1000)
LINES = st.lists(st.builds(TaxedLine, st.integers(-(10**8), 10**8), RATES), max_size=12)


def test_official_example_2_with_three_rates_and_a_prepayment() -> None:
    """1460.50 at 25 % is 365.125, half away 365.13; with 1.00 at 15 % and -25.00 at 0 %.

    Lines 1436.50, allowance 100, charge 100, tax 365.28, gross 1801.78, prepaid 1000, due 801.78.
    """
    lines = [
        TaxedLine(146050, Fraction(25)),
        TaxedLine(100, Fraction(15)),
        TaxedLine(-2500, Fraction(0)),
        TaxedLine(-10000, Fraction(25)),
        TaxedLine(10000, Fraction(25)),
    ]
    result = totals(lines, Rounding.ON_TOTAL, prepaid=100000)
    assert result.tax_by_rate == {Fraction(0): 0, Fraction(15): 15, Fraction(25): 36513}
    assert (result.net, result.tax, result.gross, result.due) == (143650, 36528, 180178, 80178)


def test_official_example_1_with_two_rates() -> None:
    """183.23 at 6 % is 10.99, 46.37 at 21 % is 9.74, in all 250.33."""
    result = totals([TaxedLine(18323, Fraction(6)), TaxedLine(4637, Fraction(21))])
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
    result = totals([TaxedLine(net, Fraction(rate))])
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
    lines = [TaxedLine(net, Fraction(rate)) for net in cents]
    assert totals(lines, Rounding.PER_LINE).tax == per_line
    assert totals(lines, Rounding.ON_TOTAL).tax == on_total


def test_no_lines_are_nothing_owed() -> None:
    result = totals([], prepaid=500)
    assert (result.net, result.tax, result.gross, result.due) == (0, 0, 0, -500)
    assert result.tax_by_rate == {}


def test_a_full_discount_leaves_no_tax() -> None:
    lines = [TaxedLine(12345, Fraction("7.25")), TaxedLine(-12345, Fraction("7.25"))]
    for rule in Rounding:
        assert totals(lines, rule).gross == 0


def test_a_negative_rate_is_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        totals([TaxedLine(100, Fraction(-1))])


@given(LINES, st.sampled_from(Rounding), st.integers(0, 10**8))
def test_the_sums_of_en_16931_always_hold(
    lines: list[TaxedLine], rule: Rounding, prepaid: int
) -> None:
    """BR-CO-10, -14, -15, -16: sums of lines, of tax, with tax, due."""
    result = totals(lines, rule, prepaid)
    assert result.net == sum(line.net for line in lines)
    assert result.tax == sum(result.tax_by_rate.values())
    assert result.gross == result.net + result.tax
    assert result.due == result.gross - prepaid


@given(LINES, st.sampled_from(Rounding))
def test_a_credit_note_is_the_exact_opposite(lines: list[TaxedLine], rule: Rounding) -> None:
    credit = [TaxedLine(-line.net, line.rate) for line in lines]
    assert totals(credit, rule).tax == -totals(lines, rule).tax


THOUSANDTHS = st.sampled_from([0, 6875, 7250, 21000])
WHOLE_LINES = st.lists(st.tuples(st.integers(-(10**6), 10**6), THOUSANDTHS), max_size=5)


@given(
    WHOLE_LINES,
    WHOLE_LINES,
    st.dictionaries(THOUSANDTHS, st.integers(-(10**5), 10**5)),
    st.sampled_from(list(Rounding)),
    st.integers(0, 10**6),
)
def test_what_stands_on_invoices_keeps_its_printed_tax_and_the_rest_has_its_own(
    lines: list[tuple[int, int]],
    invoiced: list[tuple[int, int]],
    printed: dict[int, int],
    rule: Rounding,
    came: int,
) -> None:
    own = totals([TaxedLine(net, Fraction(rate, 1000)) for net, rate in lines], rule)
    assert charged(lines, [], {}, rule) == own
    found = charged(lines, invoiced if printed else [], printed, rule, came)
    for rate in {*own.tax_by_rate, *(Fraction(one, 1000) for one in printed)}:
        tax = own.tax_by_rate.get(rate, 0) + printed.get(int(rate * 1000), 0)
        assert found.tax_by_rate[rate] == tax
    assert list(found.tax_by_rate) == sorted(found.tax_by_rate)
    assert found.net == sum(net for net, _ in [*lines, *(invoiced if printed else [])])
    assert found.tax == sum(found.tax_by_rate.values())
    assert (found.gross, found.due) == (found.net + found.tax, found.net + found.tax - came)
