"""Money: minor units against the iso4217 package, sharing against Fowler's conundrum."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

import iso4217
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.money import (
    allocate,
    minor_digits,
    read_money,
    shown_money,
    shown_whole,
)
from app.errors import Mendable

CURRENCIES = [c for c in iso4217.Currency if c.exponent is not None]


def test_minor_units_are_those_of_iso_4217() -> None:
    """The iso4217 package carries the standard's published list."""
    assert len(CURRENCIES) > 150
    assert {c.code: minor_digits(c.code) for c in CURRENCIES} == {
        c.code: c.exponent for c in CURRENCIES
    }


@pytest.mark.parametrize("code", ["XAU", "XXX", "US", "", "$", "dollar"])
def test_what_is_no_currency_is_refused(code: str) -> None:
    with pytest.raises(Mendable, match="currency code"):
        minor_digits(code)


def test_lower_case_codes_are_known() -> None:
    assert minor_digits("jpy") == 0
    assert minor_digits(" kwd ") == 3


@pytest.mark.parametrize(
    ("text", "cents"),
    [
        ("$1,234.50", 123450), ("1.234,50", 123450), ("1 234,50", 123450),
        ("1\u00a0234,50", 123450), ("1'234.50", 123450), ("12", 1200), ("12.5", 1250),
        ("12,5", 1250), ("USD 12.5", 1250), ("12.50 usd", 1250), ("US$12", 1200), ("$ 12", 1200),
        ("(12.00)", -1200), ("($12.00)", -1200), ("-12", -1200), ("−12", -1200), ("12-", -1200),
        ("$-12", -1200), ("-$12", -1200), ("- 12.00", -1200), ("+12", 1200), (".5", 50),
        ("0", 0), ("12.500,00", 1250000), ("12.5000", 1250), ("1,234,567.89", 123456789),
    ],
)  # fmt: skip
def test_money_is_read_as_people_write_it(text: str, cents: int) -> None:
    assert read_money(text, "USD") == cents


def test_three_digits_after_one_sign_are_thousands_where_they_cannot_be_cents() -> None:
    assert read_money("1,234", "USD") == 123400
    assert read_money("1.234", "USD") == 123400
    assert read_money("1.234", "JPY") == 1234
    assert read_money("1.234", "KWD") == 1234
    assert read_money("1,234", "KWD") == 1234000
    assert read_money("0.500", "USD") == 50
    assert read_money("1234.500", "USD") == 123450


def test_a_fixed_decimal_sign_leaves_no_doubt() -> None:
    assert read_money("1.234", "EUR", "comma") == 123400
    assert read_money("1.234,5", "EUR", "comma") == 123450
    assert read_money("12.500", "USD", "point") == 1250
    assert read_money("1,234", "USD", "point") == 123400
    for text in ("1.234,50", "12,50"):
        with pytest.raises(Mendable):
            read_money(text, "USD", "point")
    with pytest.raises(Mendable, match="finer"):
        read_money("1.234", "USD", "point")


@pytest.mark.parametrize(
    ("text", "currency"),
    [
        ("", "USD"), ("   ", "USD"), ("abc", "USD"), ("12.345,6.7", "USD"), ("1/2", "USD"),
        ("12.3456", "USD"), ("12.5", "JPY"), ("--12", "USD"), ("(-12)", "USD"), ("-12-", "USD"),
        ("EUR 12", "USD"), ("€12", "USD"), ("£12", "EUR"), ("$12", "EUR"), ("12 oz", "USD"),
        ("1e5", "USD"), ("=1+1", "USD"), ("#REF!", "USD"), ("9" * 30, "USD"), ("12 34", "USD"),
        ("$", "USD"), ("()", "USD"), ("nan", "USD"), ("١٢", "USD"), ("1,23,456", "USD"),
    ],
)  # fmt: skip
def test_anything_else_is_refused_in_one_sentence(text: str, currency: str) -> None:
    with pytest.raises(Mendable) as refused:
        read_money(text, currency)
    assert refused.value.sentence.endswith(".")
    assert "\n" not in refused.value.sentence


def test_money_is_shown_with_its_own_digits() -> None:
    assert shown_money(123450, "USD") == "1,234.50"
    assert shown_money(-1200, "USD") == "−12.00"
    assert read_money("−12.00", "USD") == -1200
    assert shown_money(5, "USD") == "0.05"
    assert shown_money(-5, "USD") == "−0.05"
    assert shown_money(1234, "JPY") == "1,234"
    assert shown_money(1234, "KWD") == "1.234"


@given(
    st.integers(-(10**12), 10**12),  # more than a million million units is refused as a slip
    st.sampled_from([c.code for c in CURRENCIES]),
)
def test_what_is_shown_reads_back(minor: int, code: str) -> None:
    for text in (shown_money(minor, code), f"{code} {shown_money(minor, code)}"):
        assert read_money(text, code, "point") == minor
        if minor_digits(code) == 2:
            assert read_money(text, code) == minor


@given(st.text(max_size=70), st.sampled_from(["USD", "EUR", "JPY", "KWD"]))
def test_any_text_is_money_or_refused(text: str, code: str) -> None:
    with suppress(Mendable):
        assert isinstance(read_money(text, code), int)


@pytest.mark.parametrize(
    ("total", "weights", "shares"),
    [
        # Fowler, "Patterns of Enterprise Application Architecture", p. 495: 5 cents over 3 and 7.
        (5, [3, 7], [2, 3]),
        (5, [7, 3], [4, 1]),
        # Computed by the definition of largest remainder.
        (100, [1, 2], [33, 67]),
        (10000, [1, 1, 1], [3334, 3333, 3333]),
        (1, [1, 1, 1], [1, 0, 0]),
        (101, [1] * 7, [15, 15, 15, 14, 14, 14, 14]),
        (1000, [0, 1, 1, 1], [0, 334, 333, 333]),
        (-5, [3, 7], [-2, -3]),
        (0, [1, 2], [0, 0]),
    ],
)
def test_money_is_shared_without_losing_a_cent(
    total: int, weights: list[int], shares: list[int]
) -> None:
    assert allocate(total, weights) == shares


@pytest.mark.parametrize(
    ("minor", "currency", "whole"),
    # ISO 4217: the yen has no minor unit, the dollar two digits of it, the Kuwaiti dinar three.
    [
        (154_950, "USD", "1,550"),
        (154_949, "USD", "1,549"),
        (-40, "USD", "0"),
        (154_950, "JPY", "154,950"),
        (154_950, "KWD", "155"),
    ],
)
def test_money_is_rounded_to_the_whole_units_of_its_currency(
    minor: int, currency: str, whole: str
) -> None:
    assert shown_whole(minor, currency) == whole


@given(
    st.integers(-(10**12), 10**12),
    st.lists(st.integers(0, 10**9), min_size=1, max_size=30).filter(any),
)
def test_shares_sum_exactly_and_stay_within_a_cent(total: int, weights: list[int]) -> None:
    shares = allocate(total, weights)
    assert sum(shares) == total
    for share, weight in zip(shares, weights, strict=True):
        exact = Fraction(total * weight, sum(weights))
        assert abs(share - exact) < 1
        if weight == 0:
            assert share == 0
    assert allocate(-total, weights) == [-share for share in shares]


@pytest.mark.parametrize("weights", [[], [0], [0, 0], [1, -1], [-1]])
def test_nothing_to_share_by_is_refused(weights: list[int]) -> None:
    with pytest.raises(ValueError, match=r"[Ww]eight"):
        allocate(5, weights)


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [("KD 3.750", "KWD", 3750), ("1.250 KD", "KWD", 1250), ("8800円", "JPY", 8800),
     ("Rs. 1,200", "INR", 120_000), ("Dh 12.50", "AED", 1250), ("R 99.95", "ZAR", 9995)],
)  # fmt: skip
def test_a_currency_is_known_by_what_people_there_write(
    text: str, currency: str, minor: int
) -> None:
    assert read_money(text, currency) == minor
    with pytest.raises(Mendable, match="not in USD"):
        read_money(text, "USD")
