"""Units, against pint with exact fractions and the definitions that NIST Handbook 44 lists."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
import scipy.constants
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers import units
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.units import (
    Kind,
    System,
    base_amount,
    exact_amount,
    sentence_amount,
    shown,
)
from app.errors import Mendable

PINT = pint.UnitRegistry(non_int_type=Fraction)


def by_pint(unit: str, into: str) -> Fraction:
    return Fraction(PINT.Quantity(Fraction(1), unit).to(into).magnitude)


@pytest.mark.parametrize(
    ("ours", "pints", "base"),
    [
        (units.US_GALLON, "gallon", "microliter"),
        (units.US_FLUID_OUNCE, "fluid_ounce", "microliter"),
        (units.US_GALLON / 4, "quart", "microliter"),
        (units.US_GALLON / 8, "pint", "microliter"),
        (units.US_GALLON / 16, "cup", "microliter"),
        (units.US_FLUID_OUNCE / 2, "tablespoon", "microliter"),
        (units.US_FLUID_OUNCE / 6, "teaspoon", "microliter"),
        (units.IMPERIAL_GALLON, "imperial_gallon", "microliter"),
        (units.IMPERIAL_FLUID_OUNCE, "imperial_fluid_ounce", "microliter"),
        (units.POUND, "pound", "milligram"),
        (units.OUNCE, "ounce", "milligram"),
    ],
)
def test_sizes_are_exactly_pints(ours: Fraction, pints: str, base: str) -> None:
    assert ours == by_pint(pints, base)


def test_sizes_are_exactly_the_published_definitions() -> None:
    """231 cubic inches = 3.785 411 784 L; 29.573 529 562 5 mL; 4.546 09 L; 28.413 062 5 mL;
    453.592 37 g; 28.349 523 125 g (NIST Handbook 44, Appendix C; Units of Measurement
    Regulations 1995 for the imperial gallon)."""
    assert Fraction("3785411.784") == units.US_GALLON
    assert Fraction("29573.5295625") == units.US_FLUID_OUNCE
    assert Fraction("4546090") == units.IMPERIAL_GALLON
    assert Fraction("28413.0625") == units.IMPERIAL_FLUID_OUNCE
    assert Fraction("453592.37") == units.POUND
    assert Fraction("28349.523125") == units.OUNCE


def test_sizes_agree_with_scipys_constants() -> None:
    assert float(units.US_FLUID_OUNCE) * 1e-9 == pytest.approx(scipy.constants.fluid_ounce)
    assert float(units.IMPERIAL_GALLON) * 1e-9 == pytest.approx(scipy.constants.gallon_imp)
    assert float(units.POUND) * 1e-6 == pytest.approx(scipy.constants.pound)


@pytest.mark.parametrize(
    ("writing", "microlitres"),
    [
        ("fl oz", 29_574), ("floz", 29_574), ("fl. oz.", 29_574), ("fluid ounces", 29_574),
        ("oz", 29_574), ("ounce", 29_574), ("Fl Oz", 29_574), ("US fl oz", 29_574),
        ("gal", 3_785_412), ("gallons", 3_785_412), ("Gal.", 3_785_412), ("us gal", 3_785_412),
        ("imp gal", 4_546_090), ("imperial gallon", 4_546_090),
        ("qt", 946_353), ("quart", 946_353), ("pt", 473_176), ("pint", 473_176), ("cup", 236_588),
        ("tbsp", 14_787), ("tsp", 4_929),
        ("ml", 1000), ("mL", 1000), ("ML", 1000), ("cc", 1000), ("cl", 10_000), ("dl", 100_000),
        ("l", 1_000_000), ("L", 1_000_000), ("liter", 1_000_000), ("litres", 1_000_000), ("ul", 1),
    ],
)  # fmt: skip
def test_a_liquids_units_are_read_in_their_usual_writings(writing: str, microlitres: int) -> None:
    assert base_amount(Fraction(1), writing, Kind.LIQUID) == microlitres


def test_an_ounce_is_fluid_for_a_liquid_and_weight_for_a_paste() -> None:
    assert base_amount(Fraction(2), "oz", Kind.LIQUID) == 59_147
    assert base_amount(Fraction(2), "oz", Kind.PASTE) == 56_699
    assert not units.is_mass("oz", Kind.LIQUID)
    assert units.is_mass("oz", Kind.PASTE)
    assert units.is_mass("g", Kind.LIQUID)


def test_the_imperial_ounce_is_smaller_and_the_imperial_gallon_larger() -> None:
    def amount(unit: str, imperial: bool) -> int:
        return half_away(exact_amount(Fraction(1), unit, Kind.LIQUID, imperial=imperial))

    assert amount("fl oz", True) < amount("fl oz", False)
    assert amount("gal", True) > amount("gal", False)
    assert amount("us gal", True) == amount("u.s. gal", True) == amount("gal", False)
    assert amount("cup", True) == round(by_pint("imperial_cup", "microliter"))
    assert amount("pt", True) == round(by_pint("imperial_pint", "microliter"))
    assert amount("tbsp", True) == 15_000


def test_mass_becomes_volume_only_through_the_density() -> None:
    assert base_amount(Fraction(71), "g", Kind.LIQUID) == 71_000
    assert base_amount(Fraction(71), "g", Kind.LIQUID, 800) == 88_750
    assert base_amount(Fraction(100), "ml", Kind.PASTE, 1150) == 115_000
    assert base_amount(Fraction(1), "lb", Kind.PASTE, 1150) == 453_592
    with pytest.raises(Mendable, match="density"):
        base_amount(Fraction(1), "g", Kind.LIQUID, 0)


def test_any_word_for_a_piece_counts_one() -> None:
    words = ("pc", "pcs", "pieces", "each", "ea", "sheet", "roll", "rolls", "boxes")
    assert [base_amount(Fraction(1), word, Kind.PIECE) for word in words] == [1000] * len(words)
    assert base_amount(Fraction(3, 10), "roll", Kind.PIECE) == 300


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("16 fl oz", Kind.LIQUID), ("500 mL", Kind.LIQUID), ("1 gal", Kind.LIQUID),
        ("1 imp gal", Kind.LIQUID), ("16.9 fl oz", Kind.LIQUID), ("410.5 g", Kind.PASTE),
        ("8 oz", Kind.PASTE), ("5 lb", Kind.PASTE), ("12", Kind.PIECE),
    ],
)  # fmt: skip
def test_what_was_typed_is_shown_back_in_its_own_unit(typed: str, kind: Kind) -> None:
    number, _, unit = typed.partition(" ")
    assert units.shown_back(base_amount(Fraction(number), unit or "pc", kind), kind) == typed


@given(st.integers(0, 10**9), st.sampled_from(Kind))
def test_what_is_shown_back_reads_as_the_same_amount(amount: int, kind: Kind) -> None:
    shown_text = units.shown_back(amount * 10 if kind is Kind.PIECE else amount, kind)
    number, _, unit = shown_text.replace(",", "").partition(" ")
    again = base_amount(Fraction(number), unit or "pc", kind)
    assert again == (amount * 10 if kind is Kind.PIECE else amount)


def test_a_pair_is_two_pieces_and_a_dozen_twelve() -> None:
    assert base_amount(Fraction(1), "pair", Kind.PIECE) == 2000
    assert base_amount(Fraction(1, 2), "dozen", Kind.PIECE) == 6000


def test_an_ounce_that_says_it_is_a_weight_weighs_a_liquid_too() -> None:
    assert base_amount(Fraction(1), "wt oz", Kind.LIQUID) == 28_350
    assert units.is_mass("oz wt", Kind.LIQUID)


@pytest.mark.parametrize(
    ("unit", "kind"),
    [
        ("furlong", Kind.LIQUID),
        ("", Kind.LIQUID),
        ("pc", Kind.LIQUID),
        ("roll", Kind.PASTE),
        ("ml", Kind.PIECE),
        ("g", Kind.PIECE),
        ("mil", Kind.LIQUID),
    ],
)
def test_a_unit_that_cannot_be_is_refused_in_one_sentence(unit: str, kind: Kind) -> None:
    with pytest.raises(Mendable) as refused:
        base_amount(Fraction(1), unit, kind)
    assert refused.value.sentence.endswith(".")


def test_an_absurd_amount_is_refused() -> None:
    with pytest.raises(Mendable, match="too much"):
        base_amount(Fraction(10**12), "gal", Kind.LIQUID)


NAMES = {
    Kind.LIQUID: ["mL", "L", "fl oz", "gal", "qt", "pt", "cup", "tbsp", "tsp", "uL", "cL", "dL"],
    Kind.PASTE: ["mg", "g", "kg", "oz", "lb"],
    Kind.PIECE: ["pc"],
}


@given(st.data(), st.sampled_from(Kind), st.integers(-(10**12), 10**12))
def test_any_amount_survives_the_way_to_a_unit_and_back(
    data: st.DataObject, kind: Kind, amount: int
) -> None:
    unit = data.draw(st.sampled_from(NAMES[kind]))
    assert base_amount(units.in_unit(amount, unit, kind), unit, kind) == amount


@given(st.integers(0, 10**9), st.integers(500, 2000))
def test_a_liquid_weighed_and_measured_differs_by_less_than_its_base_units(
    milligrams: int, density: int
) -> None:
    volume = base_amount(Fraction(milligrams), "mg", Kind.LIQUID, density)
    back = base_amount(Fraction(volume), "ul", Kind.PASTE, density)
    assert abs(back - milligrams) <= 1 + density / 2000


@pytest.mark.parametrize(
    ("amount", "kind", "system", "text"),
    [
        (1_140_000, Kind.LIQUID, System.METRIC, ("1,140", "mL")),
        (12_500, Kind.LIQUID, System.METRIC, ("12.5", "mL")),
        (9_999_000, Kind.LIQUID, System.METRIC, ("9,999", "mL")),
        (10_000_000, Kind.LIQUID, System.METRIC, ("10", "L")),
        (18_925_000, Kind.LIQUID, System.METRIC, ("18.93", "L")),
        (0, Kind.LIQUID, System.METRIC, ("0", "mL")),
        (1, Kind.LIQUID, System.METRIC, ("0.001", "mL")),
        (-28_000, Kind.LIQUID, System.METRIC, ("−28", "mL")),
        (59_147, Kind.LIQUID, System.US, ("2.0", "fl oz")),
        (7_393, Kind.LIQUID, System.US, ("0.25", "fl oz")),
        (0, Kind.LIQUID, System.US, ("0.0", "fl oz")),
        (37_854_118, Kind.LIQUID, System.US, ("1,280.0", "fl oz")),
        (95_000, Kind.PASTE, System.US, ("95", "g")),
        (12_000_000, Kind.PASTE, System.METRIC, ("12", "kg")),
        (41_000, Kind.PIECE, System.US, ("41", "pc")),
        (330, Kind.PIECE, System.METRIC, ("0.33", "pc")),
    ],
)
def test_a_table_shows_a_sensible_unit(
    amount: int, kind: Kind, system: System, text: tuple[str, str]
) -> None:
    assert shown(amount, kind, system) == text


def test_a_columns_unit_can_be_fixed() -> None:
    assert shown(29_574, Kind.LIQUID, System.US, unit="mL") == ("29.6", "mL")
    assert shown(29_574, Kind.LIQUID, System.METRIC, unit="oz") == ("1.0", "fl oz")
    assert shown(2_000, Kind.PIECE, System.US, unit="roll") == ("2", "roll")
    assert shown(2_000, Kind.PIECE, System.US, unit="load") == ("2", "load")
    assert shown(29_574, Kind.LIQUID, System.US, unit="ml") == ("29.6", "mL")
    assert sentence_amount(29_574, Kind.LIQUID, System.US, unit="ml") == "29.6 mL"
    assert shown(29_574, Kind.LIQUID, System.US, unit="mL", decimals=2) == ("29.57", "mL")
    assert shown(29_574_000, Kind.LIQUID, System.METRIC, decimals=0) == ("30", "L")
    with pytest.raises(Mendable, match="cannot show"):
        shown(29_574, Kind.LIQUID, System.US, unit="g")


@given(st.integers(-(10**13), 10**13), st.sampled_from(Kind), st.sampled_from(System))
def test_no_amount_shows_an_exponent_or_a_false_zero(
    amount: int, kind: Kind, system: System
) -> None:
    for text in (shown(amount, kind, system)[0], sentence_amount(amount, kind, system)):
        assert "e" not in text.split()[0]
        if kind is not Kind.PIECE and abs(amount) > 14_787:
            assert text.strip("-0., ")


def test_running_text_has_three_figures() -> None:
    assert sentence_amount(58_917, Kind.LIQUID, System.US) == "1.99 fl oz"
    assert sentence_amount(1_140_000, Kind.LIQUID, System.METRIC) == "1,140 mL"
    assert sentence_amount(71_000, Kind.PASTE, System.US) == "71 g"
    assert sentence_amount(1_000, Kind.PIECE, System.US) == "1 piece"
    assert sentence_amount(4_000, Kind.PIECE, System.US) == "4 pieces"
    assert sentence_amount(2_000, Kind.PIECE, System.US, unit="load") == "2 loads"
    assert sentence_amount(2_000, Kind.PIECE, System.US, unit="box") == "2 boxes"


def test_british_spoons_are_metric() -> None:
    """5 and 15 mL, as British kitchen measures have them; common practice, no source."""
    assert exact_amount(Fraction(1), "tsp", Kind.LIQUID, imperial=True) == 5_000
    assert exact_amount(Fraction(2), "tbsp", Kind.LIQUID, imperial=True) == 30_000


@pytest.mark.parametrize(
    ("unit", "pints"),
    [("qt", "imperial_quart"), ("pt", "imperial_pint"), ("cup", "imperial_cup"),
     ("fl oz", "imperial_fluid_ounce"), ("gal", "imperial_gallon")],
)  # fmt: skip
def test_imperial_sizes_are_exactly_pints(unit: str, pints: str) -> None:
    assert exact_amount(Fraction(1), unit, Kind.LIQUID, imperial=True) == by_pint(
        pints, "microliter"
    )


def test_a_part_of_a_gallon_is_shown_back_in_ounces() -> None:
    """128 fluid ounces to the gallon (NIST Handbook 44); an eighth of one is not said shortly."""
    assert units.shown_back(3_697, Kind.LIQUID) == "3.697 mL"
    assert units.shown_back(base_amount(Fraction(1, 10), "gal", Kind.LIQUID), Kind.LIQUID) == (
        "12.8 fl oz"
    )


def test_a_fifth_of_an_ounce_of_paste_is_not_shown_back_in_hundredths_of_a_gram() -> None:
    """5.67 g: an ounce is 28.349 523 125 g (NIST Handbook 44)."""
    assert units.shown_back(5_670, Kind.PASTE) == "0.2 oz"


def test_pieces_stand_on_the_shelf_whole_and_ounces_in_tenths() -> None:
    assert units.stock_decimals("roll", Kind.PIECE) == 0
    for kind, whole, tenths, hundredths in (
        (Kind.LIQUID, "mL", "oz", "L"), (Kind.PASTE, "g", "oz", "kg"),
    ):  # fmt: skip
        decimals = [units.stock_decimals(one, kind) for one in (whole, tenths, hundredths)]
        assert decimals == [0, 1, 2]


def test_what_no_unit_says_shortly_is_shown_in_the_smallest_of_its_sort() -> None:
    assert units.shown_back(123_457, Kind.PASTE) == "123.457 g"
    assert units.shown_back(1_234_567, Kind.LIQUID) == "1,234.567 mL"
    assert units.shown_back(1_500, Kind.PIECE) == "1.5"


@pytest.mark.parametrize(
    ("amount", "kind", "text"),
    [
        (99_960, Kind.LIQUID, "100 mL"), (99_900, Kind.LIQUID, "99.9 mL"),
        (100_400, Kind.LIQUID, "100 mL"), (9_990, Kind.LIQUID, "9.99 mL"),
        (10_040, Kind.LIQUID, "10 mL"), (9_999_999, Kind.LIQUID, "10,000 mL"),
        (10_000_000, Kind.LIQUID, "10 L"), (10_000_000, Kind.PASTE, "10 kg"),
        (9_999_000, Kind.PASTE, "9,999 g"), (1_500, Kind.PIECE, "1.5 pieces"),
        (-1_000, Kind.PIECE, "−1 piece"), (0, Kind.PIECE, "0 pieces"),
    ],
)  # fmt: skip
def test_three_figures_at_the_edges(amount: int, kind: Kind, text: str) -> None:
    assert sentence_amount(amount, kind, System.METRIC) == text


@pytest.mark.parametrize(
    ("amount", "shown_number"),
    [(29_574, "1.0"), (29_278, "0.99"), (99_940, "3.4"), (-29_278, "−0.99"), (59, "0.002")],
)
def test_an_ounce_has_one_decimal_and_below_one_two(amount: int, shown_number: str) -> None:
    assert shown(amount, Kind.LIQUID, System.US)[0] == shown_number


@pytest.mark.parametrize(("amount", "text"), [(99_940, "99.9"), (100_000, "100"), (100_600, "101")])
def test_from_a_hundred_on_a_table_shows_no_decimals(amount: int, text: str) -> None:
    assert shown(amount, Kind.LIQUID, System.METRIC)[0] == text


def test_the_most_that_one_entry_may_say() -> None:
    assert exact_amount(Fraction(10**12), "mL", Kind.LIQUID) == units.LARGEST
    with pytest.raises(Mendable, match="too much"):
        exact_amount(Fraction(10**15 + 1), "uL", Kind.LIQUID)
    with pytest.raises(Mendable, match="too much"):
        exact_amount(-Fraction(10**15 + 1), "uL", Kind.LIQUID)


def test_an_eighth_of_an_imperial_ounce_is_shown_back_in_millilitres() -> None:
    """1.125 imperial fluid ounces of 28.413 062 5 mL; hundredths of one are the shortest said."""
    assert units.shown_back(31_965, Kind.LIQUID) == "31.965 mL"
    assert units.shown_back(round(units.US_FLUID_OUNCE * Fraction(9, 8)), Kind.LIQUID) == "33.27 mL"
    assert units.shown_back(round(Fraction("28413.0625") * 7 / 4), Kind.LIQUID) == "1.75 imp fl oz"


@pytest.mark.parametrize(("unit", "name", "sort", "metric"), [
    ("ML", "mL", "liquid", True), ("fl. oz.", "fl oz", "liquid", False), ("Oz", "oz", "", False),
    ("wt-oz", "wt oz", "paste", False), ("kilos", "kg", "paste", True), ("#", "lb", "paste", False),
    ("imp. gallons", "gal", "liquid", False), ("boxes", "pc", "piece", False),
    ("sponges", "pc", "piece", False), ("brushes", "pc", "piece", False),
    ("bus", None, "", False), ("Rolls", "pc", "piece", False), ("glass", None, "", False),
    ("pairs", "pc", "piece", False), ("hours", None, "", False), ("", None, "", False),
])  # fmt: skip
def test_a_unit_has_one_name_a_sort_and_a_system(
    unit: str, name: str | None, sort: str, metric: bool
) -> None:
    assert units.unit_named(unit) == name
    assert units.sort_of(unit) == sort
    assert units.is_metric(unit) is metric


def test_pairs_and_dozens_keep_their_names_where_pieces_are_counted() -> None:
    words = ("pair", "pares", "doz", "roll", "gal", "hours")
    assert [units.counted_unit(one) for one in words] == ["pair", "pair", "dozen", "pc", "gal", ""]
    assert [units.several(units.counted_unit(one)) for one in words] == [2, 2, 12, 1, 1, 1]


@pytest.mark.parametrize(("number", "unit", "words"), [
    ("1", "roll", "roll"), ("2", "roll", "rolls"), ("1", "pc", "piece"), ("41", "each", "pieces"),
    ("0.5", "", "pieces"), ("1,000", "gloves", "gloves"),
    ("1", "box", "box"), ("3", "box", "boxes"),
    (f"{units.MINUS}1", "load", "load"),
])  # fmt: skip
def test_pieces_are_said_in_the_supplys_own_word(number: str, unit: str, words: str) -> None:
    assert units.pieces_word(number, unit) == words
    assert units.own_word(unit) == (unit not in ("pc", "each", ""))
