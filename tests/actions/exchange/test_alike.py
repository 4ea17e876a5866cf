"""When two spellings mean the same; what is alike only counts where a number or address agrees."""

from __future__ import annotations

import pytest

from app.actions.exchange.alike import (
    descriptions_alike,
    names_alike,
    plain_plate,
    same_name,
    vehicle_words,
)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Ann Marlow", "ANN MARLOW"), ("Ann Marlow", "marlow ann"), ("José Peña", "Jose Pena"),
        ("Ann & Bob Hill", "Bob and Ann Hill"), ("Teller's Bakery LLC", "Tellers Bakery"),
        ("Mr. Tom Hill", "Tom Hill"),
    ],
)  # fmt: skip
def test_the_same_name(one: str, other: str) -> None:
    assert same_name(one, other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Ann Marlow", "Anne Marlow"), ("Ann Marlow", "A. Marlow"), ("Bob Hill", "Robert Hill"),
        ("Ann & Bob Hill", "Ann Hill"), ("Marlow", "Ann Marlow"), ("Jon Smith", "John Smyth"),
        ("Mary Jane O'Neil", "Mary ONeil"), ("Kim Hill", "Kimberly Hill"),
    ],
)  # fmt: skip
def test_names_that_are_alike(one: str, other: str) -> None:
    assert names_alike(one, other)
    assert names_alike(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [("Ann Marlow", "Tom Marlow"), ("Ann Marlow", "Ann Hill"), ("Zoe Dunmore", "Ann Marlow"),
     ("Hill Bakery", "Mill Bakery LLC")],
)  # fmt: skip
def test_names_that_are_not(one: str, other: str) -> None:
    assert not names_alike(one, other)


def test_descriptions_of_one_vehicle_share_their_telling_words() -> None:
    assert descriptions_alike(vehicle_words("2014 blue wagon"), vehicle_words("the blue estate"))
    assert descriptions_alike(vehicle_words("blue wagon"), vehicle_words("wagon"))
    assert not descriptions_alike(vehicle_words("blue wagon"), vehicle_words("red wagon"))


def test_plates_are_compared_without_spaces_and_dashes() -> None:
    assert plain_plate("7klm 204") == plain_plate("7KLM-204")
