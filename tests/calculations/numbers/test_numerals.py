"""Numbers as people write them."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.numerals import LARGEST, read_number, spoken_number, unsigned
from app.calculations.numbers.wording import NUMBERS
from app.errors import Mendable


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1 1/2", Fraction(3, 2)),
        ("1-1/2", Fraction(3, 2)),
        ("1 and 1/2", Fraction(3, 2)),
        ("1/4", Fraction(1, 4)),
        ("½", Fraction(1, 2)),
        ("1½", Fraction(3, 2)),
        ("1 ½", Fraction(3, 2)),
        ("3⁄4", Fraction(3, 4)),
        ("1.5", Fraction(3, 2)),
        ("1,5", Fraction(3, 2)),
        (".5", Fraction(1, 2)),
        ("5.", Fraction(5)),
        ("0,125", Fraction(1, 8)),
        ("1,234.5", Fraction(12345, 10)),
        ("1.234,50", Fraction(12345, 10)),
        ("1,234,567", Fraction(1234567)),
        ("1.234.567", Fraction(1234567)),
        ("1 234,5", Fraction(12345, 10)),
        ("1\u00a0234", Fraction(1234)),
        ("1'234.50", Fraction(12345, 10)),
        ("1’234.50", Fraction(12345, 10)),
        ("-3", Fraction(-3)),
        ("−3,5", Fraction(-7, 2)),
        ("+2", Fraction(2)),
        (" 007 ", Fraction(7)),
        ("0.000000000001", Fraction(1, 10**12)),
    ],
)
def test_the_usual_writings_are_read_exactly(text: str, number: Fraction) -> None:
    assert read_number(text) == number


def test_a_comma_before_three_digits_groups_and_a_point_does_not() -> None:
    assert read_number("1,234") == 1234
    assert read_number("1.234") == Fraction(1234, 1000)
    assert read_number("1,2345") == Fraction(12345, 10000)
    assert read_number("1234,567") == Fraction(1234567, 1000)


@pytest.mark.parametrize(
    "text",
    [
        "", "   ", "abc", "1/0", "1 2", "1,23,4", "1.2.3", "1,234.567,8", "--1", "1e9", "1.5.",
        "٣", "nan", "inf", "0x10", ".", ",", "1/2/3", "1 1/2 1/2", "12 34", "$5", "1..5", "½½",
        "9" * 61, "9" * 20, "1/", "/2", "1_000",
    ],
)  # fmt: skip
def test_anything_else_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(Mendable) as refused:
        read_number(text)
    assert refused.value.sentence.endswith(".")
    assert "\n" not in refused.value.sentence
    assert len(refused.value.sentence) < 160


@given(st.decimals(0, 10**9, places=3))
def test_grouped_numbers_come_back_in_both_conventions(value: Decimal) -> None:
    """Python's own format groups; both signs swapped give the other convention."""
    english = f"{value + Decimal('1000000'):,.3f}"
    continental = english.translate(str.maketrans(",.", ".,"))
    assert read_number(english) == Fraction(value) + 1_000_000
    assert read_number(continental) == Fraction(value) + 1_000_000


@given(st.text(max_size=70))
def test_any_text_is_a_number_or_refused(text: str) -> None:
    with suppress(Mendable):
        assert isinstance(read_number(text), Fraction)


def test_a_fixed_decimal_sign_is_kept_to() -> None:
    assert unsigned("1.234", decimal="comma") == 1234
    assert unsigned("1.234", decimal="point") == Fraction(1234, 1000)
    assert unsigned("1,234", decimal="comma") == Fraction(1234, 1000)
    assert unsigned("1,234.5", decimal="comma") is None
    assert unsigned("1,50", decimal="point") is None
    assert unsigned("1 234,5", decimal="point") is None


@pytest.mark.parametrize(
    ("said", "number", "rest"),
    [
        ("half a bottle", Fraction(1, 2), "bottle"), ("a third of a jug", Fraction(1, 3), "jug"),
        ("one quarter", Fraction(1, 4), ""), ("three quarters of the tub", Fraction(3, 4), "tub"),
        ("two thirds", Fraction(2, 3), ""), ("two and a half bottles", Fraction(5, 2), "bottles"),
        ("twelve oz", Fraction(12), "oz"), ("eleven", Fraction(11), ""), ("a full tub", 1, "tub"),
        ("halb liter", Fraction(1, 2), "liter"), ("medio litro", Fraction(1, 2), "litro"),
        ("media", Fraction(1, 2), ""), ("halbe flasche", Fraction(1, 2), "flasche"),
        ("eine flasche", 1, "flasche"), ("una botella", 1, "botella"), ("un bidon", 1, "bidon"),
    ],
)  # fmt: skip
def test_numbers_are_read_in_words(said: str, number: Fraction | int, rest: str) -> None:
    assert spoken_number(said) == (number, rest)


def test_every_counting_word_counts_itself() -> None:
    for number in range(1, 13):
        assert spoken_number(NUMBERS[number]) == (number, "")


@pytest.mark.parametrize("text", ["bottle", "halfway", "tenth", "", "onex"])
def test_what_is_no_number_is_none(text: str) -> None:
    assert spoken_number(text) is None


def test_the_largest_number_is_read_and_one_more_is_refused() -> None:
    assert read_number(str(LARGEST)) == LARGEST
    with pytest.raises(Mendable, match="too large"):
        read_number(str(LARGEST + 1))
    with pytest.raises(Mendable, match="divides by zero"):
        read_number("1/0")
