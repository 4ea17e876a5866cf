"""Exposure by five plain questions. The scale: judgement of practitioners, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.layers.exposure import (
    FACTORS,
    HIGHEST,
    LOWEST,
    MIDDLE_OF_RANGE,
    NOT_ASKED,
    QUESTIONS,
    exposure,
)
from app.errors import Mendable

GARAGED = {"stands": "garage", "washed": "by hand"}


def test_a_garaged_hand_washed_vehicle_is_the_measure_of_the_scale():
    assert exposure(GARAGED).factor == 1.0


def test_a_two_year_coating_on_the_street_in_the_brushes_lasts_under_nine_months():
    # Common practice, no source: 24 months x 0.8 x 0.6 x 0.85 x 0.9 = 8.8 months.
    found = exposure(
        {
            "stands": "street",
            "washed": "weekly brushes",
            "around": ["salted roads"],
            "kept_here": "never",
        }
    )
    assert 24 * found.factor == pytest.approx(8.8, abs=0.05)
    assert found.sentence == (
        "Layers last 37 % as long as on a garaged, hand-washed vehicle: street 80 %, "
        "weekly brushes 60 %, salted roads 85 %, kept up here: never 90 %."
    )


def test_the_factor_never_falls_under_035():
    worst = {
        "stands": "desert or high sun",
        "washed": "weekly brushes",
        "around": ["salted roads", "coast", "industry", "hard water"],
        "distance": "commercial",
        "kept_here": "never",
    }
    found = exposure(worst)
    assert found.factor == LOWEST == 0.35
    # 0.7 x 0.6 x 0.85^3 x 0.9 x 0.75 x 0.9 is 0.157
    assert found.sentence.endswith(": 16 %, taken as 35 %, the least used.")


def test_the_factor_never_rises_over_110():
    best = {**GARAGED, "distance": "under 3,000 miles", "kept_here": "twice a year"}
    found = exposure(best)
    assert found.factor == HIGHEST == 1.1
    # 1.05 x 1.1 is 1.155
    assert found.sentence.endswith(": 116 %, taken as 110 %, the most used.")


def test_no_single_answer_reaches_beyond_what_is_used():
    for question, answers in FACTORS.items():
        for answer, factor in answers.items():
            assert LOWEST < factor <= HIGHEST, (question, answer)


def test_what_was_not_asked_is_taken_for_middling_and_said():
    found = exposure({})
    assert {part.answer for part in found.parts} == {NOT_ASKED}
    assert found.factor == pytest.approx(MIDDLE_OF_RANGE, abs=0.005)
    assert "parking not asked 85 %" in found.sentence


def test_knowing_that_it_stands_on_the_street_does_not_make_it_last_longer():
    assert exposure({"stands": "street"}).factor < exposure({}).factor


def test_the_scale_can_be_replaced():
    own = {**FACTORS, "stands": {"barn": 0.95}}
    assert exposure({"stands": "barn", "washed": "by hand"}, own).factor == 0.95


def test_an_answer_off_the_scale_is_refused_with_the_choices():
    with pytest.raises(Mendable, match=r"“moon” is no answer to “Where is it parked\?”.*garage"):
        exposure({"stands": "moon"})


def test_a_factor_that_cannot_be_is_refused_in_a_sentence():
    with pytest.raises(Mendable, match="above 0"):
        exposure({"stands": "barn"}, {"stands": {"barn": 0.0}})


answers = st.fixed_dictionaries(
    {},
    optional={
        question.key: (
            st.lists(st.sampled_from(sorted(FACTORS[question.key])))
            if question.key == "around"
            else st.sampled_from(["", *FACTORS[question.key]])
        )
        for question in QUESTIONS
    },
)


@given(answers)
def test_any_answers_give_a_factor_within_bounds_that_is_the_product_of_its_parts(given_answers):
    found = exposure(given_answers)
    product = 1.0
    for part in found.parts:
        product *= part.factor
    assert LOWEST <= found.factor <= HIGHEST
    assert found.factor == pytest.approx(min(max(product, LOWEST), HIGHEST))
    assert found.sentence.endswith(".")


@given(answers)
def test_salt_never_lengthens_a_life(given_answers):
    around = [one for one in given_answers.get("around", []) if one != "salted roads"]
    without = exposure({**given_answers, "around": around}).factor
    salted = exposure({**given_answers, "around": [*around, "salted roads"]}).factor
    assert salted <= without


def test_an_answer_given_as_not_asked_counts_as_none():
    assert exposure({"stands": NOT_ASKED}) == exposure({})


def test_what_is_usual_neither_lengthens_nor_shortens_a_life():
    plain = exposure(GARAGED).factor
    for usual in ({"distance": "usual"}, {"kept_here": "now and then"}):
        assert exposure({**GARAGED, **usual}).factor == plain


@pytest.mark.parametrize(
    ("question", "best_first"),
    [
        ("stands", ["garage", "carport", "street", "under trees", "desert or high sun"]),
        ("washed", ["by hand", "touchless", "rain", "weekly brushes"]),
        ("distance", ["under 3,000 miles", "usual", "over 20,000 miles", "commercial"]),
        ("kept_here", ["twice a year", "now and then", "never"]),
    ],
)
def test_answers_shorten_a_life_in_the_order_that_the_trade_gives_them(question, best_first):
    """Common practice, no source."""
    factors = [FACTORS[question][answer] for answer in best_first]
    assert factors == sorted(factors, reverse=True)
    assert len(set(factors)) == len(factors)


@pytest.mark.parametrize("factor", [0.01, 3.0])
def test_factors_up_to_three_are_taken(factor):
    assert exposure({"stands": "barn"}, {"stands": {"barn": factor}}).parts[0].factor == factor
    with pytest.raises(Mendable, match="up to 3"):
        exposure({"stands": "barn"}, {"stands": {"barn": 3.01}})


def test_a_scale_without_questions_changes_nothing_and_says_so():
    assert exposure({}, {}).sentence == "Nothing shortens its layers; the factor is 1."
