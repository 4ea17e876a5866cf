"""Money in whole minor units: reading it, showing it, sharing it out without losing a cent."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from app.calculations.numbers.numerals import LARGEST, DecimalSign, one_space, unsigned
from app.calculations.numbers.rounding import half_away as half_away
from app.calculations.numbers.wording import MINUS
from app.errors import Mendable

# ISO 4217, digits of the minor unit. What has none (metals, test codes) is no currency here.
_TWO = """
AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE
CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD
HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK
MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD
RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH
USD USN UYU UZS VED VES WST XAD XCD XCG YER ZAR ZMW ZWG
"""
_THREE = "BHD IQD JOD KWD LYD OMR TND"
_NONE = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_FOUR = "CLF UYW"
_DIGITS = {
    code: digits
    for digits, codes in ((0, _NONE), (2, _TWO), (3, _THREE), (4, _FOUR))
    for code in codes.split()
}

# Which currencies a sign may stand for; a sign for another currency is refused.
_SIGNS = {
    "us$": {"USD"},
    "ca$": {"CAD"},
    "c$": {"CAD"},
    "a$": {"AUD"},
    "au$": {"AUD"},
    "nz$": {"NZD"},
    "mx$": {"MXN"},
    "r$": {"BRL"},
    "€": {"EUR"},
    "£": {"GBP", "GIP", "FKP", "SHP", "EGP", "LBP", "SYP", "SDG", "SSP"},
    "¥": {"JPY", "CNY"},
    "₹": {"INR"},
    "₩": {"KRW", "KPW"},
    "₪": {"ILS"},
    "₴": {"UAH"},
    "₫": {"VND"},
    "zł": {"PLN"},
    "kr": {"SEK", "NOK", "DKK", "ISK"},
    "fr": {"CHF"},
    # As people there write it in Latin letters; common practice, no source.
    "円": {"JPY"},
    "yen": {"JPY"},
    "元": {"CNY"},
    "kd": {"KWD"},
    "bd": {"BHD"},
    "jd": {"JOD"},
    "dt": {"TND"},
    "dh": {"AED", "MAD"},
    "dhs": {"AED", "MAD"},
    "rs": {"INR", "PKR", "LKR", "NPR", "MUR"},
    "rm": {"MYR"},
    "r": {"ZAR"},
}
_MINUS = "-\u2212\u2013\u2010\u2011"
_LETTERS = re.compile(r"(^[^\d.,'’()\s+\-−–]+(?:\.(?=\s))?)|([^\d.,'’()\s+\-−–]+$)")


def minor_digits(currency: str) -> int:
    """Digits of the minor unit by ISO 4217: 2 for USD, 0 for JPY, 3 for KWD; else `Mendable`."""
    digits = _DIGITS.get(currency.strip().upper())
    if digits is None:
        raise Mendable(f"“{currency}” is not a currency code; type three letters such as USD.")
    return digits


def read_money(text: str, currency: str, decimal: DecimalSign = "either") -> int:
    """Minor units from an amount as people write it.

    Takes `$1,234.50`, `1.234,50`, `1 234,50`, `1'234.50`, `USD 12.5`, `12 €`, `12`; a negative
    amount as `-12`, `12-` or `(12.00)`. The rule for commas and points is that of
    `app.calculations.numbers.numerals`; where one sign and exactly three digits can be either, the
    currency decides: with 0, 2 or 4 minor digits both `1,234` and `1.234` are one thousand two
    hundred and thirty-four, because three digits are no cents; with 3 minor digits only the comma
    groups, and `1.234` is 1 and 234 thousandths. `decimal` fixes the sign where it is known, as for
    a whole column of a spreadsheet.

    Raises `Mendable` for rubbish, another currency's sign, and parts of a minor unit.
    """
    digits = minor_digits(currency)
    code = currency.strip().upper()
    plain = one_space(text)
    if not plain or len(plain) > 60:
        raise Mendable("No amount of money was typed; type one such as 12.50.")
    body, negative = plain, False
    if body.startswith("(") and body.endswith(")"):
        body, negative = body[1:-1].strip(), True
    # A sign of currency and a minus may stand in either order: $-12, -$12, 12-$.
    for _ in range(2):
        for end in (0, -1):
            if body and body[end] in _MINUS + "+" and len(body) > 1:
                if body[end] != "+":
                    if negative:
                        raise Mendable(f"“{plain}” is negative twice; type an amount such as -12.")
                    negative = True
                body = (body[1:] if end == 0 else body[:-1]).strip()
        body = _without_sign(body, code, plain)
    number = unsigned(body, decimal=decimal, grouping="," if digits == 3 else ",.")
    if number is None:
        raise Mendable(f"“{plain}” is not an amount of money; type one such as 12.50.")
    if number > LARGEST:
        raise Mendable(f"“{plain}” is too large an amount; check the number.")
    minor = number * 10**digits
    if minor.denominator != 1:
        most = f"at most {digits} decimals" if digits else "no decimals"
        raise Mendable(f"“{plain}” is finer than {code} goes; type {most}.")
    return -int(minor) if negative else int(minor)


def _without_sign(body: str, code: str, plain: str) -> str:
    """The amount without its currency's sign or code, which must not be another currency's."""
    for match in _LETTERS.finditer(body):
        sign = match[0].casefold().strip(".")
        known = sign in _SIGNS or sign.upper() in _DIGITS or sign == "$"
        if not known:
            raise Mendable(f"“{plain}” is not an amount of money; type one such as 12.50.")
        if sign != "$" and code not in _SIGNS.get(sign, {sign.upper()}):
            raise Mendable(f"“{plain}” is not in {code}; type the amount in {code}.")
        if sign == "$" and code in ("EUR", "GBP", "JPY", "CHF"):
            raise Mendable(f"“{plain}” is not in {code}; type the amount in {code}.")
    return _LETTERS.sub("", body).strip()


def shown_money(minor: int, currency: str) -> str:
    """`1,234.50`, `−12.00`, for people to read."""
    digits = minor_digits(currency)
    whole, rest = divmod(abs(minor), 10**digits)
    text = f"{whole:,}" + (f".{rest:0{digits}d}" if digits else "")
    return MINUS + text if minor < 0 else text


def shown_whole(minor: int, currency: str) -> str:
    """The amount rounded to whole units of the currency: `1,235` of 1,234.50."""
    size = 10 ** minor_digits(currency)
    return shown_money(half_away(Fraction(minor, size)) * size, currency).partition(".")[0]


def allocate(total: int, weights: Sequence[int]) -> list[int]:
    """Share out whole minor units in proportion to weights, by the largest remainder.

    The shares sum to the total exactly and each is within one unit of its exact share; a weight of
    zero gets nothing; of equal remainders the earlier goes first. A negative total is shared as its
    opposite. Raises `ValueError` for a negative weight or when all are zero.

    The task is Fowler's ("Patterns of Enterprise Application Architecture", 2002, Money); largest
    remainder is used in place of first come, because that gives a cent to a weight of zero.
    """
    if any(weight < 0 for weight in weights):
        raise ValueError("Weights are not negative")
    whole = sum(weights)
    if whole == 0:
        raise ValueError("At least one weight is above zero")
    size = abs(total)
    shares = [size * weight // whole for weight in weights]
    by_remainder = sorted(range(len(weights)), key=lambda i: (-(size * weights[i] % whole), i))
    for i in by_remainder[: size - sum(shares)]:
        shares[i] += 1
    return [-share for share in shares] if total < 0 else shares
