"""Ways to choose the letter day, from knowing nothing but the label to knowing the truth."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from math import isfinite, log

import numpy as np
from numpy.typing import NDArray

from app.calculations.layers.lives import Lives
from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.calculations.layers.sightings import Observation
from app.calculations.letters.renewals import WearingLayer, due_spans
from tests.simulated_world.ideal import ideal
from tests.simulated_world.world import TODAY, Shop, Standing

# A rival is told a shop and its standing layers, and names an age in days for each letter.
Rival = Callable[[Shop, Sequence[Standing]], list[float]]


def label_middle(shop: Shop, layers: Sequence[Standing]) -> list[float]:
    """The middle of the label's range, for every vehicle alike."""
    return [
        (shop.labels[one.supply].low_days + shop.labels[one.supply].high_days) / 2 for one in layers
    ]


def true_median(shop: Shop, layers: Sequence[Standing]) -> list[float]:
    """The true median, counted from the day the layer was put on."""
    return [shop.true_median(one.supply, one.exposure) for one in layers]


def true_median_since_seen(shop: Shop, layers: Sequence[Standing]) -> list[float]:
    """The true median of the life that is left after the last judgement."""
    ages = []
    for one in layers:
        median, shape = shop.true_median(one.supply, one.exposure), shop.shapes[one.supply]
        ages.append(float(median * (1.0 + (one.last_seen / median) ** shape) ** (1.0 / shape)))
    return ages


def plain_grid(shop: Shop, layers: Sequence[Standing]) -> list[float]:
    """The posterior median of a grid for each supply by itself, nothing shared or decided."""
    return _by_grid(shop, layers, shop.observations)


def last_year_grid(shop: Shop, layers: Sequence[Standing]) -> list[float]:
    """The same from nothing but the layers that were put on in the last year."""
    year = TODAY.toordinal() - 365
    return _by_grid(shop, layers, [one for one in shop.observations if one.applied > year])


def _by_grid(
    shop: Shop, layers: Sequence[Standing], observations: Sequence[Observation]
) -> list[float]:
    medians = {
        supply: _grid_median(shop, [one for one in observations if one.supply == supply], supply)
        for supply in {one.supply for one in layers}
    }
    return [medians[one.supply] * one.exposure / shop.plan.at_factor for one in layers]


def _grid_median(shop: Shop, seen: Sequence[Observation], supply: int) -> float:
    label = shop.labels[supply]
    low = np.array([one.low_days / one.exposure * shop.plan.at_factor for one in seen])
    high = np.array([one.high_days / one.exposure * shop.plan.at_factor for one in seen])
    middle = log((label.low_days + label.high_days) / 2)
    scales, shapes = np.linspace(-1.2, 1.2, 97), np.linspace(1.0, 8.0, 57)
    # the power of a quotient is that of both parts, of which there are far fewer
    rate = -np.exp(-scales[:, None] * shapes)

    def still(ages: NDArray[np.float64]) -> NDArray[np.float64]:
        """The chance (ages x scales x shapes) to protect still."""
        hazard = ((ages / np.exp(middle))[:, None] ** shapes)[:, None, :] * rate
        return np.asarray(np.exp(hazard, out=hazard))

    chance = still(low) - still(high)
    fits = np.log(np.maximum(chance, 1e-300)).sum(axis=0)
    fits -= (scales[:, None] / 0.30) ** 2 / 2
    weight = np.exp(fits - fits.max())
    weight /= weight.sum()
    ages = np.exp(np.linspace(middle - 2.5, middle + 2.0, 901))
    survival = np.einsum("aij,ij->a", still(ages), weight)
    return float(np.interp(0.5, survival[::-1], ages[::-1]))


def ours(shop: Shop, layers: Sequence[Standing]) -> list[float]:
    """What the window shows: the letter day of each due span, from lives learnt in this shop."""
    return letter_ages(shop.learnt, layers)


def letter_ages(lives: Lives, layers: Sequence[Standing]) -> list[float]:
    """Ages at the letter days of these layers."""
    candidates = [
        WearingLayer(
            household=f"household {number}",
            customer=number,
            vehicle=number,
            layer=number,
            supply=one.supply,
            protection_class=ProtectionClass.SYNTHETIC_SEALANT,
            group=SurfaceGroup.UPPER_HORIZONTALS,
            applied=TODAY - timedelta(days=round(one.age)),
            judged=_judged(one),
            verdict=one.verdict,
            exposure=one.exposure,
        )
        for number, one in enumerate(layers)
    ]
    return [
        float((due.write_on - due.candidate.applied).days)
        for due in due_spans(candidates, lives, TODAY)
    ]


def _judged(one: Standing) -> date | None:
    if one.verdict is None:
        return None
    assert isfinite(one.last_seen)
    return TODAY - timedelta(days=round(one.age)) + timedelta(days=int(one.last_seen))


RIVALS: dict[str, Rival] = {
    "label's middle": label_middle,
    "plain grid posterior": plain_grid,
    "plain grid of a year": last_year_grid,
    "this book": ours,
    "ideal Bayesian": ideal,
    "true medians": true_median,
}
