"""Pieces of a pool are only moved: none is lost, none comes from nowhere.

The washes per piece are checked against the rule of the trade, loads x load size / pieces of the
pool (common practice, no source); straight-line wear per use against the definition of units of
production depreciation, (cost - residue) x uses / uses in a life (a textbook rule, from memory).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.stock.pools import (
    LOST,
    OUT,
    OUTSIDE,
    RUNGS,
    STATES,
    Moved,
    Washes,
    clean,
    from_clean,
    in_use,
    is_near_its_end,
    learnt_life,
    leaving,
    next_rung,
    tally,
    to_counted,
    to_rebuy,
    washed,
    washes,
    whole_pieces,
    worth_of_uses,
)
from app.errors import Mendable

moves = st.lists(
    st.builds(
        Moved, st.sampled_from(STATES), st.sampled_from(STATES), st.integers(0, 200),
        st.integers(0, 3),
    ),
    max_size=40,
)  # fmt: skip
PAINT, USED = clean("paint"), in_use("paint")


def inside(standing):
    return sum(standing.of_rung(rung) for rung in RUNGS)


@given(moves)
def test_all_that_came_in_is_clean_in_use_out_or_lost(made):
    standing = tally(made)
    assert standing.came_in == inside(standing) + standing.out + standing.lost


@given(moves)
def test_lines_taken_back_leave_what_stood_before(made):
    back = [Moved(one.target, one.source, one.pieces, -one.loads) for one in made]
    standing = tally([*made, *back])
    assert (standing.states, standing.came_in, standing.loads) == ({}, 0, 0)


@given(moves, moves)
def test_a_tally_goes_on_from_an_earlier_one(first, then):
    assert tally(first).after(*then) == tally([*first, *then])


@given(moves, st.sampled_from(RUNGS), st.integers(0, 300))
def test_after_a_count_a_step_has_what_was_counted_and_nothing_below_zero(made, rung, counted):
    before = tally(made)
    after = before.after(*to_counted(before, rung, counted))
    assert after.of_rung(rung) == counted
    assert after.at(clean(rung)) >= 0
    assert after.at(in_use(rung)) >= 0
    assert after.came_in == inside(after) + after.out + after.lost


@given(moves, st.integers(0, 300), st.booleans())
def test_no_more_leave_a_step_than_are_there(made, pieces, clean_first):
    before = tally(made)
    there = max(0, before.of_rung("paint"))
    gone = leaving(before, "paint", pieces, OUT, clean_first=clean_first)
    assert sum(one.pieces for one in gone) == min(pieces, there)


def test_the_ladder_goes_from_paint_over_interior_to_wheels_and_out():
    assert [next_rung(rung) for rung in RUNGS] == ["interior", "wheels", OUT]


def test_no_more_is_set_out_than_is_clean():
    standing = tally([Moved(OUTSIDE, PAINT, 8)])
    assert from_clean(standing, "paint", 12) == 8
    assert from_clean(tally([Moved(PAINT, USED, 8)]), "paint", 12) == 0


def test_a_load_brings_back_no_more_than_was_in_use_or_goes_into_it():
    standing = tally([Moved(OUTSIDE, PAINT, 60), Moved(PAINT, USED, 40)])
    assert washed(standing, "paint", 1, 25) == 25
    assert washed(standing, "paint", 2, 25) == 40
    with pytest.raises(Mendable, match="how many loads"):
        washed(standing, "paint", 0, 25)


def test_what_is_missed_was_in_use_and_what_is_found_again_is_clean():
    standing = tally([Moved(OUTSIDE, PAINT, 60), Moved(PAINT, USED, 10)])
    assert to_counted(standing, "paint", 54) == (Moved(USED, LOST, 6),)
    standing = standing.after(Moved(USED, LOST, 6))
    assert to_counted(standing, "paint", 62) == (
        Moved(LOST, PAINT, 6), Moved(OUTSIDE, PAINT, 2),
    )  # fmt: skip
    assert to_counted(standing, "paint", 54) == (), "nothing is moved where all are there"
    # three below zero that nowhere stand came from outside, and none is taken from where none is
    below = tally([Moved(PAINT, OUT, 3)])
    assert to_counted(below, "paint", 0) == (Moved(OUTSIDE, PAINT, 3),)


def test_twelve_uses_of_a_two_dollar_towel_that_lasts_a_hundred_are_24_cents():
    """Units of production: 2.00 x 12 / 100."""
    assert worth_of_uses(12, Fraction(200), 100, 9_999) == 24


def test_a_pool_that_outlives_its_life_costs_nothing_more():
    assert worth_of_uses(12, Fraction(200), 100, 10) == 10
    assert worth_of_uses(12, Fraction(200), 100, 0) == 0
    assert worth_of_uses(12, Fraction(200), 100, -50) == 0
    assert worth_of_uses(12, Fraction(200), None, 9_999) == 0
    assert worth_of_uses(12, Fraction(200), 0, 9_999) == 0, "no life is stated"


@given(st.integers(1, 40), st.integers(1, 60), st.integers(1, 200))
def test_uses_of_a_piece_are_loads_times_load_size_over_the_pool(loads, load, pieces):
    made = [Moved(OUTSIDE, PAINT, pieces), Moved(USED, PAINT, 0, loads)]
    assert washes(made, "paint", load).mean == Fraction(loads * load, pieces)


def test_pieces_that_go_take_their_uses_along_and_new_ones_bring_none():
    """60 towels, 24 loads of 25 are ten uses each; 20 go with ten each, 20 new ones dilute."""
    made = [
        Moved(OUTSIDE, PAINT, 60),
        Moved(USED, PAINT, 25, 24),
        Moved(PAINT, clean("interior"), 15),
        Moved(PAINT, OUT, 5),
    ]
    seen = washes(made, "paint", 25)
    assert seen == Washes(Fraction(10), 20, Fraction(200), 0)
    seen = washes([*made, Moved(OUTSIDE, PAINT, 40)], "paint", 25)
    assert seen.mean == 5
    seen = washes([*made, Moved(USED, LOST, 4)], "paint", 25)
    assert (seen.gone, seen.missed, seen.mean) == (20, 4, 10)


def test_a_line_taken_back_leaves_the_uses_as_they_were():
    made = [Moved(OUTSIDE, PAINT, 60), Moved(USED, PAINT, 25, 24)]
    gone = [Moved(PAINT, OUT, 20), Moved(OUT, PAINT, 20)]
    assert washes([*made, *gone], "paint", 25) == washes(made, "paint", 25)


def test_the_stated_life_gives_way_as_pieces_go():
    """(100 x 20 + 20 x 10) / (20 + 20) = 55."""
    assert learnt_life(100, Washes(Fraction(0), 20, Fraction(200), 0)) == 55
    assert learnt_life(100, Washes(Fraction(0), 0, Fraction(0), 3)) == 100
    assert learnt_life(None, Washes(Fraction(0), 4, Fraction(200), 0)) == 50
    assert learnt_life(None, Washes(Fraction(0), 0, Fraction(0), 0)) is None


def test_retiring_is_advised_at_nine_in_ten_of_a_life():
    assert is_near_its_end(Fraction(90), 100)
    assert not is_near_its_end(Fraction(89), 100)
    assert not is_near_its_end(Fraction(500), None)


def test_a_pool_is_rebought_up_to_two_loads():
    standing = tally([Moved(OUTSIDE, PAINT, 60), Moved(PAINT, OUT, 22)])
    assert to_rebuy(standing, "paint", 25) == 12
    assert to_rebuy(standing, "paint", 15) == 0


def test_only_the_loads_of_the_first_step_wear_its_pieces():
    made = [Moved(OUTSIDE, PAINT, 50), Moved(USED, PAINT, 25, 2)]
    lower = [Moved(in_use("interior"), clean("interior"), 9, 7), Moved(OUT, LOST, 0, 3)]
    assert washes([*made, *lower], "paint", 25) == washes(made, "paint", 25)
    assert washes(made, "paint", 25).mean == 1
    down = [Moved(USED, clean("interior"), 0, 2)]  # washed, and a step lower from then on
    assert washes([*made, *down], "paint", 25).mean == 2


@given(
    st.lists(
        st.one_of(
            st.builds(Moved, st.just(OUTSIDE), st.just(PAINT), st.integers(0, 60)),
            st.builds(Moved, st.just(USED), st.just(PAINT), st.just(0), st.integers(0, 4)),
            st.builds(Moved, st.sampled_from([PAINT, USED]),
                      st.sampled_from([OUT, clean("interior")]), st.integers(0, 20)),
        ),
        max_size=30,
    ),
    st.integers(1, 40),
)  # fmt: skip
def test_every_use_is_on_a_piece_that_stands_or_on_one_that_went(made, load):
    """An invariant: loads x load size is what stands has given, and what went had given."""
    made = [Moved(OUTSIDE, PAINT, 1000), *made]  # never fewer than leave
    seen = washes(made, "paint", load)
    stands = tally(made).of_rung("paint")
    assert seen.mean * stands + seen.lasted == sum(one.loads for one in made) * load
    assert seen.gone == sum(one.pieces for one in made if one.source in (PAINT, USED)
                            and one.target not in (PAINT, USED))  # fmt: skip


def test_what_a_piece_lasted_is_the_mean_of_those_that_went():
    assert Washes(Fraction(0), 4, Fraction(200), 0).each_lasted == 50
    assert Washes(Fraction(3), 0, Fraction(0), 2).each_lasted is None


def test_pieces_that_go_back_to_the_supplier_neither_lasted_nor_are_missed():
    made = [Moved(OUTSIDE, PAINT, 60), Moved(USED, PAINT, 0, 12), Moved(PAINT, OUTSIDE, 30)]
    assert washes(made, "paint", 25) == Washes(Fraction(5), 0, Fraction(0), 0)
    found = [*made, Moved(USED, LOST, 5), Moved(LOST, PAINT, 2)]
    assert washes(found, "paint", 25).missed == 3


@pytest.mark.parametrize(
    ("amount", "counted", "washed"),
    [(300, 300, 0), (700, 700, 1000), (999, 999, 1000), (1000, 1000, 1000), (1499, 1000, 1000),
     (1500, 2000, 2000), (2500, 3000, 3000), (0, 0, 0)],
)  # fmt: skip
def test_pieces_are_whole_but_for_a_part_of_a_roll(amount, counted, washed):
    """Half a piece and more counts as one, as rounding on paper has it."""
    assert whole_pieces(amount) == counted
    assert whole_pieces(amount, washed=True) == washed


def test_pieces_that_leave_where_none_stand_take_no_uses_along():
    assert washes([Moved(PAINT, OUT, 5)], "paint", 25) == Washes(Fraction(0), 5, Fraction(0), 0)
    assert washes([Moved(OUT, PAINT, 5)], "paint", 25) == Washes(Fraction(0), 0, Fraction(0), 0)
    assert washes([Moved(USED, PAINT, 0, 3)], "paint", 25).mean == 0
    assert washes([], "paint", 25) == Washes(Fraction(0), 0, Fraction(0), 0)


@given(moves, st.integers(0, 40))
def test_whatever_was_noted_no_piece_has_given_less_than_nothing(made, load):
    seen = washes(made, "paint", load)
    assert min(seen.mean, seen.gone, seen.missed) >= 0
