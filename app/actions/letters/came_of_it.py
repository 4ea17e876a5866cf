"""What came of the reminders of a period, and how long layers really held; each figure opens."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.actions.layers.life_page import age_words
from app.actions.layers.protection_state import protection
from app.calculations.layers.protection import ProtectionClass
from app.calculations.letters.came_of_letters import (
    WITHIN_DAYS,
    BookedJob,
    CameOf,
    Outcome,
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
    Outcome.BOOKED: f"booked within {WITHIN_DAYS} days",
    Outcome.LATER: "asked for later",
    Outcome.NO: "no, fine, or sold",
    Outcome.STOP: "asked to stop",
    Outcome.UNDELIVERABLE: "did not arrive",
    Outcome.SILENT: "no answer",
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

    since: date
    until: date
    title: str
    voice: tuple[str, ...]
    figures: tuple[CameFigure, ...]
    lives: tuple[tuple[str, str], ...]  # class and band, how long half of them held


def came_of_it(desk: Desk, day: date, days: int = PERIOD_DAYS) -> CameOfIt:
    """What came of the reminders that were sent in the days up to `day`."""
    since = day - timedelta(days=days)
    with desk.book.reading() as session:
        rows = [
            row
            for row in letters.reminders(session, states=("sent", "answered"), sent_since=since)
            if row.sent_on is not None and row.sent_on <= day
        ]
        people = {row.customer_id: row for row in letters.people(session)}
        jobs = queries.jobs_booked(session, since)
        supplies = letters.protections(session)
    names = {row.id: people[row.customer_id].name for row in rows}
    customers = {row.id: row.customer_id for row in rows}
    sent = [
        SentLetter(row.id, people[row.customer_id].household, row.sent_on or day, row.answer)
        for row in rows
    ]
    booked = [
        BookedJob(
            row.job_id, row.household, row.booked_on, row.first_day, row.net, row.state == "done"
        )
        for row in jobs
    ]
    found = came_of(sent, booked)
    sums = letter_sums(found)

    def behind(chosen: list[CameOf]) -> tuple[CameItem, ...]:
        return tuple(
            CameItem(
                "Reminders",
                names[one.letter.reminder],
                f"{near(one.letter.sent_on, day)}, {_LABELS[one.outcome]}",
                "customers",
                customers[one.letter.reminder],
            )
            for one in reversed(chosen)
        )

    currency = desk.settings.currency
    numbers = {row.job_id: row for row in jobs}
    brought = {job.job: job for one in found for job in one.jobs}
    job_items = tuple(
        CameItem(
            "Jobs",
            f"Job {numbers[number].number:04d}, {numbers[number].customer}",
            shown_money(job.net, currency) + ("" if job.done else ", to come"),
            "jobs",
            number,
        )
        for number, job in sorted(brought.items(), reverse=True)
    )
    arrived = [one for one in found if one.outcome is not Outcome.UNDELIVERABLE]
    figures = [CameFigure("delivered", f"{sums.delivered} of {sums.sent}", behind(arrived))]
    for outcome, label in _LABELS.items():
        chosen = [one for one in found if one.outcome is outcome]
        look = outcome is Outcome.STOP and len(chosen) > NUISANCE * max(sums.delivered, 1)
        figures.append(CameFigure(label, str(len(chosen)), behind(chosen), look))
    figures.append(
        CameFigure("earned on their jobs", shown_money(sums.earned, currency), job_items)
    )
    return CameOfIt(
        since,
        day,
        "What came of the reminders",
        _voice(sums.sent, sums.delivered, sums.counts[Outcome.BOOKED], since, day),
        tuple(figures),
        _lives(desk, day, {row.supply_id: row.protection for row in supplies}),
    )


def _voice(sent: int, delivered: int, booked: int, since: date, day: date) -> tuple[str, ...]:
    period = f"From {day_year(since)} to {day_year(day)}."
    if not sent:
        return (period, "No reminder was sent in this time.")
    share = f"{booked} of {delivered} that arrived brought a visit"
    return (
        period,
        f"{share}; what was booked before the reminder went is not counted.",
    )


def _lives(desk: Desk, day: date, words: dict[int, str]) -> tuple[tuple[str, str], ...]:
    known = {word.value for word in ProtectionClass}
    classes = {supply: ProtectionClass(word) for supply, word in words.items() if word in known}
    return tuple(
        (
            f"{one.protection_class}, {one.band} ({one.layers})",
            age_words(one.median_days) if one.median_days < float("inf") else "over half hold",
        )
        for one in lives_achieved(protection(desk, day).observations, classes)
    )
