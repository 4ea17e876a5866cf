"""A shop that writes down only what failed: its ends alone do not say how long layers last.

Checked against lives that are known because they are drawn here.
"""

from __future__ import annotations

from math import log

import numpy as np
import pytest

from app.calculations.layers.layers import Verdict
from app.calculations.layers.lives import fit
from app.calculations.layers.sightings import (
    _BARE_ENDS,
    _FEW_ENDS,
    Label,
    Observation,
    observe,
    without_bare_ends,
)
from app.errors import Mendable

SEALANT = Label(1, "sealant", 120.0, 240.0)
COATING = Label(2, "coating", 500.0, 800.0)


def failures(rng: np.random.Generator, label: Label, count: int, late: float) -> list[Observation]:
    """Layers that last as their label says, each seen once: some days after it failed."""
    lives = label.median_days * (rng.exponential(size=count) / log(2)) ** (1 / 3.4)
    seen = [
        observe(label.supply, [(float(age), Verdict.GONE)])
        for age in lives + rng.exponential(late, count)
    ]
    return [one for one in seen if one is not None]


@pytest.mark.parametrize("late", [20.0, 110.0])
@pytest.mark.parametrize("count", [5, 40, 400])
def test_where_only_failures_are_written_the_label_stands(count: int, late: float) -> None:
    rng = np.random.default_rng(17)
    labels = [SEALANT, COATING]
    lives = fit([one for label in labels for one in failures(rng, label, count, late)], labels)
    for label in labels:
        found = lives.summary(label.supply)
        assert found.median_days == pytest.approx(label.median_days, rel=0.15)
        assert found.layers == found.gone == count, "they are counted all the same"


def test_beside_layers_seen_standing_an_end_seen_at_the_first_look_counts() -> None:
    """Looked at once, at a day that has nothing to do with how it fares: half the promised life."""
    rng = np.random.default_rng(18)
    median = COATING.median_days / 2
    lives = median * (rng.exponential(size=600) / log(2)) ** (1 / 3.4)
    ages = rng.uniform(30, 900, 600)
    seen = [
        observe(2, [(age, Verdict.GONE if age >= life else Verdict.HOLDING)])
        for age, life in zip(ages.tolist(), lives.tolist(), strict=True)
    ]
    found = fit([one for one in seen if one is not None], [COATING]).summary(2)
    assert found.median_days == pytest.approx(median, rel=0.1)


def test_what_cannot_be_is_refused_among_bare_ends_too() -> None:
    bare = failures(np.random.default_rng(19), COATING, 50, 20.0)
    for low, high in ((-1.0, 30.0), (0.0, 0.0)):
        with pytest.raises(Mendable):
            fit([*bare, Observation(2, low, high)], [COATING])


@pytest.mark.parametrize("stood", [0, 1, 3, 4])
@pytest.mark.parametrize("bare", [_FEW_ENDS - 1, _FEW_ENDS, 3 * _BARE_ENDS, 4 * _BARE_ENDS])
def test_bare_ends_are_left_out_where_they_are_many_beside_all_that_was_seen_standing(
    bare: int, stood: int
) -> None:
    """Also what was seen standing on its first day was seen standing."""
    ends = [Observation(1, 0.0, 40.0)] * int(bare)
    looks = [Observation(1, 1.0), Observation(1, 1.0, 30.0)] * 2
    telling = [Observation(1, 0.0), *looks[:stood]]
    found = without_bare_ends([*ends, *telling])
    many = bare >= _FEW_ENDS and bare >= _BARE_ENDS * stood
    assert found == (telling if many else [*ends, *telling])
