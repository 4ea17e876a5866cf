"""Two figures for a way of choosing letter days: letters that hit, and days unprotected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tests.simulated_world.rivals import RIVALS, Rival, true_median_since_seen
from tests.simulated_world.world import STANDING, Plan, Shop, Standing, open_shop

WITHIN = 0.20  # of the true age at wear-out
NEW_LAYERS = 400  # for each supply and kind of standing


@dataclass(frozen=True)
class Score:
    """Averages over seeds. `hits` is a share, `unprotected` days, `part` of the true median."""

    hits: float
    unprotected: float
    part: float


def new_layers(shop: Shop, rng: np.random.Generator) -> list[Standing]:
    """Layers put on the day the letters are planned, of every supply and standing."""
    return [
        Standing(label.supply, exposure, 0.0, 0.0, None, float(life))
        for label in shop.labels
        for exposure in STANDING
        for life in shop.wear_outs(rng, label.supply, exposure, NEW_LAYERS)
    ]


def score(shop: Shop, layers: Sequence[Standing], ages: Sequence[float]) -> Score:
    """How letters at these ages fare; none can be written before today."""
    letter = np.maximum(np.array(ages), [one.age for one in layers])
    worn = np.array([one.wears_out_at for one in layers])
    medians = np.array([shop.true_median(one.supply, one.exposure) for one in layers])
    late = np.maximum(letter - worn, 0.0)
    hits = np.abs(letter - worn) <= WITHIN * worn
    return Score(float(hits.mean()), float(late.mean()), float((late / medians).mean()))


def measure(plan: Plan, seeds: Sequence[int]) -> dict[str, dict[str, Score]]:
    """Scores of every rival in a world, for "new" layers and for those "standing"."""
    found: dict[str, dict[str, list[Score]]] = {"new": {}, "standing": {}}
    rivals: dict[str, Mapping[str, Rival]] = {
        "new": RIVALS,
        "standing": {**RIVALS, "true medians since seen": true_median_since_seen},
    }
    for seed in seeds:
        rng = np.random.default_rng(seed)
        shop = open_shop(plan, rng)
        groups = {"new": new_layers(shop, rng), "standing": shop.standing}
        for group, layers in groups.items():
            # One letter day serves all new layers alike; it is worked out once for each kind.
            kinds = list(dict.fromkeys(_kind(one) for one in layers))
            for name, rival in rivals[group].items():
                ages = dict(zip(kinds, rival(shop, kinds), strict=True))
                each = [ages[_kind(one)] for one in layers]
                found[group].setdefault(name, []).append(score(shop, layers, each))
    return {
        group: {
            name: Score(*np.mean([(s.hits, s.unprotected, s.part) for s in scores], axis=0))
            for name, scores in names.items()
        }
        for group, names in found.items()
    }


def _kind(one: Standing) -> Standing:
    """A layer without its true end, which no rival may know."""
    return replace(one, wears_out_at=0.0)
