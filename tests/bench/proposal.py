"""How long an order proposal takes, and whether its cost grows with the years.

    python -m tests.bench.proposal           300 supplies, one and ten years of use: bar 50 ms
    python -m tests.bench.proposal --books   the shelf read from a book of one and of ten years

Processor time, the least of several runs. The books are those of `python -m tests.bench`; the one
of ten years takes a few minutes to make the first time.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from app.actions.desk.desk import Desk
from app.actions.orders.shelf_state import shelf_state
from app.calculations.orders.reorder import propose
from app.records.book import Book
from tests.bench.__main__ import book
from tests.calculations.orders.test_reorder import three_hundred

BAR = 50.0  # milliseconds
YEARS = (1, 10)


def least(work: Callable[[], object], times: int = 9) -> float:
    """Milliseconds of processor time, the least of several runs after a first one."""
    work()
    taken = []
    for _ in range(times):
        began = time.process_time()
        work()
        taken.append(time.process_time() - began)
    return 1000.0 * min(taken)


def proposals() -> dict[int, float]:
    """Milliseconds of a proposal over 300 supplies, by years of use told."""
    found = {}
    for years in YEARS:
        state = three_hundred(365 * years)
        found[years] = least(lambda state=state: propose(state))  # type: ignore[misc]
    return found


def readings(path: Path, day: date) -> float:
    """Milliseconds to read the shelf from a book that nobody has read yet."""
    opened = Book.open(path)
    try:
        return least(lambda: shelf_state(Desk(opened), day), times=5)
    finally:
        opened.close()


def main() -> None:
    """Print the figures, each beside its bar."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--books", action="store_true", help="read the shelf from books as well")
    parser.add_argument("--jobs-per-week", type=float, default=8.0)
    asked = parser.parse_args()
    taken = proposals()
    for years, milliseconds in taken.items():
        word = "within" if milliseconds <= BAR else "OVER"
        print(
            f"proposal, 300 supplies, {years:2} years of use: {milliseconds:6.1f} ms, "
            f"{word} {BAR:.0f}"
        )
    print(f"ten years against one: {taken[10] / taken[1]:.2f} times")
    if asked.books:
        read = {years: readings(book(years, asked.jobs_per_week), date.today()) for years in YEARS}
        for years, milliseconds in read.items():
            print(f"shelf read from a book of {years:2} years: {milliseconds:6.1f} ms")
        print(f"ten years against one: {read[10] / read[1]:.2f} times")


if __name__ == "__main__":
    main()
