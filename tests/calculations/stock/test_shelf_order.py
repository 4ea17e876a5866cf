"""The walk along the shelf, and the share of use that nobody recorded."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from app.calculations.stock.shelf_order import quarter, shelf_order, unrecorded_shares


def test_places_are_walked_by_their_numbers_and_those_without_come_last():
    places = ["B1", "", "a10", "A2", "A 3", "top"]
    assert sorted(places, key=lambda place: shelf_order(place, "x")) == [
        "A2", "A 3", "a10", "B1", "top", ""
    ]  # fmt: skip


def test_quarters_begin_in_january_april_july_and_october():
    days = [date(2025, 1, 1), date(2025, 3, 31), date(2025, 4, 1), date(2025, 12, 31)]
    assert [quarter(day)[1] for day in days] == [1, 1, 2, 4]


def test_the_share_is_what_counts_found_gone_of_all_that_went():
    lines = [
        (date(2025, 7, 2), "used", -900),
        (date(2025, 8, 2), "counted", -150),
        (date(2025, 9, 2), "counted", 50),
        (date(2025, 4, 2), "used", -70),
    ]
    found = unrecorded_shares(lines, [(2025, 3), (2025, 2), (2025, 1)])
    assert found[2025, 3] == (100, Fraction(1, 10))
    assert found[2025, 2] == (0, Fraction(0))
    assert found[2025, 1] == (0, None)


@given(st.lists(st.tuples(st.dates(date(2025, 1, 1), date(2025, 12, 31)),
                          st.integers(-10**6, 0)), max_size=20))  # fmt: skip
def test_without_counts_nothing_is_unrecorded(uses):
    lines = [(day, "used", amount) for day, amount in uses]
    shares = unrecorded_shares(lines, [(2025, number) for number in (1, 2, 3, 4)])
    assert all(amount == 0 and share in (None, 0) for amount, share in shares.values())


def test_where_counts_found_as_much_as_was_used_no_share_is_told():
    found = unrecorded_shares(
        [(date(2025, 7, 2), "used", -100), (date(2025, 7, 3), "counted", 100)], [(2025, 3)]
    )
    assert found[2025, 3] == (-100, None)
    one = unrecorded_shares([(date(2025, 7, 2), "used", -1)], [(2025, 3)])
    assert one[2025, 3] == (0, 0)


def test_what_comes_in_is_no_use():
    found = unrecorded_shares([(date(2025, 7, 2), "received", 500)], [(2025, 3)])
    assert found[2025, 3] == (0, None)


def test_a_number_stands_before_a_word_and_names_are_told_apart_last():
    places = ["A x", "A 2", "A 10"]
    assert sorted(places, key=lambda one: shelf_order(one, "")) == ["A 2", "A 10", "A x"]
    assert sorted(["wax", "2"], key=lambda one: shelf_order(one, "")) == ["2", "wax"]
    assert sorted(["wax", "Polish"], key=lambda name: shelf_order("A", name)) == ["Polish", "wax"]
