"""Profit of any span of days, what is held for others, and the till: what a slip says besides."""

from __future__ import annotations

from datetime import date

from app.actions.costs.driving import driven_text, rates, unit_of, unit_word
from app.actions.costs.expenses import words_of_kind
from app.actions.day.till import differences
from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.calculations.figures import slip as slips
from app.calculations.figures.driving import worth_of
from app.calculations.figures.profit import Profit
from app.calculations.figures.slip import Held
from app.calculations.numbers.dates import day_month
from app.calculations.numbers.durations import shown_duration
from app.documents.papers.slip_sheet import SlipStep
from app.records.queries import expenses as queries
from app.records.queries import figures as figure_queries

_MOST = 3  # differences of the till that a slip names by their days


def profit_of(desk: Desk, first: date, last: date, earned: int) -> Profit:
    """The profit of these days, of which the work done in them earned so much."""
    with desk.book.reading() as session:
        used = figure_queries.supplies_by_day(session, first, last)
        minutes = figure_queries.minutes_worked(session, first, last)
        kinds = queries.by_kind(session, first, last)
        driven = queries.driven(session, first, last)
    return Profit(
        earned=earned,
        supplies=sum(used.values()),
        expenses=queries.costs_of(kinds),
        driving=worth_of(driven, rates(desk))[0],
        on_jobs=minutes[0],
        unpaid=minutes[1],
    )


def profit_steps(desk: Desk, found: Profit) -> tuple[SlipStep, ...]:
    """Each step from earned to profit, those that take away below zero; none that is nothing."""
    unit = unit_word(unit_of(desk))
    rows = [
        ("supplies used, at cost", -found.supplies),
        *((words_of_kind(kind).lower(), -amount) for kind, amount in found.expenses),
        (f"{unit} driven, at your rate", -found.driving),
    ]
    steps = [SlipStep("Earned: work done, before tax", found.earned, 0, found.earned, True)]
    for words, amount in rows:
        if amount:
            before = steps[-1].after
            steps.append(SlipStep(words, amount, before, before + amount))
    return (*steps, SlipStep("Profit", found.profit, 0, found.profit, True))


def an_hour_text(desk: Desk, found: Profit) -> str:
    """`Profit 8,240.00: 56.44 an hour of all 146 h, 54 h of them on no job.`"""
    if found.an_hour is None:
        return f"Profit {money(desk, found.profit)}; no hours are noted."
    unpaid = f", {shown_duration(found.unpaid)} of them on no job" if found.unpaid else ""
    an_hour = money(desk, round(found.an_hour))
    return (
        f"Profit {money(desk, found.profit)}: {an_hour} an hour of all "
        f"{shown_duration(found.minutes)} worked{unpaid}."
    )


def handed_on(
    desk: Desk, first: date, last: date, tax_before: int, tax: int
) -> tuple[tuple[str, Held], ...]:
    """What is held for others: tips until they are handed on, tax until it is paid over.

    `tax_before`: what counted before `first`; `tax`: what counted since, by the work or the money.
    """
    with desk.book.reading() as session:
        tips = queries.tips(session)
        tips_out, tax_out = (queries.went_of(session, kind) for kind in ("tips", "tax"))
    eve = date.fromordinal(first.toordinal() - 1)
    taxes = {eve: tax_before, first: tax}
    return (
        ("Tips, not handed on yet", slips.handed_on(tips, tips_out, first, last)),
        ("Tax, not paid over yet", slips.handed_on(taxes, tax_out, first, last)),
    )


def driving_notes(desk: Desk, first: date, last: date) -> tuple[str, ...]:
    """Whose rate driving is valued at; or that one is asked for."""
    with desk.book.reading() as session:
        driven = queries.driven(session, first, last)
    _worth, without = worth_of(driven, rates(desk))
    if not without:
        return ()
    way = f"{driven_text(desk, without)} {unit_word(unit_of(desk))}"
    return (f"{way} driven count nothing yet: say under Expenses what one is worth, and by whom.",)


def till_notes(desk: Desk, first: date, last: date) -> tuple[str, ...]:
    """`Cash counted: 12.00 less than should be there on 3 July.`; nothing where all was there."""
    found = differences(desk, first, last)
    if not found:
        return ()
    said = [
        f"{money(desk, abs(one.difference))} {'less' if one.difference < 0 else 'more'} than "
        f"should be there on {day_month(one.day)}"
        for one in found[-_MOST:]
    ]
    if len(found) > _MOST:
        rest = sum(one.difference for one in found[:-_MOST])
        said.insert(0, f"{money(desk, rest)} together before")
    return (f"Cash counted: {'; '.join(said)}.",)
