"""What came of the reminders of a period, and how long layers really held; each figure opens."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

from app.actions.desk.desk import Desk
from app.actions.layers.life_page import age_words
from app.actions.layers.protection_state import protection
from app.calculations.layers.protection import ProtectionClass
from app.calculations.letters.came_of_letters import (
    WITHIN_DAYS,
    BookedJob,
    CameOf,
    LetterOutcome,
    SentLetter,
    came_of,
    letter_sums,
    lives_achieved,
)
from app.calculations.numbers.dates import day_year, near
from app.calculations.numbers.money import shown_money
from app.records.queries import came_of as queries
from app.records.queries import protection as letters

PERIOD_DAYS = 365
NUISANCE = 0.03  # above this share of stops a shop is a nuisance; common practice, no source
_LABELS = {
    LetterOutcome.BOOKED: f"booked within {WITHIN_DAYS} days",
    LetterOutcome.LATER: "asked for later",
    LetterOutcome.NO: "no, fine, or sold",
    LetterOutcome.STOP: "asked to stop",
    LetterOutcome.UNDELIVERABLE: "did not arrive",
    LetterOutcome.SILENT: "no answer",
}


@dataclass(frozen=True)
class CameItem:
    """A reminder or a job behind a figure: what it says, and where it opens."""

    kind: str
    text: str
    detail: str
    place: str
    item: int


@dataclass(frozen=True)
class CameFigure:
    """One figure with everything behind it."""

    label: str
    value: str
    items: tuple[CameItem, ...]
    look: bool = False


@dataclass(frozen=True)
class CameOfIt:
    """The figures of a period."""

    voice: tuple[str, ...]
    figures: tuple[CameFigure, ...]
    lives: tuple[tuple[str, str], ...]  # class and band, how long half of them held


def came_of_it(desk: Desk, day: date, days: int = PERIOD_DAYS) -> CameOfIt:
    """What came of the reminders that were sent in the days up to `day`."""
    since = day - timedelta(days=days)
    with desk.book.reading() as session:
        rows = letters.reminders(session, states=("sent", "answered"), sent_since=since)
        people = {row.customer_id: row for row in letters.people(session)}
        jobs = queries.jobs_booked(session, since)
        supplies = letters.protections(session)
    wrote = {row.id: people[row.customer_id] for row in rows}
    found = came_of(
        [
            SentLetter(row.id, wrote[row.id].household, row.sent_on, row.answer)
            for row in rows
            if row.sent_on is not None and row.sent_on <= day
        ],
        [
            BookedJob(
                row.job_id,
                row.household,
                row.booked_on,
                row.first_day,
                row.net,
                row.state == "done",
            )
            for row in jobs
        ],
    )
    sums = letter_sums(found)

    def figure(label: str, value: str, chosen: list[CameOf], look: bool = False) -> CameFigure:
        items = (_letter_item(one, wrote[one.letter.reminder], day) for one in reversed(chosen))
        return CameFigure(label, value, tuple(items), look)

    arrived = [one for one in found if one.outcome is not LetterOutcome.UNDELIVERABLE]
    figures = [figure("delivered", f"{sums.delivered} of {sums.sent}", arrived)]
    for outcome, label in _LABELS.items():
        chosen = [one for one in found if one.outcome is outcome]
        look = outcome is LetterOutcome.STOP and len(chosen) > NUISANCE * max(sums.delivered, 1)
        figures.append(figure(label, str(len(chosen)), chosen, look))
    money = partial(shown_money, currency=desk.settings.currency)
    brought = {job.job for one in found for job in one.jobs}
    job_items = tuple(
        CameItem(
            "Jobs",
            f"Job {row.number:04d}, {row.customer}",
            money(row.net) + ("" if row.state == "done" else ", to come"),
            "jobs",
            row.job_id,
        )
        for row in sorted(jobs, key=lambda row: -row.job_id)
        if row.job_id in brought
    )
    figures.append(CameFigure("earned on their jobs", money(sums.earned), job_items))
    return CameOfIt(
        _voice(sums.sent, sums.delivered, sums.counts[LetterOutcome.BOOKED], since, day),
        tuple(figures),
        _lives(desk, day, {row.supply_id: row.protection for row in supplies}),
    )


def _letter_item(one: CameOf, person: letters.PersonRow, day: date) -> CameItem:
    detail = f"{near(one.letter.sent_on, day)}, {_LABELS[one.outcome]}"
    return CameItem("Reminders", person.name, detail, "customers", person.customer_id)


def _voice(sent: int, delivered: int, booked: int, since: date, day: date) -> tuple[str, ...]:
    period = f"From {day_year(since)} to {day_year(day)}."
    if not sent:
        return (period, "No reminder was sent in this time.")
    share = f"{booked} of {delivered} that arrived brought a visit"
    return period, f"{share}; what was booked before the reminder went is not counted."


def _lives(desk: Desk, day: date, words: dict[int, str]) -> tuple[tuple[str, str], ...]:
    known = tuple(ProtectionClass)
    classes = {supply: ProtectionClass(word) for supply, word in words.items() if word in known}
    return tuple(
        (
            f"{one.protection_class}, {one.band} ({one.layers})",
            age_words(one.median_days) if one.median_days < float("inf") else "over half hold",
        )
        for one in lives_achieved(protection(desk, day).observations, classes)
    )
