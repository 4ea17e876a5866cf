"""Telephone numbers as people of a region read them."""

from __future__ import annotations


def shown_phone(number: str, region: str) -> str:
    """A stored number as people of that region read it; as it stands where it is no number."""
    if not number.startswith("+"):
        return number
    import phonenumbers

    try:
        parsed = phonenumbers.parse(number)
    except phonenumbers.NumberParseException:
        return number
    home = phonenumbers.country_code_for_region(region) == parsed.country_code
    style = phonenumbers.PhoneNumberFormat
    return phonenumbers.format_number(parsed, style.NATIONAL if home else style.INTERNATIONAL)
