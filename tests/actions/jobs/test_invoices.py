"""Invoices: numbers without a gap, papers that stay, credit notes that take back to the cent."""

from __future__ import annotations

import sqlite3
from datetime import timedelta
from fractions import Fraction
from threading import Thread

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.day.money_taken import set_money
from app.actions.desk import undoing
from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import Desk
from app.actions.jobs import job_changes
from app.actions.jobs.invoice_papers import invoice_sheet
from app.actions.jobs.invoices import (
    Issued,
    credit,
    issue,
    left_to_credit,
    note_handed_out,
    papers_of,
)
from app.actions.jobs.job_card import job_card
from app.actions.people import customers
from app.actions.people.erasing import erase_person
from app.actions.shop.shop_settings import change_settings
from app.calculations.numbers.rounding import half_away
from app.errors import Mendable, Refused
from app.records.models import Job
from app.records.queries import takings
from tests.shop import TODAY, SmallShop


@pytest.fixture
def job(desk: Desk, shop: SmallShop) -> int:
    """A job that is done, with 100.00 at 7.25 % and 50.00 untaxed, of Mara Tolk."""
    number = shop.jobs["0412"]
    with desk.book.load() as session:
        row = session.get_one(Job, number)
        row.state, row.done_on, row.customer_id = "done", TODAY, shop.customers["tolk"]
    for charge in desk_charges(desk, number):
        job_changes.remove_charge(desk, charge)
    job_changes.add_charge(desk, number, "Hand wash", "100", 7250)
    job_changes.add_charge(desk, number, "Bay, one night", "50", 0)
    return number


def desk_charges(desk: Desk, job: int) -> list[int]:
    from app.records.queries.jobs import charges_of

    with desk.book.reading() as session:
        return [one.charge_id for one in charges_of(session, job)]


def due(desk: Desk, job: int) -> int:
    with desk.book.reading() as session:
        nets = takings.nets_of(session, [job]).get(job, ())
        came = takings.receipts_of(session, [job]).get(job, [])
    return totals(desk, nets, came).due


def test_an_invoice_prints_what_is_charged_with_its_tax_and_the_day_it_is_due(
    desk: Desk, job: int, shop: SmallShop
) -> None:
    customers.edit_customer(desk, shop.customers["tolk"], street="3 Weir Terrace")
    change_settings(desk, terms_days=30)
    said = issue(desk, job)
    (one,) = papers_of(desk, job).issued
    paper = one.invoice
    assert paper.number_text == f"{TODAY.year}-0001"
    assert said.sentence.startswith(f"Invoice {paper.number_text} over 157.25 is issued")
    assert (paper.net, paper.tax, paper.gross) == (15_000, 725, 15_725)
    assert [(line.text, line.amount, line.tax_letter) for line in one.lines] == [
        ("Hand wash", 10_000, "A"), ("Bay, one night", 5_000, ""),
    ]  # fmt: skip
    assert [(tax.letter, tax.net, tax.tax) for tax in one.taxes] == [
        ("", 5_000, 0),
        ("A", 10_000, 725),
    ]
    assert paper.due_on == TODAY + timedelta(days=30)
    assert "3 Weir Terrace" in paper.payer_address
    customers.edit_customer(desk, shop.customers["tolk"], street="9 Elsewhere")
    assert "3 Weir Terrace" in papers_of(desk, job).issued[0].invoice.payer_address


def test_only_done_work_is_invoiced_and_each_charge_once(
    desk: Desk, job: int, shop: SmallShop
) -> None:
    with pytest.raises(Mendable, match="is not done; an invoice is issued for work that is"):
        issue(desk, shop.jobs["0411"])
    issue(desk, job)
    with pytest.raises(Mendable, match="Every charge of this job stands on an invoice already"):
        issue(desk, job)
    job_changes.add_charge(desk, job, "Care bag", "36", 7250)
    issue(desk, job)
    first, second = papers_of(desk, job).issued
    assert [line.text for line in second.lines] == ["Care bag"]
    assert first.invoice.gross + second.invoice.gross == due(desk, job)


def test_a_charge_on_an_invoice_is_changed_by_nothing_and_undo_passes_the_invoice_by(
    desk: Desk, job: int
) -> None:
    issue(desk, job)
    wash, _ = desk_charges(desk, job)
    for change in (
        lambda: job_changes.edit_charge(desk, wash, typed="90"),
        lambda: job_changes.edit_charge(desk, wash, rate="5"),
        lambda: job_changes.remove_charge(desk, wash),
        lambda: undoing.undo(desk),  # the charge written just before the invoice
    ):
        with pytest.raises(Refused, match=r"stands on invoice \d{4}-0001, which stays"):
            change()
    assert papers_of(desk, job).issued[0].invoice.gross == due(desk, job) == 15_725
    assert desk.book.check() == []


def test_what_was_printed_cannot_be_changed_by_any_program(desk: Desk, job: int) -> None:
    issue(desk, job)
    path = desk.book.path
    desk.book.close()
    with sqlite3.connect(path) as other:
        for words in (
            "UPDATE invoices SET gross = 1", "DELETE FROM invoices",
            "UPDATE invoice_lines SET amount = 1", "DELETE FROM invoice_taxes",
        ):  # fmt: skip
            with pytest.raises(sqlite3.IntegrityError, match="an issued invoice never changes"):
                other.execute(words)


def test_a_credit_note_takes_back_a_part_and_then_the_rest_with_its_tax(
    desk: Desk, job: int
) -> None:
    issue(desk, job)
    (one,) = papers_of(desk, job).issued
    wash = one.lines[0]
    with pytest.raises(Mendable, match="Say why it is credited"):
        credit(desk, one.invoice.invoice_id, " ")
    with pytest.raises(Mendable, match=r"Of this line 100\.00 can be credited"):
        credit(desk, one.invoice.invoice_id, "a high spot", wash.line_id, "100.01")
    credit(desk, one.invoice.invoice_id, "a high spot", wash.line_id, "33.33")
    papers = papers_of(desk, job)
    first, note = papers.issued
    assert note.invoice.number_text == f"C-{TODAY.year}-0001"
    assert (note.invoice.net, note.invoice.tax) == (3_333, 242)  # 7.25 % of 33.33 is 2.416
    assert left_to_credit(papers, wash) == 6_667
    assert first.credited == note.invoice.gross == 15_725 - due(desk, job)
    credit(desk, one.invoice.invoice_id, "all of it")
    assert due(desk, job) == 0
    with pytest.raises(Mendable, match="All of it was credited already"):
        credit(desk, one.invoice.invoice_id, "again")
    assert desk.book.check() == []


def test_each_series_counts_from_one_each_year_without_a_gap(
    desk: Desk, job: int, shop: SmallShop
) -> None:
    for round_ in range(3):
        job_changes.add_charge(desk, job, f"More {round_}", "10", 0)
        issue(desk, job)
        with pytest.raises(Mendable):
            issue(desk, job)  # a refused one takes no number
    papers = papers_of(desk, job).issued
    assert [one.invoice.number for one in papers] == [1, 2, 3]
    assert papers_of(desk, job).next_text == f"{TODAY.year}-0004"


def test_two_who_issue_at_once_take_one_number_each(desk: Desk, job: int, shop: SmallShop) -> None:
    jobs = [job]
    with desk.book.load() as session:
        for number in range(900, 907):
            row = Job(
                number=number, customer_id=shop.customers["tolk"], state="done", done_on=TODAY
            )
            session.add(row)
            session.flush()
            jobs.append(row.id)
    for one in jobs[1:]:
        job_changes.add_charge(desk, one, "Wash", "80", 0)
    half = len(jobs) // 2
    threads = [
        Thread(target=lambda part: [issue(desk, one) for one in part], args=(part,))
        for part in (jobs[:half], jobs[half:])
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    numbers = sorted(papers_of(desk, one).issued[0].invoice.number for one in jobs)
    assert numbers == list(range(1, len(jobs) + 1))


def test_that_a_mail_with_it_was_written_is_noted_and_that_can_be_undone(
    desk: Desk, job: int
) -> None:
    issue(desk, job)
    number = papers_of(desk, job).issued[0].invoice.invoice_id
    note_handed_out(desk, number, "mail")
    assert [(one.kind, one.how) for one in papers_of(desk, job).issued[0].words] == [
        ("sent", "mail")
    ]
    undoing.undo(desk)
    assert papers_of(desk, job).issued[0].words == ()


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    steps=st.lists(
        st.tuples(
            st.sampled_from(["charge", "issue", "credit", "credit all", "pay"]),
            st.integers(1, 30_000),
            st.sampled_from([0, 6875, 7250, 7375]),
        ),
        max_size=12,
    ),
    currency=st.sampled_from(["USD", "JPY", "KWD"]),
    rule=st.sampled_from(["total", "line"]),
)
def test_papers_and_what_is_charged_agree_to_the_cent(
    desk: Desk, shop: SmallShop, steps: list[tuple[str, int, int]], currency: str, rule: str
) -> None:
    """Whatever is charged, issued, credited and paid: what is due is what invoices come to less
    what was credited and came, and no rate gives back more tax than was charged."""
    change_settings(desk, currency=currency, tax_rule=rule)
    with desk.book.load() as session:
        row = Job(
            number=10_000 + len(steps) + 50 * session.query(Job).count(), state="done",
            customer_id=shop.customers["tolk"], done_on=TODAY,
        )  # fmt: skip
        session.add(row)
        session.flush()
        job = row.id
    for what, amount, rate in steps:
        try:
            newest = papers_of(desk, job).newest
            if what == "charge":
                job_changes.add_charge(desk, job, "Work", money(desk, amount), rate)
            elif what == "issue":
                issue(desk, job)
            elif what == "credit" and newest is not None:
                line = newest.lines[amount % len(newest.lines)]
                credit(
                    desk,
                    newest.invoice.invoice_id,
                    "why",
                    line.line_id,
                    money(desk, 1 + amount // 7),
                )
            elif what == "credit all" and newest is not None:
                credit(desk, newest.invoice.invoice_id, "why")
            elif what == "pay":
                set_money(desk, TODAY, job, money(desk, amount))
        except Mendable:
            continue
    papers = papers_of(desk, job)
    with desk.book.reading() as session:
        nets = takings.nets_of(session, [job]).get(job, takings.Nets())
        came = sum(one.amount for one in takings.receipts_of(session, [job]).get(job, []))
    issued = [one.invoice for one in papers.issued]
    gross = sum(one.gross for one in issued if one.kind == "invoice")
    credited = sum(one.gross for one in issued if one.kind == "credit")
    assert due(desk, job) == gross - credited + totals(desk, nets.open).gross - came
    for one in papers.issued:
        taxes = {tax.rate: (tax.net, tax.tax) for tax in one.taxes}
        assert one.invoice.gross == sum(net + tax for net, tax in taxes.values())
        for rate, (net, tax) in taxes.items():
            assert net == sum(line.amount for line in one.lines if line.tax_rate == rate)
            if one.invoice.kind == "invoice" and rule == "total":
                assert tax == half_away(Fraction(net * rate, 100_000))
        back = [note for note in papers.issued if note.invoice.credits_id == one.invoice.invoice_id]
        for rate, (_, tax) in taxes.items():
            returned = [x.tax for note in back for x in note.taxes if x.rate == rate]
            assert 0 <= sum(returned) <= tax


def only_charges(desk: Desk, job: int, *charges: tuple[str, str, int]) -> Issued:
    """The job with these charges alone, invoiced."""
    for one in desk_charges(desk, job):
        job_changes.remove_charge(desk, one)
    for text, amount, rate in charges:
        job_changes.add_charge(desk, job, text, amount, rate)
    issue(desk, job)
    return papers_of(desk, job).issued[0]


def test_a_line_is_credited_by_no_more_than_is_left_of_it_with_its_discount(
    desk: Desk, job: int
) -> None:
    one = only_charges(desk, job, ("Wash", "100", 7250), ("Discount", "-20", 7250))
    number, (wash, discount) = one.invoice.invoice_id, one.lines
    with pytest.raises(Mendable, match=r"Of this line 80\.00 can be credited"):
        credit(desk, number, "a high spot", wash.line_id, "100")
    with pytest.raises(Mendable, match="This line cannot be credited alone"):
        credit(desk, number, "a high spot", discount.line_id)
    credit(desk, number, "a high spot", wash.line_id)
    assert due(desk, job) == 0
    with pytest.raises(Mendable, match="All of it was credited already"):
        credit(desk, number, "a high spot")


def test_what_was_printed_is_owed_whatever_the_rule_is_since(desk: Desk, job: int) -> None:
    """Three times 0.99 at 7.25 %: tax 0.22 on the total, 0.21 by the line."""
    one = only_charges(desk, job, *[("Wash", "0.99", 7250)] * 3)
    change_settings(desk, tax_rule="line")
    assert due(desk, job) == one.invoice.gross == 319
    assert job_card(desk, job).money.sums.tax == 22
    credit(desk, one.invoice.invoice_id, "all of it")
    assert due(desk, job) == 0


def test_a_credit_note_names_a_rate_by_the_letter_of_its_invoice(desk: Desk, job: int) -> None:
    one = only_charges(desk, job, ("Bag", "36", 7375), ("Wash", "100", 6875))
    assert [line.tax_letter for line in one.lines] == ["A", "B"]
    credit(desk, one.invoice.invoice_id, "a high spot", one.lines[1].line_id, "50")
    note = papers_of(desk, job).issued[1]
    assert [tax.letter for tax in note.taxes] == [line.tax_letter for line in note.lines] == ["B"]


def test_a_person_who_is_erased_stands_on_no_paper_and_papers_still_stay(
    desk: Desk, job: int, shop: SmallShop
) -> None:
    customers.edit_customer(desk, shop.customers["tolk"], street="3 Weir Terrace")
    job_changes.add_charge(desk, job, "Care bag for Mara Tolk", "36", 7250)
    issue(desk, job)
    first = papers_of(desk, job).issued[0].invoice
    credit(desk, first.invoice_id, "Mara Tolk lost a morning")
    gross = [one.invoice.gross for one in papers_of(desk, job).issued]
    with desk.book.load() as session:
        for row in session.query(Job).filter_by(customer_id=shop.customers["tolk"]):
            row.state, row.done_on = "done", TODAY
    erase_person(desk, shop.customers["tolk"], "erase")
    left = papers_of(desk, job)
    assert "Tolk" not in str(left)
    assert "Weir" not in str(left)
    assert {one.invoice.payer_name for one in left.issued} == {
        f"Erased {shop.customers['tolk']:04d}"
    }
    assert [one.invoice.gross for one in left.issued] == gross
    assert desk.book.check() == []
    desk.book.close()
    with (
        sqlite3.connect(desk.book.path) as other,
        pytest.raises(sqlite3.IntegrityError, match="an issued invoice never changes"),
    ):
        other.execute("UPDATE invoices SET reason = ''")


def test_a_charge_by_time_keeps_its_hours_and_their_rate_on_the_paper(desk: Desk, job: int) -> None:
    for charge in desk_charges(desk, job):
        job_changes.remove_charge(desk, charge)
    job_changes.add_charge(desk, job, "Polish", "2:30 at 84")
    job_changes.add_charge(desk, job, "Wax", "1.5h")
    first, wax = job_card(desk, job).money.charges
    assert (first.amount, first.minutes, first.hour_rate) == (21_000, 150, 8_400)
    assert (wax.amount, wax.minutes, wax.hour_rate) == (13_500, 90, 9_000)
    job_changes.edit_charge(desk, wax.charge_id, typed="120")
    issue(desk, job)
    (paper,) = papers_of(desk, job).issued
    sheet = invoice_sheet(desk, paper.invoice.invoice_id)
    assert [(one.hours, one.rate, one.so_far) for one in sheet.lines] == [
        ("2.50", "84.00", "210.00"), ("", "", "330.00"),
    ]  # fmt: skip
