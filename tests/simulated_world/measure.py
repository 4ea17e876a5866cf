"""Two figures for a way of choosing letter days: letters that hit, and days unprotected."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.simulated_world.ideal import ideal
from tests.simulated_world.rivals import (
    RIVALS,
    Rival,
    last_year_grid,
    true_median_since_seen,
)
from tests.simulated_world.world import Plan, Shop, Standing, open_shop

WITHIN = 0.20  # of the true age at wear-out
NEW_LAYERS = 400  # for each supply and kind of standing


@dataclass(frozen=True)
class Score:
    """Averages over seeds. `hits` is a share, `unprotected` days, `part` of the true median."""

    hits: float
    unprotected: float
    part: float


@dataclass(frozen=True)
class Group:
    """Layers as a rival may know them, each with the true ends it might come to."""

    layers: list[Standing]
    ends: list[NDArray[np.float64]]


def new_layers(shop: Shop, rng: np.random.Generator) -> Group:
    """Layers put on the day the letters are planned, of every supply and standing.

    Where supplies were reformulated, of these alone.
    """
    layers, ends = [], []
    for supply in shop.reformulated or [one.supply for one in shop.labels]:
        for exposure in shop.plan.standings:
            layers.append(Standing(supply, exposure, 0.0, 0.0, None, 0.0))
            ends.append(shop.wear_outs(rng, supply, exposure, NEW_LAYERS))
    return Group(layers, ends)


def layers_out_there(shop: Shop, _rng: np.random.Generator) -> Group:
    """Layers not yet seen gone on the day the letters are planned."""
    blind = [replace(one, wears_out_at=0.0) for one in shop.standing]
    return Group(blind, [np.array([one.wears_out_at]) for one in shop.standing])


def score(shop: Shop, group: Group, ages: Sequence[float]) -> Score:
    """How letters at these ages fare."""
    medians = [shop.true_median(one.supply, one.exposure) for one in group.layers]
    counts = [len(ends) for ends in group.ends]
    worn = np.concatenate(group.ends)
    letter = np.repeat(ages, counts)
    late = np.maximum(letter - worn, 0.0)
    hits = np.abs(letter - worn) <= WITHIN * worn
    part = late / np.repeat(medians, counts)
    return Score(float(hits.mean()), float(late.mean()), float(part.mean()))


def measure(
    plan: Plan,
    seeds: Sequence[int],
    only: Collection[str] = (),
    groups: Collection[str] = ("new", "standing"),
) -> dict[str, dict[str, Score]]:
    """Scores of every rival in a world, for "new" layers and for those "standing".

    `only` names the rivals to score; empty for all.
    """
    chosen = {name: rival for name, rival in RIVALS.items() if not only or name in only}
    if plan.reformulated_days_ago is None:
        chosen = {name: rival for name, rival in chosen.items() if rival is not last_year_grid}
    rivals: dict[str, Mapping[str, Rival]] = {
        "new": chosen,
        "standing": {
            **{name: rival for name, rival in chosen.items() if rival is not ideal},
            "true medians since seen": true_median_since_seen,
        },
    }
    laid = {"new": new_layers, "standing": layers_out_there}
    found: dict[str, dict[str, list[Score]]] = {name: {} for name in groups}
    for seed in seeds:
        rng = np.random.default_rng(seed)
        shop = open_shop(plan, rng)
        for name in groups:
            group = laid[name](shop, rng)
            for rival, days in rivals[name].items():
                ages = days(shop, group.layers)
                found[name].setdefault(rival, []).append(score(shop, group, ages))
    return {
        name: {
            rival: Score(*np.mean([(s.hits, s.unprotected, s.part) for s in scores], axis=0))
            for rival, scores in each.items()
        }
        for name, each in found.items()
    }
