"""What pages order that are closed late, or a second time: nothing in the past, nothing twice."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.day.closing import close_day, closing, reopen_day
from app.actions.orders.order_writing import orders_written, set_packs
from app.actions.orders.receiving import cancel_order, expect_rest, mark_order_sent, receive
from app.actions.orders.shelf_state import shelf_state
from app.actions.stock.stock import count
from app.errors import Mendable
from app.records.models import Order, OrderLine
from tests.shop import TODAY, add_job

LATER = TODAY + timedelta(days=9)


def orders(desk):
    with desk.book.reading() as session:
        return [(one.day, one.expected_on) for one in session.query(Order).order_by(Order.id)]


def ordered_soap(desk, shop):
    with desk.book.reading() as session:
        return session.query(OrderLine).filter_by(supply_id=shop.supplies["soap"]).count()


def wanted(desk, shop, packs=2):
    set_packs(desk, TODAY, shop.supplies["soap"], shop.packs["soap"], packs)


def test_a_missed_day_writes_no_order_that_is_overdue_at_birth(desk, shop, clock):
    wanted(desk, shop)
    clock.go_to(LATER)
    close_day(desk, TODAY)
    assert orders(desk)
    for day, expected in orders(desk):
        assert day == LATER
        assert expected > LATER
    assert len(orders_written(desk, TODAY)) == len(orders(desk)), "its papers are found again"


def test_missed_days_closed_one_after_the_other_order_once(desk, shop, clock):
    wanted(desk, shop)
    clock.go_to(LATER)
    close_day(desk, TODAY)
    first = orders(desk)
    for ahead in range(1, 10):
        close_day(desk, TODAY + timedelta(days=ahead))
    assert orders(desk) == first


def test_a_page_closed_again_after_its_delivery_came_orders_nothing_more(desk, shop, clock):
    count(desk, TODAY, shop.supplies["soap"], "0")
    close_day(desk, TODAY)
    first = ordered_soap(desk, shop)
    assert first == 1
    for order_id in orders_written(desk, TODAY):
        mark_order_sent(desk, TODAY + timedelta(days=1), order_id)
        with desk.book.reading() as session:
            found = session.query(OrderLine).filter_by(order_id=order_id).all()
            lines = {line.id: line.packs for line in found}
        clock.go_to(LATER)
        receive(desk, LATER, order_id, lines)
    reopen_day(desk, TODAY, "hours were wrong")
    close_day(desk, TODAY)
    assert ordered_soap(desk, shop) == first


def test_what_a_close_will_write_and_wrote_is_listed_by_name(desk, shop):
    wanted(desk, shop)
    will = [one.text for one in closing(desk, TODAY).lines]
    assert any("2 × " in one and "soap" in one.casefold() for one in will)
    done = close_day(desk, TODAY).lines
    assert any("2 × " in one and "soap" in one.casefold() for one in done)
    reopen_day(desk, TODAY, "hours were wrong")
    again = [one.text for one in closing(desk, TODAY).lines]
    assert any("is written: " in one and "soap" in one.casefold() for one in again)


def test_the_notice_of_each_supply_is_that_of_the_jobs_that_took_it(desk, shop):
    with desk.book.change("Booked a job", kinds=frozenset({"jobs"})) as session:
        add_job(session, shop, "0413", "quell", "sedan", "wash", TODAY, TODAY)
    before = {one.supply: one for one in shelf_state(desk, TODAY).supplies}
    assert before[shop.supplies["soap"]].notice == ()
    close_day(desk, TODAY)
    after = {one.supply: one for one in shelf_state(desk, TODAY).supplies}
    taken = [after[one].notice for one in after]
    assert {days for some in taken for days in some} == {9}
    assert max(map(len, taken)) == 3


def test_an_order_is_sent_and_put_off_on_the_evening_of_the_close_that_wrote_it(desk, shop):
    wanted(desk, shop)
    close_day(desk, TODAY)
    order_id = orders_written(desk, TODAY)[0]
    mark_order_sent(desk, TODAY, order_id)
    expect_rest(desk, TODAY, order_id, "+5")
    with desk.book.reading() as session:
        row = session.get_one(Order, order_id)
        assert (row.state, row.day) == ("sent", TODAY)
        assert row.expected_on == TODAY + timedelta(days=5)


def test_an_order_is_taken_back_on_the_evening_of_the_close_and_is_not_sent_then(desk, shop):
    wanted(desk, shop)
    close_day(desk, TODAY)
    order_id = orders_written(desk, TODAY)[0]
    cancel_order(desk, TODAY, order_id)
    with pytest.raises(Mendable, match="cancelled"):
        mark_order_sent(desk, TODAY, order_id)


def test_an_order_that_is_sent_from_an_old_page_goes_today(desk, shop, clock):
    wanted(desk, shop)
    close_day(desk, TODAY)
    order_id = orders_written(desk, TODAY)[0]
    clock.go_to(LATER)
    mark_order_sent(desk, TODAY, order_id)
    with desk.book.reading() as session:
        row = session.get_one(Order, order_id)
        assert row.day == LATER
        assert row.expected_on > LATER
