"""Measure who has gone quiet: `python -m tests.simulated_rhythms [CDNOW_sample.txt]`.

The file is the public sample of 2,357 buyers (a master number, a number within it, day, count,
amount), of which the first 39 weeks are seen and the next 39 are asked about.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from datetime import date, datetime
from pathlib import Path

import numpy as np

from tests.simulated_rhythms.world import (
    LIMITS,
    RULES,
    TODAY,
    Visits,
    counts,
    order_kept,
    shop,
)


def measured(worlds: Iterable[tuple[Visits, frozenset[int], date]]) -> None:
    worlds = list(worlds)
    for name, rule in RULES.items():
        orders, sums = [], np.zeros(3, dtype=int)
        for visits, gone, today in worlds:
            doubts = rule(visits, today)
            orders.append(order_kept(doubts, gone))
            sums += counts(doubts, gone, LIMITS[name])
        right, wrong, missed = sums
        print(
            f"{name:14}  order kept {np.nanmean(orders):.3f}  named {right + wrong}, of them gone "
            f"{right / max(1, right + wrong):.0%}; of the gone named {right / (right + missed):.0%}"
        )


def published(path: Path) -> tuple[Visits, frozenset[int], date]:
    """The sample: who came up to 30 September 1997, and who did not buy again in 39 weeks."""
    until = date(1997, 9, 30)
    visits: dict[int, list[date]] = {}
    for line in path.read_text().splitlines():
        _, who, day = line.split()[:3]
        visits.setdefault(int(who), []).append(datetime.strptime(day, "%Y%m%d").date())
    seen = {who: [day for day in days if day <= until] for who, days in visits.items()}
    seen = {who: days for who, days in seen.items() if days}
    return seen, frozenset(who for who in seen if max(visits[who]) <= until), until


if __name__ == "__main__":
    for many in (30, 60, 200):
        print(f"{many} customers, 60 shops")
        measured((one.visits, one.gone, TODAY) for one in (shop(s, many) for s in range(60)))
    if len(sys.argv) > 1:
        print("2,357 buyers, 39 weeks seen, 39 asked about")
        measured([published(Path(sys.argv[1]))])
