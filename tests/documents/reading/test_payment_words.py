"""How money came: ways of paying, schemes of banks, and payments in two ways at once."""

from __future__ import annotations

import pytest

from app.calculations.numbers.money import read_money
from app.documents.reading.payment_words import read_method, split_payment, tells_several


def parts(text: str, whole: int | None = 10_000) -> tuple[tuple[int, str], ...]:
    return split_payment(text, whole, lambda told: read_money(told, "GBP"))


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("BACS", "transfer"), ("chaps", "transfer"), ("Standing order", "transfer"),
        ("bacs payment", "transfer"), ("cheque", "check"), ("Debit card", "card"),
        ("card (online)", "card"), ("in cash", "cash"), ("bartered", ""), ("owed", ""),
        ("cash and card", ""), ("Cash/Cheque", ""), ("half cash, half card", ""),
    ],
)  # fmt: skip
def test_a_way_of_paying_is_known_by_its_words_and_two_at_once_are_none(
    text: str, way: str
) -> None:
    assert read_method(text) == way


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("40 cash 60 card", ((4_000, "cash"), (6_000, "card"))),
        ("50 check, 148 cash", ((5_000, "check"), (14_800, "cash"))),
        ("cash £40 / card £60.50", ((4_000, "cash"), (6_050, "card"))),
        ("£20 cash + £30 bacs + £50 card",
         ((2_000, "cash"), (3_000, "transfer"), (5_000, "card"))),
        ("cheque no. 1042 50, cash 48", ((5_000, "check"), (4_800, "cash"))),
        ("half cash half card", ((5_000, "cash"), (5_000, "card"))),
        ("£60 check, rest cash", ((6_000, "check"), (4_000, "cash"))),
        ("cash 35, card the rest", ((3_500, "cash"), (6_500, "card"))),
        ("120 check, rest cash", ()), ("100 card (tip 10 cash)", ()),
        ("40 cash", ()), ("100", ()), ("cash and card", ()), ("cash 40 60 card", ()),
        ("40 60 cash card", ()), ("half cash", ()), ("", ()),
    ],
)  # fmt: skip
def test_a_payment_in_several_ways_is_taken_apart(
    text: str, expected: tuple[tuple[int, str], ...]
) -> None:
    assert parts(text) == expected


def test_halves_make_the_whole_to_the_penny_and_are_not_guessed_without_it() -> None:
    assert sum(amount for amount, _ in parts("half cash, half card", 9_999)) == 9_999
    assert parts("half cash, half card", None) == ()


@pytest.mark.parametrize(
    ("text", "several"),
    [
        ("20 + 30 + 50 cash", True), ("105 tip 10", True), ("100 card (tip 10 cash)", True),
        ("60 check and 20", True), ("60, rest later", True), ("40 cash, balance due", True),
        ("120 cash", False), ("card 120", False), ("check #1042 & card 80", False),
        ("tip 10", False), ("paid 100, balance 0", False), ("cash and card", False),
    ],
)  # fmt: skip
def test_a_text_that_tells_more_than_one_sum_is_known(text: str, several: bool) -> None:
    assert tells_several(text) is several
