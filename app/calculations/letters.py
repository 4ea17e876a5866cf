"""Letters: which households to write to on a day, and why the others are left in peace."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from app.calculations.renewals import Due


class Why(StrEnum):
    """Reasons not to write."""

    DECEASED = "deceased"
    STOPPED = "stopped"
    SOLD = "sold"
    NEVER_REMINDED = "never reminded"
    NO_CONSENT = "no consent"
    NO_ADDRESS = "no address"
    LATER = "later"
    BOOKED = "booked"
    RECENT_VISIT = "recent visit"
    RECENT_LETTER = "recent letter"
    FOUR_A_YEAR = "four a year"
    RESTING = "resting"
    STORED = "stored"
    LEASE_ENDS = "lease ends"
    SEASON = "season"
    ALONE = "alone"


@dataclass(frozen=True, slots=True)
class Person:
    """One customer of a household, as far as writing to them goes."""

    customer: int
    deceased: bool = False
    stopped_on: date | None = None
    consent: bool = True
    reachable: bool = True  # a good address on a channel they consented to
    later_until: date | None = None  # "later: March"


@dataclass(frozen=True, slots=True)
class Sent:
    """A reminder sent to the household and whether anything came back."""

    day: date
    answered: bool


@dataclass(frozen=True, slots=True)
class HouseholdFacts:
    """What bears on writing to one household. `season` are months (1..12), empty for any."""

    household: str
    people: tuple[Person, ...]
    last_visit: date | None = None
    booked: date | None = None  # a visit booked from today on
    letters: tuple[Sent, ...] = ()
    season: tuple[int, ...] = ()
    season_title: str = ""  # "before salt"


@dataclass(frozen=True, slots=True)
class Rules:
    """The shop's manners; the defaults are common practice, no source."""

    after_visit_days: int = 30
    between_letters_days: int = 21
    letters_a_year: int = 4
    unanswered: int = 2
    rest_days: int = 365
    lease_days: int = 56


@dataclass(frozen=True, slots=True)
class Letter:
    """One message to one household, about one or more layers, soonest first."""

    household: str
    customer: int
    items: tuple[Due, ...]
    due_from: date
    due_to: date
    reason: str
    promised: bool = False


@dataclass(frozen=True, slots=True)
class Suppressed:
    """Layers that are due but not written about; `why` is a plain sentence, `whys` all of them."""

    household: str
    items: tuple[Due, ...]
    why: str
    whys: tuple[tuple[Why, str], ...]


@dataclass(frozen=True, slots=True)
class LetterChoice:
    """What to write today, what not and why, and how many layers are simply not due yet."""

    letters: tuple[Letter, ...]
    suppressed: tuple[Suppressed, ...]
    waiting: tuple[Due, ...]


def choose_letters(
    dues: Sequence[Due],
    facts: Mapping[str, HouseholdFacts],
    day: date,
    rules: Rules | None = None,
) -> LetterChoice:
    """The letters of a day: at most one for a household, every suppressed one with its reason."""
    raise NotImplementedError


def honor_by(stopped_on: date, holidays: Collection[date], business_days: int = 10) -> date:
    """The last day on which a "stop" said on `stopped_on` must have been honored."""
    raise NotImplementedError
