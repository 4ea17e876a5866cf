"""The shop's settings: what a new book starts from, and what a person set."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from datetime import date
from typing import Any
from zoneinfo import available_timezones

from app.calculations.numbers.units import System
from app.errors import Mendable
from app.records.queries import settings as queries
from app.records.queries.settings import Session

# Common practice, no source: liquids and towels by size of vehicle, supplies by condition.
SIZE_FACTORS = {"S": 0.8, "M": 1.0, "L": 1.3, "XL": 1.8}
CONDITION_FACTORS = {"kept": 0.8, "average": 1.0, "neglected": 1.4, "extreme": 2.0}
# The same for hours, outside and inside.
HOURS_OUTSIDE = {"S": 0.85, "M": 1.0, "L": 1.2, "XL": 1.45}
HOURS_INSIDE = {"S": 0.8, "M": 1.0, "L": 1.3, "XL": 1.6}
HOURS_CONDITION = {"kept": 0.85, "average": 1.0, "neglected": 1.35, "extreme": 1.85}
SIZES = tuple(SIZE_FACTORS)
CONDITIONS = tuple(CONDITION_FACTORS)


@dataclass(frozen=True, kw_only=True)
class Settings:
    """All settings; the defaults are what a new book starts from."""

    shop_name: str = ""
    shop_address: str = ""
    shop_phone: str = ""
    shop_email: str = ""
    currency: str = "USD"
    system: System = System.US
    tax_rule: str = "total"  # per rate on the total, or "line"
    # Where tax is rounded from a day on, by that day (2026-01-01); before the first, `tax_rule`.
    tax_rules: dict[str, str] = field(default_factory=dict)
    tax_period: str = "quarter"  # month, quarter or year: what is filed at once
    # By the first day of a period (as "2026-01-01"), what tax is counted by from then on:
    # "invoiced", the usual, or "received".
    tax_basis: dict[str, str] = field(default_factory=dict)
    terms_days: int = 14  # until an invoice is due
    how_to_pay: str = ""  # on invoices; lines parted by semicolons, each “way: how”
    shop_mark: str = ""  # the shop's own mark: a small PNG in base 64
    zone: str = "America/Chicago"
    region: str = "US"  # for telephone numbers without a country
    date_order: str = "mdy"  # for dates in files that could be read both ways
    dilution_reading: str = "ask"
    hourly_rate: int = 9000  # minor units
    # What driving for the shop is worth, each rate from its day on (calculations/figures/driving).
    mile_rates: list[list[Any]] = field(default_factory=list)
    # Whose hours are the likely ones after five closed jobs of a kind; both are shown.
    hours_from: str = "own"  # or "list"
    call_above: int = 5000  # minor units over the approved figure: a call (common practice)
    hours_a_day: int = 8
    opens_at: int = 480  # minutes after midnight on the shop's clock
    # By weekday, Monday first: [opens, minutes open]; empty: `hours_a_day` on the days worked.
    open_week: list[list[int]] = field(default_factory=list)
    bays: int = 1  # vehicles that stand inside at the same time
    people: int = 1  # who work at the same time
    closed_days: list[str] = field(default_factory=list)  # beside the week: 2027-12-24
    calendar_file: str = ""  # written at each close; empty: none
    calendar_holds: str = "in"  # or "out": whether calendars show cures and drying
    size_factors: dict[str, float] = field(default_factory=lambda: dict(SIZE_FACTORS))
    condition_factors: dict[str, float] = field(default_factory=lambda: dict(CONDITION_FACTORS))
    hours_outside: dict[str, float] = field(default_factory=lambda: dict(HOURS_OUTSIDE))
    hours_inside: dict[str, float] = field(default_factory=lambda: dict(HOURS_INSIDE))
    hours_condition: dict[str, float] = field(default_factory=lambda: dict(HOURS_CONDITION))
    exposure_factors: dict[str, dict[str, float]] = field(default_factory=dict)
    service_quantile: float = 0.99  # of deliveries that come before anything has run short
    freight_days: float = 125.0  # goods bought so many days early count double
    longest_days: int = 56  # nothing is bought along that is needed later
    reminder_rules: dict[str, int] = field(default_factory=dict)
    mail_host: str = ""
    mail_port: int = 587
    mail_security: str = "starttls"
    mail_user: str = ""
    backup_folder: str = ""  # the second place of backups: a stick, a network disk
    backup_salt: str = ""  # of the passphrase that seals them there; empty where none is set
    letter_text: str = ""
    letter_subject: str = ""
    refused_proposals: list[str] = field(default_factory=list)  # said to be none in files
    brought_in: dict[str, Any] = field(default_factory=dict)  # sort, file: lines [read, unread]
    passed_steps: list[str] = field(default_factory=list)  # of a new book
    consent_wording: str = ""  # what is written down as agreed to; empty: the usual words
    look: str = "system"  # light, dark or as the system has it
    scale: float = 1.0

    @property
    def imperial(self) -> bool:
        """Whether a gallon that says nothing else is the imperial one, as in a British shop."""
        return self.region == "GB"

    def rounding_on(self, day: date) -> str:
        """Where tax is rounded on a day: `total` or `line`."""
        begun = [first for first in self.tax_rules if date.fromisoformat(first) <= day]
        return self.tax_rules[max(begun)] if begun else self.tax_rule


NAMES = tuple(f.name for f in fields(Settings))


def read_settings(session: Session) -> Settings:
    """The settings of a book; a name that this version does not know is left alone."""
    stored = {k: v for k, v in queries.read_all(session).items() if k in NAMES}
    if "system" in stored:
        stored["system"] = System(stored["system"])
    return replace(Settings(), **stored)


def checked(values: dict[str, Any]) -> dict[str, Any]:
    """Settings as they may be stored; `Mendable` says which one cannot be and why."""
    from app.calculations.numbers.money import minor_digits

    for name, value in values.items():
        if name not in NAMES:
            raise Mendable(f"There is no setting “{name}”.")
        if name == "zone" and value not in available_timezones():
            raise Mendable(f"“{value}” is no time zone; write it like America/Chicago.")
        if name == "currency":
            minor_digits(value)
        if name == "service_quantile" and not 0.5 <= float(value) < 1:
            raise Mendable("The share of deliveries that come in time must lie between 0.5 and 1.")
        if name == "freight_days" and not 1 <= float(value) <= 3650:
            raise Mendable(
                "Goods bought early count double after 1 to 3,650 days; type a number between."
            )
        if name == "terms_days" and not 0 <= int(value) <= 365:
            raise Mendable("An invoice is due after 0 to 365 days; type a number between.")
        if name in ("hourly_rate", "call_above", "hours_a_day") and int(value) < 0:
            raise Mendable("A rate or number of hours cannot be below zero.")
        if name in ("bays", "people") and not 1 <= int(value) <= 9:
            raise Mendable("A shop has 1 to 9 places inside and people; type a number between.")
        if name == "open_week" and value and not any(minutes for _opens, minutes in value):
            raise Mendable("A week needs a day on which the shop is open.")
    return {k: v.value if isinstance(v, System) else v for k, v in values.items()}
