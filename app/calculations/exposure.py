"""Exposure: five plain questions about where a vehicle lives, and one factor on time.

Judgement, no source: a practitioner's scale that nobody measured. It is shown, it can be
changed, and the lives learnt from it say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

LOWEST, HIGHEST = 0.35, 1.1


@dataclass(frozen=True, slots=True)
class Part:
    """One answer and its factor, for showing how the whole came about."""

    question: str
    answer: str
    factor: float


@dataclass(frozen=True, slots=True)
class Exposure:
    """The factor on a layer's life (1 = garaged and washed by hand) and how it came about."""

    factor: float
    parts: tuple[Part, ...]
    answered: int
    clamped: bool
    sentence: str


def exposure(
    answers: Mapping[str, Any], factors: Mapping[str, Mapping[str, float]] | None = None
) -> Exposure:
    """The exposure of one vehicle from its answers.

    `answers` has the keys `stands`, `washed`, `around` (a list), `distance`, `kept_here`; each
    may be missing. `factors` replaces the whole scale. Raises `Mendable` for an unknown answer.
    """
    raise NotImplementedError
