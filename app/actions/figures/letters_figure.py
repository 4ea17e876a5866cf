"""What the letters of a period brought: sent, answered, booked, done and earned."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

from app.actions.desk.desk import Desk
from app.calculations.letters.came_of_letters import (
    WITHIN_DAYS,
    BookedJob,
    CameOf,
    LetterOutcome,
    SentLetter,
    came_of,
    letter_sums,
)
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.wording import capital, count_of, counted
from app.records.queries import came_of as queries

# What an answer that brought no visit is called under its step.
_LOST = {
    LetterOutcome.LATER: "later",
    LetterOutcome.NO: "no",
    LetterOutcome.STOP: "stop",
}


@dataclass(frozen=True)
class LetterStep:
    """How many letters came so far, who got them, and what became of those that went no further."""

    name: str
    count: int
    customers: tuple[int, ...]
    lost: tuple[tuple[int, str], ...] = ()  # (how many, in a word)


@dataclass(frozen=True)
class LetterFigure:
    """The four steps of the letters; `earned` by the jobs that they brought, minor units."""

    finding: str
    steps: tuple[LetterStep, ...] = ()
    earned: int = 0
    voice: str = ""
    facts: tuple[tuple[str, str], ...] = ()


def letters_figure(desk: Desk, first: date, last: date) -> LetterFigure:
    """The letters sent from `first` to `last`, both included, as far as they came until now."""
    with desk.book.reading() as session:
        # A later letter may have brought the visit: then it is not an earlier one's doing.
        until = last + timedelta(days=WITHIN_DAYS)
        rows = queries.letters_between(session, first, until)
        jobs = queries.jobs_booked(session, first, until) if rows else []
    wrote = {row.reminder_id: row.customer_id for row in rows}
    sent = [SentLetter(row.reminder_id, row.household, row.sent_on, row.answer) for row in rows]
    found = came_of(
        sent,
        [
            BookedJob(row.job_id, row.household, row.booked_on, row.first_day, row.net,
                      row.state == "done")
            for row in jobs
        ],
    )  # fmt: skip
    found = [one for one in found if one.letter.sent_on <= last]
    if not found:
        return LetterFigure("No letter was sent in this time.")
    return _figure(found, wrote, desk.settings.currency, desk.today)


def _figure(found: list[CameOf], wrote: dict[int, int], currency: str, today: date) -> LetterFigure:
    quiet = [one for one in found if one.outcome is LetterOutcome.SILENT]
    since = today - timedelta(days=WITHIN_DAYS)
    waiting = [one for one in quiet if one.letter.sent_on > since]
    silent = [one for one in quiet if one.letter.sent_on <= since]
    returned = [one for one in found if one.outcome is LetterOutcome.UNDELIVERABLE]
    no_word = (LetterOutcome.SILENT, LetterOutcome.UNDELIVERABLE)
    answered = [one for one in found if one.outcome not in no_word]
    booked = [one for one in answered if one.outcome is LetterOutcome.BOOKED]
    done = [one for one in booked if any(job.done for job in one.jobs)]
    sums = letter_sums(found)

    def step(name: str, came: list[CameOf], *lost: tuple[int, str]) -> LetterStep:
        people = dict.fromkeys(wrote[one.letter.reminder] for one in came)
        return LetterStep(name, len(came), tuple(people), tuple(one for one in lost if one[0]))

    steps = (
        step("sent", found, (len(silent), "silent"), (len(waiting), "no answer yet"),
             (len(returned), "not delivered")),
        step("answered", answered, *((sums.counts[one], word) for one, word in _LOST.items())),
        step("booked", booked, (len(booked) - len(done), "to come")),
        step("done", done),
    )  # fmt: skip
    brought = count_of(len(booked), "booking") if booked else "no booking"
    if waiting and not booked:
        brought += " yet"
    finding = f"{capital(count_of(len(found), 'letter'))} brought {brought}."
    money = partial(shown_money, currency=currency)
    facts = [("Letters", str(len(found)))]
    facts += [(word.capitalize(), f"−{count}") for one in steps[:2] for count, word in one.lost]
    facts += [("Booked", str(len(booked))), ("Earned by them", money(sums.earned))]
    facts.append(("Earned a letter", money(round(sums.earned / len(found)))))
    return LetterFigure(finding, steps, sums.earned, _voice(steps), tuple(facts))


def _voice(steps: tuple[LetterStep, ...]) -> str:
    sent, answered, booked, done = (one.count for one in steps)
    said = (
        f"Of {count_of(sent, 'letter')}, {answered} {'was' if answered == 1 else 'were'} answered"
    )
    said += f", {booked} of them by a booking within {WITHIN_DAYS} days." if booked else "."
    if booked > done:
        still = booked - done
        said += f" {capital(counted(still))} of those {'is' if still == 1 else 'are'} to come."
    return said
