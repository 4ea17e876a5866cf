"""Words as they are compared, and slips in them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.spelling import (
    beginnings,
    folded,
    forgiven,
    slips,
    told,
    words_of,
)


def test_accents_capitals_and_apostrophes_do_not_tell_words_apart() -> None:
    assert folded("Łukasz MÜLLER-Ångström") == "lukasz muller-angstrom"
    assert folded("Straße in Ærø") == "strasse in aero"
    assert words_of("O'Neil & d’Arc, no. 12-b") == ["oneil", "darc", "no", "12", "b"]


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        # Worked by hand from Damerau's four slips; `ca` to `abc` is the known case in which this
        # distance, which never changes a letter twice, is 3 and not 2 (L. Boytsov, Indexing
        # methods for approximate dictionary searching, ACM JEA 16, 2011, section 2.2).
        ("ca", "abc", 3),
        ("miller", "miller", 0),
        ("miler", "miller", 1),
        ("millller", "miller", 2),
        ("imller", "miller", 1),
        ("mkller", "miller", 1),
        ("mkllre", "miller", 2),
        ("", "abc", 3),
    ],
)
def test_slips_are_counted(one: str, other: str, apart: int) -> None:
    assert slips(one, other, 3) == apart
    assert slips(other, one, 3) == apart


def test_a_word_that_is_begun_is_compared_with_the_beginning_of_another() -> None:
    assert slips("jonh", "johnson", begun=True) == 1
    assert slips("jonh", "johnson") == 3  # more than two, of which no more is told
    assert [forgiven(word) for word in ("tom", "1234", "johns", "johnston")] == [0, 0, 1, 2]


@given(st.text("abcd", min_size=4, max_size=9), st.data())
def test_one_slip_leaves_two_words_a_beginning_in_common(word: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(word) - 1))
    other = data.draw(
        st.sampled_from(
            [
                word[:at] + word[at + 1 :],
                word[:at] + word[at] + word[at:],
                word[:at] + "x" + word[at + 1 :],
                word[:at] + word[at + 1 : at + 2] + word[at] + word[at + 2 :],
            ]
        )
    )
    assert slips(word, other) <= 1
    assert beginnings(word) & beginnings(other)


def test_a_line_is_told_by_its_words_before_a_slip_in_one() -> None:
    assert told("make back", "Make a backup") == 2
    assert told("bakcup", "Make a backup") == 1
    assert told("invoice", "Make a backup") == 0


def test_slips_in_a_word_that_is_still_being_typed_are_forgiven() -> None:
    """One letter is wrong in so much of the word as was typed; the rest of it is no slip."""
    assert told("invo", "An invoice") == 2
    assert told("imvo", "An invoice") == told("envoi", "An invoice") == 1
    assert told("emvoi", "An invoice") == 0
