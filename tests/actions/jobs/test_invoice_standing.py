"""Invoices of many jobs: who pays, what is still due on each, and what a payment covers."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.day.money_taken import set_money
from app.actions.desk import undoing
from app.actions.desk.amounts import money, totals
from app.actions.desk.desk import Desk
from app.actions.jobs import job_changes
from app.actions.jobs.invoice_papers import invoice_sheet
from app.actions.jobs.invoice_payments import take_for_invoice
from app.actions.jobs.invoice_standing import Stand, Standings, standings
from app.actions.jobs.invoices import credit, issue, papers_of
from app.actions.jobs.receipt_papers import receipt_file, receipt_sheet
from app.actions.people.customers import add_customer, customer_page, edit_customer
from app.actions.people.tidying import remove_customer
from app.actions.shop.shop_settings import change_settings
from app.errors import Mendable
from app.records.models import Job
from app.records.queries import takings
from tests.shop import TODAY, SmallShop


def done_jobs(desk: Desk, customer: int, many: int) -> list[int]:
    """Jobs of a customer that are done, each a day after the one before, the last today."""
    made = []
    with desk.book.load() as session:
        for at in range(many):
            row = Job(
                number=20_000 + session.query(Job).count(), customer_id=customer, state="done",
                done_on=TODAY - timedelta(days=many - 1 - at),
            )  # fmt: skip
            session.add(row)
            session.flush()
            made.append(row.id)
    return made


def charged(desk: Desk, customer: int, *amounts: str) -> list[int]:
    """Jobs that are done, with so much at 7.25 % each."""
    jobs = done_jobs(desk, customer, len(amounts))
    for job, amount in zip(jobs, amounts, strict=True):
        job_changes.add_charge(desk, job, "Van wash", amount, 7250)
    return jobs


def standing(desk: Desk, jobs: list[int]) -> Standings:
    with desk.book.reading() as session:
        return standings(session, desk, jobs)


def only(desk: Desk, jobs: list[int]) -> Stand:
    (found,) = standing(desk, jobs).invoices
    return found


def due_of(desk: Desk, job: int) -> int:
    with desk.book.reading() as session:
        nets = takings.nets_of(session, [job]).get(job, ())
        return totals(desk, nets, takings.receipts_of(session, [job]).get(job, [])).due


def test_one_invoice_is_for_many_jobs_and_its_tax_is_that_of_its_total(
    desk: Desk, shop: SmallShop
) -> None:
    """Three times 0.99 at 7.25 %: 0.22 on the total, though each alone would be 0.07."""
    jobs = charged(desk, shop.customers["tolk"], "0.99", "0.99", "0.99")
    issue(desk, *reversed(jobs))
    stand = only(desk, jobs)
    assert (stand.invoice.net, stand.invoice.tax) == (297, 22)
    assert [part.job.job_id for part in stand.parts] == jobs
    assert [part.gross for part in stand.parts] == [106, 106, 107]
    assert sum(due_of(desk, job) for job in jobs) == stand.due == 319
    sheet = invoice_sheet(desk, stand.invoice.invoice_id)
    assert [one.text for one in sheet.lines if not one.amount] == [
        f"Job {part.job.number_text}" for part in stand.parts
    ]
    assert sheet.about == ("3 jobs",)


def test_who_pays_is_named_by_the_job_else_by_its_customer_with_their_own_terms(
    desk: Desk, shop: SmallShop
) -> None:
    tolk, firm = shop.customers["tolk"], shop.customers["quell"]
    first, second = charged(desk, tolk, "10", "20")
    edit_customer(desk, firm, terms_days="45 days")
    job_changes.edit_job(desk, second, payer_id=firm)
    with pytest.raises(Mendable, match=r"are paid by .* and by .*; an invoice has one payer"):
        issue(desk, first, second)
    edit_customer(desk, tolk, payer_id=firm)
    issue(desk, first, second)
    paper = only(desk, [first]).invoice
    assert (paper.payer_id, paper.terms_days) == (firm, 45)
    assert paper.due_on == TODAY + timedelta(days=45)
    edit_customer(desk, firm, payer_id=firm, terms_days="")
    with desk.book.reading() as session:
        from app.records.models import Customer

        row = session.get_one(Customer, firm)
        assert (row.payer_id, row.terms_days) == (None, None)
    with pytest.raises(Mendable, match="0 to 365 days"):
        edit_customer(desk, firm, terms_days="soon")


def test_a_payment_is_shared_over_the_jobs_the_oldest_first_and_one_undo_takes_it_back(
    desk: Desk, shop: SmallShop
) -> None:
    jobs = charged(desk, shop.customers["tolk"], "100", "50", "20")
    issue(desk, *jobs)
    number = only(desk, jobs).invoice.invoice_id
    with pytest.raises(Mendable, match=r"200\.00 is 17\.67 more than the 182\.33 due"):
        take_for_invoice(desk, number, "200 check")
    said = take_for_invoice(desk, number, "120 check")
    assert said.sentence.endswith("over 2 jobs. 62.33 is still due.")
    assert [part.came for part in only(desk, jobs).parts] == [10725, 1275, 0]
    with desk.book.reading() as session:
        paid = [one.receipt_id for of in takings.receipts_of(session, jobs).values() for one in of]
    sheet = receipt_sheet(desk, paid[0])
    assert [amount for _, amount in sheet.lines] == ["107.25", "12.75"]
    assert (sheet.total, sheet.rest) == (("Received by check, USD", "120.00"), "Still due: 62.33.")
    assert receipt_file(desk, paid[1]).name.startswith(f"receipt {sheet.number} ")
    undoing.undo(desk)
    assert only(desk, jobs).came == 0
    take_for_invoice(desk, number, "190 tip 7.67", "card")
    assert (only(desk, jobs).due, [due_of(desk, one) for one in jobs]) == (0, [0, 0, 0])
    assert invoice_sheet(desk, number).sums[-2][1] == "−182.33"
    with pytest.raises(Mendable, match="Nothing is due on invoice"):
        take_for_invoice(desk, number, "5")


def test_a_credit_of_one_job_leaves_every_other_job_as_it_is(desk: Desk, shop: SmallShop) -> None:
    jobs = charged(desk, shop.customers["tolk"], "0.99", "0.99", "0.99")
    issue(desk, *jobs)
    (paper,) = papers_of(desk, jobs[2]).issued
    before = [due_of(desk, one) for one in jobs]
    credit(desk, paper.invoice.invoice_id, "not washed", paper.lines[1].line_id)
    assert [due_of(desk, one) for one in jobs] == [before[0], 0, before[2]]
    credit(desk, paper.invoice.invoice_id, "none was washed")
    assert [due_of(desk, one) for one in jobs] == [0, 0, 0]
    assert desk.book.check() == []


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    steps=st.lists(
        st.tuples(
            st.sampled_from(
                ["charge", "issue", "issue all", "credit", "credit all", "pay", "refund"]
            ),
            st.integers(0, 2),
            st.integers(1, 30_000),
            st.sampled_from([0, 6875, 7250]),
        ),
        max_size=14,
    ),
    currency=st.sampled_from(["USD", "JPY", "KWD"]),
    rule=st.sampled_from(["total", "line"]),
)
def test_what_is_issued_less_what_came_and_was_credited_is_due_to_the_unit(
    desk: Desk,
    shop: SmallShop,
    steps: list[tuple[str, int, int, int]],
    currency: str,
    rule: str,
) -> None:
    """Whatever is invoiced together, credited, paid in part and given back: of each invoice what it
    comes to less what came and was credited is due, and all dues together are those of the jobs."""
    change_settings(desk, currency=currency, tax_rule=rule)
    jobs = done_jobs(desk, shop.customers["tolk"], 3)
    for what, at, amount, rate in steps:
        try:
            papers = papers_of(desk, jobs[at])
            newest = papers.newest
            if what == "charge":
                job_changes.add_charge(desk, jobs[at], "Work", money(desk, amount), rate)
            elif what == "issue":
                issue(desk, jobs[at])
            elif what == "issue all":
                issue(desk, *jobs)
            elif what == "refund":
                set_money(desk, TODAY - timedelta(days=1), jobs[at], f"-{money(desk, amount // 9)}")
            elif newest is not None and what == "credit":
                line = newest.lines[amount % len(newest.lines)]
                part = money(desk, 1 + amount // 7)
                credit(desk, newest.invoice.invoice_id, "why", line.line_id, part)
            elif newest is not None and what == "credit all":
                credit(desk, newest.invoice.invoice_id, "why")
            elif newest is not None:
                take_for_invoice(desk, newest.invoice.invoice_id, money(desk, amount))
        except Mendable:
            continue
    found = standing(desk, jobs)
    with desk.book.reading() as session:
        receipts = takings.receipts_of(session, jobs)
    for stand in found.invoices:
        notes = [
            one.invoice.gross
            for one in papers_of(desk, stand.parts[0].job.job_id).issued
            if one.invoice.credits_id == stand.invoice.invoice_id
        ]
        assert stand.credited == sum(notes)
        assert stand.invoice.gross - stand.came - sum(notes) == stand.due
        assert sum(part.due for part in stand.parts) == stand.due
        if stand.credited == stand.invoice.gross:
            assert all(part.gross == 0 for part in stand.parts)
    came = sum(one.amount for of_job in receipts.values() for one in of_job)
    assert came == sum(one.came for one in found.invoices) + sum(
        came for _, came in found.open.values()
    )
    dues = sum(one.due for one in found.invoices)
    dues += sum(gross - came for gross, came in found.open.values())
    assert dues == sum(due_of(desk, job) for job in jobs)


def test_who_pays_for_others_owes_it_on_their_own_card_and_is_archived_not_removed(
    desk: Desk, shop: SmallShop
) -> None:
    tolk = shop.customers["tolk"]
    firm = add_customer(desk, name="Weir Street Vans")[1]
    edit_customer(desk, tolk, payer_id=firm)
    before = dict(customer_page(desk, tolk).facts)["Owes"]
    charged(desk, tolk, "100")
    assert dict(customer_page(desk, tolk).facts)["Owes"] == before == "nothing"
    assert dict(customer_page(desk, firm).facts)["Owes"] == "107.25"
    remove_customer(desk, firm)
    assert customer_page(desk, firm).archived
