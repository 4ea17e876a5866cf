"""The words of a reminder: who, what was done and when, one honest reason, an easy answer.

It never says that a protection has failed: nobody has seen it. The owner of the shop reads and may
change every message before it goes.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.calculations.numbers.dates import near

DEFAULT_TEXT = """\
Hello {name},

{work}

{reason} If you like, we will wash it, look at it together with you and say plainly \
whether it needs anything.

A short answer is enough: yes, later (and which month), or stop if you would rather not hear from \
us about this.

{shop}"""
# Said on the telephone, and short in a text message, while the shop has no wording of its own.
DEFAULT_CALL = """\
Hello {name},

{work}

{reason} If you like, we will wash it, look at it together with you and say plainly \
whether it needs anything.

Shall we find a day, or shall we ask again later?"""
DEFAULT_MESSAGE = """\
Hello {name}, {work} {reason} If you like, we will wash it and look at it together with you. \
Answer yes, later (and which month), or stop. {shop}"""
OTHERWISE = {"phone": DEFAULT_CALL, "text": DEFAULT_MESSAGE}
DEFAULT_SUBJECT = "Time for a look at your {vehicle}"
# Begins with the sound of a vowel: an hour, an umbrella; a euro, a unit, a one.
_SOUNDS_OPEN = re.compile(r"hour|honest|(?!eu|uni|us[ei]|uti|one\b|once)[aeiou]", re.IGNORECASE)
FIELDS = ("name", "work", "reason", "shop", "vehicle")


@dataclass(frozen=True)
class WorkDone:
    """One thing that was put on one vehicle, as a letter says it."""

    vehicle: str
    layer: str
    applied_on: date


def compose(
    template: str,
    subject: str,
    *,
    name: str,
    works: Sequence[WorkDone],
    due_from: date,
    due_to: date,
    shop: str,
    today: date,
    promised: bool = False,
    channel: str = "letter",
) -> tuple[str, str]:
    """(subject, text) of a message; an unknown field in the template stays as it was typed.

    Without a template the usual words of the channel are taken.

    `promised` when they asked to be written to about now: then there may be no work to tell of.
    """
    vehicles = list(dict.fromkeys(work.vehicle for work in works))
    asked = ["You asked us to get in touch again about now."] if promised else []
    fields = {
        # All of the name, for a firm or a couple reads ill cut short.
        "name": name.strip() or "there",
        # One line for a layer of a vehicle, however many surface groups it covers.
        "work": "\n".join([*asked, *(_work_line(work, today) for work in dict.fromkeys(works))]),
        "reason": _reason(len(vehicles), due_from, due_to, today) if works else "",
        "shop": shop,
        "vehicle": " and ".join(vehicles) if 0 < len(vehicles) < 3 else _untold(vehicles),
    }
    wording = template or OTHERWISE.get(channel, DEFAULT_TEXT)
    return _filled(subject or DEFAULT_SUBJECT, fields), _filled(wording, fields).rstrip()


def _untold(vehicles: Sequence[str]) -> str:
    return "vehicles" if vehicles else "vehicle"


def _filled(template: str, fields: dict[str, str]) -> str:
    for field in FIELDS:
        if not fields[field]:
            template = template.replace("{" + field + "} ", "")
        template = template.replace("{" + field + "}", fields[field])
    return template


def _work_line(work: WorkDone, today: date) -> str:
    when = (
        f"{work.applied_on:%B}"
        if work.applied_on.year == today.year
        else f"{work.applied_on:%B %Y}"
    )
    return f"In {when} we put {_layer_words(work.layer)} on your {work.vehicle}."


def _layer_words(supply: str) -> str:
    """A supply as a customer is told of it: `a carnauba wax`; a product's own name as it is.

    What stands in brackets is for the shelf.
    """
    name = " ".join(supply.partition("(")[0].split()) or supply.strip()
    if any(one.isupper() or one.isdigit() for one in name[1:]):
        return name
    return f"{'an' if _SOUNDS_OPEN.match(name) else 'a'} {name[:1].lower()}{name[1:]}"


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
