"""How long what is on the shelf lasts: run-out days with their chances."""

from __future__ import annotations

import numpy as np

from app.calculations.numbers.chances import Floats, need_survival
from app.calculations.orders.need import HORIZON, Needs

EARLY, HALF, LATE = 0.1, 0.5, 0.9  # shares of such shelves that have run out
# Daily for eight weeks, then ever wider apart; between these days the chance is taken as even.
_DAYS = np.unique(
    np.concatenate([np.arange(1, 57), np.geomspace(57, HORIZON, 30).round().astype(int)])
)


def run_outs(needs: Needs, on_hand: Floats) -> tuple[Floats, Floats, Floats]:
    """Days until one in ten, half and nine in ten of such shelves have run out.

    Deliveries on their way are left aside. NaN where that lies beyond the horizon of a year;
    0 where nothing is left.
    """
    place = _DAYS - 1
    gone = need_survival(
        on_hand[:, None], needs.mean[:, place], needs.variance[:, place], needs.some[:, place]
    )
    gone = np.maximum.accumulate(gone, axis=1)
    early, half, late = (_first_day(gone, share) for share in (EARLY, HALF, LATE))
    empty = on_hand <= 0
    return np.where(empty, 0.0, early), np.where(empty, 0.0, half), np.where(empty, 0.0, late)


def _first_day(gone: Floats, share: float) -> Floats:
    """The first day on which this share has run out, between the days that were looked at."""
    reached = gone >= share
    at = reached.argmax(axis=1)
    rows = np.arange(gone.shape[0])
    before = np.maximum(at - 1, 0)
    rise = gone[rows, at] - gone[rows, before]
    part = np.where(rise > 0, (share - gone[rows, before]) / np.where(rise > 0, rise, 1.0), 1.0)
    day = _DAYS[before] + np.clip(part, 0.0, 1.0) * (_DAYS[at] - _DAYS[before])
    return np.where(reached.any(axis=1), np.ceil(day - 1e-9), np.nan)
