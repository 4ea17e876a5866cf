"""Which body is drawn for a vehicle."""

from __future__ import annotations

import pytest

from app.calculations.layers.bodies import Body, body_of


@pytest.mark.parametrize(
    ("words", "size", "body"),
    [
        ("blue wagon", "M", Body.WAGON),
        ("gray compact crossover", "M", Body.WAGON),
        ("white minivan", "L", Body.WAGON),
        ("silver short-bed crew pickup", "L", Body.PICKUP),
        ("black pick up", "L", Body.PICKUP),
        ("pearl white long-bed crew truck", "XL", Body.PICKUP),
        ("white box truck", "XL", Body.VAN),
        ("white high-roof van", "XL", Body.VAN),
        ("white old roadster", "S", Body.TWO_DOOR),
        ("Red Coupé", "M", Body.TWO_DOOR),
        ("two door, green", "M", Body.TWO_DOOR),
        ("maroon sedan", "M", Body.SEDAN),
        ("sports sedan", "M", Body.SEDAN),
        ("vanilla", "M", Body.WAGON),
        ("", "S", Body.WAGON),
        ("the big one", "XL", Body.VAN),
    ],
)
def test_words_choose_the_body_and_else_the_size(words: str, size: str, body: Body) -> None:
    assert body_of(words, size) is body
