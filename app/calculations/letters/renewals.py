"""Renewals: when each layer should be seen again, counted from its last judgement.

The due span runs from the day on which four in five such layers still protect to the day on
which one in two does. Inside it lies the letter day (`letter_day`), the best day to write.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from app.calculations.layers.layers import Verdict
from app.calculations.layers.lives import Lives
from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.errors import Mendable

_LONGEST_DAYS = 36500.0  # a century: further than any span that is ever shown


@dataclass(frozen=True, slots=True, kw_only=True)
class WearingLayer:
    """A standing layer whose household might be written to.

    `judged` and `verdict` are those of its last judgement, None when not seen since. `exposure`
    is the factor of its vehicle, on the same footing as the lives were learnt. `sold` is the day
    the owner link closed; `stored_until` and `lease_ends` are the vehicle's.
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

    `write_on` is the letter day, never outside the span; `still` the chance that the layer
    protects on the day asked about.
    """

    candidate: WearingLayer
    due_from: date
    due_to: date
    write_on: date
    still: float

    def in_span(self, day: date) -> bool:
        """Whether the layer is due on that day, or was before it."""
        return day >= self.due_from


def due_spans(candidates: Sequence[WearingLayer], lives: Lives, day: date) -> list[Due]:
    """The due span of each candidate, in their order, and its chance to protect on `day`.

    A layer seen gone is due from the day it was seen. Raises `Mendable` for a supply without a
    label, or a layer judged before it was put on.
    """
    if not candidates:
        return []
    applied = np.array([one.applied.toordinal() for one in candidates], dtype=float)
    judged = np.array([(one.judged or one.applied).toordinal() for one in candidates], dtype=float)
    early = int(np.argmin(judged - applied))
    if judged[early] < applied[early]:
        one = candidates[early]
        raise Mendable(
            f"The {one.protection_class} on the {one.group} of the {one.vehicle_title} was judged "
            "before it was put on; correct one of the two days."
        )
    supply = np.array([one.supply for one in candidates], dtype=np.int64)
    exposure = np.array([one.exposure for one in candidates], dtype=float)
    fading = np.array([one.verdict is Verdict.FADING for one in candidates], dtype=bool)
    gone = np.array([one.verdict is Verdict.GONE for one in candidates], dtype=bool)
    seen = judged - applied
    spans = np.minimum(lives.due(supply, exposure, seen, fading), _LONGEST_DAYS)
    spans[:, gone] = seen[gone]
    starts, ends, writes = np.rint(np.maximum(spans, seen) + applied).astype(np.int64)
    still = lives.survival(supply, day.toordinal() - applied, exposure, seen, fading)
    still[gone] = 0.0
    return [
        Due(one, _day(start), _day(end), _day(write), float(chance))
        for one, start, end, write, chance in zip(
            candidates, starts.tolist(), ends.tolist(), writes.tolist(), still, strict=True
        )
    ]


def _day(ordinal: int) -> date:
    return date.fromordinal(min(ordinal, date.max.toordinal()))
