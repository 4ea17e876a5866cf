"""What every part of the story works with."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from app.calculations.plan.expected_hours import HourFactors
from app.demo.calendar import Calendar
from app.demo.catalog import Catalog
from app.demo.rows import Clock, Rows


@dataclass(frozen=True, kw_only=True)
class Scene:
    """The shop's lists, its days, its rows, and the one source of chance."""

    catalog: Catalog
    calendar: Calendar
    rows: Rows
    clock: Clock
    rng: Random
    factors: HourFactors
    jobs_per_week: float


class Part:
    """A part of the story; each draws from the same source of chance, in the story's order."""

    def __init__(self, scene: Scene) -> None:
        self._catalog = scene.catalog
        self._calendar = scene.calendar
        self._rows = scene.rows
        self._clock = scene.clock
        self._rng = scene.rng
        self._factors = scene.factors
