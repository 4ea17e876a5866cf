"""The words of columns and settings that have a few; the database itself would take any."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.calculations.numbers.money import minor_digits
from app.calculations.numbers.units import System
from app.calculations.stock.pools import POOL_KINDS, RUNGS, STATES
from app.errors import Mendable
from app.records.models.base import CONFIRMED, EXPECTED
from app.records.models.money import EXPENSE_KINDS

# How a customer says yes, or answers.
CHANNELS = ("phone", "mail", "text", "in person", "signed")

WORDS: dict[tuple[str, str], tuple[str, ...]] = {
    ("customers", "asks_by"): ("", "letter", "mail", "phone", "text"),
    ("consents", "channel"): ("mail", "letter", "phone", "text"),
    ("consents", "purpose"): ("care", "reminders", "offers"),
    ("vehicles", "size_outside"): ("S", "M", "L", "XL"),
    ("vehicles", "size_inside"): ("S", "M", "L", "XL"),
    ("supplies", "kind"): ("liquid", "paste", "piece"),
    ("supplies", "costing"): ("average", "lot"),
    ("supplies", "protection"): ("", *(one.value for one in ProtectionClass)),
    ("supplier_dates", "kind"): ("sale", "cold"),
    ("recipe_lines", "scaling"): ("fixed", "size", "size_condition", "layer", "container"),
    ("service_steps", "effect"): ("", "applies", "strips", "abrades"),
    ("job_steps", "effect"): ("", "applies", "strips", "abrades"),
    ("service_steps", "hold"): ("", "cures", "dries"),
    ("job_steps", "hold"): ("", "cures", "dries"),
    ("jobs", "place"): ("", "bay", "outside", "yard"),
    ("job_moves", "kind"): ("moved", "late", "no show"),
    ("job_moves", "asked_by"): ("", "customer", "shop"),
    ("job_steps", "state"): ("to do", "done", "not done"),
    ("jobs", "state"): ("enquiry", "booked", "working", "done", "cancelled"),
    ("jobs", "condition"): ("kept", "average", "neglected", "extreme"),
    ("movements", "kind"): (
        "received", "used", "counted", "wasted", "returned", "opened", "expired", "reversed",
    ),
    ("receipts", "state"): (CONFIRMED, EXPECTED),
    ("receipts", "kind"): ("payment", "deposit", "refund", "tip", "credit", "reversed"),
    ("expenses", "kind"): EXPENSE_KINDS,
    ("repeats", "kind"): EXPENSE_KINDS,
    ("repeats", "every"): ("month", "year"),
    ("photos", "form"): ("jpeg", "png", "webp"),
    ("invoices", "kind"): ("invoice", "credit"),
    ("invoices", "tax_rule"): ("total", "line"),
    ("invoice_words", "kind"): ("sent", "asked", "promised", "disputed", "settled"),
    ("invoice_words", "how"): ("", "mail", "letter", "phone", "paper"),
    ("estimates", "state"): ("draft", "given", "approved"),
    ("estimates", "approved_how"): ("", *CHANNELS),
    ("estimates", "tax_rule"): ("total", "line"),
    ("hold_points", "channel"): ("", *CHANNELS),
    ("supplies", "pool"): ("", *RUNGS),
    ("pool_events", "kind"): POOL_KINDS,
    ("pool_events", "source"): STATES,
    ("pool_events", "target"): STATES,
    ("layer_events", "kind"): ("applied", "stripped", "abraded", "reversed"),
    ("layer_events", "surface_group"): tuple(one.value for one in SurfaceGroup),
    ("judgements", "surface_group"): tuple(one.value for one in SurfaceGroup),
    ("orders", "state"): ("written", "sent", "part", "received", "cancelled"),
    ("days", "state"): ("open", "closed"),
}  # fmt: skip
_TEXT, _WHOLE, _NUMBER, _BY_WORD, _LIST = str, int, (int, float), dict, list
# What a setting is: one of a few words, or a kind of value.
SETTINGS: dict[str, Sequence[str] | type | tuple[type, ...]] = {
    **dict.fromkeys(
        ("shop_name", "shop_address", "shop_phone", "shop_email", "currency", "zone", "region",
         "mail_host", "mail_user", "backup_folder", "backup_salt", "letter_text",
         "letter_subject", "consent_wording", "how_to_pay", "shop_mark", "calendar_file"),
        _TEXT,
    ),
    **dict.fromkeys(
        ("hourly_rate", "call_above", "hours_a_day", "longest_days", "mail_port",
         "terms_days", "opens_at", "bays", "people"),
        _WHOLE,
    ),
    **dict.fromkeys(("service_quantile", "freight_days", "scale"), _NUMBER),
    **dict.fromkeys(
        ("size_factors", "condition_factors", "hours_outside", "hours_inside", "hours_condition",
         "exposure_factors", "reminder_rules", "brought_in", "tax_basis",
         "tax_rules"),
        _BY_WORD,
    ),
    **dict.fromkeys(("refused_proposals", "passed_steps", "mile_rates", "closed_days",
         "open_week"), _LIST),
    "system": tuple(one.value for one in System),
    "tax_rule": ("total", "line"),
    "tax_period": ("month", "quarter", "year"),
    "hours_from": ("own", "list"),
    "calendar_holds": ("in", "out"),
    "date_order": ("mdy", "dmy"),
    "dilution_reading": ("ask", "water_first", "product_first"),
    "mail_security": ("starttls", "tls", "none"),
    "look": ("system", "light", "dark"),
}  # fmt: skip


def _is_week(value: Any) -> bool:
    """Whether it is [opens, minutes] of seven days, which end by midnight, one of them open."""
    days = [(int(opens), int(minutes)) for opens, minutes in value]
    fit = all(opens >= 0 and 0 <= minutes <= 1440 - opens for opens, minutes in days)
    return len(days) == 7 and fit and any(minutes for _opens, minutes in days)


def is_foreign(name: str, value: object) -> bool:
    """Whether a setting says what this program cannot have meant; of a name that it does not know
    it says nothing."""
    wanted = SETTINGS.get(name)
    if wanted is None:
        return False
    if not isinstance(wanted, type) and all(isinstance(word, str) for word in wanted):
        return value not in wanted
    if isinstance(value, bool) or not isinstance(value, wanted):  # type: ignore[arg-type]
        return True
    try:
        if name == "zone":
            ZoneInfo(str(value))
        elif name == "currency":
            minor_digits(str(value))
        elif name == "closed_days":
            return not all(date.fromisoformat(day) for day in list(value))  # type: ignore[call-overload]
        elif name == "open_week" and value:
            return not _is_week(value)
    except (LookupError, ValueError, TypeError, OSError, Mendable):
        return True
    return False
