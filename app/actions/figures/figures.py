"""The Figures place: what the work earned and took, and which jobs stand behind each number."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from functools import lru_cache, partial
from typing import TypeVar

from app.actions.desk.desk import Desk
from app.actions.figures.figure_parts import (
    MoneyFigure,
    SupplyFigure,
    money_figure,
    month_after,
    months_back,
    supplies_figure,
)
from app.actions.figures.hours_ahead import AheadFigure, ahead_figure
from app.actions.figures.kinds import KindBar, KindFigure, hours_figure, services_figure
from app.actions.figures.letters_figure import LetterFigure, letters_figure
from app.actions.figures.profits import profit_of
from app.actions.figures.referrals_figure import ReferralBar, ReferralFigure, referrals_figure
from app.calculations.figures import figures as pure
from app.calculations.numbers import tax
from app.calculations.numbers.dates import day_year, weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.wording import count_of
from app.records.queries import figures as queries
from app.records.queries import stock as stock_queries
from app.records.queries.figures import DoneJob

PERIODS = ("year", "month", "week")
Mark = TypeVar("Mark")  # a bar or a point of a figure


@dataclass(frozen=True, kw_only=True)
class Figures:
    """The figures of money and of jobs, the margin's facts and what stands behind the page."""

    title: str
    first: date
    last: date
    currency: str
    money: MoneyFigure
    services: KindFigure
    hours: KindFigure
    supplies: SupplyFigure
    facts: tuple[tuple[str, str], ...]
    voice: tuple[str, ...]
    reconciliation: tuple[tuple[str, str], ...]
    behind: str
    jobs: tuple[DoneJob, ...]


@dataclass(frozen=True)
class MoreFigures:
    """The figures of the second page: of the same period, the hours from today on."""

    letters: LetterFigure
    referrals: ReferralFigure
    ahead: AheadFigure


@dataclass(frozen=True)
class FigureTable:
    """A figure's numbers as a table: heads, rows of text, and the jobs behind each row.

    `of`: what the ids behind it are of: jobs, customers, supplies or suppliers.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    jobs: tuple[tuple[int, ...], ...]
    of: str = "jobs"


def period_bounds(kind: str, last: date) -> tuple[date, date]:
    """The first and last day of the year, month or week that ends with (or holds) `last`.

    A year is the twelve months up to and with that of `last`; a week runs from Monday.
    """
    if kind == "week":
        first = last - timedelta(days=last.weekday())
        return first, first + timedelta(days=6)
    month = last.replace(day=1)
    if kind == "month":
        return month, month_after(month) - timedelta(days=1)
    return months_back(month, 12), month_after(month) - timedelta(days=1)


def step(kind: str, last: date, by: int) -> date:
    """The `last` that stands `by` periods later (earlier when negative)."""
    if kind == "week":
        return last + timedelta(days=7 * by)
    month = last.replace(day=1)
    return months_back(month, -by if kind == "month" else -12 * by)


def figures(desk: Desk, kind: str, last: date) -> Figures:
    """The figures of the first page, of the year, month or week that holds `last`."""
    first, end = period_bounds(kind, last)
    with desk.book.reading() as session:
        jobs = queries.done_jobs(session, first, end)
        credited = queries.credited_by_day(session, first, end)
        received = queries.received_by_day(session, first, end)
        spent = queries.supplies_by_day(session, first, end)
        costs = queries.cost_by_supply(session, first, end)
        closed = queries.closed_days(session, first, end)
        came, more_for_done = queries.received_for_jobs(session, first, end)
        loose = queries.received_without_job(session, first, end)
        then = _year_before(first, end)
        # The bars of a year stand beside whole months of the year before, which begin earlier.
        began = months_back(first, 12) if kind == "year" else then[0]
        earned_before = queries.earned_by_day(session, began, then[1])
        used_then = sum(queries.supplies_by_day(session, *then).values())
    by_day_then = {day: sum_ for day, sum_ in earned_before.items() if day >= then[0]}
    months_before = (
        {day: sum_ for day, sum_ in earned_before.items() if day < first} if kind == "year" else {}
    )
    currency = desk.settings.currency
    money = partial(shown_money, currency=currency)
    earned = sum(job.earned for job in jobs) - sum(net for net, _ in credited.values())
    used = sum(spent.values())
    profit = profit_of(desk, first, end, earned)
    beside = (("Expenses", profit.spent), ("Driven", profit.driving))
    facts = [
        ("Earned", money(earned)),
        ("Supplies used", money(used)),
        *((words, money(amount)) for words, amount in beside if amount),
        ("Profit", money(profit.profit)),
        ("Hours worked", shown_duration(profit.minutes)),
    ]
    if profit.an_hour is not None:
        facts.append(("Profit an hour of all work", money(round(profit.an_hour))))
    back = sum(tax for _, tax in credited.values())
    slip = _reconciled(earned, jobs, back, received, came, more_for_done, loose)
    unrecorded = sum(1 for job in jobs if not job.recorded)
    # Less than all of that time in the book is no time to compare with.
    whole = bool(by_day_then) and min(by_day_then) <= then[0] + timedelta(days=6)
    earned_then = sum(by_day_then.values()) if whole else 0
    voice = [_share_voice(earned, used, earned_then, used_then)]
    if unrecorded:
        jobs_have = count_of(unrecorded, "job has", "jobs have")
        voice.append(f"{jobs_have} no supplies recorded; their cost is missing, not zero.")
    return Figures(
        title=_title(kind, first, end, desk.today),
        first=first,
        last=end,
        currency=currency,
        money=money_figure(
            kind,
            first,
            end,
            desk.today,
            jobs,
            received,
            spent,
            closed,
            currency,
            months_before,
            {day: net for day, (net, _) in credited.items()},
        ),
        services=services_figure(jobs, currency),
        hours=hours_figure(jobs),
        supplies=supplies_figure(costs, currency),
        facts=tuple(facts),
        voice=tuple(text for text in voice if text),
        reconciliation=tuple(_slip_facts(slip, currency)),
        behind=(
            f"{count_of(len(jobs), 'job')} and {count_of(len(closed), 'closed day')} "
            "stand behind it."
        ),
        jobs=tuple(jobs),
    )


def more_figures(desk: Desk, shown: Figures) -> MoreFigures:
    """The figures of the second page, of the time of the first."""
    with desk.book.reading() as session:
        sources = queries.sources_of(session, shown.first, shown.last)
    return MoreFigures(
        letters_figure(desk, shown.first, shown.last),
        referrals_figure(shown.jobs, sources, shown.first, shown.currency),
        ahead_figure(desk, desk.today),
    )


def table(desk: Desk, shown: Figures, number: int) -> FigureTable:
    """Figure `number` (1 to 4) as a table, each row with the jobs that make it."""
    money = partial(shown_money, currency=shown.currency)
    if number == 1:
        return _table(
            ("Period", "Jobs", "Earned", "Received", "Supplies", "Left"),
            shown.money.bars,
            lambda bar: (
                bar.label,
                str(len(bar.job_ids)),
                money(bar.earned),
                money(bar.received),
                money(bar.supplies),
                money(bar.earned - bar.supplies),
            ),
            lambda bar: bar.job_ids,
        )
    if number == 2:
        return _by_kind("Left an hour", shown.services, lambda left: money(round(left)))
    if number == 3:
        return _by_kind("Worked\n÷ expected", shown.hours, lambda ratio: f"{ratio:.2f}")
    with desk.book.reading() as session:
        ids = [bar.supply_id for bar in shown.supplies.bars if bar.supply_id is not None]
        behind = queries.jobs_of_supplies(session, ids, shown.first, shown.last)
    return _table(
        ("Supply", "Cost", "Share", "Running"),
        shown.supplies.parts,
        lambda bar: (bar.name, money(bar.cost), f"{bar.share:.0f} %", f"{bar.running:.0f} %"),
        lambda bar: tuple(behind.get(bar.supply_id or -1, ())),
    )


def more_table(shown: Figures, more: MoreFigures, number: int) -> FigureTable:
    """Figure `number` (5 to 7) as a table, each row with the jobs or customers that make it."""
    money = partial(shown_money, currency=shown.currency)
    if number == 5:
        steps = more.letters.steps
        lost = (", ".join(f"{count} {word}" for count, word in one.lost) for one in steps)
        rows = tuple(
            (one.name, str(one.count), some) for one, some in zip(steps, lost, strict=True)
        )
        whom = tuple(one.customers for one in steps)
        return FigureTable(("Letters", "How many", "Ended here"), rows, whom, "customers")
    if number == 6:

        def cells(bar: ReferralBar) -> tuple[str, ...]:
            counts = str(bar.customers), str(bar.new), str(len(bar.job_ids))
            return bar.name, *counts, money(bar.earned)

        heads = ("Sent by", "Customers", "New", "Jobs", "Earned")
        return _table(heads, more.referrals.parts, cells, lambda bar: bar.job_ids)
    return _table(
        ("Day", "Jobs", "Booked", "Open", "Free"),
        more.ahead.days,
        lambda one: (
            weekday_day(one.day),
            str(len(more.ahead.jobs.get(one.day, ()))),
            shown_duration(one.booked),
            shown_duration(one.open_minutes),
            shown_duration(max(0, one.open_minutes - one.booked)),
        ),
        lambda one: more.ahead.jobs.get(one.day, ()),
    )


def _by_kind(head: str, figure: KindFigure, told: Callable[[float], str]) -> FigureTable:
    """The kinds of job with the middle and the span of one number."""

    def cells(bar: KindBar) -> tuple[str, ...]:
        return bar.name, str(bar.jobs), told(bar.middle), told(bar.low), told(bar.high)

    heads = ("Kind of job", "Jobs", head, "Four in five\nfrom", "\nto")
    return _table(heads, figure.kinds, cells, lambda bar: bar.job_ids)


def _table(
    heads: tuple[str, ...],
    marks: Iterable[Mark],
    cells: Callable[[Mark], tuple[str, ...]],
    jobs: Callable[[Mark], tuple[int, ...]],
) -> FigureTable:
    """One row for each mark of a figure."""
    pairs = [(cells(mark), jobs(mark)) for mark in marks]
    return FigureTable(heads, tuple(row for row, _ in pairs), tuple(ids for _, ids in pairs))


def behind(desk: Desk, table: FigureTable, row: int) -> tuple[tuple[int, str], ...]:
    """(id, how it is called) of what stands behind a row, the newest job first."""
    ids = list(table.jobs[row])
    with desk.book.reading() as session:
        if table.of == "customers":
            return tuple(queries.names_of(session, ids))
        if table.of == "suppliers":
            known = stock_queries.suppliers(session)
            return tuple((one, known[one].name) for one in ids if one in known)
        if table.of == "supplies":
            names = stock_queries.supplies(session)
            return tuple((one, names[one].name) for one in ids if one in names)
        labels = queries.job_labels(session, ids)
    return tuple((job, f"{number:04d} {customer}".strip()) for job, number, customer, _ in labels)


def _reconciled(
    earned: int,
    jobs: list[DoneJob],
    tax_back: int,
    received: dict[date, int],
    came: int,
    more_for_done: int,
    loose: int,
) -> pure.Reconciliation:
    """Earned against received, with what is owed and the deposits in between; of credit notes the
    tax back.

    `came` for jobs in the period, `more_for_done` than before for jobs that were done by its end:
    the rest of what came is held for open ones. A done job that was overpaid owes less than
    nothing; that stays within receivables.
    """
    taxes = sum(_tax(job.tax_by_rate) for job in jobs) - tax_back
    return pure.Reconciliation(
        earned,
        taxes,
        sum(received.values()),
        earned + taxes - more_for_done,
        came - more_for_done + loose,
    )


def _slip_facts(slip: pure.Reconciliation, currency: str) -> list[tuple[str, str]]:
    money = partial(shown_money, currency=currency)
    facts = [
        ("Earned before tax", money(slip.earned)),
        ("Tax on it", money(slip.tax)),
        (
            "Paid of earlier work" if slip.owed_change < 0 else "Still owed",
            money(-slip.owed_change),
        ),
        (
            "Deposits used up" if slip.deposits_change < 0 else "Deposits taken",
            money(slip.deposits_change),
        ),
        ("Received", money(slip.received)),
    ]
    if slip.residue:
        facts.append(("Does not add up by", money(slip.residue)))
    return facts


def _tax(net_by_rate: tuple[tuple[int, int], ...]) -> int:
    """Tax per rate on a job's sums (EN 16931); rates come in thousandths of a percent."""
    return sum(_tax_at(rate, net) for rate, net in net_by_rate if rate)


@lru_cache(maxsize=50_000)  # a shop's prices repeat, and ten years hold many jobs
def _tax_at(rate: int, net: int) -> int:
    return tax.totals([tax.TaxedLine(net, Fraction(rate, 1000))], tax.Rounding.ON_TOTAL).tax


def _share_voice(earned: int, used: int, earned_then: int, used_then: int) -> str:
    """Supply cost in a hundred earned, and what it was a year ago."""
    if earned <= 0:
        return ""
    now = f"Supplies cost {100 * used / earned:.0f} in every 100 earned."
    if earned_then <= 0:
        return now
    return f"{now} A year before it was {100 * used_then / earned_then:.0f}."


def _title(kind: str, first: date, last: date, today: date) -> str:
    end = "today" if first <= today <= last else day_year(last)
    return f"{first:%B %Y} to {end}" if kind == "year" else f"{day_year(first)} to {end}"


def _year_before(first: date, last: date) -> tuple[date, date]:
    return first - timedelta(days=364), last - timedelta(days=364)
