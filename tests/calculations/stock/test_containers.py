"""Whole containers: the opener pays. Common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.stock.containers import opened_cost


def test_the_job_that_opens_a_bottle_pays_for_it():
    assert opened_cost(30_000, 8000, 30_000, 14_000) == 8000


def test_the_next_job_takes_the_rest_for_nothing():
    assert opened_cost(16_000, 0, 30_000, 14_000) == 0


def test_of_two_bottles_the_second_keeps_its_value():
    assert opened_cost(60_000, 16_001, 30_000, 14_000) == 8000
    assert opened_cost(46_000, 8001, 30_000, 14_000) == 0
    assert opened_cost(32_000, 8001, 30_000, 14_000) == 8001


@given(
    bottles=st.integers(1, 6),
    value=st.integers(0, 100_000),
    parts=st.lists(st.integers(1, 90_000), max_size=12),
)
def test_what_was_charged_and_what_is_left_always_sum_to_what_was_paid(bottles, value, parts):
    size = 30_000
    quantity, left, charged = bottles * size, value, 0
    for part in parts:
        taken = min(part, quantity)
        cost = opened_cost(quantity, left, size, taken)
        assert 0 <= cost <= left
        quantity, left, charged = quantity - taken, left - cost, charged + cost
    assert charged + left == value
    if quantity < size:
        assert left == 0 or quantity == bottles * size


@pytest.mark.parametrize("taken", [-1, 30_001])
def test_no_more_is_taken_than_is_there(taken):
    with pytest.raises(ValueError, match="between nothing"):
        opened_cost(30_000, 8000, 30_000, taken)


def test_nothing_costs_nothing_and_all_of_it_all_of_its_worth():
    assert opened_cost(30_000, 8000, 30_000, 0) == 0
    assert opened_cost(29_999, 8000, 30_000, 29_999) == 8000
    assert opened_cost(0, 0, 30_000, 0) == 0


def test_where_no_container_is_full_the_share_is_charged():
    assert opened_cost(20_000, 8000, 30_000, 5_000) == 2000
    assert opened_cost(20_000, 8000, 0, 5_000) == 2000
    assert opened_cost(20_000, 8000, 1, 5_000) == 2000


def test_a_container_of_exactly_its_content_is_full():
    assert opened_cost(30_000, 8000, 30_000, 1) == 8000
    assert opened_cost(60_000, 8000, 30_000, 30_000) == 4000
    assert opened_cost(60_000, 8000, 30_000, 30_001) == 8000
