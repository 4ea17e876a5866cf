"""What a person does in an evening, step by step, the same each time for one seed."""

from __future__ import annotations

import hashlib
import json
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

from app.actions.day.closing import close_day, reopen_day
from app.actions.day.jobs_worked import set_hours
from app.actions.day.money_taken import set_money
from app.actions.day.supplies_used import set_use
from app.actions.desk.desk import Desk
from app.actions.desk.undoing import redo, undo
from app.actions.people.customers import add_customer
from app.actions.stock.stock import count
from app.errors import Mendable
from app.records.book import Book
from app.records.contents import contents
from tests.shop import TODAY, Clock, SmallShop, small_book

STEPS = 10


@dataclass(frozen=True)
class Evening:
    """One evening: the book that it begins with, and the chance that it follows from."""

    book: Path
    shop: SmallShop
    seed: int
    jump: int = 0  # days that the clock jumps in the middle


def begin(folder: Path, seed: int) -> Evening:
    """A small shop's book, closed, and an evening of that seed."""
    path = folder / "shop.bayledger"
    return Evening(path, small_book(path), seed)


def at(evening: Evening, path: Path) -> Evening:
    """The same evening on a copy of its book."""
    return replace(evening, book=path)


def digest(book: Book) -> str:
    """What the book says, in short."""
    text = json.dumps(contents(book), sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:20]


def steps(evening: Evening) -> Iterator[Callable[[Desk], object]]:
    """The steps, each one action; what the book refuses at that point is no step but no trouble."""
    chance, shop = random.Random(evening.seed), evening.shop
    jobs, supplies = sorted(shop.jobs.values()), sorted(shop.supplies.values())
    for number in range(STEPS):
        job, supply = chance.choice(jobs), chance.choice(supplies)
        amount = str(chance.randint(1, 90))
        yield chance.choice(
            (
                lambda desk, job=job, supply=supply, amount=amount: set_use(
                    desk, TODAY, job, supply, amount
                ),
                lambda desk, job=job, amount=amount: set_money(desk, TODAY, job, amount),
                lambda desk, job=job, amount=amount: set_hours(desk, TODAY, job, amount),
                lambda desk, supply=supply, amount=amount: count(desk, TODAY, supply, amount),
                lambda desk, number=number: add_customer(desk, name=f"Customer {number}"),
                lambda desk: close_day(desk, TODAY),
                lambda desk: reopen_day(desk, TODAY, "second thoughts"),
                undo,
                redo,
                lambda desk: desk.book.backup(),
            )
        )


@dataclass(frozen=True)
class Said:
    """After a step: what the book says, and the sentence with which it refused the step."""

    digest: str
    refusal: str = ""


def live(
    evening: Evening,
    tell: Callable[[Said], object],
    before: Callable[[int, Desk], object] = lambda _number, _desk: None,
    expected: Sequence[Said] = (),
) -> None:
    """Do the steps, and tell at first and after each what the book says; `before` each, its number.

    Raises `Mendable` where a step is refused that is not refused in what is `expected`: then the
    surroundings stand in the way.
    """
    clock = Clock()
    with Book.open(evening.book) as book:
        desk = Desk(book, clock)
        tell(Said(digest(book)))
        for number, step in enumerate(steps(evening)):
            before(number, desk)
            if evening.jump and number == STEPS // 2:
                clock.go_to(TODAY + timedelta(days=evening.jump))
            refusal = ""
            try:
                step(desk)
            except Mendable as trouble:
                refusal = trouble.sentence
                if expected and expected[number + 1].refusal != refusal:
                    raise
            tell(Said(digest(book), refusal))


def usual(evening: Evening) -> list[Said]:
    """What the evening comes to where nothing goes wrong."""
    told: list[Said] = []
    live(evening, told.append)
    return told
