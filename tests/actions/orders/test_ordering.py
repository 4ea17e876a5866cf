"""What to order: proposed, changed by hand, written, sent, received in whole and in part."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.actions.day.supplies_used import set_use
from app.actions.desk.undoing import undo
from app.actions.orders.order_papers import order_files, order_mail
from app.actions.orders.order_proposal import what_to_order
from app.actions.orders.order_writing import as_proposed, orders_written, set_packs, write_orders
from app.actions.orders.receiving import (
    LotTyped,
    cancel_order,
    mark_order_sent,
    order_of,
    overdue_text,
    receive,
    rest_will_not_come,
)
from app.actions.orders.shelf_state import booked_needs, on_order, shelf_state
from app.actions.stock.stock import count, waste
from app.calculations.numbers.dates import near
from app.calculations.stock.costing import landed
from app.errors import Mendable
from app.records.models import Lot, Movement, Order, OrderLine, Pack, Supplier, Supply
from app.records.stock import balances
from tests.shop import TODAY, add_job

ML = 1000
LATER = TODAY + timedelta(days=5)


def stands(desk, supply):
    with desk.book.reading() as session:
        return balances(session)[supply]


def lines(desk, day=TODAY):
    return {
        line.supply_id: line for one in what_to_order(desk, day).suppliers for line in one.lines
    }


def ordered(desk, shop, *wanted):
    """An order written by hand: (supply, packs) of one supplier; its id and its lines by supply."""
    for supply, packs in wanted:
        set_packs(desk, TODAY, shop.supplies[supply], shop.packs[supply], packs)
    suppliers = {
        one.supplier_id
        for one in what_to_order(desk, TODAY).suppliers
        for line in one.lines
        if line.supply_id == shop.supplies[wanted[0][0]]
    }
    write_orders(desk, TODAY, suppliers)
    order_id = orders_written(desk, TODAY)[-1]
    with desk.book.reading() as session:
        found = session.query(OrderLine).filter_by(order_id=order_id).all()
        return order_id, {line.supply_id: line.id for line in found}


def test_the_rule_reads_the_shelf_less_what_today_takes(desk, shop):
    state = {one.supply: one for one in shelf_state(desk, TODAY).supplies}
    soap = state[shop.supplies["soap"]]
    assert soap.on_hand == 1921 * ML
    assert soap.use[-1] == 79 * ML
    assert len(soap.use) == 15  # from the day it first came, two weeks ago, to today
    assert soap.packs[0].price == 1200
    set_use(desk, TODAY, shop.jobs["0411"], shop.supplies["soap"], "140")
    soap = {one.supply: one for one in shelf_state(desk, TODAY).supplies}[shop.supplies["soap"]]
    assert soap.on_hand == 1821 * ML


def test_booked_work_counts_once_and_todays_not_again(desk, shop):
    needs = booked_needs(desk, TODAY)
    assert [(one.amount, one.day) for one in needs[shop.supplies["soap"]]] == [
        (39 * ML, (TODAY + timedelta(days=1)).toordinal())
    ]
    assert shop.supplies["wheel"] not in needs
    assert [one.amount for one in needs[shop.supplies["coating"]]] == [18_200]


def test_a_day_left_open_still_needs_what_it_did_not_book(desk, shop, clock):
    tomorrow = TODAY + timedelta(days=1)
    clock.go_to(tomorrow)
    needs = booked_needs(desk, tomorrow)
    # The wash of yesterday was never told of: its whole need stands, on its own day.
    assert [(one.amount, one.day) for one in needs[shop.supplies["wheel"]]] == [
        (120 * ML, TODAY.toordinal())
    ]


def test_a_supply_that_booked_work_will_lack_is_proposed_with_its_reason(desk, shop):
    count(desk, TODAY, shop.supplies["coating"], "10 mL")
    line = lines(desk)[shop.supplies["coating"]]
    assert line.packs >= 1
    assert line.cost == line.packs * 7900
    assert "booked job" in line.reason
    assert "10 mL left" in line.reason
    assert line.alert == "wrong"
    assert what_to_order(desk, TODAY).short >= 1


def test_packs_chosen_by_hand_are_kept_for_the_day(desk, shop):
    changed = set_packs(desk, TODAY, shop.supplies["wax"], shop.packs["wax"], 2)
    assert changed.name == "Order 2 x 200 g of Paste wax"
    line = lines(desk)[shop.supplies["wax"]]
    assert (line.packs, line.cost, line.chosen) == (2, 6600, True)
    assert shop.supplies["wax"] not in lines(desk, TODAY + timedelta(days=1))
    undo(desk)
    assert shop.supplies["wax"] not in lines(desk)


def test_goods_from_the_freight_line_up_come_free(desk, shop):
    set_packs(desk, TODAY, shop.supplies["wheel"], shop.packs["wheel"], 1)
    van = next(one for one in what_to_order(desk, TODAY).suppliers if one.name == "Tuesday van")
    assert (van.goods, van.freight, van.total) == (3800, 1400, 5200)
    assert van.note == "112.00 more of goods would come free of freight."
    set_packs(desk, TODAY, shop.supplies["wheel"], shop.packs["wheel"], 4)
    van = next(one for one in what_to_order(desk, TODAY).suppliers if one.name == "Tuesday van")
    assert (van.goods, van.freight_text) == (15_200, "free")


def test_a_pack_that_is_not_sold_is_refused(desk, shop):
    with pytest.raises(Mendable, match="not sold in that pack"):
        set_packs(desk, TODAY, shop.supplies["wax"], shop.packs["soap"], 1)
    with pytest.raises(Mendable, match="between 0 and"):
        set_packs(desk, TODAY, shop.supplies["wax"], shop.packs["wax"], -1)


def test_a_written_order_is_on_its_way_and_not_proposed_again(desk, shop):
    count(desk, TODAY, shop.supplies["coating"], "10 mL")
    assert shop.supplies["coating"] in lines(desk)
    assert write_orders(desk, TODAY).name.startswith("Wrote ")
    assert shop.supplies["coating"] not in lines(desk)
    waiting = what_to_order(desk, TODAY).waiting
    assert waiting[0].state == "written"
    assert "not sent yet" in waiting[0].text
    assert write_orders(desk, TODAY).sentence == "There is nothing to order."


def test_a_sent_order_counts_its_delivery_from_that_day(desk, shop, clock):
    order_id, _ = ordered(desk, shop, ("wheel", 1))
    with desk.book.reading() as session:
        expected = session.get_one(Order, order_id).expected_on
    clock.go_to(TODAY + timedelta(days=1))
    mark_order_sent(desk, TODAY + timedelta(days=1), order_id)
    with desk.book.reading() as session:
        order = session.get_one(Order, order_id)
        assert (order.state, order.expected_on) == ("sent", expected + timedelta(days=1))
    assert "already" in mark_order_sent(desk, TODAY, order_id).sentence


def test_an_order_that_does_not_come_stands_as_overdue(desk, shop, clock):
    ordered(desk, shop, ("wheel", 1))
    day = TODAY + timedelta(days=30)
    clock.go_to(day)
    waiting = what_to_order(desk, day).waiting
    assert waiting[0].overdue
    assert waiting[0].text.endswith("overdue")


def test_a_parcel_that_is_later_than_any_was_is_asked_about_and_ordered_again(desk, shop, clock):
    coating = shop.supplies["coating"]
    count(desk, TODAY, coating, "10 mL")
    sent, _ = ordered(desk, shop, ("coating", 4))
    mark_order_sent(desk, TODAY, sent)
    with desk.book.reading() as session:
        expected = session.get_one(Order, sent).expected_on
    late = expected + timedelta(days=1)
    clock.go_to(late)
    assert coating not in lines(desk, late), "a day late it is waited for"
    assert "ask" not in overdue_text(desk, late)
    late = expected + timedelta(days=20)
    clock.go_to(late)
    assert coating in lines(desk, late)
    assert overdue_text(desk, late).endswith(f": ask about the parcel of {near(TODAY, late)}.")


def test_a_parcel_that_is_given_up_is_not_coming_and_says_nothing_of_how_long_others_take(
    desk, shop, clock
):
    coating, maker = shop.supplies["coating"], shop.suppliers["parcel"]
    sent, _ = ordered(desk, shop, ("coating", 4))
    mark_order_sent(desk, TODAY, sent)
    with desk.book.reading() as session:
        expected = session.get_one(Order, sent).expected_on
    late, lost = expected + timedelta(days=1), expected + timedelta(days=20)

    def waited(day):
        clock.go_to(day)
        return {one.supplier: one.waiting_days for one in shelf_state(desk, day).suppliers}[maker]

    assert waited(late) == ((late - TODAY).days,)
    assert coating in on_order(desk, late)
    assert waited(lost) == ()
    assert coating not in on_order(desk, lost)


def test_the_rest_of_an_order_is_given_up_and_asked_about_as_a_parcel_is(desk, shop, clock):
    """It is waited for from the day on which the last part came, however late that was."""
    wheel = shop.supplies["wheel"]
    order_id, of = ordered(desk, shop, ("wheel", 3))
    mark_order_sent(desk, TODAY, order_id)
    came = TODAY + timedelta(days=25)
    clock.go_to(came)
    assert wheel not in on_order(desk, came)
    receive(desk, came, order_id, {of[wheel]: 1})
    for days in (1, 5):
        day = came + timedelta(days=days)
        clock.go_to(day)
        assert [one.quantity for one in on_order(desk, day)[wheel]] == [2 * 5000 * ML]
        assert "ask" not in overdue_text(desk, day)
    day = came + timedelta(days=30)
    clock.go_to(day)
    assert wheel not in on_order(desk, day)
    number = order_of(desk, order_id).number
    assert overdue_text(desk, day).endswith(f": ask about the rest of order {number:04}.")


def test_a_delivery_fills_the_shelf_at_its_landed_cost(desk, shop):
    order_id, of = ordered(desk, shop, ("wheel", 1), ("soap", 2))
    before = stands(desk, shop.supplies["wheel"])
    receive(
        desk,
        LATER,
        order_id,
        {of[shop.supplies["wheel"]]: 1, of[shop.supplies["soap"]]: 2},
        freight=1400,
    )
    # Freight by weight: 5 kg of wheel cleaner and 2 kg of soap share 14.00 as 10.00 and 4.00.
    after = stands(desk, shop.supplies["wheel"])
    assert (after[0] - before[0], after[1] - before[1]) == (5000 * ML, 3800 + 1000)
    with desk.book.reading() as session:
        order = session.get_one(Order, order_id)
        assert (order.state, order.received_on) == ("received", LATER)
    assert what_to_order(desk, LATER).waiting == ()
    assert desk.book.check() == []


def test_part_of_a_delivery_leaves_the_rest_on_its_way(desk, shop):
    order_id, of = ordered(desk, shop, ("soap", 3))
    line = of[shop.supplies["soap"]]
    changed = receive(desk, LATER, order_id, {line: 1})
    assert changed.name == "Received part of order 0001"
    assert what_to_order(desk, LATER).waiting[0].state == "part"
    state = {one.supply: one for one in shelf_state(desk, LATER).supplies}
    assert state[shop.supplies["soap"]].on_order[0].quantity == 2000 * ML
    receive(desk, LATER, order_id, {line: 2})
    with desk.book.reading() as session:
        assert session.get_one(Order, order_id).state == "received"
        paid = sum(one.value for one in session.query(Movement).filter_by(order_line_id=line))
    assert paid == 3 * 1200 + 1400  # freight once, with the first part


def test_a_price_that_changed_is_said_and_kept(desk, shop):
    order_id, of = ordered(desk, shop, ("soap", 1))
    line = of[shop.supplies["soap"]]
    changed = receive(desk, LATER, order_id, {line: 1}, freight=0, prices={line: 1350})
    assert "13.50 instead of 12.00" in changed.sentence
    with desk.book.reading() as session:
        pack = session.get_one(Pack, shop.packs["soap"])
        assert (pack.price, pack.priced_on) == (1350, LATER)
    undo(desk)
    with desk.book.reading() as session:
        assert session.get_one(Pack, shop.packs["soap"]).price == 1200


def test_dated_goods_get_a_lot_with_the_expiry_on_the_bottle(desk, shop):
    order_id, of = ordered(desk, shop, ("coating", 1))
    line = of[shop.supplies["coating"]]
    keeps = LATER + timedelta(days=540)
    receive(desk, LATER, order_id, {line: 1}, freight=0, lots={line: LotTyped("L2", keeps)})
    with desk.book.reading() as session:
        lot = session.query(Lot).filter_by(code="L2").one()
        assert (lot.received_on, lot.expires_on) == (LATER, keeps)


def test_deliveries_teach_how_long_they_take(desk, shop):
    order_id, of = ordered(desk, shop, ("soap", 1))
    receive(desk, LATER, order_id, {of[shop.supplies["soap"]]: 1})
    van = {one.supplier: one for one in shelf_state(desk, LATER).suppliers}
    assert van[shop.suppliers["van"]].lead_days == [5]


def test_a_delivery_fills_first_what_was_short_and_settles_its_cost(desk, shop):
    soap = shop.supplies["soap"]
    count(desk, TODAY, soap, "0")  # the ledger keeps the 79 mL that today's sheet will book
    waste(desk, TODAY, soap, "579 mL")
    assert stands(desk, soap) == (-500 * ML, -500)  # at the last known 1.00 a litre
    order_id, of = ordered(desk, shop, ("soap", 1))
    receive(desk, LATER, order_id, {of[soap]: 1}, freight=0)
    # Half of the litre for 12.00 fills the shortage; the other half stands at what it cost.
    assert stands(desk, soap) == (500 * ML, 600)
    assert desk.book.check() == []


def test_what_cannot_have_come_is_refused_and_nothing_is_taken_in(desk, shop):
    order_id, of = ordered(desk, shop, ("soap", 1))
    before = stands(desk, shop.supplies["soap"])
    with pytest.raises(Mendable, match="below zero"):
        receive(desk, LATER, order_id, {of[shop.supplies["soap"]]: -1})
    with pytest.raises(Mendable, match="no such line"):
        receive(desk, LATER, order_id, {999: 1})
    with pytest.raises(Mendable, match="how many packs came"):
        receive(desk, LATER, order_id, {})
    assert stands(desk, shop.supplies["soap"]) == before


def test_an_order_is_cancelled_before_anything_came_and_closed_after(desk, shop):
    order_id, of = ordered(desk, shop, ("soap", 2))
    receive(desk, LATER, order_id, {of[shop.supplies["soap"]]: 1})
    with pytest.raises(Mendable, match="received in part"):
        cancel_order(desk, LATER, order_id)
    rest_will_not_come(desk, LATER, order_id)
    assert what_to_order(desk, LATER).waiting == ()
    second, _ = ordered(desk, shop, ("wax", 1))
    cancel_order(desk, TODAY, second)
    assert what_to_order(desk, TODAY).waiting == ()


def test_the_order_is_a_workbook_a_pdf_and_a_text_to_paste(desk, shop, tmp_path):
    from openpyxl import load_workbook

    order_id, _ = ordered(desk, shop, ("soap", 2))
    files = order_files(desk, order_id, tmp_path / "out")
    assert [one.name for one in files] == [
        "order 0001 Tuesday van.xlsx",
        "order 0001 Tuesday van.pdf",
        "order 0001 Tuesday van.txt",
    ]
    cells = [
        str(cell.value)
        for line in load_workbook(files[0]).active.iter_rows()
        for cell in line
        if cell.value is not None
    ]
    assert "Wash soap" in cells
    assert files[1].read_bytes().startswith(b"%PDF")
    assert "2 x 1 L  Wash soap" in order_mail(desk, order_id)


def test_the_hazard_fee_is_charged_once_where_the_order_holds_such_goods(desk, shop):
    with desk.book.load() as session:
        session.get_one(Supplier, shop.suppliers["van"]).hazard_fee = 2500
        session.get_one(Supply, shop.supplies["wheel"]).pictograms = ["GHS05"]
    set_packs(desk, TODAY, shop.supplies["wheel"], shop.packs["wheel"], 1)
    set_packs(desk, TODAY, shop.supplies["soap"], shop.packs["soap"], 1)
    van = next(one for one in what_to_order(desk, TODAY).suppliers if one.name == "Tuesday van")
    assert van.freight == 1400 + 2500


def test_a_job_long_past_is_not_waited_for(desk, shop):
    old = TODAY - timedelta(days=90)
    with desk.book.load() as session:
        add_job(session, shop, "0300", "tolk", "coupe", "wash", old, old)
    assert shop.supplies["wheel"] not in booked_needs(desk, TODAY)


@given(
    lines=st.lists(st.tuples(st.integers(0, 10**6), st.integers(0, 10**8)), min_size=1, max_size=9),
    freight=st.integers(0, 10**5),
)
def test_landed_costs_sum_to_goods_and_freight(lines, freight):
    assert sum(landed(lines, freight)) == sum(price for price, _ in lines) + freight


def test_forgetting_what_was_typed_leaves_the_order_as_proposed(desk, shop):
    before = lines(desk)
    set_packs(desk, TODAY, shop.supplies["wax"], shop.packs["wax"], 3)
    assert lines(desk)[shop.supplies["wax"]].chosen
    as_proposed(desk, TODAY, shop.supplies["wax"])
    assert lines(desk) == before
    assert not as_proposed(desk, TODAY, shop.supplies["wax"]).kinds
