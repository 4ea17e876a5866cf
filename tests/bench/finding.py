"""Finding measured: what a key costs, what the full text costs, and which slips are forgiven.

python -m tests.bench.finding BOOK     processor milliseconds; the book is copied first
python -m tests.bench.finding --slips  misspelt names: found among the first five, and false ones
"""

from __future__ import annotations

import argparse
import random
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from sqlalchemy import select

from app.records.book import Book
from app.records.finding import looking_up
from app.records.models import Customer

TYPED = ("mara tolk", "roza ito", "red coupe", "lgc 4287", "5550150", "bellwehter", "job 1019")
NAMES, ASKED, SHOWN = 5000, 1000, 5
BAR = 30.0  # ms of processor for a key
NEIGHBOURS = {
    letter: "".join(row[max(0, at - 1) : at] + row[at + 1 : at + 2])
    for row in ("qwertyuiop", "asdfghjkl", "zxcvbnm")
    for at, letter in enumerate(row)
}


def spent(do: Callable[[], object]) -> float:
    """Processor milliseconds."""
    began = time.process_time()
    do()
    return 1000 * (time.process_time() - began)


def make_all(book: Book) -> None:
    """Make the full text."""
    while book.mend_finding():
        pass


def ask(book: Book, text: str) -> list[looking_up.HitRow]:
    """What is found."""
    with book.reading() as session:
        return looking_up.find(session, text)


def keys(book: Book) -> list[float]:
    """What each key of what is typed costs."""
    found = []
    for text in TYPED:
        for end in range(1, len(text) + 1):
            found.append(min(spent(lambda t=text[:end]: ask(book, t)) for _ in range(3)))
    return found


def changes(book: Book) -> float:
    """What it costs to change a customer's street, once."""
    with book.reading() as session:
        numbers = list(session.scalars(select(Customer.id).limit(60)))

    def change(number: int) -> None:
        with book.change("Street") as session:
            session.get_one(Customer, number).street += " 1"

    return median(spent(lambda n=number: change(n)) for number in numbers)


def costs(path: Path) -> None:
    """Print what finding costs on a copy of a book."""
    with TemporaryDirectory() as folder:
        copy = Path(shutil.copy(path, Path(folder) / "book.bayledger"))
        with Book.open(copy) as book:
            without, plain = changes(book), keys(book)
        before = copy.stat().st_size
        with Book.open(copy) as book:
            made = spent(lambda: make_all(book))
        grown = copy.stat().st_size - before
        with Book.open(copy) as book:
            with_it, full = changes(book), keys(book)
    for name, found in (("without a full text", plain), ("with it", full)):
        spread = f"median {median(found):5.1f} ms, worst {max(found):5.1f}"
        print(f"a key, {name:20} {spread} (bar {BAR:g})")
    print(f"made in {made:,.0f} ms; the book grows by {grown / 1e6:.1f} MB of {before / 1e6:.1f}")
    print(f"a change of a customer: {without:.2f} ms without, {with_it:.2f} with it")


def invented(rng: random.Random, syllables: int) -> str:
    """A name that nobody has."""
    parts = []
    for _ in range(syllables):
        start = rng.choice(("b", "br", "d", "f", "g", "h", "k", "l", "m", "n", "p", "r", "s", "st",
                            "t", "tr", "v", "w"))  # fmt: skip
        parts.append(start + rng.choice("aeiou") + rng.choice(("", "", "l", "n", "r", "s")))
    return "".join(parts)


def misspelt(rng: random.Random, word: str) -> dict[str, str]:
    """A word with one slip of each kind."""
    at = rng.randrange(len(word))
    swap = rng.randrange(len(word) - 1)
    return {
        "a letter dropped": word[:at] + word[at + 1 :],
        "a letter doubled": word[:at] + word[at] + word[at:],
        "two swapped": word[:swap] + word[swap + 1] + word[swap] + word[swap + 2 :],
        "a key beside it": word[:at] + rng.choice(NEIGHBOURS[word[at]]) + word[at + 1 :],
    }


def slips() -> None:
    """Print which misspelt names are found, and what else is."""
    rng = random.Random(11)
    families: dict[str, None] = {}
    while len(families) < NAMES + ASKED:
        families[invented(rng, rng.choice((2, 2, 3)))] = None
    names = list(families)
    there, others = names[:NAMES], names[NAMES:]
    firsts = [invented(rng, 2) for _ in range(200)]
    with TemporaryDirectory() as folder, Book.create(Path(folder) / "names.bayledger") as book:
        with book.load() as session:
            for name in there:
                first = rng.choice(firsts)
                session.add(Customer(name=f"{first.capitalize()} {name.capitalize()}"))
        make_all(book)
        told: dict[str, list[tuple[bool, int]]] = {}
        for name in rng.sample(there, ASKED):
            for kind, typed in misspelt(rng, name).items():
                if typed == name:
                    continue
                hits = [hit.text.split()[1].lower() for hit in ask(book, typed)[:SHOWN]]
                told.setdefault(kind, []).append((name in hits, sum(h != name for h in hits)))
        for kind, rows in told.items():
            hit = sum(found for found, _ in rows) / len(rows)
            false = sum(beside for _, beside in rows) / len(rows)
            print(f"{kind:18} {hit:6.1%} among the first {SHOWN}, {false:.2f} false ones beside it")
        right = [ask(book, name)[:SHOWN] for name in rng.sample(there, ASKED)]
        print(f"spelt right: {sum(len(one) - 1 for one in right) / ASKED:.2f} others beside it")
        strange = sum(bool(ask(book, name)) for name in others) / len(others)
        print(f"a name that is not there: {strange:.1%} show somebody of a like one")


def main() -> None:
    """What is asked for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("book", nargs="?", type=Path)
    parser.add_argument("--slips", action="store_true")
    given = parser.parse_args()
    if given.slips:
        slips()
    if given.book is not None:
        costs(given.book)


if __name__ == "__main__":
    main()
