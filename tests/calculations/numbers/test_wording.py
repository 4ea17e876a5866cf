"""Numbers and nouns in sentences, as an English grammar has them."""

from __future__ import annotations

import pytest

from app.calculations.numbers.wording import (
    capital,
    count_of,
    counted,
    listed,
    noun,
    short_number,
    word_set,
    words_of,
)


@pytest.mark.parametrize(
    ("one", "many"),
    [
        ("job", "jobs"), ("day", "days"), ("key", "keys"), ("supply", "supplies"),
        ("box", "boxes"), ("glass", "glasses"), ("batch", "batches"), ("wash", "washes"),
        ("guy", "guys"), ("toy", "toys"), ("survey", "surveys"),
    ],
)  # fmt: skip
def test_a_noun_takes_the_plural_of_its_ending(one: str, many: str) -> None:
    assert [noun(number, one) for number in (0, 1, 2)] == [many, one, many]


def test_a_plural_of_its_own_is_taken_as_it_is() -> None:
    assert [noun(number, "tooth", "teeth") for number in (1, 2)] == ["tooth", "teeth"]


@pytest.mark.parametrize(
    ("number", "words"),
    [(0, "no days"), (1, "one day"), (2, "two days"), (12, "twelve days"), (13, "13 days"),
     (1200, "1,200 days"), (-1, "-1 days")],
)  # fmt: skip
def test_numbers_up_to_twelve_are_words(number: int, words: str) -> None:
    assert words_of(number, "day") == words
    assert counted(number) == words.split()[0]


def test_digits_stand_with_their_noun() -> None:
    assert count_of(1, "supply") == "1 supply"
    assert count_of(2100, "supply") == "2,100 supplies"


@pytest.mark.parametrize(
    ("number", "shown"),
    [(1.25, "1.25"), (9.5, "9.5"), (9.0, "9"), (9.994, "9.99"), (10.0, "10"), (10.4, "10"),
     (1240.4, "1,240"), (0.0, "0")],
)  # fmt: skip
def test_a_measured_number_is_no_more_exact_than_it_is_read(number: float, shown: str) -> None:
    assert short_number(number) == shown


def test_only_the_first_letter_is_made_large() -> None:
    assert [capital(text) for text in ("wax ON", "", "ß")] == ["Wax ON", "", "SS"]
    for text in ("c6/s.bayledger was replaced", "shop.bayledger is open", "c:\\shop is a folder"):
        assert capital(text) == text
    assert capital("gone. Look") == "Gone. Look"


def test_words_of_a_text_are_looked_up_as_a_set() -> None:
    assert word_set("a b\n a") == {"a", "b"}


def test_several_words_are_listed_as_one_says_them():
    assert listed([]) == ""
    assert listed(["lowers"]) == "lowers"
    assert listed(["upper sides", "lowers"]) == "upper sides and lowers"
    assert listed(["hood", "upper sides", "lowers"]) == "hood, upper sides and lowers"
