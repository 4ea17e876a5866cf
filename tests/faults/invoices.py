"""Kills between an invoice's number and its paper, and two programs that issue at once.

    python -m tests.faults.invoices --kills 200 --at-once 200

Whatever happens: each series counts from 1 without a gap or a double, what was told to be issued
stands, and nothing stands by halves.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from unittest import mock

from app.actions.desk.desk import Desk
from app.actions.jobs import invoices
from app.errors import BookBusy
from app.records.book import Book
from app.records.models import Charge, Job
from app.records.queries import invoices as queries
from tests.faults.evening import Said
from tests.faults.trial import apart
from tests.shop import TODAY, Clock, small_book

JOBS = 6  # that one trial invoices, one after the other


def shop_with_done_jobs(path: Path, count: int) -> list[int]:
    """The small shop's book with so many done jobs more, each charged."""
    shop, jobs = small_book(path), []
    with Book.open(path) as book, book.load() as session:
        for at in range(count):
            customer = shop.customers["tolk"]
            job = Job(number=20_000 + at, customer_id=customer, state="done", done_on=TODAY)
            session.add(job)
            session.flush()
            session.add(Charge(job_id=job.id, text="Wash", amount=8_000 + at, tax_rate=7250))
            jobs.append(job.id)
    return jobs


def issue_and_credit(desk: Desk, job: int) -> None:
    """An invoice, and a credit note to every other one."""
    invoices.issue(desk, job)
    if job % 2:
        paper = invoices.papers_of(desk, job).newest
        assert paper is not None
        invoices.credit(desk, paper.invoice.invoice_id, "a high spot")


def wrong_with(path: Path, jobs: list[int], told: set[int]) -> str:
    """What is wrong with the invoices of a book; "" where nothing is."""
    with Book.open(path) as book:
        desk = Desk(book, Clock())
        if complaints := book.check():
            return complaints[0]
        numbers: dict[str, list[int]] = {"invoice": [], "credit": []}
        for job in jobs:
            papers = invoices.papers_of(desk, job).issued
            if job in told and not papers:
                return f"job {job} was told to be invoiced, and is not"
            for one in papers:
                numbers[one.invoice.kind].append(one.invoice.number)
                net = sum(line.amount for line in one.lines)
                gross = sum(tax.net + tax.tax for tax in one.taxes)
                if (one.invoice.net, one.invoice.gross) != (net, gross):
                    return f"{one.invoice.number_text} is written by halves"
        for kind, found in numbers.items():
            if sorted(found) != list(range(1, len(found) + 1)):
                return f"the series of {kind} counts {sorted(found)}"
    return ""


def killed(path: Path, jobs: list[int], chance: random.Random) -> str:
    """One trial: a program that issues, killed right after a number was taken, or some time."""
    dies_at = chance.randrange(JOBS + JOBS // 2) if chance.random() < 0.5 else -1
    taken = 0
    take = queries.next_number

    def next_number(*asked: object) -> int:
        nonlocal taken
        found: int = take(*asked)  # type: ignore[arg-type]
        # The card asks which number would come, too; for a paper it is taken.
        if sys._getframe(1).f_code.co_name == "_paper":
            if taken == dies_at:
                os.kill(os.getpid(), signal.SIGKILL)
            taken += 1
        return found

    def work(tell: Callable[[object], None]) -> None:
        with mock.patch.object(queries, "next_number", next_number), Book.open(path) as book:
            desk = Desk(book, Clock())
            tell(Said("open"))
            for job in jobs:
                issue_and_credit(desk, job)
                tell(Said(str(job)))

    trial = apart(work, 0.0 if dies_at >= 0 else 0.001 + 0.25 * chance.random() ** 2)
    if trial.bug or trial.sentence:
        return trial.bug or trial.sentence
    if dies_at >= 0 and not trial.killed:
        return "the program was not killed between number and paper"
    return wrong_with(path, jobs, {int(one.digest) for one in trial.told[1:]})


def kill_again_and_again(folder: Path, count: int, seed: int) -> str:
    """So many trials, each on a fresh copy; "" or what the first that lost something lost."""
    chance, whole = random.Random(seed), folder / "whole.bayledger"
    jobs = shop_with_done_jobs(whole, JOBS)
    for number in range(count):
        place = folder / str(number)
        place.mkdir()
        path = Path(shutil.copyfile(whole, place / "shop.bayledger"))
        if wrong := killed(path, jobs, chance):
            return f"trial {number} of seed {seed}: {wrong}"
        shutil.rmtree(place)
    return ""


def issue_at_once(folder: Path, count: int) -> str:
    """Two programs issue so many invoices, each half of them, as soon as the book lets them in."""
    path = folder / "two.bayledger"
    jobs = shop_with_done_jobs(path, count)
    children = []
    for mine in (jobs[::2], jobs[1::2]):
        child = os.fork()
        if not child:
            code = 1
            try:
                for job in mine:
                    _issue_when_let_in(path, job)
                code = 0
            except BaseException:
                traceback.print_exc()
            finally:
                os._exit(code)
        children.append(child)
    ended = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
    return "one of the two broke down" if any(ended) else wrong_with(path, jobs, set(jobs))


def _issue_when_let_in(path: Path, job: int) -> None:
    until = time.monotonic() + 120
    while True:
        try:
            with Book.open(path) as book:
                invoices.issue(Desk(book, Clock()), job)
                return
        except BookBusy:
            if time.monotonic() > until:
                raise
            time.sleep(0.002)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--kills", type=int, default=200)
    asked.add_argument("--at-once", type=int, default=200)
    asked.add_argument("--seed", type=int, default=61)
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory() as made:
        lost = [
            kill_again_and_again(Path(made), wanted.kills, wanted.seed),
            issue_at_once(Path(made), wanted.at_once),
        ]
    print(
        "\n".join(filter(None, lost)) or f"{wanted.kills} kills, {wanted.at_once} at once: lost 0"
    )
    sys.exit(any(lost))
