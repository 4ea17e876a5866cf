"""Dilutions: parts water to one part product, as an exact Fraction.

"1 to 10" is one part product and ten parts water, eleven parts in all. Two questions are kept apart
by name: how much product is *in a finished mix* (finished / (parts + 1)) and how much is put *into
water* (water / parts); charts answer either one and differ by 25 % at 1 to 4.

All of this assumes ideal mixing, that volumes add up. Concentrated solutions shrink or swell by a
few percent; for cleaners at working strength that is below what a measuring cup shows.
"""

from __future__ import annotations

import re
from enum import StrEnum
from fractions import Fraction

from app.calculations.numbers.numerals import VULGAR, one_space, read_number
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.units import (
    Kind,
    System,
    default_unit,
    exact_amount,
    in_unit,
    is_mass,
    plain_number,
)
from app.errors import Mendable


class Reading(StrEnum):
    """How a bare ratio such as 10:1 is read; asked once per shop."""

    WATER_FIRST = "water_first"
    PRODUCT_FIRST = "product_first"
    ASK = "ask"


def _parts(parts: Fraction | int) -> Fraction:
    if parts < 0:
        raise Mendable("A dilution has no less than zero parts water; type one such as 1 to 10.")
    return Fraction(parts)


def product_in_finished(finished: int, parts: Fraction | int) -> int:
    """Product inside `finished` base units of ready mix, half away from zero.

    Undiluted product (`parts` 0) is all product.
    """
    return half_away(Fraction(finished) / (_parts(parts) + 1))


def product_into_water(water: int, parts: Fraction | int) -> int:
    """Product to put into `water` base units of water, half away from zero."""
    if _parts(parts) == 0:
        raise Mendable("An undiluted product takes no water; type a dilution such as 1 to 10.")
    return half_away(Fraction(water) / Fraction(parts))


def parts_from_into_water(product: Fraction | int, water: Fraction | int) -> Fraction:
    """Parts water to one part product when `product` goes into `water`."""
    if product <= 0 or water < 0:
        raise Mendable("A dilution needs some product; type one such as 1/2 oz per gal.")
    return Fraction(water) / Fraction(product)


def parts_from_finished(product: Fraction | int, finished: Fraction | int) -> Fraction:
    """Parts water to one part product when `product` is made up with water to `finished`."""
    if product <= 0:
        raise Mendable("A dilution needs some product; type one such as 2 oz to make 32 oz.")
    if product > finished:
        raise Mendable("There is more product than finished mix; change one of the two amounts.")
    return Fraction(finished) / Fraction(product) - 1


def parts_from_strengths(stock: Fraction | int, target: Fraction | int) -> Fraction:
    """Parts water to one part of a stock solution that give the target strength (same unit both).

    C1 V1 = C2 V2, so parts = stock / target - 1; 3.5 % down to 0.5 % is 1 to 6.
    """
    if stock <= 0 or target <= 0:
        raise Mendable("A strength must be above zero; type both strengths in percent.")
    if target > stock:
        raise Mendable("Water cannot make it stronger; the target must be below what is at hand.")
    return Fraction(stock) / Fraction(target) - 1


_NUMBER = rf"[0-9.,/ {VULGAR}\u2044]*[0-9{VULGAR}]"
_RATIO = re.compile(rf"({_NUMBER}) ?(:|to|/) ?({_NUMBER})")
_WORDED = re.compile(
    rf"({_NUMBER}) ?(?:parts?)? ?(?:of )?(water|product|concentrate) ?"
    rf"(?::|to|and|,|\+|in|into|with) ?({_NUMBER}) ?(?:parts?)? ?(?:of )?"
    r"(water|product|concentrate)"
)
_PART_WORDS = re.compile(r"\bparts?\b|\bratio\b|\bdilution\b|\bdiluted?\b|\bat\b")
_AMOUNTS = re.compile(
    rf"({_NUMBER}) ?([a-zµμ. ]+?) ?(/|\bper\b|\bto make\b|\bmakes\b|\binto\b|\bin\b) ?"
    rf"(?:an? )?({_NUMBER})? ?([a-z. ]+)"
)
_NEAT = frozenset(
    {"neat", "undiluted", "rtu", "ready to use", "as is", "straight", "full strength"}
)


def read_ratio(text: str, reading: Reading, *, imperial: bool = False) -> Fraction:
    """Parts water to one part product from what people write.

    * `1 to 10`: always one part product to ten parts water, as this program writes it.
    * `10 parts water to 1 part product`: as it says.
    * `10:1`, `1:10`, `10 to 1`: by `reading`. With ASK both meanings are said and it is refused. A
      reading that would give more product than water is refused too: it is nearly always a label
      written the other way round, and the words say it plainly where it is meant.
    * `1/2 oz per gal`, `15 mL/L`, `2 oz in 1 gal`: product added to that much water;
      `2 oz to make 32 oz`: product in that much finished mix.
    * `10 %`: one part in ten of the finished mix, so 1 to 9.
    * `neat`, `ready to use`: 0 parts water.

    `imperial` gallons and ounces are meant where they do not say so. Raises `Mendable` for anything
    else.
    """
    plain = one_space(text).casefold().strip(" .")
    if not plain or len(plain) > 80:
        raise Mendable("No dilution was typed; type one such as 1 to 10 or 1/2 oz per gal.")
    if plain in _NEAT:
        return Fraction(0)
    if plain.endswith("%"):
        percent = read_number(plain[:-1])
        if not 0 < percent <= 100:
            raise Mendable(f"“{plain}” is no strength of a mix; type one from 0.1 % to 100 %.")
        return parts_from_strengths(100, percent)
    worded = _WORDED.fullmatch(plain)
    if worded:
        first, second = _positive(worded[1], plain), _positive(worded[3], plain)
        if (worded[2] == "water") == (worded[4] == "water"):
            raise Mendable(f"“{plain}” must name water and product; type 10 water to 1 product.")
        return first / second if worded[2] == "water" else second / first
    ratio = _RATIO.fullmatch(one_space(_PART_WORDS.sub(" ", plain)))
    if ratio and ratio[2] != "/":
        return _bare(plain, ratio[2], ratio[1], ratio[3], reading)
    amounts = _AMOUNTS.fullmatch(plain)
    if amounts:
        if any(is_mass(amounts[unit], Kind.LIQUID) for unit in (2, 5)):
            raise Mendable(f"“{plain}” weighs a liquid; type one such as 1/2 oz per gal.")
        product, other = (
            exact_amount(_positive(number, plain), unit, Kind.LIQUID, imperial=imperial)
            for number, unit in ((amounts[1], amounts[2]), (amounts[4] or "1", amounts[5]))
        )
        if amounts[3] in ("to make", "makes"):
            return parts_from_finished(product, other)
        return parts_from_into_water(product, other)
    raise Mendable(f"“{plain}” is not a dilution; type one such as 1 to 10 or 1/2 oz per gal.")


def _positive(text: str, whole: str) -> Fraction:
    number = read_number(text)
    if number <= 0:
        raise Mendable(f"“{whole}” has a zero in it; type “neat” for a product used undiluted.")
    return number


def _bare(plain: str, sign: str, left: str, right: str, reading: Reading) -> Fraction:
    first, second = _positive(left, plain), _positive(right, plain)
    if sign == "to" and first == 1:
        return second
    if first == second:
        return Fraction(1)
    low, high = (plain_number(n, 3) for n in sorted((first, second)))
    meanings = (
        f"{high} parts water to {low} product (type “{low} to {high}”) "
        f"or {high} parts product to {low} water (type “{high} product to {low} water”)"
        if low == "1"
        else f"{high} parts water to {low} product or {high} parts product to {low} water "
        f"(type “{high} water to {low} product” or “{high} product to {low} water”)"
    )
    if reading is Reading.ASK:
        raise Mendable(f"“{plain}” can mean {meanings}.")
    parts = first / second if reading is Reading.WATER_FIRST else second / first
    if parts < 1:
        way = "water first" if reading is Reading.WATER_FIRST else "product first"
        raise Mendable(
            f"Read {way}, “{plain}” would be more product than water: it can mean {meanings}."
        )
    return parts


def parts_text(parts: Fraction | int) -> str:
    """The dilution as this program writes it: "1 to 256", "1 to 85.33", or "undiluted"."""
    if parts == 0:
        return "undiluted"
    text = plain_number(Fraction(parts), 2).replace(",", "")
    return f"1 to {text}"


def sentence(parts: Fraction | int, finished: int, system: System) -> str:
    """What goes into a finished mix: "2.9 fl oz product + 29.1 fl oz water make 32 fl oz".

    The two amounts are rounded alike so that they add up to the third as printed.
    """
    unit = default_unit(Kind.LIQUID, system)
    whole = in_unit(finished, unit, Kind.LIQUID)
    product = whole / (_parts(parts) + 1)
    decimals = 0 if system is System.METRIC and product >= 10 else 1
    if 0 < product < 1:
        decimals = 2
    while half_away(whole, 2) != half_away(whole, decimals) * 10 ** (2 - decimals):
        decimals += 1
    scale = 10**decimals
    made, taken = half_away(whole, decimals), half_away(product, decimals)
    texts = [plain_number(Fraction(n, scale), decimals) for n in (taken, made - taken, made)]
    return f"{texts[0]} {unit} product + {texts[1]} {unit} water make {texts[2]} {unit}"
