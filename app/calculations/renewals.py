"""Renewals: when each layer should be seen again, counted from its last judgement."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.calculations.layers import Verdict
from app.calculations.lives import Lives
from app.calculations.protection import ProtectionClass, SurfaceGroup


@dataclass(frozen=True, slots=True)
class Candidate:
    """A standing layer whose household might be written to.

    `judged`/`verdict` are of its last judgement, None when not seen since. `sold` is the day the
    owner link closed; `stored_until` and `lease_ends` are the vehicle's.
    """

    household: str
    customer: int
    vehicle: int
    layer: int
    supply: int
    protection_class: ProtectionClass
    group: SurfaceGroup
    applied: date
    judged: date | None = None
    verdict: Verdict | None = None
    exposure: float = 1.0
    vehicle_title: str = "vehicle"
    sold: date | None = None
    stored_until: date | None = None
    lease_ends: date | None = None


@dataclass(frozen=True, slots=True)
class Due:
    """When a layer is due: survival falls from 80 % (`due_from`) to 50 % (`due_to`).

    `write_on` is the day the letter would best be written; `still` the chance that the layer
    protects on the day asked about; `overdue` when `due_to` has passed.
    """

    candidate: Candidate
    due_from: date
    due_to: date
    write_on: date
    still: float

    def in_span(self, day: date) -> bool:
        """Whether the layer is due on that day, or was before it."""
        return day >= self.due_from


def due_spans(candidates: Sequence[Candidate], lives: Lives, day: date) -> list[Due]:
    """The due span of each candidate, in their order. A layer seen gone is due at once."""
    raise NotImplementedError
