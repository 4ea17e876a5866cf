"""The words of a reminder: who, what was done and when, one honest reason, an easy answer.

It never says that a protection has failed: nobody has seen it. The owner of the shop reads and may
change every message before it goes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.calculations.numbers.dates import near

DEFAULT_TEXT = """\
Hello {name},

{work}

{reason} If you like, I will wash it, look at it together with you and say plainly \
whether it needs anything.

A short answer is enough: yes, later (and which month), or stop if you would rather not hear from \
me about this.

{shop}"""
DEFAULT_SUBJECT = "Time for a look at your {vehicle}"
FIELDS = ("name", "work", "reason", "shop", "vehicle")


@dataclass(frozen=True)
class Work:
    """One thing that was put on one vehicle, as a letter says it."""

    vehicle: str
    layer: str
    applied: date


def compose(
    template: str,
    subject: str,
    *,
    name: str,
    works: Sequence[Work],
    due_from: date,
    due_to: date,
    shop: str,
    today: date,
) -> tuple[str, str]:
    """(subject, text) of a message; an unknown field in the template stays as it was typed."""
    vehicles = list(dict.fromkeys(work.vehicle for work in works))
    fields = {
        "name": _given_name(name),
        "work": "\n".join(_work_line(work, today) for work in _distinct(works)),
        "reason": _reason(len(vehicles), due_from, due_to, today),
        "shop": shop,
        "vehicle": " and ".join(vehicles[:2]) if len(vehicles) < 3 else "vehicles",
    }
    return _filled(subject or DEFAULT_SUBJECT, fields), _filled(template or DEFAULT_TEXT, fields)


def _filled(template: str, fields: dict[str, str]) -> str:
    for field in FIELDS:
        template = template.replace("{" + field + "}", fields[field])
    return template


def _given_name(name: str) -> str:
    """The name that a letter opens with: all of it, for a firm or a couple reads ill cut short."""
    return name.strip() or "there"


def _distinct(works: Sequence[Work]) -> list[Work]:
    """One line for a layer of a vehicle, however many surface groups it covers."""
    return list(dict.fromkeys(works))


def _work_line(work: Work, today: date) -> str:
    when = f"{work.applied:%B}" if work.applied.year == today.year else f"{work.applied:%B %Y}"
    article = "an" if work.layer[:1].lower() in "aeiou" else "a"
    layer = work.layer[:1].lower() + work.layer[1:]
    return f"In {when} we put {article} {layer} on your {work.vehicle}."


def _reason(vehicles: int, due_from: date, due_to: date, today: date) -> str:
    what = "it" if vehicles == 1 else "they"
    if due_to < today:
        return f"By what such layers last here, {what} may well be ready for a look."
    if due_from <= today:
        return (
            f"By what such layers last here, {what} should be seen by about {near(due_to, today)}."
        )
    return (
        f"By what such layers last here, {what} should be seen between "
        f"{near(due_from, today)} and {near(due_to, today)}."
    )
