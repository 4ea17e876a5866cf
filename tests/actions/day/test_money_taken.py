"""Money taken: tax per rate, what falls due, deposits, and what is typed at the till."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.actions.day.closing import close_day, closing, reopen_day
from app.actions.day.jobs_worked import finish_job
from app.actions.day.money_taken import money_taken, set_money
from app.actions.day.typed_money import read_taken
from app.actions.desk.amounts import totals
from app.actions.desk.undoing import undo
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.job_changes import add_charge
from app.actions.people.customers import customer_page, edit_customer
from app.errors import Mendable
from app.records.models import Charge, Receipt
from app.records.queries import settings as settings_queries
from tests.shop import TODAY

TOMORROW = TODAY + timedelta(days=1)


def row(desk, shop, number, day=TODAY):
    return next(one for one in money_taken(desk, day).rows if one.job.job_id == shop.jobs[number])


def test_a_job_that_finishes_today_is_expected_to_pay_what_is_due(desk, shop):
    wash = row(desk, shop, "0411")
    # 90.00 at 7.25 % is 6.525, half away from zero 6.53.
    assert (wash.sums.net, wash.sums.tax, wash.sums.gross) == (9000, 653, 9653)
    assert (wash.taken, wash.filled, wash.state) == (9653, 9653, "expected")
    assert money_taken(desk, TODAY).expected_text == "1 payment expected, 96.53"


def test_who_pays_by_invoice_is_not_taken_to_have_paid_on_the_day(desk, shop):
    quell, tolk = shop.customers["quell"], shop.customers["tolk"]
    edit_customer(desk, quell, terms_days=30)
    wash = row(desk, shop, "0411")
    assert (wash.taken, wash.state) == (0, "blank")
    assert wash.not_filled == f"{wash.job.customer} has 30 days to pay an invoice"
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        assert session.query(Receipt).count() == 0
    reopen_day(desk, TODAY, "another try")
    edit_customer(desk, quell, terms_days=0)
    assert row(desk, shop, "0411").taken == 9653, "at once, by their own card"
    edit_customer(desk, quell, terms_days=None, payer_id=tolk)
    assert row(desk, shop, "0411").not_filled.endswith(f" pays for {wash.job.customer} by invoice")
    edit_customer(desk, tolk, terms_days=0)
    assert row(desk, shop, "0411").taken == 9653


def test_a_job_that_goes_on_is_expected_to_pay_nothing_yet(desk, shop):
    assert row(desk, shop, "0412").taken == 0
    assert row(desk, shop, "0412", TOMORROW).taken == 101_888


def test_tax_is_rounded_once_a_rate_or_on_each_line_as_the_shop_chose(desk, shop):
    nets = [(1010, 7250), (1010, 7250), (1010, 7250)]
    assert totals(desk, nets).tax == 220  # 30.30 x 7.25 % = 2.19675
    with desk.book.load() as session:
        settings_queries.write(session, {"tax_rule": "line"})
    desk.reload()
    assert totals(desk, nets).tax == 219  # three times 0.73225


def test_a_deposit_counts_as_paid_before(desk, shop, clock):
    changed = set_money(desk, TODAY, shop.jobs["0412"], "$200 check")
    assert changed.name == "Money of 0412: 200.00"
    with desk.book.reading() as session:
        deposit = session.query(Receipt).one()
        assert (deposit.kind, deposit.method, deposit.amount) == ("deposit", "check", 20_000)
    close_day(desk, TODAY)
    clock.go_to(TOMORROW)
    rest = row(desk, shop, "0412", TOMORROW)
    assert (rest.paid_before, rest.taken, rest.method) == (20_000, 81_888, "check")


def test_typing_again_changes_the_line_of_an_open_day(desk, shop):
    set_money(desk, TODAY, shop.jobs["0411"], "50")
    set_money(desk, TODAY, shop.jobs["0411"], "96.53", "card")
    with desk.book.reading() as session:
        assert [(one.amount, one.method) for one in session.query(Receipt)] == [(9653, "card")]


def test_nothing_typed_expects_the_due_again(desk, shop):
    set_money(desk, TODAY, shop.jobs["0411"], "0")
    assert row(desk, shop, "0411").state == "typed"
    assert money_taken(desk, TODAY).expected_text == "No payment expected"
    set_money(desk, TODAY, shop.jobs["0411"], "")
    assert row(desk, shop, "0411").taken == 9653


def test_more_than_is_due_is_asked_about_and_never_booked_as_owing_less_than_nothing(desk, shop):
    with pytest.raises(Mendable, match="or a typing error") as asked:
        set_money(desk, TODAY, shop.jobs["0411"], "106.53")
    assert asked.value.sentence == (
        "106.53 is 10.00 more than the 96.53 due. Is it a tip (type “106.53 tip 10.00”), a credit "
        "(“106.53 credit 10.00”), or a typing error?"
    )
    assert desk.book.next_undo() is None
    assert row(desk, shop, "0411").sums.due == 9653


@pytest.mark.parametrize("typed", ["106.53 tip 10", "96.53 + tip 10", "96.53 + 10 tip",
                                   "96.53 tip 10", "tip 10", "card 106.53 tip 10.00"])  # fmt: skip
def test_a_tip_is_written_and_pays_nothing_of_the_job(desk, shop, typed):
    set_money(desk, TODAY, shop.jobs["0411"], typed)
    wash = row(desk, shop, "0411")
    assert (wash.taken, wash.tip, wash.taken_text) == (9653, 1000, "96.53 + tip 10.00")
    assert money_taken(desk, TODAY).expected_text == "1 payment, 96.53, tips 10.00"
    with desk.book.reading() as session:
        kinds = {one.kind: one.amount for one in session.query(Receipt)}
    assert kinds == {"payment": 9653, "tip": 1000}
    set_money(desk, TODAY, shop.jobs["0411"], wash.taken_text, "cash")
    assert row(desk, shop, "0411").taken_text == wash.taken_text, "what is shown can be typed"
    close_day(desk, TODAY)
    assert customer_page(desk, shop.customers["quell"]).due[shop.jobs["0411"]] == 0


def test_a_tip_of_a_closed_day_is_taken_back_as_a_tip(desk, shop, clock):
    set_money(desk, TODAY, shop.jobs["0411"], "106.53 tip 10")
    close_day(desk, TODAY)
    clock.tick()
    reopen_day(desk, TODAY, "the tip was a typing error")
    set_money(desk, TODAY, shop.jobs["0411"], "96.53")
    assert (row(desk, shop, "0411").taken, row(desk, shop, "0411").tip) == (9653, 0)
    with desk.book.reading() as session:
        sums = {kind: 0 for kind in ("payment", "reversed", "tip")}
        for one in session.query(Receipt):
            sums[one.kind] += one.amount
    assert sums["tip"] == 0
    assert sums["payment"] + sums["reversed"] == 9653


def test_a_credit_that_came_in_is_named_beside_what_was_due(desk, shop):
    set_money(desk, TODAY, shop.jobs["0411"], "116.53 credit 20")
    assert "credit 20.00" in money_taken(desk, TODAY).expected_text
    assert any("taken, credit 20.00" in one.text for one in closing(desk, TODAY).lines)


def test_a_credit_is_kept_and_pays_a_later_job(desk, shop, clock):
    set_money(desk, TODAY, shop.jobs["0411"], "116.53 credit 20")
    assert (row(desk, shop, "0411").taken, row(desk, shop, "0411").held) == (9653, 2000)
    close_day(desk, TODAY)
    page = customer_page(desk, shop.customers["quell"])
    assert ("Credit held", "20.00") in page.facts
    assert ("Owes", "nothing") in page.facts
    clock.go_to(TOMORROW)
    new = NewJob(customer_id=shop.customers["quell"], first_day=TOMORROW)
    job = book_job(desk, new)[1]
    add_charge(desk, job, "Odor", "60", 0)
    with pytest.raises(Mendable, match=r"only 20\.00 is held"):
        set_money(desk, TOMORROW, job, "30 credit")
    set_money(desk, TOMORROW, job, "20 credit")
    assert ("Credit held", "20.00") not in customer_page(desk, shop.customers["quell"]).facts
    later = next(one for one in money_taken(desk, TOMORROW).rows if one.job.job_id == job)
    assert (later.taken, later.held, later.taken_text) == (2000, 0, "20.00")
    with desk.book.reading() as session:
        came = sum(one.amount for one in session.query(Receipt) if one.day == TOMORROW)
    assert came == 0, "nothing came that day: it was paid from what was kept"
    undo(desk)
    assert ("Credit held", "20.00") in customer_page(desk, shop.customers["quell"]).facts


def test_a_deposit_for_a_job_without_a_price_is_not_above_anything(desk, shop):
    job = book_job(desk, NewJob(customer_id=shop.customers["tolk"]))[1]
    set_money(desk, TODAY, job, "200")
    with desk.book.reading() as session:
        assert [(one.kind, one.amount) for one in session.query(Receipt)] == [("deposit", 20_000)]


@pytest.mark.parametrize("typed", ["5 tip 10", "96.53 tip", "tip lots", "105 tip 10 tip"])
def test_a_tip_that_cannot_be_read_changes_nothing(desk, shop, typed):
    with pytest.raises(Mendable):
        set_money(desk, TODAY, shop.jobs["0411"], typed)
    assert desk.book.next_undo() is None


def test_unreadable_money_changes_nothing(desk, shop):
    with pytest.raises(Mendable):
        set_money(desk, TODAY, shop.jobs["0411"], "ten bucks")
    assert desk.book.next_undo() is None


def test_expected_money_that_nobody_confirmed_is_booked_and_marked_so(desk, shop):
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        taken = session.query(Receipt).one()
        assert (taken.amount, taken.state, taken.kind) == (9653, "expected", "payment")


def test_a_remark_is_no_state_whatever_it_says(desk, shop):
    set_money(desk, TODAY, shop.jobs["0411"], "20")
    with desk.book.load() as session:
        session.query(Receipt).one().note = "expected, unconfirmed"
    (row,) = [one for one in money_taken(desk, TODAY).rows if one.job.number_text == "0411"]
    assert (row.state, row.taken) == ("typed", 2000)
    close_day(desk, TODAY)
    reopen_day(desk, TODAY, "wrong hours")
    (row,) = [one for one in money_taken(desk, TODAY).rows if one.job.number_text == "0411"]
    assert (row.state, row.taken) == ("typed", 2000)


def test_reopened_expected_money_is_taken_back_and_filled_in_again(desk, shop):
    close_day(desk, TODAY)
    reopen_day(desk, TODAY, "paid nothing")
    assert row(desk, shop, "0411").state == "expected"
    set_money(desk, TODAY, shop.jobs["0411"], "0")
    close_day(desk, TODAY)
    assert row(desk, shop, "0411").taken == 0
    with desk.book.reading() as session:
        assert sum(one.amount for one in session.query(Receipt)) == 0


def test_money_of_a_day_that_was_closed_is_corrected_by_a_counter_entry(desk, shop):
    set_money(desk, TODAY, shop.jobs["0411"], "50")
    close_day(desk, TODAY)
    reopen_day(desk, TODAY, "it was 60")
    set_money(desk, TODAY, shop.jobs["0411"], "60")
    with desk.book.reading() as session:
        lines = [(one.amount, one.kind) for one in session.query(Receipt).order_by(Receipt.id)]
    assert lines == [(5000, "payment"), (-5000, "reversed"), (6000, "payment")]
    close_day(desk, TODAY)
    assert row(desk, shop, "0411").taken == 6000


def test_what_is_done_and_not_paid_stands_among_the_others(desk, shop, clock):
    set_money(desk, TODAY, shop.jobs["0411"], "0")
    close_day(desk, TODAY)
    clock.go_to(TOMORROW)
    owed = money_taken(desk, TOMORROW).others
    assert [(one.job.number_text, one.due, one.job.state) for one in owed] == [
        ("0411", 9653, "done")
    ]
    set_money(desk, TOMORROW, shop.jobs["0411"], "96.53 cash")
    assert row(desk, shop, "0411", TOMORROW).taken == 9653


def test_money_given_back_is_typed_below_zero(desk, shop):
    set_money(desk, TODAY, shop.jobs["0412"], "200 check")
    set_money(desk, TOMORROW, shop.jobs["0412"], "-50 cash")
    with desk.book.reading() as session:
        back = session.query(Receipt).filter(Receipt.day == TOMORROW).one()
        assert (back.kind, back.method, back.amount) == ("refund", "cash", -5_000)
    with pytest.raises(Mendable, match="more than what came"):
        set_money(desk, TODAY, shop.jobs["0412"], "5 tip 10")


def test_a_job_finished_early_pays_today(desk, shop):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    assert row(desk, shop, "0412").taken == 101_888


def test_a_discount_is_a_negative_charge_at_its_own_rate(desk, shop):
    with desk.book.load() as session:
        session.add(Charge(job_id=shop.jobs["0411"], text="Off", amount=-1000, tax_rate=7250))
    assert (row(desk, shop, "0411").sums.net, row(desk, shop, "0411").sums.tax) == (8000, 580)


@pytest.mark.parametrize(
    ("typed", "amount", "method"),
    [
        ("$400 check", 40_000, "check"),
        ("card 1,250.00", 125_000, "card"),
        ("12.5", 1250, ""),
        ("-20 cash", -2000, "cash"),
        ("300 bank transfer", 30_000, "transfer"),
    ],
)
def test_money_is_typed_with_its_way_of_paying(typed, amount, method):
    typed = typed.replace("bank transfer", "transfer")
    read = read_taken(typed, "USD")
    assert (read.amount, read.method, read.tip, read.credit) == (amount, method, 0, 0)


@given(
    nets=st.lists(
        st.tuples(st.integers(-10_000, 100_000), st.sampled_from([0, 4000, 7250])), max_size=8
    )
)
def test_net_and_tax_always_sum_to_gross(nets):
    from types import SimpleNamespace

    from app.actions.desk.settings import Settings

    desk = SimpleNamespace(settings=Settings(), today=TODAY)
    sums = totals(desk, nets)
    assert sums.net + sums.tax == sums.gross
    assert sum(sums.tax_by_rate.values()) == sums.tax
