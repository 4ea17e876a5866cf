"""Ingredients that must not meet.

Checked against the Washington State Department of Health, "Dangers of Mixing Bleach with
Cleaners" (bleach with ammonia, with acids, with hydrogen peroxide), and West Virginia University
Extension Service and Rocky Mountain Poison Center (bleach with rubbing alcohol); thioglycolate
and peroxide with acids are common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.stock.mixing import FAMILIES, clash, families


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        (["Sodium hypochlorite 6 %"], ["Ammonia solution"], "chloramine"),
        (["household bleach"], ["quaternary ammonium chloride"], "chloramine"),
        (["citric acid"], ["household bleach"], "chlorine gas"),
        (["vinegar"], ["NaOCl"], "chlorine gas"),
        (["ammonium bifluoride"], ["bleach"], "chlorine gas"),
        (["hydrogen peroxide"], ["bleach"], "burst a closed bottle"),
        (["ammonium thioglycolate"], ["phosphoric acid"], "toxic"),
        (["hydrogen peroxide 12 %"], ["acetic acid"], "corrosive"),
        (["sodium hypochlorite"], ["isopropyl alcohol 70 %"], "chloroform"),
        (["bleach"], ["IPA"], "chloroform"),
        (["bleach"], ["propan-2-ol"], "chloroform"),
        (["bleach"], ["alcohol"], "chloroform"),
        (["Denatured alcohol"], ["bleach"], "chloroform"),
        (["ammonium hydroxide"], ["bleach", "alcohol"], "chloramine"),
    ],
)
def test_what_must_not_meet_is_named_in_either_order(one, other, said):
    assert said in clash(one, other)
    assert clash(one, other) == clash(other, one)


def test_of_two_dangers_the_gravest_is_said():
    assert "chlorine gas" in clash(["bleach"], ["ammonia", "citric acid"])
    assert "chlorine gas" in clash(["citric acid", "ammonia"], ["bleach"])


@pytest.mark.parametrize(
    "text", ["acid-free soap", "ammonia free", "no bleach", "without acid", "alcohol-free"]
)
def test_what_a_label_says_is_absent_is_not_held(text):
    assert families([text]) == set()


@pytest.mark.parametrize("text", ["alcohol ethoxylate", "cetyl alcohol", "2-butoxyethanol"])
def test_what_only_sounds_like_a_solvent_alcohol_is_none(text):
    assert families([text]) == set()


def test_hypochlorous_acid_is_the_bleach_itself():
    assert families(["hypochlorous acid"]) == {"hypochlorite"}


def test_unknown_ingredients_are_known_of_nothing():
    """Nothing is said of them here; `actions.stock.neighbors` says that they are not entered."""
    assert clash([], ["household bleach"]) == ""
    assert clash(["water"], ["citric acid"]) == ""


held = st.lists(st.sampled_from([*FAMILIES, "water", "perfume", "acid-free", "bleach"]), max_size=5)


@given(held, held)
def test_the_order_of_two_supplies_or_of_their_ingredients_changes_nothing(one, other):
    assert clash(one, other) == clash(other, one) == clash(one[::-1], other[::-1])
