"""How near supplies are to running short: risks, reorder levels, and when packs will be due.

An order sent at a day's end comes after a lead time of 1, 2, 3… days, in the morning: what it
brings can be used on that day. If one waits for the next chance to order, `gap` days on, what is
on hand and on order has to last through gap + lead - 1 days.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from app.calculations.numbers.chances import Floats, need_survival
from app.calculations.orders.need import HORIZON, Needs

BISECTIONS = 8
_TINY = 1e-12


@dataclass(frozen=True, slots=True)
class OrderWaits:
    """How long each supply's stock has to last if one waits for the next chance to order.

    days: supplies x waits, chances: the same shape, rows adding up to 1; span: mean days.
    """

    days: NDArray[np.int64]
    chances: Floats
    span: NDArray[np.int64]

    @classmethod
    def of(cls, leads: Sequence[Floats], gaps: Sequence[int]) -> OrderWaits:
        """Waits of supplies from their suppliers' lead times (chances of 1, 2, 3… days)."""
        different = {id(lead): lead for lead in leads}  # a supplier's is that of all its supplies
        found = {key: np.flatnonzero(lead) for key, lead in different.items()}
        possible = [found[id(lead)] for lead in leads]
        longest = max((some.size for some in possible), default=1)
        days = np.ones((len(leads), longest), dtype=np.int64)
        chances = np.zeros((len(leads), longest))
        for row, (lead, some, gap) in enumerate(zip(leads, possible, gaps, strict=True)):
            days[row, : some.size] = np.minimum(some + gap, HORIZON)
            chances[row, : some.size] = lead[some]
        span = np.rint((chances * days).sum(axis=1)).astype(np.int64)
        return cls(days, chances, np.maximum(span, 1))


@dataclass(frozen=True, slots=True)
class Risks:
    """Of each supply, while nothing is ordered before the next chance; arrays supplies."""

    risk: Floats  # chance of running short before that order comes
    level: Floats  # the position at which that chance is what is allowed
    safety: Floats  # level less the mean need until then; below zero where none is held
    by_wait: Floats  # supplies x waits: chance of running short within each wait


def rows_of(needs: Needs, rows: Sequence[int]) -> Needs:
    """The needs of some supplies only."""
    return Needs(*(getattr(needs, one.name)[list(rows)] for one in fields(needs)))


def any_short(found: Risks, waits: OrderWaits, rows: Sequence[int]) -> float:
    """Chance that any of these supplies of one supplier runs short before that order comes.

    Within each wait the chances are added up, to 1 at most (Boole's bound: the chance of any of
    several is at most the sum of theirs, however they depend on each other): they come in one
    parcel, so a late one is late for all of them, but still is one.
    """
    if not rows:
        return 0.0
    together = np.minimum(found.by_wait[list(rows)].sum(axis=0), 1.0)
    return float(together @ waits.chances[rows[0]])


def risks(needs: Needs, position: Floats, waits: OrderWaits, allowed: float | Floats) -> Risks:
    """Risks and levels of all supplies.

    position: on hand and on order; allowed: chance of running short, of all or of each.
    """
    rows = np.arange(position.size)[:, None]
    columns = waits.days - 1
    mean, variance = needs.mean[rows, columns], needs.variance[rows, columns]
    some = needs.some[rows, columns]

    def short(level: Floats) -> Floats:
        within = need_survival(level[:, None], mean, variance, some)
        return np.einsum("ij,ij->i", within, waits.chances)

    low = np.zeros(position.size)
    high = (mean + 6.0 * np.sqrt(variance)).max(axis=1, initial=0.0)
    chance_low, chance_high = short(low), np.full(position.size, _TINY)
    held = chance_low > allowed  # else nothing need be held
    for _ in range(BISECTIONS):
        middle = (low + high) / 2.0
        chance = short(middle)
        over = chance > allowed
        low, high = np.where(over, middle, low), np.where(over, high, middle)
        chance_low = np.where(over, chance, chance_low)
        chance_high = np.where(over, chance_high, chance)
    # between the two the logarithm of the chance is taken as a straight line
    fall = np.log(np.maximum(chance_low, _TINY) / np.maximum(chance_high, _TINY))
    part = np.log(np.maximum(chance_low, _TINY) / allowed) / np.where(fall > 0, fall, 1.0)
    level = np.where(held, low + np.clip(part, 0.0, 1.0) * (high - low), 0.0)
    safety = level - needs.mean[rows[:, 0], waits.span - 1]
    by_wait = need_survival(position[:, None], mean, variance, some)
    # Chances of waits add up to 1 but for their last digits, so what is certain came out above it.
    risk = np.minimum(np.einsum("ij,ij->i", by_wait, waits.chances), 1.0)
    return Risks(risk, level, safety, by_wait)


def due_in(needs: Needs, position: Floats, safety: Floats, span: NDArray[np.int64]) -> Floats:
    """Days until an order would be due for each supply; NaN beyond the horizon.

    It is due when the mean need of the span from then on, and the safety stock, come to the
    position; but what is used so seldom that nothing may be needed at all is not due before a
    need is as likely as not.
    """
    reached = (needs.mean >= (position - safety)[:, None]) & (needs.some >= 0.5)
    first = reached.argmax(axis=1) + 1
    return np.where(reached.any(axis=1), np.maximum(first - span, 0), np.nan)


def floor_in(needs: Needs, position: Floats, floor: Floats) -> Floats:
    """Days until the mean need takes each position below its floor; NaN where there is none or
    that lies beyond the horizon."""
    room = position - floor
    over = needs.mean > room[:, None]
    first = np.where(room < 0, 0.0, over.argmax(axis=1) + 1.0)
    return np.where((floor > 0) & ((room < 0) | over.any(axis=1)), first, np.nan)


def due_after(
    needs: Needs, row: int, positions: Floats, safety: float, span: int, floor: float = 0.0
) -> list[int]:
    """`due_in` of one supply for rising positions, or sooner where its floor is reached sooner;
    ends where one lies beyond the horizon."""
    likely = int(np.searchsorted(needs.some[row], 0.5))
    first = np.maximum(np.searchsorted(needs.mean[row], positions - safety), likely) + 1
    days = np.where(first <= HORIZON, np.maximum(first - span, 0), HORIZON + 1)
    if floor > 0:
        reached = np.searchsorted(needs.mean[row], positions - floor, side="right") + 1
        days = np.minimum(days, np.where(positions < floor, 0, reached))
    return [day for day in days.tolist() if day <= HORIZON]
