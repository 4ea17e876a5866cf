"""Words that a person added are told apart from those of the record."""

from __future__ import annotations

import pytest

from app.window.renewals.letter_text import added

PROPOSED = ["Hello Mara,", "", "It may be ready for a look.", "Answer yes, later or stop."]


@pytest.mark.parametrize(
    ("text", "new"),
    [
        ("It may be ready for a look.", []),
        ("It may be ready for a look. Would Tuesday suit you?", ["Would Tuesday suit you?"]),
        ("It may soon be ready for a look.", ["soon"]),
        ("Dear Mara,", ["Dear"]),
        ("It may be ready.", ["ready."]),
        ("", []),
    ],
)
def test_only_what_the_record_does_not_say_is_added(text: str, new: list[str]) -> None:
    assert [text[start : start + length] for start, length in added(text, PROPOSED)] == new
