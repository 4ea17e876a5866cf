"""Filing the tax of some days: what counts, the lock, the correction on a later day, the mark."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.exporting import export
from app.actions.figures import figures, filings, slips
from app.actions.jobs import invoices, job_changes
from app.actions.orders.receiving import receive
from app.actions.orders.suppliers import edit_supplier
from app.actions.shop.tax_rates import set_basis
from app.errors import Mendable, Refused
from app.records.models import DaySheet, Job, Order, OrderLine, Receipt
from app.records.queries import tax as queries
from tests.shop import Clock, SmallShop, new_desk, small_desk

AUGUST = date(2025, 8, 1), date(2025, 8, 31)
LATER = date(2025, 9, 9)


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[tuple[Desk, SmallShop, Clock]]:
    """A job that is done in August and half paid then; it is September."""
    clock = Clock()
    desk, shop = small_desk(tmp_path / "shop.bayledger", clock)
    with desk.book.load() as session:
        row = session.get_one(Job, shop.jobs["0412"])
        row.state, row.done_on = "done", desk.today
        session.add(DaySheet(day=LATER, page=99))
    job_changes.take_money(desk, shop.jobs["0412"], "50 cash")
    clock.go_to(LATER)
    yield desk, shop, clock
    desk.book.close()


def filing(desk: Desk) -> queries.FilingRow:
    with desk.book.reading() as session:
        return queries.filings(session)[0]


def test_filed_days_take_no_charge_no_receipt_and_no_other_day_of_a_job(
    opened: tuple[Desk, SmallShop, Clock],
) -> None:
    desk, shop, _ = opened
    job = shop.jobs["0412"]
    filings.file(desk, *AUGUST)
    before = slips.slip(desk, *AUGUST)
    with pytest.raises(Refused, match=r"were filed on 9 September 2025.*credit it"):
        job_changes.add_charge(desk, job, "Odor", "60")
    with desk.book.reading() as session:
        receipt = session.query(Receipt).filter_by(job_id=job).one().id
    with (
        pytest.raises(Refused, match="on a day after it"),
        desk.book.change("By hand", day=desk.today) as session,
    ):
        session.add(Receipt(job_id=job, day=AUGUST[1], at=desk.clock(), amount=5))
    with (
        pytest.raises(Refused, match="stay as they were"),
        desk.book.change("By hand", day=desk.today) as session,
    ):
        session.get_one(Job, job).done_on = LATER
    with desk.book.change("A note", day=desk.today) as session:
        session.get_one(Receipt, receipt).note = "in two notes"
    assert slips.slip(desk, *AUGUST) == before


def test_what_was_noted_wrong_on_a_filed_day_is_put_right_today_and_says_so(
    opened: tuple[Desk, SmallShop, Clock],
) -> None:
    desk, shop, _ = opened
    job, day = shop.jobs["0412"], Clock().now.date()
    filings.file(desk, *AUGUST)
    before = slips.slip(desk, *AUGUST)
    changed = job_changes.take_money(desk, job, "40 cash", day)
    assert "was filed and stays; the correction stands on today’s sheet" in changed.sentence
    assert slips.slip(desk, *AUGUST) == before
    assert not filings.tax_of_span(desk, *AUGUST).differs
    assert slips.slip(desk, LATER, LATER).received == -1_000
    with desk.book.reading() as session:
        lines = [(one.day, one.amount) for one in session.query(Receipt).filter_by(job_id=job)]
    assert lines == [(day, 5_000), (LATER, -5_000), (LATER, 4_000)]
    desk.book.undo(today=desk.today)
    assert slips.slip(desk, LATER, LATER).received == 0


def test_a_credit_note_counts_on_its_own_day_also_in_the_figures(
    opened: tuple[Desk, SmallShop, Clock],
) -> None:
    desk, shop, _ = opened
    job = shop.jobs["0412"]
    august = figures.figures(desk, "month", AUGUST[0])
    invoices.issue(desk, job)
    filings.file(desk, *AUGUST)
    (paper,) = invoices.papers_of(desk, job).issued
    invoices.credit(desk, paper.invoice.invoice_id, "The layer was put on anew")
    assert not filings.tax_of_span(desk, *AUGUST).differs
    for first in (AUGUST[0], LATER):
        shown = figures.figures(desk, "month", first)
        found = slips.slip(desk, *slips.span_of("month", first))
        assert sum(bar.earned for bar in shown.money.bars) == found.earned
        told = dict(shown.reconciliation)
        assert told["Tax on it"] == money(desk, found.tax)
        assert "Does not add up by" not in told
    assert figures.figures(desk, "month", AUGUST[0]).money == august.money
    year = figures.figures(desk, "year", LATER).money.bars
    assert [bar.earned for bar in year[-2:]] == [
        sum(bar.earned for bar in august.money.bars),
        -paper.invoice.net,
    ]


def test_days_that_are_not_over_or_filed_already_are_not_filed(
    opened: tuple[Desk, SmallShop, Clock],
) -> None:
    desk, _shop, _ = opened
    with pytest.raises(Mendable, match="not over"):
        filings.file(desk, LATER.replace(day=1), LATER)
    filings.file(desk, *AUGUST)
    with pytest.raises(Mendable, match="filed on 9 September 2025 already"):
        filings.file(desk, date(2025, 7, 1), AUGUST[0])


def test_what_is_filed_is_what_stands_when_it_is_filed(
    opened: tuple[Desk, SmallShop, Clock], monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, shop, _ = opened
    change = desk.book.change

    def after_another(name: str, **more: Any) -> AbstractContextManager[Any]:
        """Somebody else's charge comes first to the book."""
        monkeypatch.setattr(desk.book, "change", change)
        job_changes.add_charge(desk, shop.jobs["0412"], "Odor", "60")
        return change(name, **more)

    monkeypatch.setattr(desk.book, "change", after_another)
    filings.file(desk, *AUGUST)
    found = filings.tax_of_span(desk, *AUGUST)
    assert found.filing is not None
    assert not found.differs


def test_unlocking_asks_why_and_leaves_its_mark(opened: tuple[Desk, SmallShop, Clock]) -> None:
    desk, shop, _ = opened
    filings.file(desk, *AUGUST)
    name = desk.book.next_undo()
    with pytest.raises(Mendable, match="Say why"):
        filings.unlock(desk, filing(desk).filing_id, " ")
    filings.unlock(desk, filing(desk).filing_id, "A receipt was missing")
    assert desk.book.next_undo() == name, "filing and unlocking are not undone"
    assert (filing(desk).unlocked_on, filing(desk).unlocked_because) == (
        LATER, "A receipt was missing",
    )  # fmt: skip
    job_changes.add_charge(desk, shop.jobs["0412"], "Odor", "60")
    assert filings.tax_of_span(desk, *AUGUST).differs
    filings.file(desk, *AUGUST)
    assert not filings.tax_of_span(desk, *AUGUST).differs


def test_by_money_only_what_came_counts(opened: tuple[Desk, SmallShop, Clock]) -> None:
    desk, _shop, _ = opened
    whole = filings.tax_of_span(desk, *AUGUST).counted
    set_basis(desk, "received", date(2025, 7, 1))
    found = filings.tax_of_span(desk, *AUGUST).counted
    assert found.on + found.tax == 5_000
    assert found.tax + found.waits_after == whole.tax
    filings.file(desk, *AUGUST)
    with pytest.raises(Refused, match="counted by now"):
        desk.book.undo(today=desk.today)


def test_what_was_bought_without_tax_is_summed_at_the_rate_of_its_day(
    opened: tuple[Desk, SmallShop, Clock],
) -> None:
    desk, shop, _ = opened
    supplier, supply = next(iter(shop.suppliers.values())), next(iter(shop.supplies.values()))
    edit_supplier(desk, supplier, use_tax_rate="7.25")
    with desk.book.load() as session:
        order = Order(number=900, supplier_id=supplier, day=LATER, state="sent")
        session.add(order)
        session.flush()
        line = OrderLine(
            order_id=order.id, supply_id=supply, pack_label="1", pack_size=1_000_000, packs=2,
            price=4_000,
        )  # fmt: skip
        session.add(line)
        session.flush()
        numbers = order.id, line.id
    receive(desk, LATER, numbers[0], {numbers[1]: 2}, freight=1_000)
    edit_supplier(desk, supplier, use_tax_rate="no tax")
    (bought,) = filings.tax_of_span(desk, LATER, LATER).bought
    assert bought == (7250, 9_000, 653)  # 652.5, half away from zero
    assert filings.tax_of_span(desk, *AUGUST).bought == ()
    assert LATER - timedelta(days=1) > AUGUST[1]


def test_a_whole_book_comes_in_with_its_filings(
    opened: tuple[Desk, SmallShop, Clock], tmp_path: Path
) -> None:
    desk, _shop, clock = opened
    filings.file(desk, *AUGUST)
    other = new_desk(tmp_path / "other.bayledger", clock)
    bring_in(other, preview(other, [read(other, export(desk, tmp_path / "all.xlsx"))]))
    assert filing(other) == filing(desk)
    assert not filings.tax_of_span(other, *AUGUST).differs
    other.book.close()
