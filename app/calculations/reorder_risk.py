"""How near supplies are to running short: risks, reorder levels, and when packs will be due.

An order sent at a day's end comes after a lead time of 1, 2, 3… days, in the morning: what it
brings can be used on that day. If one waits for the next chance to order, `gap` days on, what is
on hand and on order has to last through gap + lead - 1 days.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.calculations.chances import Floats, need_survival
from app.calculations.need import HORIZON, Needs

BISECTIONS = 14


@dataclass(frozen=True, slots=True)
class Risks:
    """Of the supplies of one supplier, while nothing is ordered before the next chance."""

    risk: Floats  # chance of running short before that order comes
    level: Floats  # the position at which that chance is what is allowed
    safety: Floats  # level less the mean need until then; below zero where none is held
    span: int  # mean days until that order comes


def risks(
    needs: Needs, rows: np.ndarray, position: Floats, lead: Floats, gap: int, allowed: float
) -> Risks:
    """Risks and levels of the supplies in `rows` of the needs.

    position: on hand and on order, by those rows; lead: chances of a lead time of 1, 2, 3… days;
    allowed: chance of running short.
    """
    days = np.minimum(np.arange(gap, gap + lead.size), HORIZON) - 1  # columns of the needs
    place = np.ix_(rows, days)
    mean, variance, some = needs.mean[place], needs.variance[place], needs.some[place]

    def short(level: Floats) -> Floats:
        return need_survival(level[:, None], mean, variance, some) @ lead

    low = np.zeros(rows.size)
    high = mean[:, -1] + 8.0 * np.sqrt(variance[:, -1])
    for _ in range(BISECTIONS):
        middle = (low + high) / 2.0
        over = short(middle) > allowed
        low, high = np.where(over, middle, low), np.where(over, high, middle)
    level = np.where(short(np.zeros(rows.size)) > allowed, high, 0.0)
    span = max(1, round(float(lead @ (days + 1))))
    return Risks(short(position), level, level - needs.mean[rows, span - 1], span)


def due_in(needs: Needs, row: int, position: float, safety: float, span: int) -> int | None:
    """Days until an order would be due for a supply at this position; None beyond the horizon.

    It is due when the mean need of the span from then on, and the safety stock, come to the
    position; but what is used so seldom that nothing may be needed at all is not due before a
    need is as likely as not.
    """
    mean = needs.mean[row]
    day = int(np.searchsorted(mean, position - safety)) + 1
    likely = int(np.searchsorted(needs.some[row], 0.5)) + 1
    first = max(day, likely)
    return max(first - span, 0) if first <= HORIZON else None
