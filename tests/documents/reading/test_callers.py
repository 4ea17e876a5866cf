"""A person typed in one line."""

from __future__ import annotations

import pytest

from app.documents.reading.callers import CallerWords, read_caller


@pytest.mark.parametrize(
    ("text", "name", "phones", "mails"),
    [
        ("Ilse Varga", "Ilse Varga", (), ()),
        ("Ilse Varga, 312 555 0142, ilse@example.org", "Ilse Varga", ("312 555 0142",),
         ("ilse@example.org",)),
        ("varga, ilse tel. (312) 555-0142", "ilse varga", ("(312) 555-0142",), ()),
        ("312-555-0142 Ida Mott", "Ida Mott", ("312-555-0142",), ()),
        ("Ida Mott 312.555.0142 ext 7", "Ida Mott", ("312.555.0142 ext 7",), ()),
        ("ann & bob hill ann@hill.example", "ann & bob hill", (), ("ann@hill.example",)),
        ("Fleet 1200 Ltd +44 20 7946 0958", "Fleet 1200 Ltd", ("+44 20 7946 0958",), ()),
        ("Studio 54", "Studio 54", (), ()),
    ],
)  # fmt: skip
def test_number_and_address_are_told_from_the_name(
    text: str, name: str, phones: tuple[str, ...], mails: tuple[str, ...]
) -> None:
    read = read_caller(text, "US")
    assert (read.name, read.phones, read.mails, read.unread) == (name, phones, mails, ())


def test_what_cannot_be_read_is_kept_as_it_was_typed() -> None:
    read = read_caller("Hill Bakery, Inc. 555 0142", "US")  # without its area code
    assert read == CallerWords(name="Hill Bakery, Inc.", is_firm=True, unread=("555 0142",))
    assert read.reachable
