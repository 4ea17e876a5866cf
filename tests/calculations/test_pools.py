"""Pieces of a pool are only moved: none is lost, none comes from nowhere."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.pools import (
    OUT,
    OUTSIDE,
    RUNGS,
    STATES,
    Moved,
    clean,
    in_use,
    next_rung,
    tally,
    to_rebuy,
    washed,
    worn,
)
from app.errors import Mendable

moves = st.lists(
    st.builds(
        Moved, st.sampled_from(STATES), st.sampled_from(STATES), st.integers(0, 200),
        st.integers(0, 3),
    ),
    max_size=40,
)  # fmt: skip


@given(moves)
def test_all_that_came_in_is_clean_in_use_or_out(made):
    made = [one for one in made if one.target != OUTSIDE]
    standing = tally(made)
    assert standing.came_in == sum(standing.of_rung(rung) for rung in RUNGS) + standing.out


@given(moves)
def test_lines_taken_back_leave_what_stood_before(made):
    back = [Moved(one.target, one.source, one.pieces, -one.loads) for one in made]
    standing = tally([*made, *back])
    assert (standing.states, standing.came_in, standing.loads) == ({}, 0, 0)


def test_the_ladder_goes_from_paint_over_interior_to_wheels_and_out():
    assert [next_rung(rung) for rung in RUNGS] == ["interior", "wheels", OUT]


def test_a_load_brings_back_no_more_than_was_in_use_or_goes_into_it():
    into_use = Moved(clean("paint"), in_use("paint"), 40)
    standing = tally([Moved(OUTSIDE, clean("paint"), 60), into_use])
    assert washed(standing, "paint", 1, 25) == 25
    assert washed(standing, "paint", 2, 25) == 40
    with pytest.raises(Mendable, match="how many loads"):
        washed(standing, "paint", 0, 25)


def test_a_use_wears_off_its_share_of_a_life():
    """Twelve uses of towels that last a hundred are 0.12 towels: 12 / 100."""
    assert worn(12, 100) == 120
    with pytest.raises(Mendable, match="how many uses"):
        worn(12, 0)


def test_a_pool_is_rebought_up_to_two_loads():
    standing = tally([Moved(OUTSIDE, clean("paint"), 60), Moved(clean("paint"), OUT, 22)])
    assert to_rebuy(standing, "paint", 25) == 12
    assert to_rebuy(standing, "paint", 15) == 0
