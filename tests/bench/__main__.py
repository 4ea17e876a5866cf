"""Measure start, keystrokes, places and memory against their bars: `python -m tests.bench`.

Everything is compared within one run, since machines differ and are busy. The made-up shops are
kept in the temporary folder for the next run; the one of ten years takes a few minutes to make.
"""

from __future__ import annotations

import argparse
import shutil
from datetime import date
from pathlib import Path
from tempfile import gettempdir

from app.demo.story import build_demo
from tests.bench.measuring import ask

START = "tests.bench.start"
FRAME = 1000 / 60  # milliseconds


def book(years: float, jobs_per_week: float) -> Path:
    """A made-up shop of that size, made once a day."""
    folder = Path(gettempdir()) / "bayledger-bench"
    folder.mkdir(exist_ok=True)
    made = folder / f"{years:g} years, {jobs_per_week:g} jobs a week, {date.today()}.bayledger"
    if not made.exists():
        build_demo(made.with_suffix(".half"), years=years, jobs_per_week=jobs_per_week)
        made.with_suffix(".half").replace(made)
    return Path(shutil.copy(made, folder / f"{years:g}.bayledger"))


def line(what: str, found: float, bar: float, unit: str = "x") -> None:
    """One measure beside its bar."""
    word = "holds" if found <= bar else "MISSES"
    print(f"{what:58}{found:9.2f} {unit:3}{word:>7} the bar of {bar:g}", flush=True)


def main() -> None:
    """All measures, one line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=5, help="starts of each kind")
    parser.add_argument("--quick", action="store_true", help="without the book of ten years")
    asked = parser.parse_args()
    demo = str(book(2, 8))
    ask("tests.bench.bare", demo)
    ask(START, demo)  # so that all byte code stands
    bare = ask("tests.bench.bare", demo, times=asked.times)
    started = ask(START, demo, times=asked.times)
    line(
        "start to a painted day sheet, of a bare window",
        started["processor"] / bare["processor"],
        2,
    )
    line("memory at the start, of a bare window", started["memory"] / bare["memory"], 2)
    keys = ask(START, demo, "keys")
    line("a keystroke until it is painted, the middle", keys["key"], FRAME, "ms")
    held = ask(START, demo, "memory")
    line("memory after 1,000 more changes of place", held["after_1100"] / held["after_100"], 1.1)
    if asked.quick:
        return
    one, ten = str(book(1, 50)), str(book(10, 50))
    started_on_ten = ask(START, ten, times=asked.times)
    line(
        "start on ten years, of the demo's",
        started_on_ten["processor"] / started["processor"],
        1.15,
    )
    on_ten, on_one = ask(START, ten, "sheet"), ask(START, one, "sheet")
    line("day sheet's numbers on ten years, of one year's", on_ten["sheet"] / on_one["sheet"], 1.5)
    print(f"{'':58}{on_ten['reminders']:9.0f} ms for whom to remind, in the background")
    line("a keystroke on ten years, the middle", ask(START, ten, "keys")["key"], FRAME, "ms")
    opened = ask(START, ten, "places")
    for name in ("day", "jobs", "customers", "shelf", "renewals", "figures"):
        line(f"{name} stands open on ten years", opened[name], 100, "ms")
        print(f"{'':58}{opened[f'{name}, all read']:9.0f} ms until all its numbers stand")


if __name__ == "__main__":
    main()
