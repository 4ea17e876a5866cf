"""Amounts as people write them: `16 fl oz`, `1 lb 8 oz`, `3 x 32oz`, `2 x 1 gal jugs`, `1/4 jug`.

The one reader of amounts: the day sheet, recipes, packs and files all come here. An amount is first
read as it stands (so many, of what each, in which container); only then, with the supply's kind and
container known, it becomes a whole number of the base unit. What can be read in two ways, or holds
a word that is not known, is asked about and never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import prod

from app.calculations.numbers import numerals, units
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.units import CONTAINERS, Kind
from app.calculations.numbers.wording import word_set
from app.errors import Mendable

LONGEST = 80
_MANY = ("pair", "dozen")
_PIECES = ("pc", *_MANY)
_COUNTED = ("", "container", *_PIECES)
# What holds one of the several that a pack of "12 x 500 ml" is made of; a case holds them all.
_ONE_EACH = word_set(
    """bottle bottles btl btls jug jugs can cans tub tubs tin tins jar jars pail pails bucket
    buckets drum drums tube tubes canister canisters keg kegs flasche flaschen kanister dose dosen
    eimer botella botellas bidon bidones garrafa garrafas bote botes lata latas sachet sachets
    ampoule vial vials aerosol aerosols sprayer sprayers"""
)
# Words beside an amount that say nothing of how much it is.
_BESIDE = word_set(
    """of a an the in it is are at on per for and each von de del la el approx approximately about
    around roughly almost nearly ca circa etwa unos maybe est or so left remaining remains now hand
    stock shelf total only just still there least used gone was ready made up size net product
    concentrate concentrated refill spray trigger squeeze pump plastic glass metal full sealed
    unopened open opened new whole small large big loose odd"""
)
_WHOSE = {
    **dict.fromkeys(("imp", "imperial", "uk", "british"), "imp "),
    **dict.fromkeys(("us", "u.s"), "us "),
}
_TIMES = ("x", "×", "*", "@")
_SIGNS = {
    **dict.fromkeys(("-", "to", "or", "bis", "until", "between"), "to"),
    **dict.fromkeys((*_TIMES, "mal", "of", "à"), "x"),
    "(": "(",
}
# Signs that stand for a hyphen or a minus.
_DASHES = str.maketrans(dict.fromkeys("\u2212\u2013\u2014\u2010\u2011", "-"))
_STOPS = ".,:;()[]\"'?!~≈±=/"
_JOINED = re.compile(r"\s*(?:\+|&| and | plus | und | y |;|,(?=\s))\s*")
_NUMBER = r"\d+[ -]\d{1,2}/\d{1,2}(?!\d)|\d{1,3}/\d{1,2}(?!\d)|\d[\d.,']*|[.,]\d+"
_WORD = r"cm3|[a-zµμäöüßáéíóúñ#][a-zäöüßáéíóúñ.³]*"
_TOKEN = re.compile(rf"(?P<number>{_NUMBER})|(?P<times>[x×*@](?![a-z]))|(?P<word>{_WORD})|\S")
_CASES = re.compile(r"(\d{1,3}) ?/ ?(\d{1,4})(?= ?[a-z])")
# An amount, and in brackets the parts that make it: 250 (2 boxes + 50).
_IN_PARTS = re.compile(r"\d[^()]*\([^()]*\d[^()]*(?:\+|&|\b(?:and|plus|und|y)\b)[^()]*\d")
# 1.000 and 2.500: groups of thousands to some, and decimals that nobody needs of a mL or g.
_GROUP = re.compile(r"[1-9]\d{0,2}\.\d\d0")
_HALF = re.compile(r"(?<=\d) and (?:a half|half|1/2)\b")


@dataclass(frozen=True, slots=True)
class Amount:
    """So many of so much: `count` x `each` `unit`, in containers.

    "3 bottles" has `each` None and the count 3; a bare "3" has unit "" and each 3. A unit is one of
    `units.unit_named`, "pair", "dozen", one of these with "imp " or "us " before it, or a word that
    only the supply can know ("loads"). `more` holds what is added to it ("2 gal + 16 oz").
    """

    count: Fraction = Fraction(1)
    each: Fraction | None = None
    unit: str = ""
    container: str = ""
    typed: str = ""
    more: tuple[Amount, ...] = ()

    @property
    def terms(self) -> tuple[Amount, ...]:
        """What adds up to it, itself first."""
        return (self, *self.more)

    @property
    def kind(self) -> str:
        """liquid, paste or piece as the units tell; "" where they tell nothing, as an "oz" does."""
        return next((sort for one in self.terms if (sort := units.sort_of(one.unit))), "")

    def number(self) -> Fraction | None:
        """The bare number of an amount without unit; None otherwise."""
        if self.unit or self.more or self.each is None:
            return None
        return self.count * self.each

    def bare_in(self, unit: str) -> Amount:
        """The same, a bare number being so many `unit` ("container" for bottles and the like)."""
        if not unit or self.more or self.unit or self.each is None:
            return self
        if unit == "container":
            return replace(self, count=self.count * self.each, each=None, container=unit)
        return replace(self, unit=unit)


def unit_of(text: str) -> str:
    """The unit that a word means, "container" for a bottle or box, "" when unknown."""
    low = numerals.one_space(text.casefold()).strip(" .()").removeprefix("per ").removeprefix("in ")
    if low in CONTAINERS:
        return "container"
    return units.unit_named(low) or ""


@lru_cache(maxsize=20_000)
def read_amount(text: str, decimal: numerals.DecimalSign = "either") -> Amount:
    """Read an amount as it stands; nothing is known yet of what it is an amount of.

    * `16 fl oz`, `71g`, `1½ gal`, `half a bottle`, `two`, `50 %` of a container, `1 imp gal`;
    * `3 x 32oz`, `3 bottles of 32 oz`, `4/1 gal`, `2 cases of 4 x 1 gal`, `box of 50`;
    * `2 gal 16 oz`, `1 lb 8 oz`, `2 gal + 300 ml`, `2 boxes + 7` add up; `32 oz (946 ml)` and
      `10 pairs (20)` say the same twice.

    `decimal` is the sign that a whole column of numbers uses. Raises `Mendable` for a range, a word
    that is not known, numbers that do not go together, and anything below zero.
    """
    typed = numerals.one_space(text)
    low = numerals.plain_fractions(typed.casefold()).strip(" :;")
    if not low or len(low) > LONGEST:
        raise Mendable(f"“{typed[:40]}” is no amount; type one such as 2 oz or 71 g.")
    low = _HALF.sub(" 1/2", low)
    if _IN_PARTS.search(low):
        raise Mendable(f"“{typed[:40]}” says an amount and in brackets what it is made of; type "
                       "one of the two.")  # fmt: skip
    pieces = [piece for piece in _JOINED.split(low) if piece]
    if pieces and pieces[0].startswith("between "):
        pieces = [low.replace(" and ", " to ")]
    read = [term for piece in pieces for term in _piece(piece, decimal, typed)]
    if not read:
        raise _not_understood(typed)
    read = _loose_pieces(_same_ounces(read))
    if len(read) == 2 and "+" not in low and "plus" not in low and _said_twice(*read):
        read = read[:1]
    return replace(read[0], typed=typed, more=tuple(read[1:]))


@dataclass(slots=True)
class _Found:
    """A number with the unit that follows it and the sign before it."""

    number: Fraction
    unit: str = ""
    sign: str = ""
    digits: str = ""


def _piece(low: str, decimal: numerals.DecimalSign, typed: str) -> list[Amount]:
    """What stands between two signs of addition: numbers, units and containers in any order."""
    tokens = _tokens(_in_figures(low))
    if not tokens or tokens[0] in _TIMES or tokens[-1] in _TIMES:
        raise _not_understood(typed)  # so many times what?
    if tokens[0] == "-":
        raise Mendable(f"“{typed}” is below zero; type an amount such as 2 oz, or 0.")
    container = next((token for token in tokens if token in CONTAINERS), "")
    found = _numbers(tokens, decimal, typed)
    _ask_what_can_be_two(found, decimal, typed)
    return _together(found, container, tokens[0], typed)


def _ask_what_can_be_two(found: list[_Found], decimal: numerals.DecimalSign, typed: str) -> None:
    """Refuse 1.000 ml, one or a thousand of them, and 250 (2 boxes), 250 in all or in each."""
    for one in found:
        tiny = one.unit in ("mL", "g") and _GROUP.fullmatch(one.digits.rstrip(".,'"))
        if tiny and decimal == "either":
            both = one.digits.replace(".", ""), units.plain_number(one.number, 3)
            raise Mendable(f"“{typed[:40]}” can be {both[0]} or {both[1]} {one.unit}; type it "
                           "without the point, or with fewer decimals.")  # fmt: skip
    if any(one.sign == "(" and one.unit == "container" and one.number > 1 for one in found[1:]):
        raise Mendable(f"“{typed[:40]}” can be an amount in all or in each; type one such as "
                       "2 x 125, or 250.")  # fmt: skip


def _in_figures(low: str) -> str:
    """The text with spoken numbers, cases and thousands as plain figures."""
    spoken = numerals.spoken_number(low)
    if spoken and not re.match(r" ?[.\d]", spoken[1]):
        low = f"{spoken[0]} {spoken[1]}"  # a Fraction prints as 1/2 or 3
    cases = _CASES.match(low)
    if cases and _as_cases(int(cases[1]), int(cases[2])):
        # "4/1 gal" and "6/32 oz" are cases of four and six, "1/2 gal" is half a gallon.
        low = f"{cases[1]} x {cases[2]}{low[cases.end() :]}"
    words = [word.rstrip(".") for word in re.findall(_WORD, low)]
    if any(word in CONTAINERS or units.unit_named(word) == "pc" for word in words):
        return low
    return re.sub(r"(?<=\d) (?=\d{3}(?!\d|/))", "", low)  # 1 500 ml


def _numbers(tokens: list[str], decimal: numerals.DecimalSign, typed: str) -> list[_Found]:
    """The numbers of a piece, each with its unit and sign; refuses a word that is not known."""
    found: list[_Found] = []
    sign = whose = ""
    for token in tokens:
        if token[0].isdigit() or (token[0] in ".," and len(token) > 1):
            found.append(_Found(_number(token, decimal, typed), sign=sign, digits=token))
            sign = whose = ""
        elif token in _WHOSE:
            whose = _WHOSE[token]
        elif token in _SIGNS:
            sign = _SIGNS[token]
        elif token == "%":
            if found:
                found[-1].number, found[-1].unit = found[-1].number / 100, "container"
        elif token in _BESIDE or token[0] in _STOPS:
            continue
        elif found and not found[-1].unit:
            unit = "container" if token in CONTAINERS else units.counted_unit(token) or token
            found[-1].unit = whose + unit
        elif found and _several_of(found[-1].unit, token):
            found[-1].number *= units.several(found[-1].unit)  # 2 dozen pairs
            found[-1].unit = units.counted_unit(token)
        elif token not in CONTAINERS and units.unit_named(token) != "pc":
            raise Mendable(f"“{token}” in “{typed[:40]}” is not understood; leave it out, or type "
                           "an amount such as 2 oz.")  # fmt: skip
    return found


def _tokens(low: str) -> list[str]:
    """The words, numbers and signs; a unit in two words ("fl oz", "oz wt") is one of them."""
    low = re.sub(r"(?<=\d)-(?=[a-z])", " ", low.translate(_DASHES))
    tokens: list[str] = []
    for match in _TOKEN.finditer(low):
        token = match[0].rstrip(".") or match[0]
        if match["word"] and tokens and units.unit_named(tokens[-1] + token) in ("fl oz", "wt oz"):
            tokens[-1] += token
        else:
            tokens.append(token)
    return tokens


def _number(text: str, decimal: numerals.DecimalSign, typed: str) -> Fraction:
    text = text.rstrip(".,'")
    if decimal == "comma" and ("." in text or "," in text):
        number = numerals.unsigned(text, decimal="comma")
        if number is None:
            raise _not_understood(typed)
        return number
    return numerals.read_number(text)


def _as_cases(count: int, each: int) -> bool:
    """Whether "4/1" and "6/32" before a unit are so many of so much, not a part of one."""
    if each == 0 or count == 0:
        return False
    return (
        count > each or (count > 1 and each > 16) or (each % 8 == 0 and count not in (1, 3, 5, 7))
    )


def _not_understood(typed: str) -> Mendable:
    return Mendable(f"“{typed[:40]}” is no amount that can be read; type one such as 2 oz or 71 g.")


def _together(found: list[_Found], container: str, first: str, typed: str) -> list[Amount]:
    """The amounts that the numbers of a piece make."""
    found = _said_once(found)
    measured = [one for one in found if one.unit not in _COUNTED]
    counted = [one for one in found if one.unit in _COUNTED]
    if any(one.sign == "to" for one in found) and not (measured and counted and container):
        raise Mendable(f"“{typed[:40]}” is a range; type one amount.")
    if len(found) == 1:
        return [_single(found[0], container, first)]
    joined = bool(container) or any(one.sign for one in found)
    if joined and len(measured) == 1 and len(counted) in (1, 2):
        count = prod((one.number for one in counted), start=Fraction(1))
        return [Amount(count, measured[0].number, measured[0].unit, container)]
    if not joined and not counted and len(measured) > 1 and _going_down(measured):
        return [Amount(each=one.number, unit=one.unit) for one in measured]
    pieces = any(one.unit in _PIECES for one in counted)
    if not measured and len(counted) == 2 and (joined or pieces):
        return [_packs_of_pieces(counted[0], counted[1], container, typed)]
    raise _not_understood(typed)


def _said_once(found: list[_Found]) -> list[_Found]:
    """Without the second of two measures that say the same, as in 32 oz (946 ml)."""
    measured = [one for one in found if one.unit not in _COUNTED]
    if len(measured) != 2 or not _said_twice(
        *(Amount(each=m.number, unit=m.unit) for m in measured)
    ):
        return found
    return [one for one in found if one is not measured[1]]


def _several_of(unit: str, word: str) -> bool:
    """Whether a dozen of pairs, or the like, is meant."""
    other = units.counted_unit(word)
    return unit != other and unit in _MANY and other in _MANY


def _loose_pieces(terms: list[Amount]) -> list[Amount]:
    """Beside packs a bare number counts loose pieces: 2 boxes + 7."""
    if not any(one.container for one in terms):
        return terms
    return [
        replace(one, unit="pc") if one.each is not None and not (one.unit or one.container) else one
        for one in terms
    ]


def _packs_of_pieces(packs: _Found, each: _Found, container: str, typed: str) -> Amount:
    """Two boxes of 50; the number that names the pieces is what each holds.

    10 pairs (20) and 12 pc (1 dozen) say the same twice; 2 pair x 1 dozen is two pairs, a dozen
    times.
    """
    if each.sign == "(" and not container:
        if each.number * units.several(each.unit) == packs.number * units.several(packs.unit):
            return Amount(each=packs.number, unit=packs.unit)
        raise _not_understood(typed)
    if packs.unit in _PIECES and each.unit in _PIECES:
        if not _several_of(packs.unit, each.unit):
            raise _not_understood(typed)
        return Amount(packs.number * units.several(packs.unit), each.number, each.unit, container)
    if packs.unit in _PIECES:
        packs, each = each, packs
    unit = each.unit if each.unit in _PIECES else "pc"
    return Amount(packs.number, each.number, unit, container)


def _single(one: _Found, container: str, first: str) -> Amount:
    if one.unit == "" and container and first == container:
        return Amount(each=one.number, unit="pc", container=container)  # "box of 100"
    if one.unit == "container" or (container and one.unit == ""):
        return Amount(one.number, container=container or "container")
    return Amount(each=one.number, unit=one.unit, container=container)


def _going_down(measured: Sequence[_Found]) -> bool:
    """Whether units go from large to small within one system, as in 1 lb 8 oz and 1 L 5 dl."""
    named = _same_ounces([Amount(each=Fraction(1), unit=one.unit) for one in measured])
    sizes = [_size(one) for one in named]
    return (
        all(sizes)
        and all(a > b for a, b in pairwise(sizes))
        and len({one.kind for one in named}) == 1
        and len({units.is_metric(one.unit) for one in named}) == 1
    )


def _same_ounces(terms: list[Amount]) -> list[Amount]:
    """Ounces beside pounds or grams are weights, beside gallons or millilitres volumes."""
    kinds = {one.kind for one in terms if one.unit not in _COUNTED} - {""}
    ounce = {"liquid": "fl oz", "paste": "wt oz"}.get(kinds.pop() if len(kinds) == 1 else "", "oz")
    return [replace(one, unit=ounce) if one.unit == "oz" else one for one in terms]


def _size(amount: Amount) -> Fraction:
    """How much a measured amount is, in the base unit of its own sort; 0 for anything else."""
    if amount.each is None or amount.unit in _COUNTED or not amount.kind:
        return Fraction(0)
    return amount.count * units.exact_amount(amount.each, amount.unit, Kind(amount.kind))


def _said_twice(one: Amount, other: Amount) -> bool:
    """Whether two amounts are one in two units ("32 oz (946 ml)"), as labels have it."""
    one, other = _same_ounces([one, other])
    a, b = _size(one), _size(other)
    return one.kind == other.kind and a > 0 and one.unit != other.unit and abs(a - b) * 20 <= a


def base_of(
    amount: Amount, kind: str, *, pack: int | None = None, bottle: int | None = None,
    density: int = 1000, imperial: bool = False,
) -> int:  # fmt: skip
    """The amount in the base unit of `kind`: microlitres, milligrams or thousandths of a piece.

    `pack` is what one container holds, `bottle` each of the several that a pack is made of (both
    base units); `imperial` which gallons and ounces are meant where they do not say so. Raises
    `Mendable` when it cannot be told.
    """
    total = sum(
        _exact(one, Kind(kind), (bottle or pack) if one.container in _ONE_EACH else pack, density,
               imperial)
        for one in amount.terms
    )  # fmt: skip
    if total > units.LARGEST:
        raise Mendable(f"{amount.typed} is too much for one entry; check the number.")
    return half_away(total)


def _exact(amount: Amount, kind: Kind, pack: int | None, density: int, imperial: bool) -> Fraction:
    number = amount.count * (1 if amount.each is None else amount.each)
    if amount.each is None or not amount.unit:
        if pack is not None:
            return number * pack
        if kind is Kind.PIECE:
            return number * units.PIECE
        if number == 0:
            return number
        if amount.each is None:
            raise Mendable("It does not say how much one holds; type it like 3 x 32 oz.")
        raise Mendable("It is without a unit; type it like 16 oz.")
    if kind is not Kind.PIECE and pack is not None and amount.unit in _COUNTED:
        return number * pack
    return units.exact_amount(number, amount.unit, kind, density, imperial)
