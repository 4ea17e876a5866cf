"""Which body a vehicle has, as it is drawn: by the words it is described with, else by its size."""

from __future__ import annotations

import re
from enum import StrEnum


class Body(StrEnum):
    """The bodies that there are drawings of."""

    TWO_DOOR = "two-door"
    SEDAN = "sedan"
    WAGON = "wagon"  # and all else with five doors
    PICKUP = "pickup"
    VAN = "van"


# Common practice, no source.
_WORDS = (
    (Body.WAGON, "minivan wagon estate hatchback hatch suv crossover mpv kombi sportback 4x4 "
                 "geländewagen kleinwagen"),
    (Body.VAN, "van high-roof motorhome rv camper bus minibus transporter lieferwagen furgoneta "
               "box-truck"),
    (Body.PICKUP, "pickup pick-up truck ute camioneta dually"),
    (Body.TWO_DOOR, "coupe coupé roadster convertible cabrio cabriolet two-seater two-door 2-door "
                    "sports"),
    (Body.SEDAN, "sedan saloon berlina limousine limo four-door 4-door"),
)  # fmt: skip
_OF = {word: body for body, words in _WORDS for word in words.split()}
_TOGETHER = re.compile(r"\b(box|high|two|four|2|4|pick)[ -](truck|roof|seater|door|up)s?\b")


def body_of(words: str, size: str = "") -> Body:
    """The body of a vehicle.

    Parameters
    ----------
    words
        What it is described with, such as "blue crew pickup"; the last word of a body counts.
    size
        S, M, L or XL: without such a word an XL is drawn as a van, all others with five doors.
    """
    plain = _TOGETHER.sub(r"\1-\2", words.casefold())
    named = [_OF[word] for word in re.findall(r"[\w-]+", plain) if word in _OF]
    if named:
        return named[-1]
    return Body.VAN if size == "XL" else Body.WAGON
