"""What each judged number of the order rule does: `python -m tests.simulated_shop.sensitivity`.

Each is halved and doubled (or moved as `MOVES` says) while all others stay, in the shop as
described and in three that stray from it, with the same seeds. Where a line says "chosen here", the
value was taken from the curve of `python -m tests.simulated_shop`, so it is fitted to the made-up
shop to that extent; all others were set by judgement.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from importlib import import_module

from app.calculations.orders.lead_times import _of_seen
from app.calculations.orders.shelf_state import OrderSettings
from tests.simulated_shop.asking import proposed
from tests.simulated_shop.measure import score, shops
from tests.simulated_shop.plans import PLANS

ROOM = "app.calculations.orders"


@dataclass(frozen=True)
class Move:
    """A number of the rule, other values to try, and how it was chosen."""

    module: str  # empty: a setting
    name: str
    values: tuple[float, ...]
    chosen: str


JUDGED = "judgement, before measuring"
MOVES = (
    Move("", "quantile", (0.98, 0.985, 0.995), "chosen here: at most 0.3 % of jobs short"),
    Move("", "freight_days", (60, 240), "chosen here: freight 0.05 of minimums by hand"),
    Move("", "longest_days", (28, 112), "chosen here: eight weeks, the flat part"),
    Move("shelf_risks", "USUAL_DOUBT", (0.25, 1), "chosen here: as described hardly beyond it"),
    Move("shelf_risks", "MOST_SHIFTED", (1.5, 6), JUDGED),
    Move("need", "CHANCE_HALF_LIFE", (60, 240), JUDGED),
    Move("need", "BUSY_HALF_LIFE", (7, 28), JUDGED),
    Move("need", "BUSY_WEIGHT", (1.5, 6), JUDGED),
    Move("need", "SIZE_HALF_LIFE", (75, 300), JUDGED),
    Move("need", "SIZE_VARIATION", (0.2, 0.8), JUDGED),
    Move("need", "NOTICE_WEIGHT", (2.5, 10), JUDGED),
    Move("need", "RATE_WEIGHT", (3.5, 14), JUDGED),
    Move("need", "LEARNT", (14, 56), JUDGED),
    Move("need", "FIRST_USES", (0.25, 1), JUDGED),
    Move("need", "WILD", (2, 6), JUDGED),
    Move("need", "STOPPING", (1 / 1460, 1 / 365), JUDGED),
    Move("need", "DRIFT", (0.02, 0.08), JUDGED),
    Move("lead_times", "PRIOR_WEIGHT", (2, 8), JUDGED),
    Move("lead_times", "PRIOR_RATIO", (0.25, 1), JUDGED),
    Move("lead_times", "CHANGE", (0.01, 0.1), JUDGED),
    Move("lead_times", "FRESH_WEIGHT", (0.5, 2), JUDGED),
    Move("lead_times", "WILD", (2, 6), JUDGED),
    Move("packs", "KEEP_SHARE", (0.5, 0.9), "common practice, no source"),
)
KINDS = (
    "the shop as described",
    "lead time doubled midway",
    "walk-ins beside long bookings",
    "booked one day ahead",
)


@contextmanager
def moved(move: Move, value: float) -> Iterator[OrderSettings]:
    """The rule with one number moved, and the settings to ask it with."""
    if not move.module:
        kind = type(getattr(OrderSettings(), move.name))
        yield OrderSettings(**{move.name: kind(value)})
        return
    module = import_module(f"{ROOM}.{move.module}")
    before = getattr(module, move.name)
    setattr(module, move.name, value)
    _of_seen.cache_clear()  # what is kept of deliveries was reckoned with the number as it was
    try:
        yield OrderSettings()
    finally:
        setattr(module, move.name, before)
        _of_seen.cache_clear()


def main() -> None:
    """One line for each number and value: jobs short, stock and freight in each kind of shop."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=3, help="shops drawn of each kind")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--years", type=int, default=5, help="years that each shop is run")
    parser.add_argument("--only", default="", help="only numbers whose name has this in it")
    parser.add_argument("--kind", default="", help="only kinds whose name has this in it")
    asked = parser.parse_args()
    seeds = range(asked.first_seed, asked.first_seed + asked.seeds)
    kinds = [one for one in PLANS if one.name in KINDS and asked.kind in one.name]
    kinds = [
        replace(one, years=asked.years, doubles=one.doubles * asked.years / one.years)
        for one in kinds
    ]
    drawn = {one.name: shops(one, seeds) for one in kinds}
    print("jobs short, stock, freight of: " + "; ".join(drawn))

    def line(name: str, settings: OrderSettings, chosen: str) -> None:
        found = [score(some, lambda w: proposed(w, settings)) for some in drawn.values()]
        figures = "".join(f"{o.missed:9.2%}{o.value:6.2f}{o.freight:6.1%}" for o in found)
        print(f"  {name:30}{figures}  {chosen}", flush=True)

    line("as it is", OrderSettings(), "")
    for move in (one for one in MOVES if asked.only.casefold() in one.name.casefold()):
        for value in move.values:
            with moved(move, value) as settings:
                name = f"{move.module}.{move.name}" if move.module else move.name
                line(f"{name} {value:g}", settings, move.chosen)


if __name__ == "__main__":
    main()
