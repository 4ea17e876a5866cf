"""Print how shelves fare in simulated shops: `python -m tests.simulated_shop`."""

from __future__ import annotations

import argparse
import time

from app.calculations.orders.shelf_state import OrderSettings
from tests.simulated_shop.asking import proposed
from tests.simulated_shop.measure import Score, score, shops
from tests.simulated_shop.plans import BASE, PLANS
from tests.simulated_shop.rivals import hand_set, last_pack, textbook

QUANTILES = (0.95, 0.97, 0.98, 0.985, 0.99, 0.995)
FREIGHT_DAYS = (30, 60, 80, 100, 120, 365)
HEADING = f"{'':34}{'jobs short':>11}{'stock':>8}{'freight':>9}{'orders a year':>15}{'goods':>8}"


def _line(name: str, one: Score) -> str:
    return (
        f"  {name:32}{one.missed:11.2%}{one.value:8.2f}{one.freight:9.1%}{one.orders:15.0f}"
        f"{one.paid:8.3f}"
    )


def main() -> None:
    """The shop as described with rivals and the trade-off curve, then the other shops."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=10, help="shops drawn of each kind")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--curve", action="store_true", help="only the trade-off curve")
    parser.add_argument("--others", action="store_true", help="only the other kinds of shop")
    parser.add_argument("--kind", default="", help="only other kinds whose name has this in it")
    asked = parser.parse_args()
    seeds = range(asked.first_seed, asked.first_seed + asked.seeds)
    print(
        f"Five years, {asked.seeds} shops of each kind. Stock and freight are shares of those of "
        "minimums set by hand."
    )
    if not asked.others and not asked.kind:
        began = time.perf_counter()
        drawn = shops(BASE, seeds)
        print(f"\n{BASE.name}\n{HEADING}")
        for name, way in (
            ("minimums set by hand", hand_set),
            ("when the last pack is opened", last_pack),
            ("textbook, normal, 98 %", textbook),
            ("proposed", proposed),
        ):
            print(_line(name, score(drawn, way)), flush=True)
        print("  trade-off:")
        for quantile in QUANTILES:
            settings = OrderSettings(quantile=quantile)
            name = f"quantile {quantile:g}"
            print(_line(name, score(drawn, lambda w, s=settings: proposed(w, s))), flush=True)
        for days in FREIGHT_DAYS:
            settings = OrderSettings(freight_days=days)
            name = f"freight days {days:g}"
            print(_line(name, score(drawn, lambda w, s=settings: proposed(w, s))), flush=True)
        print(f"  ({time.perf_counter() - began:.0f} s)")
    if not asked.curve:
        print(f"\nother shops\n{HEADING}")
        for plan in (one for one in PLANS[1:] if asked.kind in one.name):
            drawn = shops(plan, seeds)
            print(_line(f"{plan.name}: by hand", score(drawn, hand_set)), flush=True)
            print(_line(f"{plan.name}: proposed", score(drawn, proposed)), flush=True)


if __name__ == "__main__":
    main()
