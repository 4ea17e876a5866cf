"""Reading how money came: the way of paying, and payments in two ways at once."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from app.calculations.numbers.rounding import half_away

# Common practice, no source: what people write; the schemes of banks beside it.
_METHODS = (
    ("check", r"che(?:ck|que)|chk|ck\b|scheck"),
    ("cash", r"cash|bar\b|efectivo|bargeld"),
    ("card", r"card|credit|debit|cc\b|swipe|tap\b|karte|tarjeta|terminal"),
    ("transfer",
        r"transfer|wire|bank|ach\b|online|app\b|e-?pay|mobile pay|überweisung|ueberweisung|"
        r"transferencia|bacs\b|chaps\b|sepa\b|eft\b|standing order|faster pay|"
                 r"direct debit|link|invoice pay"),
)  # fmt: skip
_WAY = "|".join(f"(?P<{name}>(?<!\\w)(?:{pattern}))" for name, pattern in _METHODS)
_MONEY = (
    r"(?P<half>(?<!\w)half\b)|(?P<rest>(?<!\w)(?:the )?(?:rest|balance|remainder)\b)|"
    r"(?P<money>[$€£¥]?\s?\d[\d.,']*(?:\s?[$€£¥])?)"
)
_SUMS = ("money", "half", "rest")
_PART = re.compile(f"{_WAY}|{_MONEY}", re.IGNORECASE)
_CHECK_NUMBER = re.compile(
    r"(?<!\w)((?:check|cheque|chk|ck)\.?) ?(?:#|no\.?|nr\.?|number) ?\d+", re.IGNORECASE
)
_TIP = re.compile(r"\btips?\b|gratuity|trinkgeld|propina", re.IGNORECASE)
_MORE = re.compile(
    r"\d[^\d]*(?:\+|&|\b(?:and|plus|then|und|y)\b)[^\d]*\d|"
    r"\d.*\b(?:rest|balance|remainder)\b(?!\W*(?:0|nil|none)\b)",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"\s*(?:[,;/&+]|\band\b|\bthen\b)\s*", re.IGNORECASE)


def read_method(text: str) -> str:
    """cash, check, card or transfer; "" when the words say none, or more than one."""
    found = dict.fromkeys(_first_way(part) for part in _BETWEEN.split(text))
    ways = [way for way in found if way]
    if len(ways) > 1 and {"cash", "check"} & set(ways):
        return ""  # some of it in cash: how much is not said
    return _first_way(text)


def _first_way(text: str) -> str:
    return next(
        (name for name, pattern in _METHODS if re.search(rf"(?<!\w)(?:{pattern})", text, re.I)), ""
    )


def tells_several(text: str) -> bool:
    """Whether a text tells more than one sum: `20 + 30 cash`, `105, tip 10`, `60, rest later`."""
    text = _CHECK_NUMBER.sub(r"\1", text)
    tipped = _TIP.search(text) is not None and len(re.findall(r"\d[\d.,']*", text)) > 1
    return tipped or _MORE.search(text) is not None


def split_payment(
    text: str, whole: int | None, money: Callable[[str], int]
) -> tuple[tuple[int, str], ...]:
    """The parts of a payment that came in several ways: (amount, way); nothing where it did not.

    `40 cash 60 card`, `cash $40 / card $60`; of the `whole` `half cash half card` and `60 check,
    rest cash`. `money` reads an amount, in minor units, and raises `Mendable`.
    """
    if _TIP.search(text):
        return ()  # which of the sums is the tip, and whether the other holds it, is not said
    said = [(match.lastgroup or "", match[0].strip()) for match in _PART.finditer(
        _CHECK_NUMBER.sub(r"\1", text)
    )]  # fmt: skip
    sums = [one for one in said if one[0] in _SUMS]
    ways = [one for one in said if one[0] not in _SUMS]
    first = said[0] in sums if said else False
    in_turn = [
        (one in sums) is (first if at % 2 == 0 else not first) for at, one in enumerate(said)
    ]
    halves = [one for one in sums if one[0] == "half"]
    if len(sums) < 2 or len(sums) != len(ways) or not all(in_turn):
        return ()
    if halves and (len(sums) != 2 or len(halves) != 2 or whole is None):
        return ()
    if halves and whole is not None:
        begun = half_away(Fraction(whole, 2))
        amounts = [begun, whole - begun]
    else:
        amounts = [0 if kind == "rest" else money(amount) for kind, amount in sums]
    rest = [at for at, (kind, _) in enumerate(sums) if kind == "rest"]
    if rest:
        left = (whole or 0) - sum(amounts)
        if halves or len(rest) > 1 or left <= 0:
            return ()
        amounts[rest[0]] = left
    return tuple((amount, way) for amount, (way, _) in zip(amounts, ways, strict=True))
