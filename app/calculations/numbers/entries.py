"""What people type at day's end, read as they mean it: supplies used and time spent.

`read_use` answers with the amount of *product* in base units and a short sentence that says how it
was understood, so that a slip (ounces for gallons, mix for product) is seen at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction

from app.calculations.numbers import dilution, units
from app.calculations.numbers.amounts import LONGEST, Amount, base_of, read_amount
from app.calculations.numbers.numerals import NOTHING, one_space
from app.calculations.numbers.units import Kind, System
from app.errors import Mendable


@dataclass(frozen=True, kw_only=True)
class EntrySetting:
    """What is known of a supply when a use of it is typed.

    Amounts are base units of `kind`, weights milligrams. `bottle` is the bottle (or tub) that
    "1/4 bottle" and "2 bottles filled" speak of; `dilution_parts` parts water to one part product;
    `tare_mg` the empty container; `last_weight_mg` what it weighed when last on the scale, with its
    container; `on_hand` what the book has before this use. `default_unit` is the unit of a bare
    number; a word such as "load" counts pieces. `imperial` gallons and fluid ounces are the shop's.
    """

    kind: Kind
    system: System
    density_mg_per_ml: int = 1000
    default_unit: str | None = None
    bottle: int | None = None
    dilution_parts: Fraction | None = None
    tare_mg: int | None = None
    last_weight_mg: int | None = None
    on_hand: int | None = None
    imperial: bool = False


@dataclass(frozen=True)
class UseEntry:
    """A use as understood.

    `amount` is what was used, base units, never negative; `typed` the text as typed; `meaning` one
    short sentence; `weight_mg` what the scale showed, to be kept for the next weighing; `left` what
    the person said is left (base units).
    """

    amount: int
    typed: str
    meaning: str
    weight_mg: int | None = None
    left: int | None = None


KEEP = "Keep it?"  # how a question ends that keeping what was typed answers
_NOT_USED = frozenset({*NOTHING, "not used", "unused"})
_AT = re.compile(r" ?\bat (1 ?(?:to|:) ?[0-9.,/ ]*[0-9])$")
_NEAT = frozenset({"neat", "product", "concentrate", "undiluted"})
_MODES = {
    **dict.fromkeys(("left", "now", "remaining", "remain", "remains"), "left"),
    **dict.fromkeys(("mixed", "mix", "diluted"), "mixed"),
    **dict.fromkeys(("filled", "fills", "refilled", "refills"), "filled"),
    "water": "water",
}


@dataclass(frozen=True)
class _Stated:
    """The parts of an entry: the amount, its words, and what kind of statement it is."""

    amount: Amount
    mode: str
    quantity: str
    parts: Fraction | None


def read_use(text: str, setting: EntrySetting) -> UseEntry:
    """Read what was typed into a use.

    * `2oz`, `2 fl oz`, `60` (in the default unit), `60 ml`, `1 1/2`, `0`, `-` (not used), and what
      else `amounts.read_amount` reads, such as `1 lb 8 oz`;
    * `71g` of a liquid, through its density;
    * `1/4 bottle`, `half bottle`, `2 bottles`: product as it stands in the bottle;
    * `2 bottles filled`, `4 gal mixed`: product inside that much finished mix, by the supply's
      dilution (`4 gal mixed at 1 to 10` by another); `4 gal water`: product put into that water;
    * `300 ml left`, `1/4 bottle left`: on hand less that;
    * `412g left`, `412 g now`: on the scale. Used is what it weighed last time less this; where it
      was never weighed, on hand less what is in the container (scale less tare).

    Raises `Mendable` for a negative number, an unknown unit, and what must be known first.
    """
    typed = one_space(text)
    if typed.casefold() in _NOT_USED:
        return UseEntry(0, typed, "Not used")
    stated = _stated(typed, setting)
    if stated.mode == "left":
        return _left(typed, stated, setting)
    if stated.mode in ("mixed", "filled", "water"):
        return _mixed(typed, stated, setting)
    amount = _amount(stated, setting)
    if amount == 0:
        return UseEntry(0, typed, "Not used")
    seen = _shown(amount, setting)
    if stated.quantity != seen and (_is_bottle(stated) or _converted(stated, setting)):
        return UseEntry(
            amount, typed, f"{stated.quantity}{_density(stated, setting)} came to {seen}"
        )
    return UseEntry(amount, typed, f"{seen} used")


def _stated(typed: str, setting: EntrySetting) -> _Stated:
    if not typed:
        raise Mendable("Nothing was typed; type what was used, such as 2 oz, or 0.")
    if len(typed) > LONGEST:
        raise Mendable("That is too long to be an amount; type one such as 2 oz or 1/4 bottle.")
    plain = typed.casefold()
    parts = None
    at = _AT.search(plain)
    if at:
        parts = dilution.read_ratio(at[1].replace(":", " to "), dilution.Reading.ASK)
        plain = plain[: at.start()]
    mode = ""
    kept: list[str] = []
    # A word may stand right behind a number: "412g left", "2filled".
    for word in re.sub(r"(?<=[0-9½¼¾⅓⅔])(?=[a-z])", " ", plain).split():
        bare = word.strip(".,")
        if bare in _MODES:
            if mode not in ("", _MODES[bare]):
                raise Mendable(f"“{typed}” says two things at once; type one of them.")
            mode = _MODES[bare]
        elif bare not in _NEAT and bare != "used":
            kept.append(word)
    if kept and kept[-1] == "of":
        kept.pop()
    if parts is not None and mode not in ("", "mixed", "filled"):
        raise Mendable(
            f"“{typed}” says two things at once; type one such as 4 gal mixed at 1 to 10."
        )
    mode = "mixed" if parts is not None and not mode else mode
    quantity = " ".join(kept)
    return _Stated(read_amount(quantity or plain), mode, quantity, parts)


def _default(setting: EntrySetting) -> str:
    return setting.default_unit or units.default_unit(setting.kind, setting.system)


def _singular(word: str) -> str:
    return one_space(word).casefold().removesuffix("s")


def _is_bottle(stated: _Stated) -> bool:
    return any(one.each is None for one in stated.amount.terms)


def _amount(stated: _Stated, setting: EntrySetting) -> int:
    """The said amount in base units; a bare number is in the default unit."""
    amount = stated.amount.bare_in(_default(setting))
    if setting.kind is Kind.PIECE:
        amount = _own_pieces(amount, _default(setting))
    elif not setting.bottle and _is_bottle(stated):
        raise Mendable("The size of its bottle is not known; set it on the supply's page.")
    return base_of(
        amount, setting.kind, pack=setting.bottle, density=setting.density_mg_per_ml,
        imperial=setting.imperial,
    )  # fmt: skip


def _own_pieces(amount: Amount, own: str) -> Amount:
    """Pieces that the supply is counted by (loads, rolls) as so many of them."""
    word = amount.unit or amount.container
    if _singular(word) == _singular(own):
        return Amount(
            amount.count,
            Fraction(1) if amount.each is None else amount.each,
            "pc",
            typed=amount.typed,
        )
    if word and units.own_word(own) and units.own_word(word):
        raise Mendable(f"This supply is counted by the {own}; type how many, such as 2.")
    return amount


def _shown(amount: int, setting: EntrySetting) -> str:
    unit = _default(setting)
    if setting.kind is not Kind.PIECE and units.is_mass(unit, Kind.LIQUID) != (
        setting.kind is Kind.PASTE
    ):
        unit = units.default_unit(setting.kind, setting.system)
    return units.sentence_amount(amount, setting.kind, setting.system, unit=unit)


def _converted(stated: _Stated, setting: EntrySetting) -> bool:
    """Whether another unit was said than the one shown."""
    if setting.kind is Kind.PIECE:
        return False
    fluid = {"oz": "fl oz"} if setting.kind is Kind.LIQUID else {}
    own = units.unit_named(_default(setting)) or ""
    return any(
        fluid.get(one.unit, one.unit) not in ("", fluid.get(own, own)) or one.count != 1
        for one in stated.amount.terms
    )


def _density(stated: _Stated, setting: EntrySetting) -> str:
    """ " at 0.85 g per mL" where the amount went through the density."""
    if _is_bottle(stated) or setting.kind is Kind.PIECE:
        return ""
    if _weighs(stated, setting) == (setting.kind is Kind.PASTE):
        return ""
    density = units.plain_number(Fraction(setting.density_mg_per_ml, 1000), 3)
    return f" at {density} g per mL"


def _weighs(stated: _Stated, setting: EntrySetting) -> bool:
    """Whether it was said as a weight."""
    return not _is_bottle(stated) and all(
        units.is_mass(one.unit or _default(setting), setting.kind) for one in stated.amount.terms
    )


def _mixed(typed: str, stated: _Stated, setting: EntrySetting) -> UseEntry:
    """Product in a finished mix, in filled bottles of mix, or put into water."""
    if setting.kind is not Kind.LIQUID:
        raise Mendable("Only a liquid is mixed with water; type what was used of the product.")
    if stated.amount.number() is not None and stated.mode == "filled":
        filled = stated.amount.bare_in("container")
        stated = replace(stated, amount=filled, quantity=f"{stated.quantity} bottles")
    if stated.amount.number() is not None:
        raise Mendable(f"“{typed}” does not say {stated.quantity} of what; type 4 gal mixed.")
    volume = _amount(stated, setting)
    parts = stated.parts if stated.parts is not None else setting.dilution_parts
    if parts is None and stated.mode == "filled":
        parts = Fraction(0)
    if parts is None:
        raise Mendable(
            "Its dilution is not known; set it on the supply's page, "
            "or type one such as 4 gal mixed at 1 to 10."
        )
    if stated.mode == "water":
        amount = dilution.product_into_water(volume, parts)
        doing = "of water at"
    else:
        amount = dilution.product_in_finished(volume, parts)
        doing = "filled at" if stated.mode == "filled" else "mixed at"
    took = f"took {_shown(amount, setting)} of product"
    if parts == 0:
        return UseEntry(amount, typed, f"{stated.quantity} {doing.split()[0]} undiluted {took}")
    return UseEntry(amount, typed, f"{stated.quantity} {doing} {dilution.parts_text(parts)} {took}")


def _left(typed: str, stated: _Stated, setting: EntrySetting) -> UseEntry:
    """What was used, from what is left or from the scale."""
    if setting.kind is not Kind.PIECE and _weighs(stated, setting):
        return _weighed(typed, stated, setting)
    left = _amount(stated, setting)
    if setting.on_hand is None:
        raise Mendable("Nothing is known to be on hand; type what was used, or count the shelf.")
    return _less(typed, left, setting.on_hand, setting, f"{_shown(left, setting)} left", None)


def _weighed(typed: str, stated: _Stated, setting: EntrySetting) -> UseEntry:
    now = base_of(stated.amount.bare_in(_default(setting)), Kind.PASTE)
    scale = f"{grams(now)} now"
    inside = None
    if setting.tare_mg is not None:
        if now < setting.tare_mg:
            raise Mendable(
                f"{grams(now)} is less than the empty container's {grams(setting.tare_mg)}; "
                "weigh again, or mend its empty weight on the supply's page."
            )
        inside = of_mass(now - setting.tare_mg, setting)
    if setting.last_weight_mg is not None:
        if now > setting.last_weight_mg:
            raise Mendable(
                f"{grams(now)} is more than last time's {grams(setting.last_weight_mg)}; "
                "type what was used instead, such as 2 oz."
            )
        amount = of_mass(setting.last_weight_mg - now, setting)
        before = f"{grams(setting.last_weight_mg)} last time"
        meaning = f"{scale}, {before}, so {_shown(amount, setting)} used"
        return UseEntry(amount, typed, meaning, now, inside)
    if inside is not None and setting.tare_mg is not None and setting.on_hand is not None:
        scale += f" with {grams(setting.tare_mg)} of container leaves {_shown(inside, setting)}"
        return _less(typed, inside, setting.on_hand, setting, scale, now)
    raise Mendable(
        "There is no earlier weight to compare with; type what was used this once, or set the "
        "empty container's weight on the supply's page."
    )


def _less(
    typed: str, left: int, on_hand: int, setting: EntrySetting, stated: str, weight: int | None
) -> UseEntry:
    """On hand less what is left."""
    if left > on_hand:
        raise Mendable(
            f"{stated}, but the book has only {_shown(on_hand, setting)}; count it on the shelf, "
            "or type what was used."
        )
    amount = on_hand - left
    meaning = f"{stated} of {_shown(on_hand, setting)}, so {_shown(amount, setting)} used"
    return UseEntry(amount, typed, meaning, weight, left)


def of_mass(milligrams: int, setting: EntrySetting) -> int:
    """Base units that weigh so much."""
    return units.base_amount(Fraction(milligrams), "mg", setting.kind, setting.density_mg_per_ml)


def grams(milligrams: int) -> str:
    """`412 g`."""
    return f"{units.plain_number(Fraction(milligrams, 1000), 1)} g"


def far_off(amount: int, usual: int, word: str, shown: Callable[[int], str]) -> str:
    """What is asked of an amount three times off the usual or more, either way; "" of another.

    Not asked where nothing is usual yet, nor for nothing used: leaving a supply out is ordinary.
    `word` says of what sort the usual is, `shown` how an amount is written.
    """
    if amount <= 0 or usual <= 0 or not (amount >= 3 * usual or 3 * amount <= usual):
        return ""
    far = "more than three times" if amount > usual else "less than a third of"
    return f"{shown(amount)} is {far} the {word} {shown(usual)}. {KEEP}"
