"""What came of letters: which visit each brought, what was answered, how long layers really held.

A job counts for the last letter to its household before it was booked, when that was at most 45
days before; what was booked already when the letter went is not its doing. 45 days is common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from math import inf

from app.calculations.layers.protection import ProtectionClass
from app.calculations.layers.sightings import Observation
from app.calculations.layers.survival import turnbull

WITHIN_DAYS = 45


class LetterOutcome(StrEnum):
    """What came of one letter; a visit counts before words."""

    BOOKED = "booked"
    LATER = "later"
    NO = "no"
    STOP = "stop"
    UNDELIVERABLE = "undeliverable"
    SILENT = "silent"


_WORDS = {
    "booked": LetterOutcome.BOOKED,
    "later": LetterOutcome.LATER,
    "no": LetterOutcome.NO,
    "fine": LetterOutcome.NO,
    "sold": LetterOutcome.NO,
    "moved": LetterOutcome.UNDELIVERABLE,
    "undeliverable": LetterOutcome.UNDELIVERABLE,
    "stop": LetterOutcome.STOP,
}


@dataclass(frozen=True, slots=True)
class SentLetter:
    """A letter that went, and the answer to it (nothing while there is none)."""

    reminder: int
    household: str
    sent_on: date
    answer: str = ""


@dataclass(frozen=True, slots=True)
class BookedJob:
    """A job that was not called off. `booked_on` is None where nobody noted it; `net` in minor
    units counts as earned once `done`."""

    job: int
    household: str
    booked_on: date | None
    first_day: date | None
    net: int
    done: bool


@dataclass(frozen=True, slots=True)
class CameOf:
    """One letter with its outcome and the jobs it brought."""

    letter: SentLetter
    outcome: LetterOutcome
    jobs: tuple[BookedJob, ...]


@dataclass(frozen=True, slots=True)
class LetterSums:
    """Counts over letters. `earned` is of jobs done, in minor units."""

    sent: int
    delivered: int
    counts: Mapping[LetterOutcome, int]
    earned: int


def came_of(
    letters: Iterable[SentLetter], jobs: Iterable[BookedJob], within: int = WITHIN_DAYS
) -> list[CameOf]:
    """What came of each letter, in order of the day on which it went."""
    ordered = sorted(letters, key=lambda one: (one.sent_on, one.reminder))
    of_household: dict[str, list[int]] = {}
    for at, letter in enumerate(ordered):
        of_household.setdefault(letter.household, []).append(at)
    brought: dict[int, list[BookedJob]] = {}
    for job in sorted(jobs, key=lambda one: one.job):
        # A day of booking that nobody noted cannot lie after the first day of the work.
        day = job.booked_on or job.first_day
        if day is None:
            continue
        before = [
            at
            for at in of_household.get(job.household, ())
            if timedelta(0) <= day - ordered[at].sent_on <= timedelta(days=within)
        ]
        if before:
            brought.setdefault(before[-1], []).append(job)
    return [
        CameOf(
            letter,
            LetterOutcome.BOOKED
            if at in brought
            else _WORDS.get(letter.answer, LetterOutcome.SILENT),
            tuple(brought.get(at, ())),
        )
        for at, letter in enumerate(ordered)
    ]


def letter_sums(found: Sequence[CameOf]) -> LetterSums:
    """The counts over some letters; each job is counted once."""
    counts = {outcome: sum(one.outcome is outcome for one in found) for outcome in LetterOutcome}
    jobs = {job.job: job for one in found for job in one.jobs}.values()
    return LetterSums(
        len(found),
        len(found) - counts[LetterOutcome.UNDELIVERABLE],
        counts,
        sum(job.net for job in jobs if job.done),
    )


# Bands of the exposure factor, by how hard a vehicle lives; judgement, no source.
BANDS: tuple[tuple[str, float, float], ...] = (
    ("kept well", 0.9, inf),
    ("middling", 0.65, 0.9),
    ("hard", 0.0, 0.65),
)


@dataclass(frozen=True, slots=True)
class LifeAchieved:
    """How long layers of a class held on vehicles of one band, by what was seen and nothing else.

    `median_days` is infinite while fewer than half are known to have worn out. A layer wore out
    some time between two visits; the estimate is Turnbull's (`survival.turnbull`).
    """

    protection_class: ProtectionClass
    band: str
    layers: int
    gone: int
    median_days: float


def lives_achieved(
    observations: Iterable[Observation], classes: Mapping[int, ProtectionClass]
) -> list[LifeAchieved]:
    """By class and band of exposure, in that order; supplies without a class are left out."""
    groups: dict[tuple[ProtectionClass, str], list[Observation]] = {}
    for one in observations:
        kind = classes.get(one.supply)
        if kind is not None:
            groups.setdefault((kind, band_of(one.exposure)), []).append(one)
    kinds = list(ProtectionClass)
    names = [name for name, _, _ in BANDS]
    found = []
    for kind, band in sorted(groups, key=lambda key: (kinds.index(key[0]), names.index(key[1]))):
        members = groups[kind, band]
        table = turnbull([one.low_days for one in members], [one.high_days for one in members])
        gone = sum(one.gone for one in members)
        found.append(LifeAchieved(kind, band, len(members), gone, table.median()))
    return found


def band_of(exposure: float) -> str:
    """The band of an exposure factor."""
    return next(name for name, low, high in BANDS if low <= exposure < high)
