"""Exposure: a practitioner's scale (common practice, no source), multiplied and clamped."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.exposure import FACTORS, HIGHEST, LOWEST, exposure
from app.errors import Mendable


def test_a_street_parked_brush_washed_salted_neglected_vehicle_keeps_little_over_a_third() -> None:
    """24 months × 0.8 × 0.6 × 0.85 × 0.9 = 8.8 months (arithmetic on common practice)."""
    found = exposure(
        {"stands": "street", "washed": "brushes", "around": ["salted roads"], "kept_here": "never"}
    )
    assert round(24 * found.factor, 1) == 8.8
    assert found.answered == 4
    assert not found.clamped


def test_nothing_asked_counts_as_garaged_and_says_so() -> None:
    found = exposure({})
    assert found.factor == 1.0
    assert found.answered == 0
    assert "not asked" in found.sentence


def test_an_unknown_answer_is_named_with_what_may_be_said() -> None:
    with pytest.raises(Mendable, match="“underwater” is no answer .* garage"):
        exposure({"stands": "underwater"})


def test_a_shop_may_use_its_own_scale() -> None:
    assert exposure({"stands": "barn"}, {"stands": {"barn": 0.95}}).factor == 0.95


@given(
    st.fixed_dictionaries(
        {},
        optional={
            "stands": st.sampled_from(list(FACTORS["stands"])),
            "washed": st.sampled_from(list(FACTORS["washed"])),
            "around": st.lists(st.sampled_from(list(FACTORS["around"])), unique=True),
            "distance": st.sampled_from(list(FACTORS["distance"])),
            "kept_here": st.sampled_from(list(FACTORS["kept_here"])),
        },
    )
)
def test_every_set_of_answers_gives_the_product_of_its_parts_within_the_limits(
    answers: dict[str, object],
) -> None:
    found = exposure(answers)
    product = math.prod(part.factor for part in found.parts)
    assert LOWEST <= found.factor <= HIGHEST
    assert found.clamped == (not math.isclose(product, found.factor))
