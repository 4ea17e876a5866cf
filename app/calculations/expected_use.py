"""What a job is expected to use: the recipe, corrected by the shop's own confirmed uses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

# Common practice, no source; a shop may pass its own.
SIZE_FACTORS: Mapping[str, float] = MappingProxyType({"S": 0.8, "M": 1.0, "L": 1.3, "XL": 1.8})
CONDITION_FACTORS: Mapping[str, float] = MappingProxyType(
    {"kept": 0.8, "average": 1.0, "neglected": 1.4, "extreme": 2.0}
)


@dataclass(frozen=True, slots=True)
class Observation:
    """A confirmed use: what the recipe said for that job and what was used (base units).

    Uses marked "from recipe" must not be given. `used` 0 is a confirmed "not used".
    """

    supply: int
    service: int
    size: str
    recipe: int
    used: int
    day_ordinal: int


@dataclass(frozen=True, slots=True)
class Expected:
    """What a job is expected to use, in base units."""

    amount: int  # the middle use (median)
    low: int  # four in five uses lie within low..high
    high: int
    n: int  # confirmed uses behind it: of this supply and service
    past: tuple[int, ...]  # confirmed uses scaled to this job, latest first
    spread: float  # standard deviation of the natural logarithm, as the reorder rule reads it


def recipe_amount(
    amount: int,
    scaling: str,
    size: str,
    condition: str,
    *,
    layers: int = 1,
    size_factors: Mapping[str, float] = SIZE_FACTORS,
    condition_factors: Mapping[str, float] = CONDITION_FACTORS,
) -> int:
    """A recipe line for one job, in base units; scaling: fixed, size, size_condition, layer,
    container."""
    raise NotImplementedError


class Corrections:
    """What the shop's confirmed uses taught; made by `fit`, never changed afterwards."""

    def expect(self, supply: int, service: int, size: str, recipe_amount: int) -> Expected:
        """The expected use of a supply on a job whose recipe says `recipe_amount`."""
        raise NotImplementedError


def fit(observations: Sequence[Observation]) -> Corrections:
    """Learn the corrections from confirmed uses."""
    raise NotImplementedError
