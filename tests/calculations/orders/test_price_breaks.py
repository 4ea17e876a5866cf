"""Price breaks as they are typed: an all-units discount, whose price falls as more is ordered.

So Snyder and Shen, *Fundamentals of Supply Chain Theory*, have it; how breaks are written is common
practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.orders.price_breaks import read_breaks
from app.errors import Mendable


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("4 at 38", ((4, 3800),)),
        ("from 4: 38.00", ((4, 3800),)),
        ("4+ 38", ((4, 3800),)),
        ("4 or more 38.00 each", ((4, 3800),)),
        ("4 packs for $38", ((4, 3800),)),
        ("4 @ 38,50", ((4, 3850),)),
        ("12 at 34; 4 at 38", ((4, 3800), (12, 3400))),
        ("4 at 38, 12 at 34", ((4, 3800), (12, 3400))),
        ("from 4: 38 and from 12: 34", ((4, 3800), (12, 3400))),
        ("4: 38.00; 12: 34.00;", ((4, 3800), (12, 3400))),
        ("2 at 44.99", ((2, 4499),)),
        ("9999 at 0.01", ((9999, 1),)),
        ("4 at 0", ((4, 0),)),  # given away is a price; below zero is none
        ("none", ()),
        ("  ", ()),
        ("-", ()),
    ],
)
def test_breaks_are_read_as_people_type_them(
    typed: str, expected: tuple[tuple[int, int], ...]
) -> None:
    assert read_breaks(typed, 4500, "USD") == expected


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("38", "is no price break"),
        ("cheap from 4", "is no price break"),
        ("1 at 38", "begins at 2 to"),
        ("4 at 38; 4 at 36", "Two prices"),
        ("10000 at 38", "begins at 2 to 9,999 packs, not at 10,000"),
        ("4 at 48", "no less than before"),
        ("4 at 45", "no less than before"),
        ("4 at 38; 12 at 38", "no less than before"),
        ("4 at 0.00; 12 at 0", "no less than before"),
        ("4 at 38; 12 at 39", "no less than before"),
        ("4 at lots", "amount of money|money"),
        ("4 at -3", "below zero"),
    ],
)
def test_what_is_no_break_is_said_in_a_sentence(typed: str, said: str) -> None:
    with pytest.raises(Mendable, match=said):
        read_breaks(typed, 4500, "USD")


@given(
    st.lists(st.integers(2, 500), min_size=1, max_size=4, unique=True),
    st.integers(1000, 90_000),
)
def test_what_is_shown_reads_back_the_same(packs: list[int], price: int) -> None:
    breaks = tuple((one, price - 10 * at - 1) for at, one in enumerate(sorted(packs)))
    typed = "; ".join(f"{one} at {each / 100:.2f}" for one, each in breaks)
    assert read_breaks(typed, price, "USD") == breaks
