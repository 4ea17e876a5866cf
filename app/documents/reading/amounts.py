"""Reading quantities and packs as people write them: "16 fl oz", "3 x 32oz", "2 x 1 gal jugs".

An amount is first read as it stands (so many, of what each, in which container); only then, with
the supply's kind and pack known, it becomes a whole number of the base unit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from app.calculations.numbers import numerals, units
from app.calculations.numbers.rounding import half_away
from app.documents.reading.grid import Cell, shown, word_set
from app.errors import Mendable

# Units as written, and the unit that is meant. "oz" stays open: fluid for liquids, else a weight.
_UNITS: dict[str, str] = {}
for _unit, _words in (
    ("fl oz",
        "fl oz|fl.oz|fl. oz|floz|fl ozs|fluid ounce|fluid ounces|fluid oz|oz fl|fl ounce|fl "
        "ounces"),
    ("oz", "oz|ozs|ounce|ounces|onza|onzas|unze|unzen"),
    ("gal", "gal|gals|gallon|gallons|gl|galon|galones|gallone|gallonen|galón"),
    ("qt", "qt|qts|quart|quarts|cuarto"),
    ("pt", "pt|pts|pint|pints|pinta"),
    ("ml", "ml|mls|cc|milliliter|milliliters|millilitre|millilitres|mililitro|mililitros"),
    ("cl", "cl|centiliter|centilitre"),
    ("dl", "dl"),
    ("l", "l|lt|ltr|ltrs|liter|liters|litre|litres|litro|litros|lit"),
    ("kg", "kg|kgs|kilo|kilos|kilogram|kilograms|kilogramm"),
    ("mg", "mg"),
    ("g", "g|gr|gm|gms|gram|grams|gramme|grammes|gramm|gramo|gramos"),
    ("lb", "lb|lbs|pound|pounds|libra|libras|#"),
    ("pcs",
        "pcs|pc|piece|pieces|ea|each|ct|count|cnt|stk|stück|stueck|pieza|piezas|unidad|"
        "unidades|"
                "uds|ud|pr|pair|pairs|paar|par|pares|sheets|sheet|pads|pad|towels|towel|discs|disc|"
                "wipes|"
            "gloves|bars|bar|swabs|mitts|items|item|units|unit"),
):  # fmt: skip
    _UNITS.update(dict.fromkeys(_words.split("|"), _unit))
_CONTAINERS = word_set(
    """bottle bottles btl btls jug jugs can cans tub tubs tin tins jar jars pail pails bucket
    buckets drum drums tube tubes case cases cs carton cartons pack packs pk pkg pkgs package
    packages bag bags box boxes bx container containers cont roll rolls rl canister canisters
    keg kegs flasche flaschen kanister dose dosen eimer karton packung packungen rolle rollen
    gebinde botella botellas bidon bidones garrafa garrafas caja cajas bote botes lata latas
    rollo rollos sleeve sleeves sachet sachets ampoule vial vials aerosol aerosols sprayer
    sprayers full sealed unopened new set sets kit kits"""
)
_NUMBER_WORDS = {
    "half": Fraction(1, 2), "a half": Fraction(1, 2), "half a": Fraction(1, 2),
    "half of a": Fraction(1, 2), "quarter": Fraction(1, 4), "a quarter": Fraction(1, 4),
    "three quarters": Fraction(3, 4), "third": Fraction(1, 3), "one": Fraction(1),
    "two": Fraction(2), "three": Fraction(3), "four": Fraction(4), "five": Fraction(5),
    "six": Fraction(6),
    "seven": Fraction(7), "eight": Fraction(8), "nine": Fraction(9), "ten": Fraction(10),
    "twelve": Fraction(12), "dozen": Fraction(12), "a dozen": Fraction(12), "a": Fraction(1),
    "an": Fraction(1), "halb": Fraction(1, 2), "halbe": Fraction(1, 2), "medio": Fraction(1, 2),
    "media": Fraction(1, 2), "eine": Fraction(1), "un": Fraction(1), "una": Fraction(1),
}  # fmt: skip
_GLYPHS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8",
           "⅝": "5/8", "⅞": "7/8"}  # fmt: skip
_VAGUE = re.compile(
    r"\b(?:approx(?:imately)?|about|around|roughly|almost|nearly|ca|circa|etwa|unos|maybe|"
    r"est|or so|left|"
    r"on hand|in stock|remaining|total|of product|at least|only|just|still)\b\.?|[~≈±]",
)
_EMPTY_WORDS = re.compile(
    r"(?:empty|out(?: of stock)?|zero|none|none left|all gone|gone|sold out|leer|aus|vac[ií]o|"
    r"agotado|nil)"
)
_NUM = r"(?:\d+\s+\d{1,2}/\d{1,2}|\d+-\d{1,2}/\d{1,2}(?!\d)|\d{1,2}/\d{1,2}|\d[\d.,']*|[.,]\d+)"
_WORD = r"[a-zäöüßáéíóúñ#][a-zäöüßáéíóúñ.]*"
_TOKEN = re.compile(rf"(?P<num>{_NUM})|(?P<word>{_WORD})|(?P<times>[x×*@])|(?P<other>\S)")


@dataclass(frozen=True, slots=True)
class Amount:
    """So many of so much: `count` x `each` `unit`, in containers.

    A bare "3 bottles" has `each` None and the count 3; a bare "3" has unit "" and each 3. `more`
    holds what is added to it ("2 gal + 16 oz"). `sentence` is set when it could not be read.
    """

    count: Fraction = Fraction(1)
    each: Fraction | None = None
    unit: str = ""
    container: str = ""
    typed: str = ""
    more: tuple[Amount, ...] = ()
    sentence: str = ""

    def has_unit(self) -> bool:
        """True when a unit is said."""
        return bool(self.unit)

    def number(self) -> Fraction | None:
        """The bare number of an amount without unit; None otherwise."""
        if self.unit or self.more:
            return None
        return self.count if self.each is None else self.count * self.each


def unit_of(text: str) -> str:
    """The unit that a word means, "container" for a bottle or box, "" when unknown."""
    low = re.sub(r"\s+", " ", text.casefold()).strip(" .()")
    low = low.removeprefix("per ").removeprefix("in ")
    if low in _UNITS:
        return _UNITS[low]
    if low.rstrip(".") in _CONTAINERS:
        return "container"
    return ""


def read_fraction(text: str, decimal: str = "either") -> Fraction | None:
    """A plain number: 3, 2.5, 2,5, 1,200, 1 1/2, 3/4; None when it is none."""
    try:
        if decimal == "comma" and re.search(r"[.,]", text):
            return numerals.unsigned(text.strip(), decimal="comma")
        return numerals.read_number(text.strip().rstrip(".,"))
    except Mendable:
        return None


def read_amount(value: Cell, unit: str = "", decimal: str = "either") -> Amount:
    """A cell as an amount; a bare number is in `unit` (the heading's or the unit column's)."""
    if isinstance(value, bool):
        return Amount(typed=shown(value), sentence=f"holds “{shown(value)}”, which is no amount")
    if isinstance(value, int | float):
        return _with_unit(Amount(each=Fraction(str(value)), typed=shown(value)), unit)
    read = _read_text(shown(value), decimal)
    return _with_unit(read, unit)


def _with_unit(amount: Amount, unit: str) -> Amount:
    """Give a bare number the unit that stands elsewhere."""
    if not unit or amount.sentence or amount.more or amount.unit or amount.each is None:
        return amount
    if unit in ("bottle", "container"):
        return Amount(amount.count * amount.each, None, "", "bottle", amount.typed)
    return Amount(amount.count, amount.each, unit, amount.container, amount.typed)


@lru_cache(maxsize=20_000)
def _read_text(text: str, decimal: str) -> Amount:
    typed = text
    low = text.casefold()
    for glyph, plain in _GLYPHS.items():
        low = low.replace(glyph, f" {plain}")
    low = re.sub(r"\s+", " ", _VAGUE.sub(" ", low)).strip(" .:;")
    if not low or len(low) > 80:
        return Amount(typed=typed, sentence=f"holds “{typed[:40]}”, which is no amount")
    if _EMPTY_WORDS.fullmatch(low):
        return Amount(each=Fraction(0), typed=typed)
    pieces = [p for p in re.split(r"\s*(?:\+|&| and | plus | und | y |;|,(?=\s))\s*", low) if p]
    if len(pieces) > 1 and not re.fullmatch(r"\d+ and (?:a )?(?:half|1/2).*", low):
        parts = [_piece(piece, decimal, typed) for piece in pieces]
        if all(not part.sentence for part in parts):
            return Amount(parts[0].count, parts[0].each, parts[0].unit, parts[0].container, typed,
                          tuple(parts[1:]))  # fmt: skip
    low = re.sub(r"(\d+) and (?:a half|half|1/2)", r"\1 1/2", low)
    low = re.sub(r"(\d+) ?(?:dozen|doz|dz)\b", lambda m: f"{12 * int(m.group(1))} pcs", low)
    return _piece(low, decimal, typed)


def _piece(low: str, decimal: str, typed: str) -> Amount:
    """One amount: numbers, units and containers in whatever order people put them."""
    numbers: list[tuple[Fraction, str]] = []  # each with the unit that follows it
    container = ""
    times = False
    split_pack = re.match(r"^(\d{1,3})\s?/\s?(\d{1,4})\s?([a-z].*)$", low)
    if split_pack and _cases(int(split_pack.group(1)), int(split_pack.group(2))):
        # "4/1 gal" and "6/32 oz" are cases of four and six, "1/2 gal" is half a gallon.
        low = f"{split_pack.group(1)} x {split_pack.group(2)} {split_pack.group(3)}"
    low = re.sub(r"\bfl\.?\s*oz\b\.?|\bfluid\s+(?:ounces?|oz)\b\.?", "floz", low)
    for phrase, number in sorted(_NUMBER_WORDS.items(), key=lambda pair: -len(pair[0])):
        if re.match(rf"{phrase}\b(?! ?[.\d])", low):
            low = f"{number} {low[len(phrase) :]}"  # a Fraction prints as 1/2 or 3
            break
    low = re.sub(r"(?<=\d)-(?=[a-z])", " ", low)
    for match in _TOKEN.finditer(low):
        if match.group("num"):
            told = read_fraction(match.group("num"), decimal)
            if told is None:
                return Amount(typed=typed, sentence=f"holds “{typed[:40]}”, which is no amount")
            numbers.append((told, ""))
        elif match.group("times"):
            times = True
        elif match.group("word"):
            word = match.group("word").rstrip(".")
            if word in ("x", "of", "per", "a", "von", "de", "à", "mal"):
                times = times or word == "x"
                continue
            unit = _UNITS.get(word, "")
            if unit and numbers and not numbers[-1][1]:
                numbers[-1] = (numbers[-1][0], unit)
            elif word in _CONTAINERS:
                container = container or word
                if numbers and not numbers[-1][1]:
                    numbers[-1] = (numbers[-1][0], "container")
            elif unit == "pcs" or not numbers or word in _UNITS:
                continue
        elif match.group("other") == "%":
            if numbers:
                numbers[-1] = (numbers[-1][0] / 100, "container")
        elif match.group("other") == "-" and not numbers:
            return Amount(typed=typed, sentence=f"holds “{typed[:40]}”, less than nothing")
    return _put_together(numbers, container, times, typed)


def _cases(count: int, each: int) -> bool:
    if each == 0 or count == 0:
        return False
    return (
        count > each or (count > 1 and each > 16) or (each % 8 == 0 and count not in (1, 3, 5, 7))
    )


def _put_together(
    numbers: list[tuple[Fraction, str]], container: str, times: bool, typed: str
) -> Amount:
    measured = [(n, u) for n, u in numbers if u not in ("", "container", "pcs")]
    counted = [(n, u) for n, u in numbers if u in ("", "container", "pcs")]
    if len(measured) == 1 and len(counted) <= 1:
        each, unit = measured[0]
        count = counted[0][0] if counted else Fraction(1)
        return Amount(count, each, unit, container, typed)
    if len(measured) == 2 and not counted and len({unit for _, unit in measured}) == 2:
        # "32 oz (946 ml)": the same told twice, the first counts.
        return Amount(Fraction(1), measured[0][0], measured[0][1], container, typed)
    if not measured and len(counted) == 1:
        number, unit = counted[0]
        if unit == "container" or (container and unit == ""):
            if unit == "" and typed.casefold().lstrip().startswith(container):
                return Amount(Fraction(1), number, "pcs", container, typed)  # "box of 100"
            return Amount(number, None, "", container or "pack", typed)
        return Amount(Fraction(1), number, unit, container, typed)
    if not measured and len(counted) == 2:
        (first, unit_1), (second, unit_2) = counted
        if "pcs" in (unit_1, unit_2) or container or times:
            if unit_1 == "pcs" and unit_2 != "pcs":
                first, second = second, first
            return Amount(first, second, "pcs", container, typed)
    if len(measured) == 1 and len(counted) == 2:
        # "2 cases of 4 x 1 gal": every number counts.
        count = counted[0][0] * counted[1][0]
        return Amount(count, measured[0][0], measured[0][1], container, typed)
    return Amount(typed=typed, sentence=f"holds “{typed[:40]}”, which is no amount")


def kind_of(amount: Amount) -> str:
    """liquid, paste or piece as the unit tells; "" when it tells nothing or leaves it open."""
    for one in (amount, *amount.more):
        if one.unit in ("fl oz", "gal", "qt", "pt", "ml", "cl", "dl", "l"):
            return "liquid"
        if one.unit in ("kg", "g", "mg", "lb"):
            return "paste"
        if one.unit == "pcs":
            return "piece"
    return ""


def base_of(
    amount: Amount, kind: str, *, pack: int | None = None, density: int = 1000, gallons: str = "us"
) -> int:
    """The amount in the base unit of `kind`: microlitres, milligrams or thousandths of a piece.

    `pack` is what one container holds, for amounts told in containers. Raises Mendable with the
    rest of a sentence ("holds …") when it cannot be told.
    """
    if amount.sentence:
        raise Mendable(amount.sentence)
    try:
        return sum(_base(one, kind, pack, density, gallons) for one in (amount, *amount.more))
    except Mendable as error:
        if str(error).startswith("holds"):
            raise
        raise Mendable(
            f"holds “{amount.typed[:40]}”: {str(error)[:1].lower()}{str(error)[1:-1]}"
        ) from error


def _base(amount: Amount, kind: str, pack: int | None, density: int, gallons: str) -> int:
    if amount.each is None or (not amount.unit and pack is not None and kind != "piece"):
        containers = amount.count * (amount.each if amount.each is not None else 1)
        if pack is not None:
            return half_away(containers * pack)
        if kind == "piece":
            return half_away(containers * 1000)
        if containers == 0:
            return 0
        raise Mendable(
            f"holds “{amount.typed[:40]}” without saying how much one holds; type it like 3 x 32 oz"
        )
    number = amount.count * amount.each
    if not amount.unit:
        if kind == "piece":
            return half_away(number * (pack or 1000))
        if number == 0:
            return 0
        raise Mendable(f"holds “{amount.typed[:40]}” without a unit; type it like 16 oz")
    if amount.unit == "pcs" and kind != "piece":
        if pack is not None:
            return half_away(number * pack)
        raise Mendable(
            f"holds “{amount.typed[:40]}”, pieces of something that is measured; type it like 3 x "
            f"32 oz"
        )
    return _measured(number, amount.unit, kind, density, gallons)


def _measured(number: Fraction, unit: str, kind: str, density: int, gallons: str) -> int:
    return units.base_amount(
        number,
        "pc" if unit == "pcs" else unit,
        units.Kind(kind),
        density,
        imperial=gallons == "imperial",
    )
