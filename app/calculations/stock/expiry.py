"""What of dated lots will not be used before they expire.

Lots are used the earliest end first. What stands in lots that end by a day, less what is used until
then, is lost on that day: the greatest such loss over all ends is what the shelf holds and nobody
will use. A bound of the same kind as in the theory of perishable stock (Nahmias, *Operations
Research* 30, 1982, 680-708: an issue takes the oldest units first; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor


@dataclass(frozen=True, slots=True)
class DatedLot:
    """What is left of a lot (base units) and the last day (ordinal) on which it may be used."""

    left: int
    last_day: int


@dataclass(frozen=True, slots=True)
class Loss:
    """Base units: what is past its life already, and what will be before it is used."""

    past: int
    lost: int
    first_day: int | None  # the end of the first lot that is not used up in time

    @property
    def whole(self) -> int:
        """All that cannot be counted on."""
        return self.past + self.lost


def loss(
    lots: Sequence[DatedLot],
    needs: Iterable[tuple[int, int]],
    per_day: float,
    today: int,
    within: int,
) -> Loss:
    """What of the lots cannot be counted on.

    Args:
        lots: of one supply, in any order; a lot may still be used on its last day.
        needs: (day, amount) of booked work, base units; what is past counts as tomorrow.
        per_day: ordinary use, base units a day; until a lot's end it is the greater of this and
            what is booked that counts, for booked work is part of the ordinary use.
        today: the day at whose end it is asked.
        within: only lots that end in so many days are asked about; 56 are eight weeks.
    """
    booked = [(max(day, today + 1), amount) for day, amount in needs]
    past = sum(lot.left for lot in lots if lot.left > 0 and lot.last_day < today)
    ending = sorted(
        (lot for lot in lots if lot.left > 0 and today <= lot.last_day <= today + within),
        key=lambda lot: lot.last_day,
    )
    standing, lost, first = 0, 0, None
    for lot in ending:
        standing += lot.left
        until = sum(amount for day, amount in booked if day <= lot.last_day)
        used = max(until, floor(per_day * (lot.last_day - today)))
        over = standing - lost - used
        if over > 0:
            first = first if first is not None else lot.last_day
            lost += over
    return Loss(past, lost, first)
