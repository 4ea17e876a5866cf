"""What stands around a letter: the open ways, what goes beneath, and when it may not go."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.letters.letter_page import count_words, letter_page, why_not_so
from app.actions.letters.letter_views import LetterView
from app.actions.letters.reminders import mark_sent, prepare_all, whom_to_remind
from tests.shop import Clock, new_desk
from tests.waxed import waxed

DAY = date(2025, 8, 14)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """Two who may be asked: one with all addresses, one with a mail address alone."""
    desk = new_desk(tmp_path / "shop.bayledger", Clock(), shop_email="shop@lindmoor.example")
    with desk.book.load() as session:
        waxed(session, 1, DAY, street="7 High Street", city="Lindmoor", phone="+13125550142")
        waxed(session, 2, DAY)
    yield desk
    desk.book.close()


def letters(desk: Desk) -> dict[int, LetterView]:
    return {one.customer_id: one for one in whom_to_remind(desk, DAY).letters}


def test_each_way_that_is_not_open_says_why(desk: Desk) -> None:
    one, other = (letter_page(desk, DAY, letters(desk)[number]) for number in (1, 2))
    assert [(way.channel, way.why_not) for way in one.ways if way.why_not] == [
        ("text", "not agreed")
    ]
    assert {way.channel: way.why_not for way in other.ways if way.why_not} == {
        "letter": "no address",
        "phone": "no number",
        "text": "no number",
    }


def test_where_it_goes_follows_the_way(desk: Desk) -> None:
    letter = letters(desk)[1]
    where = {
        way: letter_page(desk, DAY, replace(letter, channel=way)).where
        for way in ("mail", "letter", "phone")
    }
    assert where["mail"] == "o1@example.org"
    assert where["letter"] == "7 High Street, Lindmoor"
    assert "555" in where["phone"]


def test_what_goes_beneath_is_what_the_mail_says_beneath_and_a_call_has_nothing(
    desk: Desk,
) -> None:
    letter = letters(desk)[1]
    tail = letter_page(desk, DAY, letter).tail
    assert "shop@lindmoor.example" in tail
    assert tail.endswith("answer with the word stop.")
    assert letter_page(desk, DAY, replace(letter, channel="phone")).tail == ""


def test_the_letters_of_the_year_are_counted_against_the_most(desk: Desk) -> None:
    letter = letters(desk)[1]
    assert dict(letter_page(desk, DAY, letter).facts)["Letters this year"] == "0 of 4"
    _, ids = prepare_all(desk, DAY)
    mark_sent(desk, DAY, ids)
    facts = dict(letter_page(desk, DAY, letter).facts)
    assert facts["Letters this year"] == "1 of 4"
    assert facts["It was answered"] == "no"


def test_how_to_stop_may_not_be_left_out_where_the_letter_said_it(desk: Desk) -> None:
    letter = letters(desk)[1]
    assert why_not_so(letter, letter.text) == ""
    assert "how to stop" in why_not_so(letter, "Come by.")
    assert why_not_so(letter, "Come by, or write Stop.") == ""
    assert "no words" in why_not_so(letter, "  \n")
    spoken = replace(letter, text="Shall we find a day?")
    assert why_not_so(spoken, "Come by.") == ""


def test_words_are_counted_as_one_counts_them() -> None:
    assert count_words("Hello  Mara,\n\nplease come by.") == 5
