"""What a customer reads of a supply: a kind with its article, a product's own name untouched.

The articles are those of English by sound (an hour, a unit).
"""

from __future__ import annotations

from datetime import date

import pytest

from app.actions.letters.letter_wording import WorkDone, compose

DAY = date(2026, 11, 27)


def told(supply: str) -> str:
    _, text = compose(
        "{work}",
        "",
        name="Ida",
        works=[WorkDone("red coupe", supply, date(2026, 4, 3))],
        due_from=DAY,
        due_to=DAY,
        shop="",
        today=DAY,
    )
    return text.removeprefix("In April we put ").removesuffix(" on your red coupe.")


@pytest.mark.parametrize(
    ("supply", "words"),
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
def test_a_supply_is_told_as_people_say_it(supply: str, words: str) -> None:
    assert told(supply) == words


def test_a_name_that_is_all_in_brackets_is_told_whole() -> None:
    assert "(old stock)" in told("(old stock)")
