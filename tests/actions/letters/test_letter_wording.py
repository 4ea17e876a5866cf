"""What a customer reads of a supply: a kind with its article, a product's own name untouched.

The articles are those of English by sound (an hour, a unit).
"""

from __future__ import annotations

from datetime import date

import pytest

from app.actions.letters.letter_wording import WorkDone, compose

DAY = date(2026, 11, 27)


def told(supply: str) -> str:
    return (
        words("{work}", supply).removeprefix("In April we put ").removesuffix(" on your red coupe.")
    )


def words(template: str = "", supply: str = "Carnauba wax", channel: str = "letter") -> str:
    _, text = compose(
        template,
        "",
        name="Ida",
        works=[WorkDone("red coupe", supply, date(2026, 4, 3))],
        due_from=DAY,
        due_to=DAY,
        shop="Lindmoor Finish",
        today=DAY,
        channel=channel,
    )
    return text


@pytest.mark.parametrize(
    ("supply", "wanted"),
    [
        ("Carnauba wax", "a carnauba wax"),
        ("Oil-free dressing", "an oil-free dressing"),
        ("Unit wax", "a unit wax"),
        ("Hourglass sealant", "an hourglass sealant"),
        ("Upper sealant", "an upper sealant"),
        ("Armor Nine", "Armor Nine"),
        ("XQ9 Topcoat", "XQ9 Topcoat"),
        ("ACE sealant", "ACE sealant"),
        ("9H coat", "9H coat"),
        ("iShine", "iShine"),
        ("Sealant (old stock)", "a sealant"),
        ("Hard  wax", "a hard wax"),
    ],
)
def test_a_supply_is_told_as_people_say_it(supply: str, wanted: str) -> None:
    assert told(supply) == wanted


def test_on_the_telephone_nobody_reads_a_letter_out() -> None:
    said = words(channel="phone")
    assert "carnauba wax" in said
    assert "A short answer is enough" not in said
    assert said.endswith("Shall we find a day, or shall we ask again later?")


def test_a_text_message_is_one_short_paragraph_that_says_from_whom_and_how_to_stop() -> None:
    """Two parts of a long text message hold 306 characters of the plain alphabet (GSM 03.38)."""
    said = words(channel="text")
    assert "\n" not in said
    assert said.endswith("or stop. Lindmoor Finish")
    assert len(said) <= 306


@pytest.mark.parametrize("channel", ["phone", "text"])
def test_a_shop_with_words_of_its_own_says_them_in_every_way(channel: str) -> None:
    assert words("Come by, {name}.", channel=channel) == "Come by, Ida."


def test_a_name_that_is_all_in_brackets_is_told_whole() -> None:
    assert "(old stock)" in told("(old stock)")
