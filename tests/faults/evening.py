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
from app.actions.jobs import estimate_versions, estimate_writing, invoices
from app.actions.people.customers import add_customer
from app.actions.stock.stock import count
from app.errors import Mendable
from app.records.book import Book
from app.records.contents import contents
from app.records.models import Job
from tests.shop import TODAY, Clock, SmallShop, add_job, small_book

STEPS = 12


@dataclass(frozen=True)
class Evening:
    """One evening: the book that it begins with, and the chance that it follows from."""

    book: Path
    shop: SmallShop
    seed: int
    jump: int = 0  # days that the clock jumps in the middle


def begin(folder: Path, seed: int) -> Evening:
    """A small shop's book, closed, with a job more that was done before, and an evening."""
    path = folder / "shop.bayledger"
    shop = small_book(path)
    with Book.open(path) as book, book.load() as session:
        done = TODAY - timedelta(days=1)
        job = add_job(session, shop, "0410", "quell", "sedan", "wash", done, done, state="done")
        session.get_one(Job, job).done_on = done
    return Evening(path, shop, seed)


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
                lambda desk, job=job, amount=amount: _estimate(desk, job, amount),
                lambda desk, job=job: _estimate(desk, job),
                lambda desk, job=job, amount=amount: _invoice(desk, job, amount),
                lambda desk: close_day(desk, TODAY),
                lambda desk: reopen_day(desk, TODAY, "second thoughts"),
                undo,
                redo,
                lambda desk: desk.book.backup(),
            )
        )


def _estimate(desk: Desk, job: int, amount: str = "") -> object:
    """The next step of a job's estimate: its draft, a line of an amount, a yes; then a version."""
    found = estimate_versions.versions(desk, job)
    if not found or found[-1].given:
        return estimate_versions.make_version(desk, job)
    draft = found[-1].row
    if amount:
        return estimate_writing.add_line(desk, draft.estimate_id, "Travel", amount)
    return estimate_versions.approve(desk, draft.estimate_id, "the owner", "phone")


def _invoice(desk: Desk, job: int, amount: str) -> object:
    """An invoice over what stands on none, or a part of the newest one taken back."""
    papers = invoices.papers_of(desk, job)
    if papers.open_charges or papers.newest is None:
        return invoices.issue(desk, job)
    last = papers.newest
    return invoices.credit(
        desk, last.invoice.invoice_id, "a high spot", last.lines[0].line_id, amount
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
