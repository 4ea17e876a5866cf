"""Telephone numbers as people of a region read them."""

from __future__ import annotations

from app.actions.desk.settings import Settings


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


def how_to_answer(settings: Settings) -> str:
    """The shop's telephone and mail, as its papers say them: `202-555-0114, desk@example.com`."""
    phone = shown_phone(settings.shop_phone, settings.region)
    return ", ".join(filter(None, (phone, settings.shop_email)))
