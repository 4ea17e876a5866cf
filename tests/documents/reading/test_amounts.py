"""Quantities and packs as shelf lists have them, in exact base units.

Sizes follow by definition: the US fluid ounce is 29.5735295625 mL, the gallon 3785.411784 mL, the
avoirdupois ounce 28.349523125 g (NIST Handbook 44, Appendix C).
"""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.rounding import half_away
from app.documents.reading.amounts import base_of, kind_of, read_amount, unit_of
from app.errors import Mendable

FL_OZ = Fraction("29573.5295625")
GALLON = 128 * FL_OZ
EXACT = pint.UnitRegistry(non_int_type=Fraction)


def base(text: object, kind: str = "liquid", **more: object) -> int:
    """What a cell says in base units."""
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
        ("empty", 0), ("none left", 0), ("0", 0),
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
     ("1 1/2", Fraction(3, 2)), (2, 2),
     ("3/4 bottle", Fraction(3, 4)), ("50%", Fraction(1, 2)), ("2 full", 2)],
)  # fmt: skip
def test_containers_count_as_many_packs(text: object, packs: Fraction | int) -> None:
    assert base(text, pack=946_353) == half_away(Fraction(packs) * 946_353)


def test_a_liquid_in_grams_goes_by_its_density() -> None:
    assert base("850 g", "liquid", density=850) == 1_000_000


def test_imperial_gallons_are_read_by_the_setting() -> None:
    # 4.546 09 L exactly (UK Units of Measurement Regulations 1995).
    assert base("1 gal", "liquid", gallons="imperial") == 4_546_090


@pytest.mark.parametrize(
    ("text", "kind"),
    [("3 bottles", "liquid"), ("3", "liquid"), ("lots", "liquid"), ("12 ea", "liquid"),
     ("-3 oz", "liquid"),
     ("5 oz", "piece"), ("9" * 30 + " gal", "liquid"), (True, "liquid")],
)  # fmt: skip
def test_what_cannot_be_an_amount_says_what_it_holds(text: object, kind: str) -> None:
    with pytest.raises(Mendable, match=r"^holds"):
        base(text, kind)


@pytest.mark.parametrize(
    ("text", "kind"),
    [("32 oz", ""), ("1 gal", "liquid"), ("500 ml", "liquid"), ("200 g", "paste"), ("100 ct",
     "piece"), ("3", "")],
)  # fmt: skip
def test_the_unit_tells_the_kind_of_supply_and_an_ounce_leaves_it_open(
    text: str, kind: str
) -> None:
    assert kind_of(read_amount(text)) == kind


def test_words_of_a_unit_column_are_known() -> None:
    assert [unit_of(word) for word in ("Gallons", "fl. oz.", "each", "bottle", "per liter",
    "moon")] == [
        "gal", "fl oz", "pcs", "container", "l", "",
    ]  # fmt: skip


@given(
    number=st.fractions(min_value=0, max_value=500, max_denominator=1000),
    unit=st.sampled_from(["gal", "qt", "pt", "floz", "ml", "l"]),
)
def test_amounts_agree_with_an_independent_library_of_units(number: Fraction, unit: str) -> None:
    names = {"gal": "gallon", "qt": "quart", "pt": "pint", "floz": "fluid_ounce",
    "ml": "milliliter",
             "l": "liter"}  # fmt: skip
    decimal = f"{float(number):.3f}"
    told = EXACT.Quantity(Fraction(decimal), names[unit]).to("microliter").magnitude
    assert base(f"{decimal} {unit}") == half_away(Fraction(told))
