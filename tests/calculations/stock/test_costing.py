"""Stock valuation against accounting textbooks; values in cents, whole minor units.

Wild & Shaw, "Financial and Managerial Accounting", problem 5-1A (Warnerwoods); the R package
FinCal, documented example of `cogs`; OpenStax, "Principles of Accounting, Volume 1", chapter 10.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.stock.costing import Average, Lots, Received, Taken, landed


def test_moving_average_of_wild_and_shaws_problem() -> None:
    """54.00, 57.60, 59.80; ending 14,352; cost of goods 32,248 (recomputed)."""
    stock = Average().receive(100, 500_000).receive(400, 2_200_000)
    assert stock.unit_cost == 5400
    stock, first = stock.issue(420)
    stock = stock.receive(120, 720_000)
    assert stock.unit_cost == 5760
    stock = stock.receive(200, 1_240_000)
    assert stock.unit_cost == 5980
    stock, second = stock.issue(160)
    assert (first, second) == (2_268_000, 956_800)
    assert stock == Average(240, 1_435_200)


def test_first_in_first_out_of_wild_and_shaws_problem() -> None:
    """Cost of goods 22,600 + 9,200 = 31,800; ending 14,800 is 40 at 60 and 200 at 62."""
    stock = Lots().receive(100, 500_000, 1).receive(400, 2_200_000, 2)
    stock, first, taken = stock.issue(420)
    assert taken == (Taken(1, 100, 500_000), Taken(2, 320, 1_760_000))
    stock = stock.receive(120, 720_000, 3).receive(200, 1_240_000, 4)
    stock, second, taken = stock.issue(160)
    assert taken == (Taken(2, 80, 440_000), Taken(3, 80, 480_000))
    assert (first, second, stock.value) == (2_260_000, 920_000, 1_480_000)
    assert [(lot.quantity, lot.cost) for lot in stock.lots] == [(40, 240_000), (200, 1_240_000)]


def test_the_documented_example_of_fincal() -> None:
    """2 at 2, 3 at 3, 5 at 5, sell 7: first in first out 23 and 15, average 26.6 and 11.4."""
    lots, average = Lots(), Average()
    for count, price in ((2, 200), (3, 300), (5, 500)):
        lots = lots.receive(count, count * price)
        average = average.receive(count, count * price)
    lots, cost, _ = lots.issue(7)
    assert (cost, lots.value) == (2300, 1500)
    average, cost = average.issue(7)
    assert (cost, average.value) == (2660, 1140)


def test_the_gps_example_of_openstax() -> None:
    """7,200 and 8,955 by lot; 7,252.94 and 8,902.06 by average (from memory, recomputed)."""
    lots, average = Lots().receive(150, 315_000), Average().receive(150, 315_000)
    cost = lots_cost = 0
    for sold, bought, price in ((120, 225, 2700), (180, 210, 3300)):
        lots, took, _ = lots.issue(sold)
        lots_cost += took
        average, took = average.issue(sold)
        cost += took
        lots = lots.receive(bought, bought * price)
        average = average.receive(bought, bought * price)
    assert (lots_cost, lots.value) == (720_000, 895_500)
    assert (cost, average.value) == (725_294, 890_206)


def test_issuing_the_whole_takes_the_whole_value() -> None:
    stock = Average().receive(3, 100)
    costs = []
    for _ in range(3):
        stock, cost = stock.issue(1)
        costs.append(cost)
    assert costs == [33, 34, 33]
    assert stock == Average(0, 0)


def test_the_average_restarts_after_zero() -> None:
    stock, _ = Average().receive(10, 1000).issue(10)
    assert stock.receive(10, 3000).unit_cost == 300


def test_free_samples_make_the_rest_cheaper() -> None:
    assert Average().receive(10, 1000).receive(10, 0).unit_cost == 50


def test_a_shortage_is_issued_at_the_last_cost_and_settled_when_goods_come() -> None:
    stock, cost = Average().receive(10, 1000).issue(15)
    assert cost == 1500
    assert stock == Average(-5, -500)
    stock = stock.receive(20, 4000)
    assert stock == Average(15, 3000)
    assert stock.settled == 500
    assert stock.unit_cost == 200


def test_a_shortage_filled_in_part_stays_at_its_cost() -> None:
    stock = Average(-10, -1000).receive(4, 600)
    assert stock == Average(-6, -600)
    assert stock.settled == 200


def test_a_shortage_of_lots_is_filled_before_the_new_lot_is_kept() -> None:
    stock, cost, taken = Lots().receive(10, 1000, 7).issue(15)
    assert cost == 1500
    assert taken[-1] == Taken(None, 5, 500)
    stock = stock.receive(20, 4000, 8)
    assert (stock.quantity, stock.value, stock.settled) == (15, 3000, 500)
    assert [lot.lot for lot in stock.lots] == [8]


def test_what_was_never_received_costs_nothing_until_it_is() -> None:
    for empty in (Average(), Lots()):
        stock, cost, *_ = empty.issue(5)
        assert (stock.quantity, cost) == (-5, 0)
        assert stock.receive(5, 700).settled == 700


def test_the_bottle_in_the_hand_is_taken_first() -> None:
    stock = Lots().receive(50, 5000, 1).receive(50, 6000, 2)
    stock, cost, taken = stock.issue(60, lot=2)
    assert taken == (Taken(2, 50, 6000), Taken(1, 10, 1000))
    assert cost == 7000
    assert stock.quantity == 40


def without(stock: Average, quantity: int, cost: int) -> Average:
    """The stock once a line that brought so much at this cost was taken back."""
    return Average(stock.quantity - quantity, stock.value - cost, stock.unit_cost).settle()


def test_a_value_below_zero_of_goods_that_stand_there_is_settled() -> None:
    """Ten at 1.00 came, six at 3.00 went out by mistake in price: four stand at the last cost."""
    stock = without(Average(10, 1000, Fraction(100)), 6, 1800)
    assert stock == Average(4, 400)
    assert stock.settled == -1200


def test_no_value_stays_behind_when_a_reversal_empties_the_shelf() -> None:
    """10 at 1.00 and 10 at 3.00, half used at 2.00: without the first, 10.00 of nothing stays."""
    stock, cost = Average().receive(10, 1000).receive(10, 3000).issue(10)
    assert cost == 2000
    stock = without(stock, 10, 1000)
    assert stock == Average(0, 0)
    assert stock.settled == 1000


def test_a_count_loses_or_finds_at_the_average() -> None:
    stock = Average().receive(10, 1000)
    assert stock.correct(7) == (Average(7, 700), 300)
    assert stock.correct(12) == (Average(12, 1200), -200)
    assert stock.correct(0) == (Average(0, 0), 1000)
    short, _ = stock.issue(12)
    assert short.correct(3) == (Average(3, 300), -500)
    assert short.correct(-1) == (Average(-1, -100), -100)
    assert short.correct(0) == (Average(0, 0), -200)


def test_negative_quantities_are_refused() -> None:
    for stock in (Average(), Lots()):
        with pytest.raises(ValueError, match="negative"):
            stock.issue(-1)
        with pytest.raises(ValueError, match="negative"):
            stock.receive(-1, 5)
        with pytest.raises(ValueError, match="quantity"):
            stock.receive(0, 5)


@given(st.lists(st.integers(1, 50), min_size=1, max_size=8), st.integers(1, 400), st.data())
def test_equal_costs_make_both_ways_equal(
    counts: list[int], price: int, data: st.DataObject
) -> None:
    lots, average = Lots(), Average()
    for count in counts:
        lots, average = lots.receive(count, count * price), average.receive(count, count * price)
    sold = data.draw(st.integers(0, sum(counts)))
    _, by_lot, _ = lots.issue(sold)
    _, by_average = average.issue(sold)
    assert by_lot == by_average == sold * price


# Any sequence: what came in value = what was used + settled + what stands, to the cent.

STEPS = st.lists(
    st.tuples(
        st.sampled_from(["receive", "issue", "issue", "unissue", "unreceive", "count"]),
        # Small numbers beside large ones, so that stock often stands at exactly zero.
        st.integers(1, 4) | st.integers(1, 10**7),
        st.integers(0, 10**6),
    ),
    max_size=40,
)


@dataclass
class Book:
    """The two sides of the identity, and the lines that may be reversed."""

    available: int = 0
    cost: int = 0
    receipts: list[tuple[int, int, int]] = field(default_factory=list)
    issues: list[tuple[int, int]] = field(default_factory=list)


def signs_agree(quantity: int, value: int) -> bool:
    return (value == 0) if quantity == 0 else value == 0 or (value > 0) == (quantity > 0)


@given(STEPS)
def test_the_moving_average_loses_no_cent_in_any_sequence(
    steps: list[tuple[str, int, int]],
) -> None:
    book, stock = Book(), Average()
    for kind, quantity, money in steps:
        before = stock
        if kind == "receive":
            stock = stock.receive(quantity, money)
            book.available += money
            book.cost += stock.settled
            book.receipts.append((quantity, money, stock.settled))
        elif kind == "issue":
            stock, cost = stock.issue(quantity)
            book.cost += cost
            book.issues.append((quantity, cost))
        elif kind == "count":
            stock, lost = stock.correct(quantity - money)
            book.cost += lost
        elif kind == "unissue" and book.issues:
            quantity, cost = book.issues.pop(money % len(book.issues))
            stock = without(stock, -quantity, -cost)
            book.cost += stock.settled - cost
        elif kind == "unreceive" and book.receipts:
            quantity, paid, settled = book.receipts.pop(money % len(book.receipts))
            stock = without(stock, quantity, paid - settled)
            book.available -= paid
            book.cost += stock.settled - settled
        assert book.available == book.cost + stock.value
        assert signs_agree(stock.quantity, stock.value), (before, stock)
        assert stock.unit_cost >= 0


@given(STEPS)
def test_lots_lose_no_cent_in_any_sequence(steps: list[tuple[str, int, int]]) -> None:
    book, stock, quantity_there = Book(), Lots(), 0
    for number, (kind, quantity, money) in enumerate(steps):
        if kind == "receive":
            stock = stock.receive(quantity, money, number)
            book.available += money
            book.cost += stock.settled
            quantity_there += quantity
        else:
            lot = (
                stock.lots[money % len(stock.lots)].lot if kind == "count" and stock.lots else None
            )
            stock, cost, taken = stock.issue(quantity, lot)
            assert cost == sum(part.cost for part in taken)
            assert quantity == sum(part.quantity for part in taken)
            book.cost += cost
            quantity_there -= quantity
        assert book.available == book.cost + stock.value
        assert stock.quantity == quantity_there
        assert signs_agree(stock.quantity, stock.value)
        assert not (stock.lots and stock.short)
        assert all(lot.quantity > 0 and lot.cost >= 0 for lot in stock.lots)


def test_freight_is_spread_by_weight_and_a_discount_by_price() -> None:
    lines = [(10_000, 4_000_000), (30_000, 1_000_000)]
    assert landed(lines, freight=1_000, fee=250, discount=400) == [10_900, 29_950]
    assert landed([(10_000, 0), (30_000, 0)], freight=1_000) == [10_250, 30_750]
    assert landed([(0, 0), (0, 0)], freight=5) == [3, 2]
    assert landed([(100, 0), (100, 50)], freight=10) == [100, 110], "by weight, where any has one"
    assert landed([(100, 1), (0, 1)], discount=10) == [90, 0], "nothing off what costs nothing"
    assert landed([]) == []


@given(
    st.lists(st.tuples(st.integers(0, 10**7), st.integers(0, 10**8)), min_size=1, max_size=12),
    st.integers(0, 10**5),
    st.integers(0, 10**5),
    st.integers(0, 10**5),
)
def test_what_was_paid_is_what_the_lines_cost(
    lines: list[tuple[int, int]], freight: int, fee: int, discount: int
) -> None:
    costs = landed(lines, freight, fee, discount)
    assert sum(costs) == sum(value for value, _ in lines) + freight + fee - discount


def test_a_balance_alone_knows_its_unit_cost() -> None:
    assert Average(-4, -200).unit_cost == 50
    assert Average(4, 200).unit_cost == 50
    assert Average(0, 0, Fraction(50)).issue(2)[1] == 100
    assert Average(0, 0).unit_cost == 0


def test_stocks_are_the_same_where_as_much_stands_there_at_the_same_worth() -> None:
    """What was settled and paid on the way to it is the past."""
    assert Average(4, 200, Fraction(9), 3) == Average(4, 200)
    assert Average(4, 200) != Average(4, 201)
    lots = (Received(4, 200, 1),)
    assert Lots(lots, last=Fraction(9), settled=3) == Lots(lots)
    assert Lots(lots) != Lots((Received(4, 200, 2),))
    assert Lots(short=4, short_value=200) != Lots(short=4, short_value=201)


def test_pieces_of_an_odd_value_cost_their_share_of_what_is_left() -> None:
    """3 units of 100: 33, then half of 67 away from zero, then the rest; beyond, the last cost."""
    stock, costs = Average(3, 100), []
    for _ in range(3):
        stock, cost = stock.issue(1)
        costs.append(cost)
    assert costs == [33, 34, 33]
    assert Average(3, 100).issue(5)[1] == 167
    assert Average(-3, -100).issue(1)[1] == 33
    assert Average(3, 100).issue(0) == (Average(3, 100), 0)


def test_goods_that_brought_money_leave_no_shortage_of_a_value_below_zero() -> None:
    """Ten came for 1.00 less than nothing and fifteen went: five are short at -0.50. Two at 0.10
    fill two of them; the other three stand at the cost last paid, and the rest is settled."""
    stock = Lots().receive(10, -100).issue(15)[0]
    assert (stock.short, stock.short_value) == (5, -50)
    after = stock.receive(2, 20)
    assert (after.short, after.short_value, after.settled) == (3, 30, 100)
    assert stock.value + 20 == after.value + after.settled


def test_what_is_worth_nothing_is_not_settled() -> None:
    assert Average(4, 0, Fraction(9)).settle() == Average(4, 0)
    assert Average(-4, -8, Fraction(9)).settle() == Average(-4, -8)
    assert Average(-4, 8, Fraction(9)).settle() == Average(-4, -36)


@pytest.mark.parametrize("value", [-7, -1, 1, 7])
def test_nothing_is_worth_nothing_and_one_piece_keeps_what_it_is_worth(value: int) -> None:
    assert Average(0, value, Fraction(9)).settle() == Average(0, 0)
    assert Average(1, value, Fraction(9)).settle() == Average(1, value if value > 0 else 9)
    assert Average(-1, value, Fraction(9)).settle() == Average(-1, value if value < 0 else -9)
