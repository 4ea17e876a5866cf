"""Amounts as people and shelf lists have them, in exact base units.

Sizes follow by definition: the US fluid ounce is 29.5735295625 mL, the gallon 3785.411784 mL, the
avoirdupois ounce 28.349523125 g (NIST Handbook 44, Appendix C).
"""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.amounts import Amount, base_of, read_amount, unit_of
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.wording import word_set
from app.errors import Mendable

FL_OZ = Fraction("29573.5295625")
GALLON = 128 * FL_OZ
EXACT = pint.UnitRegistry(non_int_type=Fraction)


def base(text: str, kind: str = "liquid", **more: object) -> int:
    """What a text says in base units."""
    return base_of(read_amount(text), kind, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "microlitres"),
    [
        ("16 fl oz", 16 * FL_OZ), ("16oz", 16 * FL_OZ), ("16 fl. oz.", 16 * FL_OZ),
        ("1 gal", GALLON),
        ("1 Gallon", GALLON), ("half gallon", GALLON / 2), ("1/2 gal", GALLON / 2),
        ("1 1/2 gal", GALLON * 3 / 2), ("1½ gal", GALLON * 3 / 2),
        ("1 and a half gal", GALLON * 3 / 2),
        ("500ml", 500_000), ("500 mL", 500_000), ("0,5 l", 500_000), ("0.5 L", 500_000),
        ("1 qt", GALLON / 4), ("1 pt", GALLON / 8), ("3 x 32oz", 96 * FL_OZ),
        ("3 × 32 oz", 96 * FL_OZ),
        ("32 oz x 3", 96 * FL_OZ), ("3 of 32 oz", 96 * FL_OZ), ("3 bottles of 32 oz", 96 * FL_OZ),
        ("3 (32oz) bottles", 96 * FL_OZ), ("3 - 32 oz bottles", 96 * FL_OZ),
        ("2 x 1 gal jugs", 2 * GALLON), ("2 1-gal jugs", 2 * GALLON), ("4/1 gal", 4 * GALLON),
        ("6/32 oz", 192 * FL_OZ), ("32 oz (946 ml)", 32 * FL_OZ),
        ("2 gal + 16 oz", 2 * GALLON + 16 * FL_OZ),
        ("approx 20 oz", 20 * FL_OZ), ("~0.75 gal", GALLON * 3 / 4), ("20 oz left", 20 * FL_OZ),
        ("two gallons", 2 * GALLON), ("2 cases of 4 x 1 gal", 8 * GALLON), ("1,200 ml", 1_200_000),
        ("1 500 ml", 1_500_000), ("0", 0), ("16 oz spray bottle", 16 * FL_OZ),
        ("2 500 ml bottles", 1_000_000), (".5 gal", GALLON / 2),
        ("1 gal, , .25 gal", GALLON * 5 / 4),
    ],
)  # fmt: skip
def test_volumes_as_people_write_them(text: str, microlitres: Fraction | int) -> None:
    assert base(text) == half_away(Fraction(microlitres))


@pytest.mark.parametrize(
    ("text", "milligrams"),
    [("8 oz", 8 * Fraction("28349.523125")), ("200 g", 200_000), ("1 kg", 1_000_000),
     ("1 lb", 16 * Fraction("28349.523125")), ("8 oz tin", 8 * Fraction("28349.523125"))],
)  # fmt: skip
def test_an_ounce_of_a_paste_is_a_weight(text: str, milligrams: Fraction | int) -> None:
    assert base(text, "paste") == half_away(Fraction(milligrams))


@pytest.mark.parametrize(
    ("text", "pieces"),
    [("40", 40), ("100 ct", 100), ("box of 50", 50), ("3 boxes of 100", 300), ("100 per box", 100),
     ("2 x 100 pcs", 200), ("12 ea", 12), ("50 Stück", 50)],
)  # fmt: skip
def test_pieces_are_counted_in_thousandths(text: str, pieces: int) -> None:
    assert base(text, "piece") == pieces * 1000


@pytest.mark.parametrize(
    ("text", "packs"),
    [("3 bottles", 3), ("1/2", Fraction(1, 2)), ("half", Fraction(1, 2)),
     ("1 1/2", Fraction(3, 2)), ("2", 2),
     ("3/4 bottle", Fraction(3, 4)), ("50%", Fraction(1, 2)), ("2 full", 2)],
)  # fmt: skip
def test_containers_count_as_many_packs(text: str, packs: Fraction | int) -> None:
    assert base(text, pack=946_353) == half_away(Fraction(packs) * 946_353)


def test_a_liquid_in_grams_goes_by_its_density() -> None:
    assert base("850 g", "liquid", density=850) == 1_000_000


def test_a_box_of_so_many_holds_them_whatever_the_pack() -> None:
    assert base("box of 40", "piece", pack=50_000) == 40_000


def test_imperial_gallons_are_read_by_the_setting() -> None:
    # 4.546 09 L exactly (UK Units of Measurement Regulations 1995).
    assert base("1 gal", "liquid", imperial=True) == 4_546_090


@pytest.mark.parametrize(
    ("text", "imperial_ounces"),
    [("1 imp gal", 160), ("1 imperial gallon", 160), ("16 imp fl oz", 16), ("2 UK pints", 40),
     ("1 imp gal 8 oz", 168)],
)  # fmt: skip
def test_imperial_words_are_heard_in_any_shop(text: str, imperial_ounces: int) -> None:
    """The imperial fluid ounce is 28.413 062 5 mL, the gallon 160 of them (HB 44, Appendix C)."""
    imperial = text != "1 imp gal 8 oz"
    told = EXACT.Quantity(Fraction(imperial_ounces), "imperial_fluid_ounce").to("microliter")
    assert (base(text) == half_away(Fraction(told.magnitude))) is imperial
    assert base(text, imperial=True) == half_away(Fraction(told.magnitude))


def test_us_units_are_heard_in_a_british_shop() -> None:
    assert base("1 US gal", imperial=True) == base("1 U.S. gal", imperial=True) == base("1 gal")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("2 gal 16 oz", [(2, "gallon"), (16, "fluid_ounce")]),
        ("2 gal, 16 fl oz", [(2, "gallon"), (16, "fluid_ounce")]),
        ("1 gal 1 qt 1 pt", [(1, "gallon"), (1, "quart"), (1, "pint")]),
        ("1 L 500 ml", [(1, "liter"), (500, "milliliter")]),
        ("1 L and 300 ml", [(1, "liter"), (300, "milliliter")]),
        ("1 cup", [(1, "cup")]), ("1 cup 2 tbsp", [(1, "cup"), (2, "tablespoon")]),
        ("1 gal + 128 oz", [(2, "gallon")]),
    ],
)  # fmt: skip
def test_volumes_that_follow_each_other_add_up(text: str, parts: list[tuple[int, str]]) -> None:
    told = sum(EXACT.Quantity(Fraction(n), u).to("microliter").magnitude for n, u in parts)
    assert base(text) == half_away(Fraction(told))


@pytest.mark.parametrize(
    ("text", "ounces"), [("1 lb 8 oz", 24), ("5 lb 4 oz", 84), ("1 lb and 8 oz", 24)]
)
def test_pounds_and_ounces_add_up_and_the_ounces_are_weights(text: str, ounces: int) -> None:
    told = EXACT.Quantity(Fraction(ounces), "ounce").to("milligram").magnitude
    assert base(text, "paste") == half_away(Fraction(told))
    # Of a liquid at 1 g/mL the same, a milligram being a microlitre: no fluid ounce creeps in.
    assert base(text, "liquid") == half_away(Fraction(told))


@pytest.mark.parametrize(
    "text",
    ["20-30 ml", "20 - 30 ml", "20 to 30 ml", "20–30 ml", "between 20 and 30 ml", "2-3 bottles",
     "20 ml - 30 ml", "2 or 3 oz"],
)  # fmt: skip
def test_a_range_is_asked_about(text: str) -> None:
    with pytest.raises(Mendable, match="range"):
        read_amount(text)


@pytest.mark.parametrize(
    "text",
    ["1e3 ml", "2 firkins", "1 lb less 2 oz", "16 fl blub", "some oz", "2 gal short",
     "32 oz 500 ml", "16 oz 2 gal", "3 32 oz", "<1 gal", "2 bottles empty", "lots", "-3 oz",
     "", "1 2"],
)  # fmt: skip
def test_what_is_not_understood_is_asked_about_in_one_sentence(text: str) -> None:
    with pytest.raises(Mendable) as asked:
        base(text)
    assert asked.value.sentence.endswith(".")


@pytest.mark.parametrize("text", ["2 gal lead", "12 ea", "3 bottles", "3", "9" * 30 + " gal"])
def test_what_is_no_amount_of_a_liquid_is_refused(text: str) -> None:
    with pytest.raises(Mendable):
        base(text)


def test_a_pair_is_two_pieces() -> None:
    assert base("1 pair", "piece") == 2000
    assert base("2 dozen", "piece") == 24_000
    assert base("3 boxes of 50 pairs", "piece") == 300_000


@pytest.mark.parametrize(
    ("text", "pieces"),
    [("2 pair x 1 dozen", 48), ("2 dozen pairs", 48), ("1 doz pairs", 24), ("1 dozen x 3", 36),
     ("10 pairs (20)", 20), ("2 dozen (24 pcs)", 24), ("3 boxes (50)", 150)],
)  # fmt: skip
def test_dozens_of_pairs_and_what_is_said_twice(text: str, pieces: int) -> None:
    assert base(text, "piece") == pieces * 1000


@pytest.mark.parametrize(
    "text",
    ["12 (6 open)", "10 pairs (30)", "2 pair x 3 pair", "12 pcs (2 dozen)", "12 pc (13 pieces)"],
)
def test_pieces_that_do_not_go_together_are_asked_about(text: str) -> None:
    with pytest.raises(Mendable, match="no amount that can be read"):
        read_amount(text)


@pytest.mark.parametrize(
    ("text", "pieces"),
    [("2 boxes + 7", 107), ("2 boxes and 7", 107), ("2 boxes, 7 loose", 107),
     ("2 packs of 10 + 3", 23), ("3", 150)],
)  # fmt: skip
def test_a_bare_number_beside_packs_counts_loose_pieces(text: str, pieces: int) -> None:
    assert base(text, "piece", pack=50_000) == pieces * 1000


@pytest.mark.parametrize(
    ("text", "millilitres"),
    [("4 bottles", 2000), ("1 case", 6000), ("1 case + 3 bottles", 7500), ("2", 12_000),
     ("half a bottle", 250), ("50%", 3000), ("2 cases of 12 x 500 ml", 12_000)],
)  # fmt: skip
def test_a_bottle_of_a_case_is_not_the_case(text: str, millilitres: int) -> None:
    assert base(text, pack=6_000_000, bottle=500_000) == millilitres * 1000


@pytest.mark.parametrize(
    ("text", "kind"),
    [("32 oz", ""), ("1 gal", "liquid"), ("500 ml", "liquid"), ("200 g", "paste"), ("100 ct",
     "piece"), ("3", "")],
)  # fmt: skip
def test_the_unit_tells_the_kind_of_supply_and_an_ounce_leaves_it_open(
    text: str, kind: str
) -> None:
    assert read_amount(text).kind == kind


def test_words_of_a_unit_column_are_known() -> None:
    assert [unit_of(word) for word in ("Gallons", "fl. oz.", "each", "bottle", "per liter",
    "moon")] == [
        "gal", "fl oz", "pc", "container", "L", "",
    ]  # fmt: skip


WORDS = "1 20 1/2 ½ 3,5 - to x of and + gal oz lb ml g imp us cup pair bottle box ( ) e3 lots"


@given(
    st.text(max_size=90)
    | st.lists(st.sampled_from(sorted(word_set(WORDS))), max_size=7).map(" ".join)
)
def test_any_text_is_an_amount_of_nothing_less_than_zero_or_asked_about(text: str) -> None:
    with suppress(Mendable):
        assert base(text, pack=1000) >= 0


@given(
    st.lists(st.integers(1, 50), min_size=2, max_size=3),
    st.sampled_from([("gal", "qt", "oz"), ("L", "dl", "ml"), ("imp gal", "imp pt", "imp oz")]),
)
def test_a_sum_is_the_sum_of_its_parts(numbers: list[int], names: tuple[str, ...]) -> None:
    parts = [f"{number} {name}" for number, name in zip(numbers, names, strict=False)]
    with_plus = base(" + ".join(parts))
    assert abs(with_plus - sum(base(part) for part in parts)) <= len(parts)
    with suppress(Mendable):  # said twice ("1 gal 4 qt") counts once
        assert base(" ".join(parts)) in (with_plus, base(parts[0]))


@given(
    number=st.fractions(min_value=0, max_value=500, max_denominator=1000),
    unit=st.sampled_from(["gal", "qt", "pt", "floz", "ml", "l"]),
)
def test_amounts_agree_with_an_independent_library_of_units(number: Fraction, unit: str) -> None:
    names = {"gal": "gallon", "qt": "quart", "pt": "pint", "floz": "fluid_ounce",
    "ml": "milliliter",
             "l": "liter"}  # fmt: skip
    decimal = f"{float(number):.3f}".rstrip("0").rstrip(".")  # 1.500 ml is asked about
    told = EXACT.Quantity(Fraction(decimal), names[unit]).to("microliter").magnitude
    assert base(f"{decimal} {unit}") == half_away(Fraction(told))


@pytest.mark.parametrize("text", ["6x", "6 x", "x6", "3 *", "@ 2 oz"])
def test_times_nothing_is_no_amount(text):
    with pytest.raises(Mendable):
        read_amount(text)


@pytest.mark.parametrize(
    ("text", "question"),
    [("1.000 ml", "can be 1000 or 1 mL"), ("2.500g", "can be 2500 or 2.5 g"),
     ("3 x 1.000 ml", "can be 1000 or 1 mL"), ("250 (2 boxes)", "in all or in each"),
     ("250 pcs (2 boxes)", "in all or in each"), ("32 oz (2 bottles)", "in all or in each")],
)  # fmt: skip
def test_what_can_be_two_amounts_is_asked_about(text: str, question: str) -> None:
    with pytest.raises(Mendable, match=question):
        read_amount(text)


def test_what_can_be_one_amount_alone_is_not_asked_about() -> None:
    assert base_of(read_amount("1.000 ml", "point"), "liquid") == 1_000
    assert base("1.125 gal") == base("9 pt")
    assert base("0.500 ml") == 500
    assert base("250 (1 box)", "piece") == base("2 boxes (125)", "piece") == 250_000
    assert read_amount("~2 bottles").count == 2


def test_a_column_with_commas_for_decimals_takes_points_for_thousands() -> None:
    assert base_of(read_amount("1.500 ml", "comma"), "liquid") == 1_500_000
    assert base_of(read_amount("1,5 ml", "comma"), "liquid") == 1_500
    assert base_of(read_amount("1.500,5 ml", "comma"), "liquid") == 1_500_500
    assert base_of(read_amount("15 ml", "comma"), "liquid") == 15_000


@pytest.mark.parametrize(
    ("text", "gallons"),
    [("4/4 gal", 1), ("4/1 gal", 4), ("1/4 gal", Fraction(1, 4)), ("2/1 gal", 2),
     ("3/8 gal", Fraction(3, 8)), ("5/8 gal", Fraction(5, 8)),
     ("7/8 gal", Fraction(7, 8)), ("2/16 gal", 32), ("2/17 gal", 34)],
)  # fmt: skip
def test_a_case_is_no_part_and_a_part_no_case(text: str, gallons: Fraction | int) -> None:
    """Cases as the trade writes them (4/1 gal); common practice, no source."""
    assert base(text) == half_away(gallons * GALLON)


def test_a_bare_number_is_all_that_was_counted() -> None:
    assert Amount(Fraction(3), Fraction(4)).number() == 12
    assert Amount(Fraction(3), Fraction(4)).bare_in("container").count == 12
    assert read_amount("3").number() == 3
    assert read_amount("3 oz").number() is None
    assert read_amount("3 bottles").number() is None


@pytest.mark.parametrize(("text", "packs"), [("3 ea", 3), ("2 dozen", 2), ("3 of 2", 6)])
def test_pieces_of_a_liquid_are_its_containers(text: str, packs: int) -> None:
    assert base(text, pack=946_353) == packs * 946_353


@pytest.mark.parametrize("text", ["32 oz (946 ml)", "1 L (1050 ml)", "1 L (950 ml)"])
def test_what_is_said_twice_may_differ_by_a_twentieth(text: str) -> None:
    assert base(text) == base(text.partition(" (")[0])


@pytest.mark.parametrize("text", ["1 L (1051 ml)", "1 L (949 ml)"])
def test_what_differs_by_more_is_asked_about(text: str) -> None:
    with pytest.raises(Mendable):
        base(text)


def test_an_amount_of_eighty_letters_is_read_and_one_of_eighty_one_is_not() -> None:
    assert base("2 oz" + " left" * 15 + ".") == half_away(2 * FL_OZ)
    with pytest.raises(Mendable):
        read_amount("2 oz" + " left" * 15 + "..")


@pytest.mark.parametrize(
    ("text", "pieces"),
    [("2 pc, 3 pc", 5), ("12 ct and 12 pcs", 24), ("12 pc (1 dozen)", 12),
     ("12 pcs (12 pieces)", 12), ("12 (1 dozen)", 12), ("24 pcs (1 dozen pairs)", 24)],
)  # fmt: skip
def test_pieces_that_follow_each_other_add_up(text: str, pieces: int) -> None:
    assert base(text, "piece") == pieces * 1000


@pytest.mark.parametrize(
    "text",
    ["250 (2 boxes + 50)", "250 pcs (2 boxes + 50 pcs)", "1.5 L (1 bottle and 500 ml)",
     "250 (2 x 100 + 50)"],
)  # fmt: skip
def test_an_amount_is_not_added_to_the_parts_that_make_it(text: str) -> None:
    with pytest.raises(Mendable, match="in brackets what it is made of; type one of the two"):
        read_amount(text)


@pytest.mark.parametrize(("text", "quarts"), [
    ("1 gal plus 4 qt", 8), ("1 gal + 4 qt", 8), ("1 gal 4 qt", 4), ("1 gal (4 qt)", 4),
    ("1 gal plus 1 qt", 5), ("1 gal 1 qt", 5),
])  # fmt: skip
def test_what_is_as_much_is_said_twice_but_where_it_is_added(text: str, quarts: int) -> None:
    """Four quarts to the gallon (NIST Handbook 44)."""
    assert base(text) == base(f"{quarts} qt")
