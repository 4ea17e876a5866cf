"""Filing the tax of some days: what counts, the lock, the correction on a later day, the mark."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from app.actions.costs import expenses
from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.exporting import export
from app.actions.figures import figures, filings, slips
from app.actions.jobs import invoices, job_changes
from app.actions.jobs.job_card import job_card
from app.actions.orders.receiving import receive
from app.actions.orders.suppliers import edit_supplier
from app.actions.people.customers import edit_customer
from app.actions.shop import tax_rates
from app.actions.shop.tax_rates import set_basis
from app.errors import Mendable, Refused
from app.records.models import Charge, DaySheet, Job, Order, OrderLine, Receipt
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


def test_goods_bought_without_tax_and_without_an_order_are_an_expense_with_use_tax(
    opened: tuple[Desk, SmallShop, Clock],
) -> None:
    desk, _, _ = opened
    bought = expenses.Typed(kind="tools", text="a pump", amount="100", use_tax="7.25")
    expenses.write_expense(desk, bought)
    assert filings.tax_of_span(desk, LATER, LATER).bought == ((7250, 10_000, 725),)
    (line,) = expenses.spent(desk, LATER, LATER).lines
    assert expenses.as_typed(desk, line).use_tax == "7.25"
    with pytest.raises(Mendable, match="without any tax in the amount"):
        expenses.write_expense(desk, replace(bought, tax="5"))
    filings.file(desk, *AUGUST)
    with pytest.raises(Mendable, match="was filed; write what was bought"):
        expenses.write_expense(desk, replace(bought, day="20 Aug 2025"))
    expenses.take_back_expense(desk, line.expense_id)
    assert filings.tax_of_span(desk, LATER, LATER).bought == ()


def test_what_is_exempt_stands_apart_from_what_has_no_tax_and_both_come_to_all_of_it(
    opened: tuple[Desk, SmallShop, Clock],
) -> None:
    desk, shop, _ = opened
    job = shop.jobs["0411"]
    with desk.book.load() as session:
        row = session.get_one(Job, job)
        row.state, row.done_on, row.customer_id = "done", LATER, shop.customers["tolk"]
        session.query(Charge).filter_by(job_id=job).delete()
    edit_customer(desk, shop.customers["tolk"], tax_exempt_no="TB-EX-118")
    job_changes.add_charge(desk, job, "Polish", "400")
    job_changes.add_charge(desk, job, "Bay, one night", "50", 0, kind="bay")

    def rows() -> list[tuple[str, int]]:
        return [(one.words, one.on) for one in filings.sheet_with_tax(desk, LATER, LATER).taxes]

    untaxed = [("exempt, by certificate", 40_000), ("not taxed", 5_000)]
    assert rows() == [*untaxed, ("Earned, and its tax", 45_000)]
    invoices.issue(desk, job)
    (paper,) = invoices.papers_of(desk, job).issued
    invoices.credit(desk, paper.invoice.invoice_id, "a high spot", paper.lines[0].line_id, "100")
    # The printed certificate counts, whatever becomes of the customer's.
    edit_customer(desk, shop.customers["tolk"], tax_exempt_no="")
    assert rows()[:2] == [("exempt, by certificate", 30_000), ("not taxed", 5_000)]


def test_where_tax_is_rounded_changes_by_day_and_what_was_done_before_keeps_it(
    opened: tuple[Desk, SmallShop, Clock],
) -> None:
    """Three times 10.10 at 7.25 %: 2.20 on the total, 2.19 line by line (test_money_taken)."""
    desk, shop, _ = opened
    job, eve = shop.jobs["0412"], LATER - timedelta(days=1)
    with desk.book.load() as session:
        session.get_one(Job, job).done_on = eve
        session.query(Charge).filter_by(job_id=job).delete()
    for at in range(3):
        job_changes.add_charge(desk, job, f"Wash {at}", "10.10", 7250)
    tax_rates.set_rounding(desk, "line", LATER)
    assert tax_rates.rounding_now(desk) == ("line", LATER)
    assert job_card(desk, job).money.sums.tax == 220
    tax_rates.set_rounding(desk, "line", eve)
    assert job_card(desk, job).money.sums.tax == 219
    invoices.issue(desk, job)
    (paper,) = invoices.papers_of(desk, job).issued
    assert (paper.invoice.tax_rule, paper.invoice.tax) == ("line", 219)
    tax_rates.set_rounding(desk, "total", tax_rates.BEGINNING)
    assert desk.settings.tax_rules == {}
    assert job_card(desk, job).money.sums.tax == 219, "as printed"
    filings.file(desk, eve, eve)
    with pytest.raises(Mendable, match="filed as they are rounded"):
        tax_rates.set_rounding(desk, "line", eve)
