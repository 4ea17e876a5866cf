"""Uses as people type them; how they are said is common practice, no source."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.entries import EntrySetting, UseEntry, far_off, read_use
from app.calculations.numbers.units import US_FLUID_OUNCE, US_GALLON, Kind, System, base_amount
from app.errors import Mendable

OUNCE = US_FLUID_OUNCE
QUART = round(US_GALLON / 4)

RINSELESS = EntrySetting(
    kind=Kind.LIQUID,
    system=System.US,
    bottle=QUART,
    dilution_parts=Fraction(256),
    on_hand=round(64 * OUNCE),
)
WIPE = EntrySetting(kind=Kind.LIQUID, system=System.METRIC, density_mg_per_ml=800, on_hand=500_000)
POLISH = EntrySetting(kind=Kind.PASTE, system=System.US, last_weight_mg=483_000, on_hand=800_000)
PADS = EntrySetting(kind=Kind.PIECE, system=System.US, on_hand=9_000)
LOADS = EntrySetting(kind=Kind.PIECE, system=System.US, default_unit="load")


@pytest.mark.parametrize(
    ("typed", "ounces"),
    [
        ("2oz", 2), ("2 oz", 2), ("2 fl oz", 2), ("2 fl. oz.", 2), ("60", 60), ("1 1/2", 1.5),
        ("1½ oz", 1.5), ("1,5oz", 1.5), ("2 and a half oz", 2.5), ("1/4 gal", 32), ("1 qt", 32),
        ("1/4 bottle", 8), ("1/4 of a bottle", 8), ("half bottle", 16), ("half a bottle", 16),
        ("a half bottle", 16), ("three quarters of a bottle", 24), ("2 bottles", 64),
        ("one bottle", 32), ("a full bottle", 32), ("2 oz used", 2), ("2 oz of product", 2),
        ("2 oz of concentrate", 2),
        ("used 2 oz", 2), ("about 2 oz", 2), ("~2 oz", 2), ("two", 2),
        ("0", 0), ("-", 0), ("0 oz", 0), ("none", 0), ("not used", 0),
    ],
)  # fmt: skip
def test_a_liquid_is_typed_in_ounces_and_bottles(typed: str, ounces: float) -> None:
    entry = read_use(typed, RINSELESS)
    assert entry.amount == pytest.approx(float(ounces * OUNCE), abs=1)
    assert entry.typed == typed
    assert entry.left is None
    assert entry.weight_mg is None


def test_four_gallons_mixed_hold_two_ounces_of_product() -> None:
    """512 fl oz in 257 parts: 1.992 fl oz, by pint."""
    entry = read_use("4 gal mixed", RINSELESS)
    registry = pint.UnitRegistry(non_int_type=Fraction)
    product = registry.Quantity(Fraction(4), "gallon").to("microliter").magnitude / 257
    assert entry.amount == round(product)
    assert entry.meaning == "4 gal mixed at 1 to 256 took 1.99 fl oz of product"


def test_a_gallon_in_a_british_shop_is_the_imperial_one() -> None:
    """4.546 09 L (Units of Measurement Regulations 1995); mixed 1 to 256 it holds 17.69 mL."""
    british = replace(RINSELESS, system=System.METRIC, imperial=True)
    assert read_use("1 gal", british).amount == 4_546_090
    assert read_use("1 gal mixed", british).amount == round(Fraction(4_546_090, 257))
    assert read_use("1 US gal", british).amount == round(US_GALLON)


def test_sums_and_cups_are_typed_as_they_are_said() -> None:
    assert read_use("1 lb 8 oz", POLISH).meaning == "1 lb 8 oz came to 680 g"
    assert read_use("2 gal 16 oz", RINSELESS).amount == round(272 * OUNCE)
    assert read_use("1 cup", RINSELESS).amount == round(8 * OUNCE)
    assert read_use("1 pair", PADS).amount == 2_000
    assert read_use("1 lb 8 oz now", replace(POLISH, last_weight_mg=700_000)).weight_mg == 680_389


def test_a_range_is_asked_about() -> None:
    with pytest.raises(Mendable, match="range"):
        read_use("20-30 ml", WIPE)


def test_bottles_filled_are_filled_with_mix() -> None:
    entry = read_use("2 bottles filled", replace(RINSELESS, dilution_parts=Fraction(10)))
    assert entry.amount == round(64 * OUNCE / 11)
    assert entry.meaning == "2 bottles filled at 1 to 10 took 5.82 fl oz of product"
    assert read_use("2 filled", RINSELESS).amount == read_use("2 bottles filled", RINSELESS).amount


def test_bottles_of_an_undiluted_product_are_filled_with_it() -> None:
    entry = read_use("2 bottles filled", replace(RINSELESS, dilution_parts=None))
    assert entry.amount == 2 * QUART
    assert entry.meaning == "2 bottles filled undiluted took 64 fl oz of product"


def test_another_dilution_can_be_said_in_the_entry() -> None:
    entry = read_use("32 oz mixed at 1 to 10", RINSELESS)
    assert entry.amount == round(32 * OUNCE / 11)
    assert read_use("32 oz at 1:10", RINSELESS).amount == entry.amount
    assert read_use("1 bottle at 1 to 10", replace(RINSELESS, dilution_parts=None)).amount == (
        entry.amount
    )


def test_product_put_into_water_is_more_than_product_in_the_mix() -> None:
    entry = read_use("1 gal water", replace(RINSELESS, dilution_parts=Fraction(4)))
    assert entry.amount == round(32 * OUNCE)
    assert entry.meaning == "1 gal of water at 1 to 4 took 32 fl oz of product"


def test_grams_of_a_liquid_go_through_its_density() -> None:
    entry = read_use("71g", WIPE)
    assert entry.amount == 88_750
    assert entry.meaning == "71 g at 0.8 g per mL came to 88.8 mL"


def test_another_unit_is_said_in_the_shops_own() -> None:
    assert read_use("60 ml", RINSELESS).meaning == "60 ml came to 2.03 fl oz"
    assert read_use("2oz", RINSELESS).meaning == "2 fl oz used"
    assert read_use("2 oz", POLISH).meaning == "2 oz came to 56.7 g"
    assert read_use("45", WIPE).meaning == "45 mL used"
    assert read_use("4", PADS).meaning == "4 pieces used"
    assert read_use("-", PADS).meaning == "Not used"


def test_the_tub_on_the_scale_is_compared_with_last_time() -> None:
    for typed in ("412g left", "412 g now", "412 left", "now 412 g", "412 g remaining"):
        entry = read_use(typed, POLISH)
        assert entry.amount == 71_000
        assert entry.weight_mg == 412_000
        assert entry.left is None
        assert entry.meaning == "412 g now, 483 g last time, so 71 g used"


def test_with_a_tare_the_scale_also_says_what_is_left() -> None:
    entry = read_use("412g left", replace(POLISH, tare_mg=60_000))
    assert (entry.amount, entry.left, entry.weight_mg) == (71_000, 352_000, 412_000)


def test_never_weighed_before_the_tare_and_the_shelf_tell() -> None:
    setting = EntrySetting(
        kind=Kind.LIQUID,
        system=System.METRIC,
        density_mg_per_ml=800,
        tare_mg=52_000,
        on_hand=500_000,
    )
    entry = read_use("412 g now", setting)
    assert entry.left == 450_000
    assert entry.amount == 50_000
    assert entry.meaning == (
        "412 g now with 52 g of container leaves 450 mL of 500 mL, so 50 mL used"
    )


def test_a_first_weight_without_tare_says_what_is_missing() -> None:
    with pytest.raises(Mendable, match="earlier weight"):
        read_use("412g left", replace(POLISH, last_weight_mg=None))
    with pytest.raises(Mendable, match="earlier weight"):
        read_use("412g left", EntrySetting(kind=Kind.PASTE, system=System.US, tare_mg=10_000))


def test_an_impossible_weight_is_explained() -> None:
    with pytest.raises(Mendable, match="more than last time"):
        read_use("500 g now", POLISH)
    with pytest.raises(Mendable, match="empty container"):
        read_use("30 g now", replace(POLISH, tare_mg=60_000))


def test_what_is_left_in_volume_is_taken_from_what_was_on_hand() -> None:
    entry = read_use("300 ml left", WIPE)
    assert (entry.amount, entry.left, entry.weight_mg) == (200_000, 300_000, None)
    assert entry.meaning == "300 mL left of 500 mL, so 200 mL used"
    assert read_use("1/4 bottle left", RINSELESS).left == base_amount(
        Fraction(8), "oz", Kind.LIQUID
    )
    assert read_use("5 left", PADS).amount == 4_000


def test_more_left_than_there_was_sends_to_a_count() -> None:
    with pytest.raises(Mendable, match="count it"):
        read_use("600 ml left", WIPE)
    with pytest.raises(Mendable, match="on hand"):
        read_use("300 ml left", replace(WIPE, on_hand=None))


def test_loads_are_counted_only_where_the_supply_is_counted_in_loads() -> None:
    assert read_use("2 loads", LOADS) == UseEntry(2_000, "2 loads", "2 loads used")
    assert read_use("2", LOADS).amount == 2_000
    assert read_use("1 load", LOADS).meaning == "1 load used"
    with pytest.raises(Mendable, match="loads"):
        read_use("2 loads", PADS)
    rolls = replace(LOADS, default_unit="roll")
    assert read_use("2 rolls", rolls) == UseEntry(2_000, "2 rolls", "2 rolls used")
    with pytest.raises(Mendable, match="counted by the load"):
        read_use("2 rolls", LOADS)


@pytest.mark.parametrize("setting", [RINSELESS, WIPE, POLISH, PADS, LOADS])
@pytest.mark.parametrize(
    "typed",
    ["", " ", "abc", "-3", "-1/2", "2 foo", "2oz 3", "1/0 oz", "4 mixed", "1 oz left mixed",
     "1:10", "9" * 90, "1e3 g", "oz", "½½", "2 oz left at 1 to 10"],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_in_one_sentence(typed: str, setting: EntrySetting) -> None:
    with pytest.raises(Mendable) as refused:
        read_use(typed, setting)
    assert refused.value.sentence.endswith(".")
    assert len(refused.value.sentence) < 200


def test_what_must_be_known_first_is_named() -> None:
    bare = EntrySetting(kind=Kind.LIQUID, system=System.US)
    with pytest.raises(Mendable, match="size of its bottle"):
        read_use("1/4 bottle", bare)
    with pytest.raises(Mendable, match="dilution is not known"):
        read_use("4 gal mixed", bare)
    with pytest.raises(Mendable, match="Only a liquid"):
        read_use("4 oz mixed", POLISH)


SETTINGS = st.builds(
    EntrySetting,
    kind=st.sampled_from(Kind),
    system=st.sampled_from(System),
    density_mg_per_ml=st.integers(1, 3000),
    default_unit=st.none() | st.sampled_from(["oz", "mL", "g", "pc", "load", "roll"]),
    bottle=st.none() | st.integers(1, 10**7),
    dilution_parts=st.none() | st.fractions(0, 1000, max_denominator=1000),
    tare_mg=st.none() | st.integers(0, 10**6),
    last_weight_mg=st.none() | st.integers(0, 10**7),
    on_hand=st.none() | st.integers(-(10**7), 10**8),
)
SAID = """
1 2 1/2 ½ 1,5 412 -3 half a an quarter two oz fl ml g gal bottle bottles tub left now mixed filled
water of at to : 1:10 at_1_to_10 used neat loads rolls - . and about
"""
WORDS = st.lists(st.sampled_from(SAID.split()), max_size=6).map(
    lambda words: " ".join(words).replace("_", " ")
)


@given(WORDS | st.text(max_size=90), SETTINGS)
def test_any_text_is_a_use_of_nothing_less_than_zero_or_refused(
    text: str, setting: EntrySetting
) -> None:
    with suppress(Mendable):
        entry = read_use(text, setting)
        assert entry.amount >= 0
        assert entry.meaning
        assert not entry.meaning.endswith(".")


@given(st.integers(0, 10**9), st.sampled_from(System))
def test_bare_milligrams_and_millilitres_round_trip(amount: int, system: System) -> None:
    paste = EntrySetting(kind=Kind.PASTE, system=system)
    liquid = EntrySetting(kind=Kind.LIQUID, system=system)
    assert read_use(f"{amount} mg", paste).amount == amount
    assert read_use(f"{amount}ml", liquid).amount == amount * 1000


@given(st.integers(1, 10**6), st.integers(0, 10**6), st.integers(1, 3000))
def test_weighing_down_in_steps_uses_what_weighing_once_does(
    first: int, second: int, density: int
) -> None:
    """Two weighings of a paste add up exactly to one over both."""
    start = first + second
    setting = EntrySetting(
        kind=Kind.PASTE, system=System.US, density_mg_per_ml=density, last_weight_mg=start * 1000
    )
    one = read_use(f"{second} g now", setting)
    again = read_use("0 g now", replace(setting, last_weight_mg=one.weight_mg))
    assert one.amount + again.amount == read_use("0 g now", setting).amount == start * 1000


@pytest.mark.parametrize(
    ("amount", "usual", "asked"),
    [
        (65, 4, True), (12, 4, True), (11, 4, False), (4, 4, False), (2, 4, False), (1, 3, True),
        (1, 4, True), (0, 4, False), (4, 0, False), (-1, 4, False),
    ],
)  # fmt: skip
def test_three_times_off_the_usual_is_worth_asking(amount: int, usual: int, asked: bool) -> None:
    assert (far_off(amount, usual, "usual", str) != "") is asked


def test_gallons_typed_for_ounces_are_worth_asking() -> None:
    usual = read_use("2 oz", RINSELESS).amount
    assert far_off(read_use("2 gal", RINSELESS).amount, usual, "usual", str)
    typed, meant = read_use("28 oz", POLISH).amount, read_use("28 g", POLISH).amount
    assert "more than three times the usual" in far_off(typed, meant, "usual", str)


def test_a_container_that_weighs_what_it_weighs_empty_holds_nothing() -> None:
    tub = replace(POLISH, tare_mg=412_000, last_weight_mg=None, on_hand=50_000)
    entry = read_use("412 g now", tub)
    assert (entry.amount, entry.left, entry.weight_mg) == (50_000, 0, 412_000)
    with pytest.raises(Mendable, match="less than the empty container"):
        read_use("411.9 g now", tub)


def test_a_weight_as_last_time_is_no_use_and_a_gram_more_is_asked_about() -> None:
    assert read_use("483 g now", POLISH).amount == 0
    with pytest.raises(Mendable, match="more than last time"):
        read_use("483.1 g now", POLISH)


def test_all_that_the_book_has_may_be_left_and_no_more() -> None:
    assert read_use("500 ml left", WIPE).amount == 0
    with pytest.raises(Mendable, match="the book has only"):
        read_use("500.1 ml left", WIPE)


def test_a_part_of_a_bottle_is_said_without_a_density() -> None:
    assert read_use("1/4 bottle", RINSELESS).meaning == "1/4 bottle came to 8 fl oz"
