"""Numbers as people of a region read them; the forms are those of the phonenumbers library."""

from __future__ import annotations

import pytest

from app.actions.desk.telephones import shown_phone


@pytest.mark.parametrize(
    ("number", "region", "shown"),
    [
        ("+13125550187", "US", "(312) 555-0187"),
        ("+13125550187", "GB", "+1 312-555-0187"),
        ("ask for Ida", "US", "ask for Ida"),
        ("+", "US", "+"),
        ("", "US", ""),
    ],
)
def test_a_number_is_shown_as_at_home_or_from_abroad(number: str, region: str, shown: str) -> None:
    assert shown_phone(number, region) == shown
