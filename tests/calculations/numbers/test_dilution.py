"""Dilutions, against published figures.

CDC, "Appendix E - Chlorine disinfectant solution preparation"; OpenStax, "Chemistry 2e", section
"Molarity", for C1 V1 = C2 V2. Half a fluid ounce of rinseless concentrate per US gallon being 1 to
256 is common practice, no source; it follows from 128 fluid ounces to the gallon.
"""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers import dilution
from app.calculations.numbers.dilution import Reading, read_ratio
from app.calculations.numbers.units import US_FLUID_OUNCE, US_GALLON, System
from app.errors import Mendable

GALLON = round(US_GALLON)
QUART = round(US_GALLON / 4)
PARTS = st.fractions(Fraction(1, 4), 2000, max_denominator=1000)


def ounces(amount: int) -> float:
    return float(amount / US_FLUID_OUNCE)


def test_bleach_from_three_and_a_half_to_half_a_percent_takes_six_parts_water() -> None:
    """CDC Appendix E, example 1: (3.5 / 0.5) - 1 = 6."""
    assert dilution.parts_from_strengths(Fraction("3.5"), Fraction("0.5")) == 6


@pytest.mark.parametrize(
    ("stock", "stock_ml", "target", "printed_litres"),
    [("0.45", 11, "0.12", "0.041"), ("3.00", 50, "0.575", "0.261")],
)
def test_openstax_volumes_come_out_as_printed(
    stock: str, stock_ml: int, target: str, printed_litres: str
) -> None:
    """Chemistry 2e: to what volume a stock is made up for a strength."""
    parts = dilution.parts_from_strengths(Fraction(stock), Fraction(target))
    litres = stock_ml * (parts + 1) / 1000
    assert round(litres, 3) == Fraction(printed_litres)


def test_openstax_stock_for_five_litres_comes_out_as_printed() -> None:
    """Chemistry 2e: 5.00 L of 0.100 M from 1.59 M takes 0.314 L."""
    parts = dilution.parts_from_strengths(Fraction("1.59"), Fraction("0.100"))
    microlitres = dilution.product_in_finished(5_000_000, parts)
    assert round(Fraction(microlitres, 10**6), 3) == Fraction("0.314")


@pytest.mark.parametrize(
    ("stock", "stock_ml", "finished_ml", "printed", "decimals"),
    [("5.00", 850, 1800, "2.36", 2), ("2.04", 25, 500, "0.102", 3)],
)
def test_openstax_strengths_come_out_as_printed(
    stock: str, stock_ml: int, finished_ml: int, printed: str, decimals: int
) -> None:
    parts = dilution.parts_from_finished(stock_ml * 1000, finished_ml * 1000)
    assert round(float(Fraction(stock) / (parts + 1)), decimals) == float(printed)


@pytest.mark.parametrize(
    ("parts", "in_quart", "in_gallon", "into_gallon"),
    [
        (1, 16, 64, 128),
        (4, 6.4, 25.6, 32),
        (9, 3.2, 12.8, 14.2222),
        (10, 2.9091, 11.6364, 12.8),
        (15, 2.0, 8.0, 8.5333),
        (32, 0.9697, 3.8788, 4),
        (64, 0.4923, 1.9692, 2),
        (128, 0.2481, 0.9922, 1),
        (256, 0.1245, 0.4981, 0.5),
    ],
)
def test_both_conventions_of_mixing_charts(
    parts: int, in_quart: float, in_gallon: float, into_gallon: float
) -> None:
    """Exact arithmetic: 32/(n+1), 128/(n+1) and 128/n fluid ounces."""
    assert ounces(dilution.product_in_finished(QUART, parts)) == pytest.approx(in_quart, abs=1e-4)
    assert ounces(dilution.product_in_finished(GALLON, parts)) == pytest.approx(in_gallon, abs=1e-4)
    assert ounces(dilution.product_into_water(GALLON, parts)) == pytest.approx(
        into_gallon, abs=1e-4
    )


def test_a_half_ounce_per_gallon_is_one_to_256() -> None:
    for text in ("1/2 oz per gal", "½ oz/gal", "0.5 fl oz per gallon", "1/2 oz per 1 gal"):
        assert read_ratio(text, Reading.ASK) == 256


def test_an_ounce_per_gallon_made_up_to_the_gallon_is_one_to_127() -> None:
    assert read_ratio("1 oz to make 1 gal", Reading.ASK) == 127
    assert read_ratio("2 oz to make 1 gal", Reading.ASK) == 63
    assert read_ratio("1.5 oz per gal", Reading.ASK) == Fraction(256, 3)


def test_five_tablespoons_per_gallon_is_one_to_51() -> None:
    """CDC household advice; 5 tbsp are 2.5 fl oz into 128."""
    assert read_ratio("5 tbsp per gallon", Reading.ASK) == Fraction("51.2")
    assert read_ratio("4 tsp per quart", Reading.ASK) == 48
    assert read_ratio("15 mL/L", Reading.ASK) == Fraction(1000, 15)


@given(PARTS, st.integers(10**6, 10**9))
def test_amounts_give_their_dilution_back(parts: Fraction, water: int) -> None:
    product = dilution.product_into_water(water, parts)
    back = dilution.parts_from_into_water(product, water)
    assert abs(back - parts) <= back * parts / water
    assert dilution.parts_from_finished(product, product + water) == back


@given(PARTS, st.integers(0, 10**10))
def test_product_in_a_mix_put_into_its_water_is_the_same_mix(
    parts: Fraction, finished: int
) -> None:
    product = dilution.product_in_finished(finished, parts)
    again = dilution.product_into_water(finished - product, parts)
    assert abs(again - product) <= 1 + 1 / parts


def test_what_cannot_be_mixed_is_refused() -> None:
    with pytest.raises(Mendable, match="stronger"):
        dilution.parts_from_strengths(5, 10)
    with pytest.raises(Mendable, match="more product"):
        dilution.parts_from_finished(10, 5)
    with pytest.raises(Mendable, match="some product"):
        dilution.parts_from_finished(0, 5)
    with pytest.raises(Mendable, match="above zero"):
        dilution.parts_from_strengths(0, 0)
    with pytest.raises(Mendable, match="some product"):
        dilution.parts_from_into_water(0, 10)
    with pytest.raises(Mendable, match="takes no water"):
        dilution.product_into_water(10, 0)
    with pytest.raises(Mendable, match="less than zero"):
        dilution.product_in_finished(10, Fraction(-1))


def test_product_in_no_water_and_nearly_as_much_product_as_water_are_dilutions_too() -> None:
    assert dilution.parts_from_into_water(1, 0) == 0
    assert read_ratio("3:2", Reading.WATER_FIRST) == Fraction(3, 2)


def test_equal_strengths_need_no_water() -> None:
    assert dilution.parts_from_strengths(10, 10) == 0
    assert dilution.product_in_finished(1000, 0) == 1000


def test_a_bare_ratio_is_read_by_the_setting() -> None:
    assert read_ratio("10:1", Reading.WATER_FIRST) == 10
    assert read_ratio("1:10", Reading.PRODUCT_FIRST) == 10
    assert read_ratio("10 to 1", Reading.WATER_FIRST) == 10
    assert read_ratio(" 1 : 10 ", Reading.PRODUCT_FIRST) == 10
    assert read_ratio("5:2", Reading.WATER_FIRST) == Fraction(5, 2)


@pytest.mark.parametrize("text", ["10:1", "1:10", "3 : 1", "10 to 1", "2:5"])
def test_a_bare_ratio_is_never_guessed(text: str) -> None:
    with pytest.raises(Mendable) as refused:
        read_ratio(text, Reading.ASK)
    sentence = refused.value.sentence
    assert "parts water to" in sentence
    assert "parts product to" in sentence


def test_the_sentence_about_a_bare_ratio_says_how_to_write_it() -> None:
    with pytest.raises(Mendable) as refused:
        read_ratio("10:1", Reading.ASK)
    assert "type “1 to 10”" in refused.value.sentence
    assert read_ratio("1 to 10", Reading.ASK) == 10
    assert read_ratio("10 product to 1 water", Reading.ASK) == Fraction(1, 10)


def test_a_ratio_written_against_the_setting_is_refused_not_inverted() -> None:
    with pytest.raises(Mendable, match="more product than water"):
        read_ratio("1:10", Reading.WATER_FIRST)
    with pytest.raises(Mendable, match="more product than water"):
        read_ratio("10:1", Reading.PRODUCT_FIRST)


@pytest.mark.parametrize("reading", Reading)
@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("1 to 256", 256),
        ("1 part to 4 parts", 4),
        ("1:1", 1),
        ("10 parts water to 1 part product", 10),
        ("1 part product : 10 parts water", 10),
        ("1 part concentrate, 4 parts water", 4),
        ("1 to 85.33", Fraction("85.33")),
        ("10 %", 9),
        ("neat", 0),
        ("Ready to use", 0),
    ],
)
def test_what_is_said_plainly_needs_no_setting(
    text: str, parts: Fraction | int, reading: Reading
) -> None:
    assert read_ratio(text, reading) == parts


@pytest.mark.parametrize(
    "text",
    ["", "abc", "1:0", "0:1", "1 to 0", "10:", "1:2:3", "-1:10", "0 %", "101 %", "1/2", "10",
     "2 oz per mile", "1 water to 2 water", "1:" + "9" * 90, "2 oz per g"],
)  # fmt: skip
def test_rubbish_is_refused_in_one_sentence(text: str) -> None:
    for reading in Reading:
        with pytest.raises(Mendable) as refused:
            read_ratio(text, reading)
        assert refused.value.sentence.endswith(".")


@given(st.text(max_size=90), st.sampled_from(Reading))
def test_any_text_is_a_dilution_or_refused(text: str, reading: Reading) -> None:
    with suppress(Mendable):
        assert read_ratio(text, reading) >= 0


@given(st.integers(0, 5000))
def test_what_this_program_writes_it_reads_back(parts: int) -> None:
    assert read_ratio(dilution.parts_text(parts), Reading.ASK) == parts


def test_a_dilution_is_said_in_amounts() -> None:
    quart = QUART
    assert (
        dilution.sentence(10, quart, System.US)
        == "2.9 fl oz product + 29.1 fl oz water make 32 fl oz"
    )
    assert (
        dilution.sentence(256, quart, System.US)
        == "0.12 fl oz product + 31.88 fl oz water make 32 fl oz"
    )
    assert (
        dilution.sentence(10, 1_000_000, System.METRIC)
        == "91 mL product + 909 mL water make 1,000 mL"
    )
    assert (
        dilution.sentence(10, 1_000_500, System.METRIC)
        == "91 mL product + 909.5 mL water make 1,000.5 mL"
    )


@given(PARTS, st.integers(100_000, 10**8), st.sampled_from(System))
def test_the_amounts_said_add_up_as_printed(parts: Fraction, finished: int, system: System) -> None:
    words = dilution.sentence(parts, finished, system).replace(",", "").split()
    numbers = [Fraction(word) for word in words if word.replace(".", "").isdigit()]
    assert numbers[0] + numbers[1] == numbers[2]


def test_a_text_of_eighty_letters_is_looked_at_and_a_longer_one_is_not() -> None:
    with pytest.raises(Mendable, match="is not a dilution"):
        read_ratio("x" * 80, Reading.ASK)
    with pytest.raises(Mendable, match="No dilution"):
        read_ratio("x" * 81, Reading.ASK)


@pytest.mark.parametrize(("percent", "parts"), [("100 %", 0), ("50%", 1), ("0.1 %", 999)])
def test_a_percentage_is_a_part_of_the_finished_mix(percent: str, parts: int) -> None:
    """C1 V1 = C2 V2, from 100 percent."""
    assert read_ratio(percent, Reading.ASK) == parts
    for wrong in ("0 %", "100.1 %"):
        with pytest.raises(Mendable, match="no strength"):
            read_ratio(wrong, Reading.ASK)


@pytest.mark.parametrize("text", ["10 water to 1 water", "1 product in 10 concentrate"])
def test_water_and_product_are_both_named(text: str) -> None:
    with pytest.raises(Mendable, match="must name water and product"):
        read_ratio(text, Reading.ASK)


def test_one_to_one_reads_alike_either_way_round() -> None:
    for reading in Reading:
        assert read_ratio("5:5", reading) == 1
        assert read_ratio("1:1", reading) == 1


def test_grams_make_no_dilution_of_a_liquid() -> None:
    for text in ("5 g per L", "5 ml per kg"):
        with pytest.raises(Mendable, match="weighs a liquid"):
            read_ratio(text, Reading.ASK)


@pytest.mark.parametrize(
    ("parts", "finished", "system", "said"),
    [
        (Fraction(10), QUART, System.US,
         "2.9 fl oz product + 29.1 fl oz water make 32 fl oz"),
        (Fraction(9), 1_000_000, System.METRIC, "100 mL product + 900 mL water make 1,000 mL"),
        (Fraction(99), 1_000_000, System.METRIC, "10 mL product + 990 mL water make 1,000 mL"),
        (Fraction(199), 1_000_000, System.METRIC, "5 mL product + 995 mL water make 1,000 mL"),
        (Fraction(256), QUART, System.US,
         "0.12 fl oz product + 31.88 fl oz water make 32 fl oz"),
        (Fraction(0), 500_000, System.METRIC, "500 mL product + 0 mL water make 500 mL"),
    ],
)  # fmt: skip
def test_what_goes_into_a_mix_is_said_so_that_it_adds_up(
    parts: Fraction, finished: int, system: System, said: str
) -> None:
    """finished / (parts + 1), by hand."""
    assert dilution.sentence(parts, finished, system) == said
