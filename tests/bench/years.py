"""How what is done every day grows with the years, and whether memory does.

    python -m tests.bench.years YEARS=BOOK...    such as 1=one.bayledger 3=three.bayledger

Each book is copied first, and read in a process of its own. The growth is the exponent between the
first book and the last: 1 is in proportion to the years, 0 not at all.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from math import log
from pathlib import Path
from tempfile import TemporaryDirectory

from app.__main__ import ready_python
from app.actions.day.closing import close_day
from app.actions.day.day import day_view
from app.actions.desk.desk import Desk
from app.actions.exchange.exporting import export
from app.actions.people.customers import edit_customer, list_customers
from app.records.book import Book
from tests.bench.__main__ import line
from tests.bench.measuring import ask, memory, report

BARS = {"start": 0.1, "day": 0.4, "close": 0.4, "check": 1.0, "export": 1.0}  # exponents
CHANGES, CLOSES = 1000, 250
SEVERAL = 25  # after which what is read once and kept has been read


def one(path: Path) -> None:
    """Report the processor seconds of each on one book."""
    with TemporaryDirectory() as folder, Book.open(Path(shutil.copy(path, folder))) as book:
        desk, found = Desk(book), {}

        def took(name: str, do: Callable[[], object]) -> None:
            began = time.process_time()
            do()
            found[name] = time.process_time() - began

        took("day", lambda: day_view(desk, desk.today))
        took("close", lambda: close_day(desk, desk.today))
        took("check", book.check)
        took("export", lambda: export(desk, Path(folder) / "all.xlsx"))
        report(**found)


def held(path: Path) -> None:
    """Report the megabytes after some changes and closes, and after all of them."""
    with TemporaryDirectory() as folder, Book.open(Path(shutil.copy(path, folder))) as book:
        begun, days, found = datetime.now(UTC), 0, {}
        desk = Desk(book, clock=lambda: begun + timedelta(days=days))
        customer = list_customers(desk)[0][0].id
        for number in range(1, CHANGES + 1):
            edit_customer(desk, customer, notes=f"change {number}")
            if number in (SEVERAL, CHANGES):
                found[f"changes {number}"] = memory()
        for days in range(CLOSES):
            close_day(desk, desk.today)
            if days + 1 in (SEVERAL, CLOSES):
                found[f"closes {days + 1}"] = memory()
        report(**found)


def main() -> None:
    """A line for each measure of each book, and its growth beside its bar."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("books", nargs="+", help="YEARS=BOOK, the fewest years first")
    parser.add_argument("--memory", action="store_true", help="only memory, on the first book")
    asked = parser.parse_args()
    books = [(float(years), book) for years, _, book in (one.partition("=") for one in asked.books)]
    if asked.memory:
        found = ask("tests.bench.years", "held", books[0][1])
        for name, most in (("changes", CHANGES), ("closes", CLOSES)):
            grown = found[f"{name} {most}"] / found[f"{name} {SEVERAL}"]
            line(f"memory after {most:,} {name}, of {SEVERAL}", grown, 1.1)
        return
    taken: dict[str, list[float]] = {name: [] for name in BARS}
    for years, book in books:
        ask("tests.bench.start", book)
        start = ask("tests.bench.start", book, times=3)["processor"]
        found = {"start": start, **ask("tests.bench.years", "one", book)}
        for name, each in taken.items():
            each.append(found[name])
            print(f"{name} on {years:g} years{'':30}{1000 * found[name]:9.0f} ms", flush=True)
    times = log(books[-1][0] / books[0][0])
    for name, each in taken.items():
        line(f"growth of {name}", log(each[-1] / each[0]) / times, BARS[name], "exp")


if __name__ == "__main__":
    ready_python()
    if sys.argv[1:2] in (["one"], ["held"]):
        {"one": one, "held": held}[sys.argv[1]](Path(sys.argv[2]))
    else:
        main()
