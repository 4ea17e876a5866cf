"""Ingredients that must not meet: public-health advice on bleach (CDC, from memory)."""

from __future__ import annotations

import pytest

from app.calculations.mixing import clash


@pytest.mark.parametrize(
    ("one", "other", "gas"),
    [
        (["Sodium hypochlorite 6 %"], ["Ammonia solution"], "chloramine"),
        (["citric acid"], ["household bleach"], "chlorine"),
        (["ammonium thioglycolate"], ["phosphoric acid"], "toxic"),
    ],
)
def test_bleach_and_its_neighbors_are_named_in_either_order(one, other, gas):
    assert gas in clash(one, other)
    assert clash(one, other) == clash(other, one)


def test_unknown_ingredients_say_nothing():
    assert clash([], ["household bleach"]) == ""
    assert clash(["water"], ["citric acid"]) == ""
