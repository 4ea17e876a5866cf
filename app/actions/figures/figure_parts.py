"""The figures of money and of supplies of a period: plain numbers, ready to be drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from app.calculations.figures import figures as pure
from app.calculations.numbers.dates import day_short
from app.calculations.numbers.money import shown_whole
from app.calculations.numbers.wording import capital, count_of, counted
from app.calculations.plan.visit_days import weekdays_worked
from app.records.queries.figures import DoneJob


@dataclass(frozen=True, kw_only=True)
class Bar:
    """One month, day or week of the money figure; minor units."""

    label: str
    first: date
    last: date
    earned: int
    received: int
    supplies: int
    job_ids: tuple[int, ...]
    guess: pure.Guess | None = None
    year_before: int | None = None  # earned in the same month a year before


@dataclass(frozen=True)
class MoneyFigure:
    """Revenue earned with supply cost, bar by bar."""

    finding: str
    bars: tuple[Bar, ...]
    best: int | None  # index of the bar that earned most


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
    """Supply cost, the dearest first; few make most of it.

    `rest`: the others together, which are said in the sentence `others` and not drawn.
    """

    finding: str
    bars: tuple[SupplyBar, ...]
    rest: SupplyBar | None = None
    others: str = ""

    @property
    def parts(self) -> tuple[SupplyBar, ...]:
        """All of the cost: the bars, and the others together."""
        return self.bars if self.rest is None else (*self.bars, self.rest)


def money_figure(
    kind: str,
    first: date,
    last: date,
    today: date,
    jobs: list[DoneJob],
    received: dict[date, int],
    spent: dict[date, int],
    closed: list[date],
    currency: str,
    before: dict[date, int] | None = None,
    credited: dict[date, int] | None = None,
) -> MoneyFigure:
    """Bars by month in a year, by day in a month or a week; `before`: what was earned by day
    in the year before; `credited`: what credit notes took back, by day and above zero."""
    bars = []
    for label, start, end in _bar_bounds(kind, first, last):
        own = [job for job in jobs if start <= job.done_on <= end]
        earned = sum(job.earned for job in own) - _within(credited or {}, start, end)
        ids = tuple(job.job_id for job in own)
        bars.append(
            Bar(
                label=label,
                first=start,
                last=end,
                earned=earned,
                received=_within(received, start, end),
                supplies=_within(spent, start, end),
                job_ids=ids,
                year_before=_year_before(before or {}, start) if kind == "year" else None,
            )
        )
    if kind == "year" and bars and bars[-1].first <= today < bars[-1].last:
        bars[-1] = _with_guess(bars[-1], today, jobs, closed)
    best = max(range(len(bars)), key=lambda i: bars[i].earned, default=None)
    if best is None or bars[best].earned == 0:
        return MoneyFigure("Nothing is earned yet in this time.", tuple(bars), None)
    whole = shown_whole(bars[best].earned, currency)
    noun = {"year": "month", "month": "day", "week": "day"}[kind]
    start = bars[best].first
    month = f"{start:%B}" if start.year == today.year else f"{start:%B %Y}"
    when = month if kind == "year" else f"{start:%a} {day_short(start)}"
    return MoneyFigure(f"{when} earned {whole}, the best {noun} here.", tuple(bars), best)


def _year_before(earned: dict[date, int], month: date) -> int | None:
    """What the same month earned a year before; none where the book does not hold all of it."""
    first = months_back(month, 12)
    if not earned or min(earned) > first + timedelta(days=6):
        return None
    return _within(earned, first, month_after(first) - timedelta(days=1))


def _with_guess(bar: Bar, today: date, jobs: list[DoneJob], closed: list[date]) -> Bar:
    """The running month with what it is likely to come to, from earlier months' pace."""
    weekdays = weekdays_worked(closed)
    workdays = [d for d in _days(bar.first, bar.last) if d.weekday() in weekdays]
    done = sum(1 for d in workdays if d <= today)
    past = []
    month = months_back(bar.first, 1)
    for _ in range(11):
        end = month_after(month) - timedelta(days=1)
        days = [d for d in _days(month, end) if d.weekday() in weekdays]
        whole = sum(job.earned for job in jobs if days[0] <= job.done_on <= days[-1])
        until = days[min(done, len(days)) - 1] if done else days[0]
        part = sum(job.earned for job in jobs if days[0] <= job.done_on <= until)
        if any(days[0] <= d <= days[-1] for d in closed):
            past.append((part, whole, len(days)))
        month = months_back(month, 1)
    guess = pure.month_end(bar.earned, done, len(workdays), past)
    return replace(bar, guess=guess)


def supplies_figure(
    costs: list[tuple[int, str, int, int]], currency: str, most: int = 8
) -> SupplyFigure:
    """The dearest supplies one by one, the others in one sentence."""
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
    if not rest:
        first = bars[0]
        finding = f"{first.name} is {first.share:.0f} % of all supply cost."
        return SupplyFigure(finding, tuple(bars))
    cost, most_of_them = shown_whole(sum(rest), currency), shown_whole(max(rest), currency)
    others = (
        f"{count_of(len(rest), 'other costs', 'others cost')} {cost} together, "
        f"{shares[-1].share:.0f} %; none above {most_of_them}."
    )
    share = f"{bars[-1].running:.0f} %"
    finding = f"{capital(counted(len(bars)))} of {len(spent)} supplies make {share} of the cost."
    last = shares[-1]
    name = count_of(len(rest), "other")
    together = SupplyBar(None, name, last.part, last.share, last.running)
    return SupplyFigure(finding, tuple(bars), together, others)


def _bar_bounds(kind: str, first: date, last: date) -> list[tuple[str, date, date]]:
    if kind != "year":
        return [
            (f"{d:%a} {d.day}" if kind == "week" else str(d.day), d, d) for d in _days(first, last)
        ]
    bounds = []
    month = first
    while month <= last:
        end = month_after(month) - timedelta(days=1)
        bounds.append((f"{month:%b}", month, end))
        month = month_after(month)
    return bounds


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=i) for i in range((last - first).days + 1)]


def _within(sums: dict[date, int], first: date, last: date) -> int:
    return sum(amount for day, amount in sums.items() if first <= day <= last)


def month_after(month: date) -> date:
    return months_back(month, -1)


def months_back(month: date, count: int) -> date:
    """The first of the month `count` months before; later ones when negative."""
    months = month.year * 12 + month.month - 1 - count
    return date(months // 12, months % 12 + 1, 1)
