"""When two spellings mean the same; what is alike only counts where a number or address agrees."""

from __future__ import annotations

from itertools import product

import pytest

from app.actions.exchange.alike import (
    descriptions_alike,
    firms_near,
    names_alike,
    persons,
    plain_plate,
    same_name,
    spelling_keys,
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


def test_a_number_in_a_name_is_no_typing_error_for_another() -> None:
    assert not names_alike("Customer 00012", "Customer 00013")
    assert names_alike("Customer 00012", "Customer 00012")


FIRST = ("Ann", "Anne", "Nan", "A", "Bob", "Robert", "Imke", "Mike", "Elizabeth", "Beth", "Ann Kay")
LAST = ("Miller", "Millar", "Mil", "Hill", "O'Hara Lane", "Lane", "Frost Jr.", "& Sons")


def test_near_names_that_share_a_word_are_found_where_they_are_looked_for() -> None:
    """Beside the slow way, each with each: no pair of them is lost by the quick one."""
    names = [*FIRST, *LAST[:-2], *(f"{a} {b}" for a, b in product(FIRST, LAST)),
             *(f"{b}, {a}" for a, b in product(FIRST, LAST[:5]))]  # fmt: skip
    near = 0
    for told, known in product(names, names):
        ends = [
            {end for person in persons(name) for end in (person.split()[0], person.split()[-1])}
            for name in (told, known)
        ]
        if ends[0] & ends[1] and (names_alike(told, known) or firms_near(told, known)):
            asked = {key for one in persons(told) for key in spelling_keys(one, known=False)}
            stands = {key for one in persons(known) for key in spelling_keys(one, known=True)}
            assert asked & stands, (told, known)
            near += 1
    assert near > len(names)


def test_a_word_that_thousands_share_does_not_lead_to_all_of_them() -> None:
    asked = spelling_keys("customer 0001", known=False)
    assert not asked & spelling_keys("customer 9002", known=True)
    assert not asked & spelling_keys("customer marlow", known=True)
