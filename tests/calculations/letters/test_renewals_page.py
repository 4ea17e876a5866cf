"""The page docs/renewals.md says what the code does: its names exist, its numbers are the ones."""

from __future__ import annotations

import re
from importlib import import_module

import pytest

from app.calculations.layers import (
    exposure,
    habit_learning,
    habits,
    letter_day,
    life_changes,
    life_evidence,
    life_posterior,
    life_prior,
    sightings,
)
from app.calculations.layers.protection import SurfaceGroup, wear
from app.calculations.letters.letters import Rules
from tests import ROOT

PAGE = (ROOT / "docs" / "renewals.md").read_text(encoding="utf-8")
WORDS = " ".join(PAGE.split())
NAMES = sorted(set(re.findall(r"`([a-z_]+\.[A-Za-z_]+)`", PAGE)))


def test_the_page_names_what_it_is_about():
    assert len(NAMES) > 20


@pytest.mark.parametrize("name", NAMES)
def test_every_name_on_the_page_exists(name):
    module, _, attribute = name.partition(".")
    (file,) = (ROOT / "app" / "calculations").glob(f"*/{module}.py")
    room = file.parent.name
    assert hasattr(import_module(f"app.calculations.{room}.{module}"), attribute)


@pytest.mark.parametrize(
    "words",
    [
        f"up to {letter_day.SEEN_PRICE:g} from half of the median life",
        f"≤ {letter_day.WELCOME:.2f} T",
        f"between {exposure.LOWEST:g} and {exposure.HIGHEST:g}",
        f"({exposure.MIDDLE_OF_RANGE:g})",
        f"{exposure.FACTORS['stands'][exposure.NOT_ASKED]:g} for where it stands",
        f"{exposure.FACTORS['washed'][exposure.NOT_ASKED]:g} for how it is washed",
        f"with a spread of {habit_learning.STRENGTH_SPREAD:g}",
        f"a shop strays from it by {life_prior.SHOP_SPREAD[0]:.2f}",
        f"a class in the shop by {life_prior.CLASS_SPREAD[0]:.2f}",
        f"a grid of {life_posterior.GRID[0]} × {life_posterior.GRID[1]} points",
        f"front glass {wear(SurfaceGroup.FRONT_GLASS):g}",
        f"lowers {wear(SurfaceGroup.LOWERS):g}",
        f"upper horizontals {wear(SurfaceGroup.UPPER_HORIZONTALS):.2f}",
        f"a visit within {Rules().after_visit_days} days",
        f"a letter within {Rules().between_letters_days} days",
        f"lease ends within {Rules().lease_days} days",
    ],
)
def test_every_number_on_the_page_is_the_one_in_the_code(words):
    assert words in WORDS


def test_numbers_that_the_page_says_in_words_are_the_ones_in_the_code():
    assert "one judgement in a hundred" in WORDS
    assert habits.WRONG == 0.01
    assert "no more than three wrong judgements" in WORDS
    assert life_evidence.MOST_WRONG == 3
    assert "two supplies in a hundred change in a year" in WORDS
    assert life_changes.CHANGES_A_YEAR == 0.02
    assert f"({life_changes.CHANGE_SPREAD[0]:.2f} as a logarithm)" in WORDS
    assert f"by more than {habit_learning._GAIN:g} as a logarithm" in WORDS
    assert "One verdict in ten" in PAGE
    assert habits.TRUST == 0.9
    assert "less a tenth for its optimism" in PAGE
    assert sightings.OPTIMISM == 0.10
    assert "weighing as much as four of them" in WORDS
    assert life_prior.SPREAD_WEIGHT == 4
