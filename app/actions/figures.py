"""The Figures place: what the work earned and took, and which jobs stand behind each number."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from app.actions.desk import Desk
from app.calculations import figures as pure
from app.calculations import tax
from app.calculations.dates import day_year, weekday_day
from app.calculations.entries import shown_duration
from app.calculations.money import shown_money
from app.records.queries import figures as queries
from app.records.queries.figures import DoneJob

PERIODS = ("year", "month", "week")
MOST_KINDS = 7  # of job that the figure draws; the others are the rarest
FEW_JOBS = 5  # below it a service is drawn hollow and dashed: few jobs, worth a look


@dataclass(frozen=True)
class Bar:
    """One month, day or week of the money figure; minor units."""

    label: str
    first: date
    last: date
    earned: int
    received: int
    supplies: int
    jobs: int
    guess: pure.Guess | None = None


@dataclass(frozen=True)
class MoneyFigure:
    """Revenue earned with supply cost, bar by bar."""

    finding: str
    bars: tuple[Bar, ...]
    best: int | None  # index of the bar that earned most


@dataclass(frozen=True)
class ServiceBar:
    """What an hour of one kind of job leaves, after supplies; minor units."""

    name: str
    jobs: int
    middle: float
    low: float
    high: float
    few: bool
    job_ids: tuple[int, ...]


@dataclass(frozen=True)
class ServiceFigure:
    """Kinds of job, the best earner of an hour first, with the middle of all jobs."""

    finding: str
    bars: tuple[ServiceBar, ...]
    all_jobs: float | None


@dataclass(frozen=True)
class HoursPoint:
    """One job's minutes, expected and worked."""

    job_id: int
    number: int
    expected: int
    worked: int
    over: bool  # more than 15 % over
    why: str


@dataclass(frozen=True)
class HoursFigure:
    """Hours expected against hours worked, the last jobs of the period."""

    finding: str
    points: tuple[HoursPoint, ...]


@dataclass(frozen=True)
class SupplyBar:
    """What one supply cost in the period, its share and the running share in percent."""

    supply_id: int | None  # none for the others together
    name: str
    cost: int
    share: float
    running: float


@dataclass(frozen=True)
class SupplyFigure:
    """Supply cost, the dearest first; few make most of it."""

    finding: str
    bars: tuple[SupplyBar, ...]


@dataclass(frozen=True)
class Figures:
    """All four figures of a period, the margin's facts and what stands behind the page."""

    title: str
    first: date
    last: date
    currency: str
    money: MoneyFigure
    services: ServiceFigure
    hours: HoursFigure
    supplies: SupplyFigure
    facts: tuple[tuple[str, str], ...]
    voice: tuple[str, ...]
    reconciliation: tuple[tuple[str, str], ...]
    behind: str


@dataclass(frozen=True)
class Table:
    """A figure's numbers as a table: heads, rows of text, and the jobs behind each row."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    jobs: tuple[tuple[int, ...], ...]


def period_bounds(kind: str, last: date) -> tuple[date, date]:
    """The first and last day of the year, month or week that ends with (or holds) `last`.

    A year is the twelve months up to and with that of `last`; a week runs from Monday.
    """
    if kind == "week":
        first = last - timedelta(days=last.weekday())
        return first, first + timedelta(days=6)
    month = last.replace(day=1)
    if kind == "month":
        return month, _month_after(month) - timedelta(days=1)
    return _months_back(month, 12), _month_after(month) - timedelta(days=1)


def step(kind: str, last: date, by: int) -> date:
    """The `last` that stands `by` periods later (earlier when negative)."""
    if kind == "week":
        return last + timedelta(days=7 * by)
    month = last.replace(day=1)
    return _months_back(month, -by if kind == "month" else -12 * by)


def figures(desk: Desk, kind: str, last: date) -> Figures:
    """All figures of the year, month or week that holds `last`."""
    first, end = period_bounds(kind, last)
    today = desk.today
    with desk.book.reading() as session:
        jobs = queries.done_jobs(session, first, end)
        received = queries.received_by_day(session, first, end)
        spent = queries.supplies_by_day(session, first, end)
        costs = queries.cost_by_supply(session, first, end)
        on_jobs, on_shop = queries.minutes_worked(session, first, end)
        closed = queries.closed_days(session, first, end)
        before = queries.standings(session, first - timedelta(days=1))
        after = queries.standings(session, end)
        loose = queries.received_without_job(session, first, end)
        year_ago = queries.done_jobs(session, *_year_before(first, end))
        spent_year_ago = queries.supplies_by_day(session, *_year_before(first, end))
    currency = desk.settings.currency
    money = _money(kind, first, end, today, jobs, received, spent, closed, currency)
    earned, used = sum(job.earned for job in jobs), sum(spent.values())
    minutes = on_jobs + on_shop
    left_an_hour = pure.per_hour(earned, used, minutes)
    facts = [
        ("Earned", shown_money(earned, currency)),
        ("Supplies used", shown_money(used, currency)),
        ("Left", shown_money(earned - used, currency)),
        ("Hours worked", shown_duration(minutes)),
    ]
    if left_an_hour is not None:
        facts.append(("A working hour left", shown_money(round(left_an_hour), currency)))
    reconciled = _reconcile(desk, jobs, received, before, after, loose)
    unrecorded = sum(1 for job in jobs if not job.recorded)
    voice = [_share_voice(earned, used, year_ago, spent_year_ago)]
    if unrecorded:
        noun = "job has" if unrecorded == 1 else "jobs have"
        voice.append(f"{unrecorded} {noun} no supplies recorded; their cost is missing, not zero.")
    return Figures(
        _title(kind, first, end, today),
        first,
        end,
        currency,
        money,
        _services(jobs),
        _hours(jobs),
        _supplies(costs),
        tuple(facts),
        tuple(text for text in voice if text),
        tuple(reconciled),
        f"{_count(len(jobs), 'job')} and {_count(len(closed), 'closed day')} stand behind it.",
    )


def table(desk: Desk, shown: Figures, number: int) -> Table:
    """Figure `number` (1 to 4) as a table, each row with the jobs that make it."""
    currency = shown.currency
    if number == 1:
        with desk.book.reading() as session:
            jobs = queries.done_jobs(session, shown.first, shown.last)
        return Table(
            ("Period", "Jobs", "Earned", "Received", "Supplies", "Left"),
            tuple(
                (
                    bar.label,
                    str(bar.jobs),
                    shown_money(bar.earned, currency),
                    shown_money(bar.received, currency),
                    shown_money(bar.supplies, currency),
                    shown_money(bar.earned - bar.supplies, currency),
                )
                for bar in shown.money.bars
            ),
            tuple(
                tuple(job.job_id for job in jobs if bar.first <= job.done_on <= bar.last)
                for bar in shown.money.bars
            ),
        )
    if number == 2:
        return Table(
            ("Kind of job", "Jobs", "Left an hour", "Four in five from", "to"),
            tuple(
                (
                    bar.name,
                    str(bar.jobs),
                    shown_money(round(bar.middle), currency),
                    shown_money(round(bar.low), currency),
                    shown_money(round(bar.high), currency),
                )
                for bar in shown.services.bars
            ),
            tuple(bar.job_ids for bar in shown.services.bars),
        )
    if number == 3:
        return Table(
            ("Job", "Expected", "Worked", "Over", "Why"),
            tuple(
                (
                    f"{point.number:04d}",
                    shown_duration(point.expected),
                    shown_duration(point.worked),
                    f"{100 * (pure.drift(point.expected, point.worked) or 0):+.0f} %",
                    point.why,
                )
                for point in shown.hours.points
            ),
            tuple((point.job_id,) for point in shown.hours.points),
        )
    with desk.book.reading() as session:
        behind = {
            bar.supply_id: tuple(
                queries.jobs_of_supply(session, bar.supply_id, shown.first, shown.last)
            )
            for bar in shown.supplies.bars
            if bar.supply_id is not None
        }
    return Table(
        ("Supply", "Cost", "Share", "Running"),
        tuple(
            (
                bar.name,
                shown_money(bar.cost, currency),
                f"{bar.share:.0f} %",
                f"{bar.running:.0f} %",
            )
            for bar in shown.supplies.bars
        ),
        tuple(
            behind.get(bar.supply_id, ()) if bar.supply_id is not None else ()
            for bar in shown.supplies.bars
        ),
    )


def jobs_behind(desk: Desk, job_ids: Iterable[int]) -> tuple[tuple[int, str], ...]:
    """(job id, number with customer) of the jobs behind a number, the newest first."""
    with desk.book.reading() as session:
        labels = queries.job_labels(session, list(job_ids))
    return tuple((job, f"{number:04d} {customer}".strip()) for job, number, customer, _ in labels)


def _money(
    kind: str,
    first: date,
    last: date,
    today: date,
    jobs: list[DoneJob],
    received: dict[date, int],
    spent: dict[date, int],
    closed: list[date],
    currency: str,
) -> MoneyFigure:
    """Bars by month in a year, by day in a month or a week."""
    bars = []
    for label, start, end in _bar_bounds(kind, first, last):
        bars.append(
            Bar(
                label,
                start,
                end,
                sum(job.earned for job in jobs if start <= job.done_on <= end),
                _within(received, start, end),
                _within(spent, start, end),
                sum(1 for job in jobs if start <= job.done_on <= end),
            )
        )
    if kind == "year" and bars and bars[-1].first <= today < bars[-1].last:
        bars[-1] = _with_guess(bars[-1], today, jobs, closed)
    best = max(range(len(bars)), key=lambda i: bars[i].earned, default=None)
    if best is None or bars[best].earned == 0:
        return MoneyFigure("Nothing is earned yet in this time.", tuple(bars), None)
    whole = shown_money(bars[best].earned // 100 * 100, currency).removesuffix(".00")
    noun = {"year": "month", "month": "day", "week": "day"}[kind]
    when = f"{bars[best].first:%B}" if kind == "year" else weekday_day(bars[best].first)
    return MoneyFigure(f"{when} earned {whole}, the best {noun} here.", tuple(bars), best)


def _with_guess(bar: Bar, today: date, jobs: list[DoneJob], closed: list[date]) -> Bar:
    """The running month with what it is likely to come to, from earlier months' pace."""
    workdays = [d for d in _days(bar.first, bar.last) if d.weekday() < 5]
    done = sum(1 for d in workdays if d <= today)
    past = []
    month = _months_back(bar.first, 1)
    for _ in range(11):
        days = [d for d in _days(month, _month_after(month) - timedelta(days=1)) if d.weekday() < 5]
        whole = sum(job.earned for job in jobs if days[0] <= job.done_on <= days[-1])
        until = days[min(done, len(days)) - 1] if done else days[0]
        part = sum(job.earned for job in jobs if days[0] <= job.done_on <= until)
        if any(days[0] <= d <= days[-1] for d in closed):
            past.append((part, whole, len(days)))
        month = _months_back(month, 1)
    guess = pure.month_end(bar.earned, done, len(workdays), past)
    return Bar(**{**bar.__dict__, "guess": guess})


def _services(jobs: list[DoneJob]) -> ServiceFigure:
    """Money left per hour, by kind of job: the services sold together."""
    groups: dict[str, list[tuple[int, float]]] = {}
    for job in jobs:
        left = pure.per_hour(job.earned, job.supplies, job.minutes)
        if left is not None and job.recorded:
            name = ", ".join(job.services) or job.title or "other work"
            groups.setdefault(name, []).append((job.job_id, left))
    bars = []
    for name, members in groups.items():
        seen = pure.span([left for _, left in members])
        assert seen is not None
        bars.append(
            ServiceBar(
                name,
                seen.n,
                seen.middle,
                seen.low,
                seen.high,
                seen.n < FEW_JOBS,
                tuple(job_id for job_id, _ in members),
            )
        )
    bars = sorted(bars, key=lambda bar: -bar.jobs)[:MOST_KINDS]
    bars.sort(key=lambda bar: (bar.few, -bar.middle))
    everything = pure.span([left for members in groups.values() for _, left in members])
    if not bars:
        return ServiceFigure("No job with hours and supplies is done yet.", (), None)
    finding = f"{bars[0].name[:1].upper()}{bars[0].name[1:]} earns most an hour."
    return ServiceFigure(finding, tuple(bars), everything.middle if everything else None)


def _hours(jobs: list[DoneJob], most: int = 25) -> HoursFigure:
    """The last jobs' hours; the finding is their median drift."""
    points = []
    for job in jobs:
        over = pure.drift(job.expected_minutes, job.minutes)
        if over is not None and job.minutes > 0:
            points.append(
                HoursPoint(
                    job.job_id,
                    job.number,
                    job.expected_minutes,
                    job.minutes,
                    over > 0.15,
                    job.drift_reason,
                )
            )
    points = points[-most:]
    middle = pure.span([pure.drift(p.expected, p.worked) or 0.0 for p in points])
    if middle is None:
        return HoursFigure("No job with expected hours is done yet.", ())
    if middle.n < FEW_JOBS:
        return HoursFigure(f"{_count(middle.n, 'job')}: too few for a middle.", tuple(points))
    percent = round(100 * middle.middle)
    if percent == 0:
        return HoursFigure("Jobs take the hours you expect.", tuple(points))
    side = "over" if percent > 0 else "under"
    return HoursFigure(f"Jobs run {abs(percent)} % {side} what you expect.", tuple(points))


def _supplies(costs: list[tuple[int, str, int, int]], most: int = 8) -> SupplyFigure:
    """The dearest supplies one by one, the others together."""
    spent = [row for row in costs if row[2] > 0]
    if not spent:
        return SupplyFigure("No supply is used yet in this time.", ())
    parts = [cost for _, _, cost, _ in spent[:most]]
    rest = [cost for _, _, cost, _ in spent[most:]]
    shares = pure.running_shares([*parts, sum(rest)] if rest else parts)
    bars = [
        SupplyBar(supply, name, share.part, share.share, share.running)
        for (supply, name, _, _), share in zip(spent, shares, strict=False)
    ][:most]
    if rest:
        last = shares[-1]
        noun = "1 other" if len(rest) == 1 else f"{len(rest)} others"
        bars.append(SupplyBar(None, noun, last.part, last.share, last.running))
    first = bars[0]
    return SupplyFigure(f"{first.name} is {first.share:.0f} % of all supply cost.", tuple(bars))


def _reconcile(
    desk: Desk,
    jobs: list[DoneJob],
    received: dict[date, int],
    before: list[queries.Standing],
    after: list[queries.Standing],
    loose: int,
) -> list[tuple[str, str]]:
    """Earned against received, with what is owed and the deposits in between, as facts."""
    currency = desk.settings.currency
    earned = sum(job.earned for job in jobs)
    taxes = sum(_tax(desk, job.tax_by_rate) for job in jobs)
    owed_before, held_before = _owed_and_held(desk, before)
    owed_after, held_after = _owed_and_held(desk, after)
    slip = pure.Reconciliation(
        earned,
        taxes,
        sum(received.values()),
        owed_after - owed_before,
        held_after - held_before + loose,
    )
    facts = [
        ("Earned before tax", shown_money(slip.earned, currency)),
        ("Tax on it", shown_money(slip.tax, currency)),
        ("Less what is still owed", shown_money(-slip.owed_change, currency)),
        ("Deposits, more or less", shown_money(slip.deposits_change, currency)),
        ("Received", shown_money(slip.received, currency)),
    ]
    if slip.residue:
        facts.append(("Does not add up by", shown_money(slip.residue, currency)))
    return facts


def _owed_and_held(desk: Desk, standings: list[queries.Standing]) -> tuple[int, int]:
    """(receivables, deposits) in minor units: what done jobs still owe; what open jobs hold.

    A done job that was overpaid owes less than nothing; that stays within receivables.
    """
    owed = held = 0
    for standing in standings:
        if standing.done_on is None:
            held += standing.received
        else:
            net = sum(amount for _, amount in standing.net_by_rate)
            owed += net + _tax(desk, standing.net_by_rate) - standing.received
    return owed, held


def _tax(desk: Desk, net_by_rate: Iterable[tuple[int, int]]) -> int:
    """Tax on sums per rate, by the shop's rule; rates come in thousandths of a percent."""
    lines = [tax.Line(net, Fraction(rate, 1000)) for rate, net in net_by_rate if rate]
    return tax.totals(lines, tax.Rule.ON_TOTAL).tax if lines else 0


def _share_voice(
    earned: int, used: int, year_ago: list[DoneJob], spent_year_ago: dict[date, int]
) -> str:
    """Supply cost in a hundred earned, and what it was a year ago."""
    if earned <= 0:
        return ""
    now = f"Supplies cost {100 * used / earned:.0f} in every 100 earned."
    then = sum(job.earned for job in year_ago)
    if then <= 0:
        return now
    return f"{now} A year before it was {100 * sum(spent_year_ago.values()) / then:.0f}."


def _title(kind: str, first: date, last: date, today: date) -> str:
    end = "today" if first <= today <= last else day_year(last)
    return f"{first:%B %Y} to {end}" if kind == "year" else f"{day_year(first)} to {end}"


def _bar_bounds(kind: str, first: date, last: date) -> list[tuple[str, date, date]]:
    if kind != "year":
        return [
            (f"{d:%a} {d.day}" if kind == "week" else str(d.day), d, d) for d in _days(first, last)
        ]
    bounds = []
    month = first
    while month <= last:
        end = _month_after(month) - timedelta(days=1)
        bounds.append((f"{month:%b}", month, end))
        month = _month_after(month)
    return bounds


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=i) for i in range((last - first).days + 1)]


def _within(sums: dict[date, int], first: date, last: date) -> int:
    return sum(amount for day, amount in sums.items() if first <= day <= last)


def _month_after(month: date) -> date:
    return _months_back(month, -1)


def _months_back(month: date, count: int) -> date:
    """The first of the month `count` months before; later ones when negative."""
    months = month.year * 12 + month.month - 1 - count
    return date(months // 12, months % 12 + 1, 1)


def _year_before(first: date, last: date) -> tuple[date, date]:
    return first - timedelta(days=364), last - timedelta(days=364)


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"
