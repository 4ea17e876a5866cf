"""The slip adds up to zero after any sequence: a short run, and some in real books."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from random import Random

import pytest

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.figures import filings
from app.actions.jobs import booking_jobs, invoices, job_changes
from app.actions.shop import tax_rates
from app.errors import Mendable
from app.records.models import Customer, DaySheet, Job
from tests.reconciling.sequences import lived
from tests.shop import Clock, new_desk


def test_any_sequence_reconciles_and_what_was_filed_stays() -> None:
    for seed in range(400):
        assert lived(seed).wrong() == "", seed


@pytest.mark.parametrize("currency", ["JPY", "USD", "KWD"])
def test_a_real_book_reconciles_after_each_thing_that_is_done(
    tmp_path: Path, currency: str
) -> None:
    chance, clock = Random(currency), Clock()
    desk = new_desk(tmp_path / "shop.bayledger", clock, currency=currency, tax_period="month")
    first = desk.today.replace(day=1)
    for typed in ("work 7.25", "goods sold 7.375", "travel 0"):
        tax_rates.add_rate(desk, typed)
    tax_rates.set_basis(desk, "received", first)
    with desk.book.load() as session:
        session.add(Customer(name="Ida Marsh"))
    jobs: list[int] = []
    done = refused = 0
    for _ in range(50):
        try:
            done += _something(desk, chance, jobs, clock)
        except Mendable:
            refused += 1
        found, tax = filings.slip_with_tax(desk, first, desk.today)
        assert found.adds_up
        assert tax.counted.tax == found.tax + tax.counted.waits_before - tax.counted.waits_after
        with desk.book.reading() as session:
            filed = filings.queries.filings(session)
        for one in filed:
            assert not filings.tax_of_span(desk, one.first_day, one.last_day).differs
    assert done > 25
    assert refused
    assert filed
    assert desk.book.check() == []
    desk.book.close()


def _something(desk: Desk, chance: Random, jobs: list[int], clock: Clock) -> bool:
    what = chance.choice(("book", "charge", "charge", "discount", "pay", "pay", "done", "issue",
                          "credit", "correct", "sleep", "file"))  # fmt: skip
    if what == "book" or not jobs:
        new = booking_jobs.NewJob(customer_id=1, first_day=desk.today)
        jobs.append(booking_jobs.book_job(desk, new)[1])
        return True
    job, amount = chance.choice(jobs), money(desk, chance.randint(100, 99_999))
    if what == "charge":
        kind = chance.choice(("work", "goods sold", "travel"))
        job_changes.add_charge(desk, job, "A line", amount, kind=kind)
    elif what == "discount":
        job_changes.add_discount(desk, job, "10 %")
    elif what == "pay":
        tip = f" + tip {money(desk, 500)}" if chance.random() < 0.3 else ""
        job_changes.take_money(desk, job, f"{amount} card{tip}")
    elif what == "done":
        with desk.book.change("Done", day=desk.today) as session:
            row = session.get_one(Job, job)
            row.state, row.done_on = "done", row.done_on or desk.today
    elif what == "issue":
        invoices.issue(desk, *(jobs if chance.random() < 0.3 else [job]))
    elif what == "credit":
        papers = invoices.papers_of(desk, job)
        if papers.newest is not None:
            paper = papers.newest
            line = chance.choice(paper.lines).line_id if chance.random() < 0.5 else None
            typed = money(desk, chance.randint(1, 900)) if line is not None else ""
            invoices.credit(desk, paper.invoice.invoice_id, "Not as agreed", line, typed)
    elif what == "correct":
        job_changes.take_money(desk, job, amount, desk.today - timedelta(days=chance.randint(1, 9)))
    elif what == "file":
        with desk.book.reading() as session:
            last = max((one.last_day for one in filings.queries.filings(session)), default=None)
        first = last + timedelta(days=1) if last else desk.today.replace(day=1)
        filings.file(desk, first, desk.today - timedelta(days=1))
    else:
        clock.now += timedelta(days=chance.randint(1, 9))
        with desk.book.load() as session:
            session.merge(DaySheet(day=desk.today, page=desk.today.toordinal()))
    return True
