"""A list of people to call: who, on what number, about what, and room for what they said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from app.calculations.numbers.dates import day_year
from app.errors import Mendable

# Said once, in the head. The hours are those of the rule on telephone solicitation in the United
# States (47 CFR 64.1200(c)(1)): the called party's own time.
CAUTION = (
    "Call between 8 in the morning and 9 at night where they are, and nobody who asked not to be "
    "called. Whoever says stop is not called again. Local rules go first."
)
ANSWERS = "booked   later   fine   no   sold   stop"


@dataclass(frozen=True)
class Call:
    """One call: the words are what one might say, not what must be read out."""

    name: str
    phone: str
    vehicles: tuple[str, ...]
    reason: str
    words: str
    last_here: str = ""


def call_list_text(shop: str, day: date, calls: Sequence[Call]) -> str:
    if not calls:
        raise Mendable("There is nobody to call.")
    lines = [f"{shop or 'The shop'}: calls of {day_year(day)}", CAUTION, ""]
    for number, call in enumerate(calls, 1):
        lines += [f"{number}. {' '.join(call.name.split())}, {call.phone}"]
        lines += [f"   {', '.join(call.vehicles)}"] if call.vehicles else []
        lines += [f"   {call.reason}"] if call.reason else []
        lines += [f"   Last here {call.last_here}"] if call.last_here else []
        lines += [f"   {line}" for line in call.words.splitlines() if line.strip()]
        lines += [f"   Answer: {ANSWERS}", ""]
    return "\n".join(lines)


def write_call_list(shop: str, day: date, calls: Sequence[Call], path: Path) -> Path:
    """Write the text to a file; what stands there is replaced."""
    path.write_text(call_list_text(shop, day, calls), encoding="utf-8")
    return path
