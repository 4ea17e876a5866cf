"""Numbers as people write them, in either decimal sign, read exactly.

Which of two signs means what
-----------------------------
1. Where both a comma and a point stand, the last one is the decimal sign and the other groups
   thousands: `1,234.5` and `1.234,50`.
2. A sign that stands more than once groups thousands: `1,234,567`.
3. A sign that stands once is the decimal sign: `1.5`, `1,5`, `0,125`.
4. But one to three digits (the first not a zero), one sign and exactly three digits can be either.
   Then the caller's `grouping` decides: for quantities the comma groups (`1,234` is one thousand
   two hundred and thirty-four) and the point does not (`1.234` is a little over one).
5. Spaces and apostrophes between groups of three group thousands: `1 234,50`, `1'234.50`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

from app.errors import Mendable

DecimalSign = Literal["point", "comma", "either"]

# What stands for nothing in an entry.
NOTHING = frozenset({"-", "\u2013", "\u2014", "\u2212", "none", "nothing", "no", "nil"})

LARGEST = 10**12
_LONGEST = 60
_SIGN = {"point": ".", "comma": ","}
_MINUS = "-\u2212\u2013\u2010\u2011"
_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8",
    "⅝": "5/8", "⅞": "7/8", "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
VULGAR = "".join(_VULGAR)
_SPACED = re.compile(r"([0-9]{1,3}(?:([ '])[0-9]{3})(?:\2[0-9]{3})*)([.,][0-9]+)?")
_GROUPS = re.compile(r"[1-9][0-9]{0,2}(?:[.,][0-9]{3})+")
_PLAIN = re.compile(r"[0-9]+|[0-9]+\.[0-9]*|\.[0-9]+")
_MIXED = re.compile(r"(?:([0-9]{1,12})(?: and | ?& ?| ?- ?| ))?([0-9]{1,9}) ?/ ?([0-9]{1,9})")


def one_space(text: str) -> str:
    """The text with every kind of white space made one plain space, and none at the ends."""
    return " ".join(text.split())


def plain_fractions(text: str) -> str:
    """The text with `½` and the like as ` 1/2`, and single spaces."""
    for sign, words in _VULGAR.items():
        text = text.replace(sign, f" {words}")
    return one_space(text.replace("\u2044", "/").replace("\u2215", "/"))


def unsigned(text: str, *, decimal: DecimalSign = "either", grouping: str = ",") -> Fraction | None:
    """Read digits with grouping and decimal signs; None where they are no number.

    Parameters
    ----------
    text
        Digits, points, commas, spaces, apostrophes; no sign, no unit.
    decimal
        The only decimal sign taken, or "either" for the rule at the head of this module.
    grouping
        With "either": the signs that group thousands where rule 4 leaves both possible.
    """
    text = one_space(text).replace("\u2019", "'")
    if " " in text or "'" in text:
        spaced = _SPACED.fullmatch(text)
        if spaced is None:
            return None
        whole, tail = re.sub("[ ']", "", spaced[1]), spaced[3] or ""
        if tail and decimal != "either" and tail[0] != _SIGN[decimal]:
            return None
        return Fraction(whole + tail.replace(",", "."))
    point, comma = text.count("."), text.count(",")
    if not point and not comma:
        sign = "."
    elif point and comma:
        sign = "." if text.rfind(".") > text.rfind(",") else ","
    else:
        sign = _lone_sign(text, "." if point else ",", decimal, grouping)
    if decimal != "either" and (point or comma) and sign != _SIGN[decimal]:
        return None
    other = "," if sign == "." else "."
    if text.count(sign) > 1:
        return None
    whole, mark, tail = text.partition(sign)
    if other in tail or (other in whole and not _GROUPS.fullmatch(whole)):
        return None
    plain = whole.replace(other, "") + ("." + tail if mark else "")
    return Fraction(plain) if _PLAIN.fullmatch(plain) else None


def _lone_sign(text: str, found: str, decimal: DecimalSign, grouping: str) -> str:
    """The decimal sign of a text in which only `found` stands."""
    other = "," if found == "." else "."
    if text.count(found) > 1:
        return other
    if decimal != "either":
        return _SIGN[decimal]
    if found in grouping and _GROUPS.fullmatch(text):
        return other
    return found


def read_number(text: str) -> Fraction:
    """Read a number as typed: `1 1/2`, `1/4`, `½`, `1½`, `1.5`, `1,5`, `1,234.5`, `1.234,50`, `-3`.

    Exact; the rule for commas and points is at the head of this module. Raises `Mendable`.
    """
    plain = one_space(text)
    if not plain:
        raise Mendable("No number was typed; type one such as 1.5 or 1 1/2.")
    if len(plain) > _LONGEST:
        raise Mendable(f"“{plain[:20]}…” is too long for a number; type one such as 1.5 or 1 1/2.")
    body = plain
    negative = body[0] in _MINUS
    if negative or body[0] == "+":
        body = body[1:].strip()
    body = plain_fractions(body)
    mixed = _MIXED.fullmatch(body)
    number: Fraction | None
    if mixed:
        if int(mixed[3]) == 0:
            raise Mendable(f"“{plain}” divides by zero; type a number such as 1/4 or 0.25.")
        number = int(mixed[1] or 0) + Fraction(int(mixed[2]), int(mixed[3]))
    else:
        number = unsigned(body)
    if number is None:
        raise Mendable(f"“{plain}” is not a number; type one such as 1.5 or 1 1/2.")
    if number > LARGEST:
        raise Mendable(f"“{plain}” is too large; type a number below a million million.")
    return -number if negative else number


_COUNTS = {
    "a": 1, "an": 1, "one": 1, "full": 1, "whole": 1, "a full": 1, "a whole": 1, "two": 2,
    "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12, "eine": 1, "un": 1, "una": 1,
}  # fmt: skip
_PARTS = {
    "half": Fraction(1, 2), "third": Fraction(1, 3), "quarter": Fraction(1, 4),
    "halb": Fraction(1, 2), "halbe": Fraction(1, 2), "medio": Fraction(1, 2),
    "media": Fraction(1, 2),
}  # fmt: skip
_SPOKEN = re.compile(
    r"(?:(?P<many>two|three) (?P<parts>thirds|quarters)"
    rf"|(?:an? |one )?(?P<part>{'|'.join(_PARTS)})"
    rf"|(?P<count>{'|'.join(sorted(_COUNTS, key=len, reverse=True))}))\b"
    r"(?P<half> and a half)?(?: of)?(?: an?| the)?(?= |$)"
)


def spoken_number(plain: str) -> tuple[Fraction, str] | None:
    """The number in words at the head of a text in small letters, and what follows it.

    `half a bottle` gives 1/2 and `bottle`; None where no word for a number stands there.
    """
    words = _SPOKEN.match(plain)
    if not words:
        return None
    if words["part"]:
        number = _PARTS[words["part"]]
    elif words["many"]:
        number = _COUNTS[words["many"]] * _PARTS[words["parts"].removesuffix("s")]
    else:
        number = Fraction(_COUNTS[words["count"]])
    if words["half"]:
        number += Fraction(1, 2)
    return number, plain[words.end() :].strip()
