"""Charges by time: hours at a rate, as they are typed and as they stand on papers."""

from __future__ import annotations

import re
from fractions import Fraction

from app.actions.desk.desk import Desk
from app.calculations.numbers.durations import read_duration
from app.calculations.numbers.money import read_money
from app.calculations.numbers.rounding import half_away
from app.errors import Mendable

MOST = 60_000  # minutes of one line
_TIME = re.compile(r"\d+:\d\d|.*\d\s*(h|hrs?|hours?|m|mins?|minutes?)\.?", re.IGNORECASE)
_AT = re.compile(r"\s+(?:at|x|@)\s+|\s*×\s*", re.IGNORECASE)


def comes_to(minutes: int, hour_rate: int) -> int:
    """What so much time costs, minor units, rounded half away from zero."""
    return half_away(Fraction(minutes * hour_rate, 60))


def read_charge(desk: Desk, typed: str) -> tuple[int, int, int]:
    """(amount, minutes, rate an hour) as typed: `180`, or by time `2 h`, `2:30 at 85`.

    The rate is the shop's unless said; without a time minutes and rate are 0.
    """
    parts = _AT.split(typed.strip())
    if len(parts) > 2 or not _TIME.fullmatch(parts[0].strip()):
        return read_money(typed, desk.settings.currency), 0, 0
    minutes = read_duration(parts[0], most=MOST)
    rate = desk.settings.hourly_rate
    if len(parts) == 2:
        rate = read_money(parts[1], desk.settings.currency)
    if not minutes or rate <= 0:
        raise Mendable("Hours are charged above zero; type them such as 2 h, or 2:30 at 85.")
    return comes_to(minutes, rate), minutes, rate


def hours_text(minutes: int) -> str:
    """Hours as a paper says them, `2.50`; nothing where there are none."""
    return f"{minutes / 60:.2f}" if minutes else ""
