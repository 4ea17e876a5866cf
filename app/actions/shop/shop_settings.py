"""Changing the shop's settings, each change by its own name."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from app.actions.desk.amounts import money
from app.actions.desk.desk import NOTHING, Changed, Desk
from app.actions.desk.settings import checked
from app.actions.desk.typed_days import read_promise
from app.actions.shop.opening_words import closed_text, read_closed_days, read_week, week_text
from app.calculations.numbers.money import minor_digits, read_money
from app.calculations.numbers.units import System
from app.calculations.orders.shelf_state import OrderSettings
from app.errors import Mendable
from app.records.queries import settings as queries
from app.records.storage.backup import folder_of

# Every page shows money, units or days: a setting may change what stands on any of them.
KINDS = frozenset(
    {
        "settings", "customers", "vehicles", "supplies", "stock", "services", "jobs", "hours",
        "uses", "money", "layers", "orders", "reminders", "days",
    }
)  # fmt: skip
NAMES = {
    "shop_name": "The shop’s name",
    "shop_address": "The shop’s address",
    "shop_phone": "The shop’s telephone",
    "shop_email": "The shop’s mail address",
    "shop_mark": "The shop’s mark",
    "currency": "Currency",
    "system": "Units",
    "tax_rule": "Where tax is rounded",
    "tax_rules": "Where tax is rounded, by day",
    "tax_period": "What is filed at once",
    "tax_basis": "What tax is counted by",
    "terms_days": "Days until an invoice is due",
    "how_to_pay": "How to pay, on invoices",
    "zone": "Time zone",
    "region": "Country of telephone numbers",
    "date_order": "Order of dates in files",
    "dilution_reading": "How dilutions are read",
    "hourly_rate": "Hourly rate",
    "hours_from": "Whose hours are likely",
    "call_above": "Call above what was approved by",
    "hours_a_day": "Hours of a working day",
    "opens_at": "Opens at",
    "open_week": "Opening hours",
    "closed_days": "Closed days",
    "bays": "Vehicles inside at once",
    "people": "People who work at once",
    "calendar_file": "Calendar file",
    "calendar_holds": "Cures and drying in calendars",
    "size_factors": "Supplies by size",
    "condition_factors": "Supplies by condition",
    "hours_outside": "Hours outside by size",
    "hours_inside": "Hours inside by size",
    "hours_condition": "Hours by condition",
    "exposure_factors": "Where vehicles live",
    "service_quantile": "Enough on the shelf, times in 100",
    "freight_days": "Days early that cost as much again",
    "reminder_rules": "Reminder rules",
    "mail_host": "Mail server",
    "mail_port": "Mail server’s port",
    "mail_security": "Mail security",
    "mail_user": "Mail user",
    "backup_folder": "Second place of backups",
    "backup_salt": "Passphrase of backups",
    "letter_text": "Wording of letters",
    "letter_subject": "Subject of letters",
    "consent_wording": "Words of a consent",
}


MONTH = 365 / 12  # days
_WHOLE = {
    "hours_a_day": (1, 24), "bays": (1, 9), "people": (1, 9),
    "terms_days": (0, 365), "mail_port": (1, 65535),
}  # fmt: skip


def shelf_money_text(desk: Desk) -> str:
    """The price of money on the shelf, in money."""
    hundred = 100 * 10 ** minor_digits(desk.settings.currency)
    rule = OrderSettings(freight_days=desk.settings.freight_days)
    month, year = hundred * MONTH / rule.freight_days, hundred * rule.money_per_year
    return (
        f"Goods that lie on the shelf tie up money. {money(desk, hundred)} of them bought a month "
        f"early is reckoned {money(desk, round(month))} dearer, so more than that must be saved "
        f"in freight. In a larger pack it is {money(desk, round(year))} for each year, to be saved "
        "in its price."
    )


def change_settings(desk: Desk, **values: Any) -> Changed:
    """Set these settings as one action; what stands already changes nothing."""
    new = {
        name: value
        for name, value in checked(values).items()
        if _plain(getattr(desk.settings, name)) != value
    }
    if not new:
        return NOTHING
    for name, value in new.items():
        if isinstance(value, str) and len(value) > 4000 and name != "shop_mark":
            raise Mendable(f"{NAMES.get(name, name)} is too long; shorten it.")
    first = NAMES.get(next(iter(new)), "Settings")
    name = f"{first} changed" if len(new) == 1 else "Settings changed"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        queries.write(session, new)
    desk.reload()
    return Changed(name, KINDS)


def _plain(value: Any) -> Any:
    return value.value if isinstance(value, System) else value


RULE_WORDS = {
    "after_visit_days": "Pause after a visit, days",
    "between_letters_days": "Days between two letters",
    "letters_a_year": "Letters a year at most",
    "unanswered": "Unanswered letters before a rest",
    "rest_days": "Length of the rest, days",
    "lease_days": "Days before a lease ends",
    "alongside_days": "Mention what is due within days",
    "promise_days": "Days until a promise lapses",
}


def set_typed(desk: Desk, name: str, typed: Any) -> Changed:
    """Set one setting as it was typed into its field; `Mendable` says what it takes."""
    return change_settings(desk, **{name: read_setting(desk, name, typed)})


def set_rule(desk: Desk, name: str, typed: str) -> Changed:
    """Set one of the reminder rules; nothing typed takes the usual one again."""
    rules = dict(desk.settings.reminder_rules)
    if not typed.strip():
        rules.pop(name, None)
    else:
        rules[name] = _whole(typed, RULE_WORDS[name], 0, 3650)
    return change_settings(desk, reminder_rules=rules)


def rules(desk: Desk) -> dict[str, int]:
    """The reminder rules as they hold."""
    from dataclasses import asdict

    from app.calculations.letters.letters import Rules

    return {**asdict(Rules()), **desk.settings.reminder_rules}


def shown_setting(desk: Desk, name: str) -> str:
    """Opening hours, closed days and the hour of opening as they are typed."""
    if name == "open_week":
        return week_text(desk.settings.open_week)
    if name == "closed_days":
        return closed_text(desk.settings.closed_days)
    hours, minutes = divmod(desk.settings.opens_at, 60)
    return f"{hours}:{minutes:02d}"


def read_setting(desk: Desk, name: str, typed: Any) -> Any:
    """A setting's value from what was typed or chosen."""
    if not isinstance(typed, str):
        return typed
    plain = typed.strip()
    if name in ("hourly_rate", "call_above"):
        return read_money(plain, desk.settings.currency)
    if name == "currency":
        return plain.upper()
    if name == "region":
        import phonenumbers

        region = "GB" if plain.upper() == "UK" else plain.upper()
        if region not in phonenumbers.SUPPORTED_REGIONS:
            raise Mendable(f"“{plain}” is no country; type its two letters, such as US.")
        return region
    if name in _WHOLE:
        return _whole(plain, NAMES[name], *_WHOLE[name])
    if name == "service_quantile":
        return _whole(plain.rstrip("% "), "Enough on the shelf, times in 100", 50, 99) / 100
    if name == "freight_days":
        return float(_whole(plain.removesuffix("days").strip(), NAMES["freight_days"], 1, 3650))
    if name == "shop_email" and plain:
        from app.documents.reading.people import read_mails

        mails = read_mails(plain)
        if len(mails.addresses) != 1:
            raise Mendable(f"“{plain[:60]}” is no mail address; write one like ida@example.org.")
        return mails.addresses[0]
    if name == "consent_wording" and plain:
        from app.actions.people.consents import worded

        worded(plain, "mail", "reminders")  # says what cannot be filled in
    if name == "open_week":
        return read_week(plain)
    if name == "closed_days":
        return read_closed_days(desk, plain)
    if name == "opens_at":
        return _opens(desk, plain)
    if name == "calendar_file" and plain:
        return _calendar_file(plain)
    if name == "zone":
        return plain.replace(" ", "_")
    if name == "backup_folder" and plain:
        return _second_place(desk, plain)
    return plain


def _opens(desk: Desk, typed: str) -> int:
    """The minute of the day at which the shop opens, where no week is set."""
    at = desk.clock_of(read_promise(desk, typed or "8:00", desk.today) or desk.clock())
    hour, minute = map(int, at.split(":"))
    return 60 * hour + minute


def _calendar_file(typed: str) -> str:
    """The file that is written at each close, by its whole name."""
    path = Path(typed).expanduser()
    if not path.is_absolute() or not path.parent.is_dir() or path.is_dir():
        raise Mendable(
            f"“{typed[:80]}” is no file in a folder that is there; write its whole name."
        )
    return str(path if path.suffix else path.with_suffix(".ics"))


def _second_place(desk: Desk, typed: str) -> str:
    """The folder for second backups, by its whole name."""
    folder = Path(typed).expanduser()
    if not folder.is_absolute() or not folder.is_dir():
        raise Mendable(
            f"There is no folder “{typed}”; write its whole name, and put the stick in or "
            "connect the disk first."
        )
    if folder.resolve() in (desk.book.path.resolve().parent, folder_of(desk.book.path)):
        raise Mendable("The first backup lies there already; choose a folder on another disk.")
    return str(folder)


def _whole(typed: str, what: str, least: int, most: int) -> int:
    if not typed.strip().isdecimal() or not least <= int(typed) <= most:
        raise Mendable(f"{what}: a whole number from {least:,} to {most:,}, please.")
    return int(typed)
