"""Quantities of supplies: exact units, whole base units.

A liquid is counted in microlitres, a paste in milligrams, pieces in thousandths of a piece. The
sizes follow by definition from the inch (25.4 mm), the US gallon
(231 cubic inches), the imperial gallon (4.546 09 L) and the avoirdupois pound (0.453 592 37 kg);
NIST Handbook 44, Appendix C, lists them. The 30 mL ounce of US nutrition labels (21 CFR 101.9) is
for labels of food and is not used.
"""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction

from app.calculations.numbers.numerals import one_space
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.wording import MINUS, noun, word_set
from app.errors import Mendable


class Kind(StrEnum):
    """What a supply is measured as; the base unit is uL, mg or a thousandth of a piece."""

    LIQUID = "liquid"
    PASTE = "paste"
    PIECE = "piece"


class System(StrEnum):
    """The units in which quantities are shown."""

    US = "us"
    METRIC = "metric"


# Microlitres.
CUBIC_INCH = Fraction(254, 10) ** 3
US_GALLON = 231 * CUBIC_INCH
US_FLUID_OUNCE = US_GALLON / 128
IMPERIAL_GALLON = Fraction(4_546_090)
IMPERIAL_FLUID_OUNCE = IMPERIAL_GALLON / 160
MILLILITRE = Fraction(1000)
LITRE = 1000 * MILLILITRE
# Milligrams.
POUND = Fraction(45_359_237, 100)
OUNCE = POUND / 16
GRAM = Fraction(1000)
KILOGRAM = 1000 * GRAM
# Thousandths of a piece.
PIECE = Fraction(1000)

# The most that one entry may say, in base units: it keeps sums far inside 64 bits.
LARGEST = 10**15

_US_VOLUME = {
    "fl oz": US_FLUID_OUNCE,
    "gal": US_GALLON,
    "qt": US_GALLON / 4,
    "pt": US_GALLON / 8,
    "cup": US_GALLON / 16,
    "tbsp": US_FLUID_OUNCE / 2,
    "tsp": US_FLUID_OUNCE / 6,
}
# British kitchen spoons are metric; the other sizes are parts of the imperial gallon.
_IMPERIAL_VOLUME = {
    "fl oz": IMPERIAL_FLUID_OUNCE,
    "gal": IMPERIAL_GALLON,
    "qt": IMPERIAL_GALLON / 4,
    "pt": IMPERIAL_GALLON / 8,
    "cup": IMPERIAL_GALLON / 16,
    "tbsp": 15 * MILLILITRE,
    "tsp": 5 * MILLILITRE,
}
_METRIC_VOLUME = {
    "uL": Fraction(1),
    "mL": MILLILITRE,
    "cL": 10 * MILLILITRE,
    "dL": 100 * MILLILITRE,
    "L": LITRE,
}
_MASS = {
    "mg": Fraction(1), "g": GRAM, "kg": KILOGRAM, "oz": OUNCE, "wt oz": OUNCE, "lb": POUND
}  # fmt: skip
_METRIC = frozenset({*_METRIC_VOLUME, "mg", "g", "kg"})
_SIZES = {Kind.LIQUID: _US_VOLUME | _METRIC_VOLUME, Kind.PASTE: _MASS}
# English first; German and Spanish words as lists from there have them.
_WRITINGS = {
    "fl oz": "floz flozs fluidounce fluidounces fluidoz flounce flounces ozfl",
    "oz": "oz ozs ounce ounces onza onzas unze unzen",
    "wt oz": "wtoz ozwt ozav",
    "gal": "gal gals gallon gallons gl galon galones galón gallone gallonen",
    "qt": "qt qts quart quarts cuarto",
    "pt": "pt pts pint pints pinta",
    "cup": "cup cups",
    "tbsp": "tbsp tbsps tbs tablespoon tablespoons",
    "tsp": "tsp tsps teaspoon teaspoons",
    "uL": "ul µl μl microlitre microlitres microliter microliters",
    "mL": """ml mls cc ccm cm3 cm³ milliliter milliliters millilitre millilitres mililitro
        mililitros""",
    "cL": "cl centiliter centiliters centilitre centilitres",
    "dL": "dl deciliter deciliters decilitre decilitres",
    "L": "l lt ltr ltrs lit liter liters litre litres litro litros",
    "mg": "mg milligram milligrams",
    "g": "g gr gm gms gram grams gramme grammes gramm gramo gramos",
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes kilogramm",
    "lb": "lb lbs pound pounds libra libras #",
    "pc": """pc pcs piece pieces each ea unit units item items ct count cnt stk stück stueck pieza
        piezas unidad unidades ud uds""",
}
_BY_WRITING = {name: unit for unit, names in _WRITINGS.items() for name in names.split()}
# Words that count one piece of whatever the supply is counted in: gloves by the pair, tape by the
# roll. The word is kept for the eye only.
_PIECE_WORDS = word_set(
    """sheet roll pair box pad towel cloth disc disk bar can tube kit mitt brush bag glove set
    bottle cartridge applicator sponge filter strip block pack packet tin jar tub wipe cover drum
    refill swab bundle pkt"""
)
# Words that count several pieces, unless the supply itself is counted by them.
_SEVERAL = {
    "pair": (2, "pair pairs pr paar par pares"),
    "dozen": (12, "dozen dozens doz dz"),
}
_BY_SEVERAL = {name: one for one, (_, names) in _SEVERAL.items() for name in names.split()}
# What things are sold in; how much one holds, its supply or its label says.
CONTAINERS = word_set(
    """bottle bottles btl btls jug jugs can cans tub tubs tin tins jar jars pail pails bucket
    buckets drum drums tube tubes case cases cs carton cartons pack packs pk pkg pkgs package
    packages bag bags box boxes bx container containers cont roll rolls rl canister canisters
    keg kegs flasche flaschen kanister dose dosen eimer karton packung packungen rolle rollen
    gebinde botella botellas bidon bidones garrafa garrafas caja cajas bote botes lata latas
    rollo rollos sleeve sleeves sachet sachets ampoule vial vials aerosol aerosols sprayer
    sprayers full sealed unopened new set sets kit kits pkt pkts packet packets bundle bundles"""
)


def counted_unit(word: str) -> str:
    """As `unit_named`, but "pair" and "dozen" for words that count several pieces; "" if none."""
    return _BY_SEVERAL.get(word) or unit_named(word) or ""


def several(unit: str) -> int:
    """How many pieces one of it is: 2 of a pair, 12 of a dozen, else 1."""
    return _SEVERAL.get(unit, (1, ""))[0]


def sort_of(unit: str) -> str:
    """liquid, paste or piece, as the unit measures; "" for an "oz" and for what is unknown."""
    name = unit_named(unit)
    if name is None or name == "oz":
        return ""
    return "piece" if name == "pc" else "paste" if name in _MASS else "liquid"


def is_metric(unit: str) -> bool:
    """Whether a unit belongs to the metric system."""
    return unit_named(unit) in _METRIC


def unit_named(unit: str) -> str | None:
    """The one spelling of a unit's name ("mL", "fl oz", "oz", "pc", …), None where unknown.

    Any word for a piece (roll, pair, sheet …) gives "pc". "oz" stays "oz": whether it is a fluid or
    a weight ounce follows from the kind of supply.
    """
    plain = _whose(unit)[0].replace(".", "").replace(" ", "").replace("-", "")
    if plain in _BY_WRITING:
        return _BY_WRITING[plain]
    return "pc" if plain in _BY_SEVERAL or _singular(plain) in _PIECE_WORDS else None


def _whose(unit: str) -> tuple[str, bool | None]:
    """A unit in small letters without "imp" or "US" before it, and whether it is imperial."""
    plain = one_space(unit).casefold()
    for prefix, imperial in (
        ("imperial ", True), ("imp. ", True), ("imp ", True), ("uk ", True), ("us ", False),
        ("u.s. ", False),
    ):  # fmt: skip
        if plain.startswith(prefix):
            return plain.removeprefix(prefix), imperial
    return plain, None


def _singular(word: str) -> str:
    if word in _PIECE_WORDS:
        return word
    if word.endswith("es") and word[:-2] in _PIECE_WORDS:
        return word[:-2]
    return word.removesuffix("s")


def is_mass(unit: str, kind: Kind) -> bool:
    """Whether this unit weighs a supply of this kind (an "oz" of a liquid is a volume)."""
    name = unit_named(unit)
    return name in _MASS and not (name == "oz" and kind is Kind.LIQUID)


def exact_amount(
    number: Fraction,
    unit: str,
    kind: Kind,
    density_mg_per_ml: int = 1000,
    imperial: bool = False,
) -> Fraction:
    """`number` units in base units of the kind (uL, mg, thousandths of a piece), exactly.

    Parameters
    ----------
    number
        How many units; may be negative.
    unit
        A unit's name in any usual writing. "oz" is a fluid ounce for a liquid, a weight ounce else.
    kind
        What the supply is measured as.
    density_mg_per_ml
        Used only between mass and volume. 1000 (water) where nothing better is known.
    imperial
        Fluid ounces, pints, quarts and gallons are the imperial ones. A unit that says so itself
        ("imp gal", "US gal") is taken at its word.

    Raises `Mendable` for an unknown unit, for pieces of a liquid and the like.
    """
    plain, stated = _whose(unit)
    imperial = imperial if stated is None else stated
    name = unit_named(plain)
    if name is None:
        raise Mendable(f"“{one_space(unit)}” is not a known unit; type {_usual(kind)}.")
    if name == "oz" and kind is Kind.LIQUID:
        name = "fl oz"
    if (kind is Kind.PIECE) != (name == "pc"):
        what = {"liquid": "A liquid", "paste": "A paste", "piece": "This supply"}[kind.value]
        raise Mendable(f"{what} is not counted in {one_space(unit)}; type {_usual(kind)}.")
    volumes = (_IMPERIAL_VOLUME if imperial else _US_VOLUME) | _METRIC_VOLUME
    if name == "pc":
        exact = number * PIECE * several(_BY_SEVERAL.get(plain, ""))
    else:
        exact = number * (volumes[name] if name in volumes else _MASS[name])
        if (name in _MASS) != (kind is Kind.PASTE):
            if density_mg_per_ml <= 0:
                raise Mendable("The density must be above zero; set it on the supply's page.")
            grams_per_ml = Fraction(density_mg_per_ml, 1000)
            exact = exact / grams_per_ml if kind is Kind.LIQUID else exact * grams_per_ml
    if abs(exact) > LARGEST:
        raise Mendable(f"That is too much {one_space(unit)} for one entry; check the unit.")
    return exact


def base_amount(number: Fraction, unit: str, kind: Kind, density: int = 1000) -> int:
    """As `exact_amount`, in whole base units, half away from zero; density in mg per mL."""
    return half_away(exact_amount(number, unit, kind, density))


def _usual(kind: Kind) -> str:
    return {
        Kind.LIQUID: "fl oz, gal, mL or L",
        Kind.PASTE: "g, kg, oz or lb",
        Kind.PIECE: "a number of pieces",
    }[kind]


def default_unit(kind: Kind, system: System) -> str:
    """The unit of a bare number, and of a table's column: fl oz or mL, g, pc.

    Pastes are weighed in grams in both systems, as kitchen scales show them (common practice, no
    source).
    """
    if kind is Kind.LIQUID:
        return "fl oz" if system is System.US else "mL"
    return "g" if kind is Kind.PASTE else "pc"


def in_unit(amount: int, unit: str, kind: Kind) -> Fraction:
    """How many `unit` an amount in base units is, exactly; the unit must be of the kind's own sort.

    Any word counts pieces. Raises `Mendable` for another sort of unit (grams of a liquid need a
    density: see `base_amount`).
    """
    if kind is Kind.PIECE:
        return Fraction(amount) / PIECE
    size = _SIZES[kind].get(_column_unit(unit, kind))
    if size is None:
        raise Mendable(f"“{one_space(unit)}” cannot show this supply; choose {_usual(kind)}.")
    return Fraction(amount) / size


def shown(
    amount: int, kind: Kind, system: System, *, unit: str = "", decimals: int | None = None
) -> tuple[str, str]:
    """Number and unit for a table, such as ("1,140", "mL") or ("2.0", "fl oz").

    Metric: mL up to 10 L, then L; g up to 10 kg, then kg. US: fl oz; pastes
    as metric. `unit` fixes the unit for a column that must not change.
    Decimals: fl oz and oz one (two below 1), mL and g none from 100, else at most one; others two;
    or `decimals`, where every number of a column has as many.
    Raises `Mendable` where `unit` is of another sort than the kind (grams of a liquid).
    """
    if kind is Kind.PIECE:
        pieces = in_unit(amount, unit, kind)
        return _text(pieces, 2) if decimals is None else _fixed(pieces, decimals), (
            one_space(unit) or "pc"
        )
    name = _column_unit(unit, kind) if unit else _unit_for(amount, kind, system)
    value = in_unit(amount, name, kind)
    if decimals is not None:
        return _fixed(value, decimals), name
    if name in ("fl oz", "oz"):
        return _text(value, 2 if abs(value) < 1 and value else 1, trim=False), name
    if name in ("mL", "g"):
        return _text(value, 0 if abs(value) >= 100 else 1), name
    return _text(value, 2), name


def stock_decimals(unit: str, kind: Kind) -> int:
    """Decimals of what stands on the shelf: pieces, mL and g whole, ounces one, others two."""
    if kind is Kind.PIECE:
        return 0
    return {"mL": 0, "g": 0, "mg": 0, "uL": 0, "fl oz": 1, "oz": 1}.get(_column_unit(unit, kind), 2)


def _column_unit(unit: str, kind: Kind) -> str:
    """A fixed unit in its one spelling, the ounce of a liquid being the fluid one."""
    name = unit_named(unit) or unit
    return "fl oz" if name == "oz" and kind is Kind.LIQUID else name


def _unit_for(amount: int, kind: Kind, system: System) -> str:
    if kind is Kind.LIQUID and system is System.METRIC and abs(amount) >= 10 * LITRE:
        return "L"
    if kind is Kind.PASTE and abs(amount) >= 10 * KILOGRAM:
        return "kg"
    return default_unit(kind, system)


def sentence_amount(
    amount: int, kind: Kind, system: System, *, unit: str = "", whole: bool = False
) -> str:
    """An amount for running text, three figures: "1.99 fl oz", "1,140 mL", "1 piece", "2 loads".

    `unit` fixes the unit; for pieces it may be any word for one. `whole`: no part of a piece, as of
    what stands on a shelf.
    """
    if kind is Kind.PIECE:
        pieces = in_unit(amount, unit, kind)
        text = _fixed(pieces, 0) if whole else _text(pieces, 2)
        return f"{text} {pieces_word(text, unit)}"
    name = _column_unit(unit, kind) if unit else _unit_for(amount, kind, system)
    value = in_unit(amount, name, kind)
    decimals = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    return f"{_text(value, decimals)} {name}"


def pieces_word(number: str, unit: str) -> str:
    """The word for so many pieces: "1 pair", "2 pairs", "41 pieces"; `number` as it is shown."""
    word = one_space(unit) if own_word(unit) else "piece"
    one = Fraction(number.replace(",", "").replace(MINUS, "")) == 1
    return noun(1 if one else 2, word, word if word.endswith("s") else "")


def shown_back(amount: int, kind: Kind) -> str:
    """An amount as it was probably typed: in the first unit that says it exactly and shortly.

    "16 fl oz" is 473.176 mL in the book and comes back as 16 fl oz, "500 ml" as 500 mL.
    """
    if kind is Kind.PIECE:
        return plain_number(in_unit(amount, "", kind))
    tried = {
        Kind.LIQUID: (("mL", 1), ("gal", 0), ("imp gal", 0), ("fl oz", 2), ("imp fl oz", 2)),
        Kind.PASTE: (("g", 1), ("lb", 0), ("oz", 2)),
    }[kind]
    for unit, decimals in tried:
        number = Fraction(amount) / exact_amount(Fraction(1), unit, kind)
        short = Fraction(half_away(number, decimals), 10**decimals)
        if base_amount(short, unit, kind) == amount:
            return f"{plain_number(short, decimals)} {unit}"
    return f"{plain_number(Fraction(amount, 1000), 3)} {'mL' if kind is Kind.LIQUID else 'g'}"


def own_word(unit: str) -> bool:
    """Whether a unit is a word of its own for a piece (roll, load), not pc, each or nothing."""
    plain = one_space(unit).casefold()
    return bool(plain) and plain not in _BY_WRITING


def _text(value: Fraction, decimals: int, *, trim: bool = True) -> str:
    """Digits with thousands separators; more decimals where the value would else show as zero."""
    while value and decimals < 3 and half_away(value, decimals) == 0:
        decimals += 1
    text = _fixed(value, decimals)
    return text.rstrip("0").rstrip(".") if trim and "." in text else text


def _fixed(value: Fraction, decimals: int) -> str:
    """Thousands separators and exactly so many decimals; what rounds to 0 has no minus."""
    units = half_away(value, decimals)
    whole, rest = divmod(abs(units), 10**decimals)
    tail = f".{rest:0{decimals}d}" if decimals else ""
    return f"{MINUS if units < 0 else ''}{whole:,}{tail}"


def plain_number(value: Fraction, decimals: int = 2) -> str:
    """A number for running text: thousands separators, at most `decimals`, no trailing zeros."""
    return _text(value, decimals)
