"""The shelf's own actions: received, counted, wasted, given back, opened, finished, filled."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.day.closing import close_day
from app.actions.desk.undoing import undo
from app.actions.stock.stock import (
    count,
    fill_bottle,
    give_back,
    on_hand,
    open_container,
    receive_goods_without_order,
    waste,
)
from app.errors import Mendable
from app.records.models import Lot, Movement, Supply, Use
from app.records.queries import stock as queries
from app.records.stock import balances
from tests.shop import TODAY, add_job

ML = 1000
EMPTY = TODAY - timedelta(days=2)  # a day without jobs, so that nothing is filled in


def stands(desk, supply):
    with desk.book.reading() as session:
        return balances(session)[supply]


def last_line(desk, supply):
    with desk.book.reading() as session:
        return queries.ledger(session, supply, limit=1)[0]


def test_goods_without_an_order_come_at_what_was_typed_or_last_paid(desk, shop):
    soap = shop.supplies["soap"]
    receive_goods_without_order(desk, EMPTY, soap, "1 L", "15.00")
    assert stands(desk, soap) == (3000 * ML, 3500)
    receive_goods_without_order(desk, EMPTY, soap, "1 L")
    assert stands(desk, soap) == (4000 * ML, 5000)


def test_a_count_writes_the_difference_and_its_worth(desk, shop):
    soap = shop.supplies["soap"]
    changed = count(desk, EMPTY, soap, "1.5 L")
    assert stands(desk, soap) == (1500 * ML, 1500)
    assert changed.sentence == "500 mL less than the book, worth 5.00."
    line = last_line(desk, soap)
    assert (line.kind, line.quantity, line.value) == ("counted", -500 * ML, -500)


def test_a_count_above_the_book_finds_goods_at_their_average(desk, shop):
    soap = shop.supplies["soap"]
    assert "500 mL more" in count(desk, EMPTY, soap, "2500").sentence
    assert stands(desk, soap) == (2500 * ML, 2500)


def test_a_count_takes_todays_sheet_as_used_already(desk, shop):
    soap = shop.supplies["soap"]
    count(desk, TODAY, soap, "1900 mL")
    close_day(desk, TODAY)
    assert on_hand(desk, soap) == 1900 * ML


def test_a_count_as_in_the_book_is_noted_with_its_day(desk, shop):
    changed = count(desk, EMPTY, shop.supplies["soap"], "2 bottles")
    assert changed.sentence == "Just as the book says."
    assert last_line(desk, shop.supplies["soap"]).day == EMPTY


def test_a_weighed_count_takes_the_container_off_and_keeps_the_weight(desk, shop):
    polish = shop.supplies["polish"]
    count(desk, EMPTY, polish, "460 g")  # its empty container weighs 60 g
    assert on_hand(desk, polish) == 400 * ML
    with desk.book.reading() as session:
        line = session.query(Movement).filter_by(supply_id=polish, kind="counted").one()
        assert (line.weight, line.physical) == (460_000, True)
    with pytest.raises(Mendable, match="empty container"):
        count(desk, EMPTY, polish, "40 g")


def test_waste_and_returns_leave_at_their_cost(desk, shop):
    soap = shop.supplies["soap"]
    assert waste(desk, EMPTY, soap, "100 mL", "spilled").sentence == "Worth 1.00."
    assert last_line(desk, soap).note == "spilled"
    give_back(desk, EMPTY, soap, "1 L")
    assert stands(desk, soap) == (900 * ML, 900)
    undo(desk)
    undo(desk)
    assert stands(desk, soap) == (2000 * ML, 2000)


def test_a_bottle_filled_moves_product_and_takes_nothing_off_the_shelf(desk, shop):
    soap = shop.supplies["soap"]
    changed, label = fill_bottle(desk, EMPTY, soap, "1 L", "1 to 10")
    assert on_hand(desk, soap) == 2000 * ML
    assert changed.name == "Filled a bottle of Wash soap: 90.9 mL of product"
    assert label.mix == "91 mL product + 909 mL water make 1,000 mL"
    assert (label.mixed_on, label.use_by) == ("12 August 2025", "26 August 2025")
    assert "override" in label.overrides


def test_a_label_carries_the_hazards_as_entered(desk, shop):
    _, label = fill_bottle(desk, EMPTY, shop.supplies["wheel"], "500 mL")
    assert (label.signal_word, label.hazards) == ("Danger", ("Causes severe skin burns",))
    assert label.mix == "Undiluted"


def test_pieces_are_not_filled_into_bottles(desk, shop):
    with pytest.raises(Mendable, match="no liquid"):
        fill_bottle(desk, EMPTY, shop.supplies["cloths"])


def test_the_oldest_unopened_lot_is_opened(desk, shop):
    coating = shop.supplies["coating"]
    open_container(desk, EMPTY, coating)
    with desk.book.reading() as session:
        lot = session.query(Lot).one()
        assert (lot.opened_on, lot.finished_on) == (EMPTY, None)


def test_the_job_that_opens_a_bottle_of_coating_bears_its_cost(desk, shop, clock):
    coating = shop.supplies["coating"]
    with desk.book.load() as session:
        supply = session.get_one(Supply, coating)
        supply.whole_container, supply.bottle = True, 30 * ML
        add_job(session, shop, "0500", "quell", "sedan", "ceramic", TODAY, TODAY)
        add_job(session, shop, "0501", "tolk", "coupe", "ceramic", TODAY, TODAY)
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        costs = {use.job_id: use.cost for use in session.query(Use).filter_by(supply_id=coating)}
    # Two bottles for 158.00: the first job opens one (14 mL), the second takes 11.2 mL of its rest.
    assert costs == {shop.jobs["0500"]: 7900, shop.jobs["0501"]: 0}
    assert stands(desk, coating) == (60 * ML - 14_000 - 11_200, 7900)
    assert desk.book.check() == []


def test_the_oldest_lot_goes_first(desk, shop):
    coating = shop.supplies["coating"]
    receive_goods_without_order(desk, EMPTY, coating, "30 mL", "60.00", lot_code="L2")
    waste(desk, EMPTY, coating, "70 mL")
    with desk.book.reading() as session:
        left = {lot.code: (lot.left, lot.value) for lot in queries.lots(session, coating)}
    assert left == {"L2": (20 * ML, 4000), "L1": (0, 0)}


@settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    moves=st.lists(
        st.one_of(
            st.tuples(st.just("in"), st.integers(1, 3000), st.integers(0, 9999)),
            st.tuples(st.just("out"), st.integers(1, 3000)),
            st.tuples(st.just("count"), st.integers(0, 3000)),
        ),
        min_size=1,
        max_size=10,
    ),
    which=st.sampled_from(["soap", "coating"]),
)
def test_cost_of_what_left_and_what_stands_sum_to_what_was_paid_to_the_cent(
    desk, shop, moves, which
):
    # Opening + received = issued + ending, for moving average and for lots.
    supply = shop.supplies[which]
    for verb, amount, *cost in moves:
        if verb == "in":
            price = f"{cost[0] / 100:.2f}"
            receive_goods_without_order(desk, EMPTY, supply, f"{amount} mL", price)
        elif verb == "out":
            waste(desk, EMPTY, supply, f"{amount} mL")
        else:
            count(desk, EMPTY, supply, f"{amount} mL")
    quantity, value = stands(desk, supply)
    with desk.book.reading() as session:
        lines = session.query(Movement).filter_by(supply_id=supply).all()
        lots = [(lot.left, lot.value) for lot in queries.lots(session, supply)]
    assert sum(line.quantity for line in lines) == quantity
    assert sum(line.value for line in lines) == value
    assert (quantity > 0) == (value > 0) or value == 0
    assert all(left >= 0 and worth >= 0 for left, worth in lots)
    if which == "coating" and quantity >= 0:
        # What was found by a count when no lot was left belongs to none.
        assert 0 <= sum(left for left, _ in lots) <= quantity
    assert desk.book.check() == []
