"""The plan of the shop: bays, open hours, jobs with their runs, promises, clashes.

All minutes are of the plan (`calculations.bay.opening`): since 1970 in UTC; `clock_words` says one
on the shop's clock. `plan_of_shop` is what stands, `tried` the same with one job moved, unsaved.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from app.actions.bay.cold_nights import cold_nights
from app.actions.bay.days_of_shop import days_of_shop
from app.actions.bay.standing import Ahead, Move, Standing, ahead, place_of, standing
from app.actions.bay.weather import weather_words
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.plan.job_plan import JobPlan
from app.calculations.bay.opening import Window, instant_of
from app.calculations.bay.planning import Clash, Plan, Shop, plan
from app.calculations.bay.promises import Band, Numbers, kept, ready_times
from app.calculations.bay.runs import Bar, Kind, Run
from app.calculations.numbers.dates import day_short
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of, listed
from app.calculations.plan.expected_hours import ENOUGH

LOOK = 0.8  # a chance below it is to be looked at
NEVER = 0.1  # one below it is no promise
DAY = 24 * 60
KEPT = 8  # plans of moves that are tried


@dataclass(frozen=True)
class DayOfPlan:
    """A day: its open window (none where it is closed), minutes open and booked of all people."""

    day: date
    start: int  # its midnights
    end: int
    window: Window | None
    open_minutes: int
    booked: int
    weather: str = ""  # as it was noted


@dataclass(frozen=True, kw_only=True)
class PlannedJob:
    """A row of the plan."""

    job_id: int
    number: str
    customer: str
    vehicle: str
    work: str
    state: str
    place: str  # bay, outside, yard
    bay: int | None  # 0 is the first
    begin: int
    bars: tuple[Bar, ...]  # hands on, cures, dries, in order
    waits: tuple[Window, ...]  # where it only stands: nights, others' turns
    ready: int  # as planned
    begun: bool
    fixed: bool  # its begin was agreed to the minute
    pushed: bool  # it begins later than it was agreed
    minutes: int  # hands on that is left, likely
    low: int | None  # ready, one in ten; none beyond what is planned
    high: int | None  # ready, nine in ten
    promised: int | None
    chance: float | None  # that the promise is kept; none without one
    verdict: str  # "", kept, look, no
    said: str  # what is to be said of it: a clash, the soonest it could be ready
    clashes: tuple[str, ...]  # the numbers of the others
    few: bool  # too few jobs like it: its band is from common practice
    n: int  # closed jobs like it


class Unplaced(NamedTuple):
    """A job that stands on no day: it waits for one, or found none within the days planned."""

    job_id: int
    number: str
    customer: str
    work: str
    minutes: int
    waits: bool


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What a move that is not kept yet does."""

    move: Move
    before: PlannedJob | None  # none where it had no day
    after: PlannedJob | None
    others: tuple[tuple[PlannedJob, PlannedJob], ...]  # before and after
    gone: tuple[Clash, ...]
    come: tuple[Clash, ...]
    days: tuple[DayOfPlan, ...]  # as they were
    said: str


@dataclass(frozen=True, kw_only=True)
class ShopPlan:
    """The plan from a day on; rows by bay and begin, those outside last."""

    first: date
    now: int
    today: date
    bays: int
    people: int
    days: tuple[DayOfPlan, ...]
    rows: tuple[PlannedJob, ...]
    unplaced: tuple[Unplaced, ...]
    clashes: tuple[Clash, ...]  # by job ids, all of them
    said: str
    asked: tuple[str, ...]  # cures over nights that were noted as too cold for them
    effect: Effect | None = None

    def row(self, job_id: int) -> PlannedJob | None:
        """The row of a job, if it is on these days."""
        return next((one for one in self.rows if one.job_id == job_id), None)


@dataclass(frozen=True)
class Worked:
    """The plan as it was worked out, whatever days are looked at."""

    days: Ahead
    jobs: Mapping[int, Standing]
    waiting: Sequence[JobPlan]
    plan: Plan
    shop: Shop
    times: Mapping[Hashable, Numbers]


_Plans = dict[tuple[int, Move | None], Worked]


def worked_out(desk: Desk, move: Move | None = None) -> Worked:
    """The plan of all open jobs, with one of them moved; the last few are kept while neither the
    book nor the minute changes."""
    days = ahead(desk)
    key = (days.now, move)

    def mend(last: _Plans | None, touched: Sequence[object] | None) -> _Plans:
        plans = dict(last) if last is not None and touched is not None and not touched else {}
        plans = {one: plan for one, plan in plans.items() if one[0] == days.now}
        plans[key] = plans.pop(key) if key in plans else _worked_out(desk, days, move)
        return dict(list(plans.items())[-KEPT:])

    return desk.mended("bay plan", mend)[key]


def _worked_out(desk: Desk, days: Ahead, move: Move | None) -> Worked:
    jobs, waiting = standing(desk, days, move)
    shop = Shop(days.windows, max(1, desk.settings.people), max(0, desk.settings.bays))
    found = plan([one.wanted for one in jobs], shop)
    by_id = {one.job.job_id: one for one in jobs}
    return Worked(days, by_id, waiting, found, shop, times_of(desk, found, by_id, days))


def times_of(
    desk: Desk, found: Plan, jobs: Mapping[int, Standing], days: Ahead
) -> dict[Hashable, Numbers]:
    """When each job is ready, in as many ways as the work may go."""
    people = max(1, desk.settings.people)
    return ready_times(found, bands_of(jobs), days.windows, people, days_of_shop(desk))


def bands_of(jobs: Mapping[int, Standing]) -> dict[Hashable, Band]:
    """The minutes of each job, from low to high."""
    return {
        job: Band(one.low * one.minutes, one.minutes, one.high * one.minutes)
        for job, one in jobs.items()
    }


def plan_of_shop(desk: Desk, first: date | None = None, days: int = 14) -> ShopPlan:
    """The plan of so many days from a day on, today unless said."""
    found = worked_out(desk)
    return _shown(desk, found, _rows(desk, found), first or desk.today, days)


def tried(desk: Desk, move: Move, first: date | None = None, days: int = 14) -> ShopPlan:
    """The same with a job moved, of which nothing is saved; `effect` says what changes."""
    first = first or desk.today
    was, now = worked_out(desk), worked_out(desk, move)
    before = {one.job_id: one for one in _rows(desk, was)}
    rows = _rows(desk, now)
    after = {one.job_id: one for one in rows}
    others = tuple(
        (before[job], one)
        for job, one in after.items()
        if job != move.job_id and job in before and _differs(before[job], one)
    )
    keys_was, keys_now = ({clash[:3]: clash for clash in one.plan.clashes} for one in (was, now))
    effect = Effect(
        move=move,
        before=before.get(move.job_id),
        after=after.get(move.job_id),
        others=others,
        gone=tuple(one for key, one in keys_was.items() if key not in keys_now),
        come=tuple(one for key, one in keys_now.items() if key not in keys_was),
        days=_days(desk, was, first, days),
        said="",
    )
    said = _effect_said(desk, effect, before, after)
    return _shown(desk, now, rows, first, days, Effect(**{**effect.__dict__, "said": said}))


def _differs(one: PlannedJob, other: PlannedJob) -> bool:
    return (one.begin, one.ready, one.bay) != (other.begin, other.ready, other.bay)


def _shown(
    desk: Desk,
    found: Worked,
    all_rows: Sequence[PlannedJob],
    first: date,
    days: int,
    effect: Effect | None = None,
) -> ShopPlan:
    columns = _days(desk, found, first, days)
    start, end = columns[0].start, columns[-1].end
    rows = [one for one in all_rows if one.begin < end and one.ready > start]
    return ShopPlan(
        first=first, now=found.days.now, today=found.days.today, bays=desk.settings.bays,
        people=desk.settings.people, days=columns, rows=tuple(rows),
        unplaced=_unplaced(found), clashes=found.plan.clashes,
        said=_said(found, all_rows), effect=effect,
        asked=cold_nights(desk, found.days, found.jobs, found.plan),
    )  # fmt: skip


def _days(desk: Desk, found: Worked, first: date, days: int) -> tuple[DayOfPlan, ...]:
    hours = found.days.hours
    columns = []
    for at in range(days):
        day = first + timedelta(days=at)
        start, end = hours.midnight(day), hours.midnight(day + timedelta(days=1))
        window = next(iter(hours.windows(day, day)), None)
        booked = sum(
            max(0, min(last, end) - max(begin, start))
            for run in found.plan.runs.values()
            for begin, last in run.hands
        )
        is_open = hours.on(day) * found.shop.people
        noted = found.days.weather.get(day)
        words = weather_words(desk, noted) if noted else ""
        columns.append(DayOfPlan(day, start, end, window, is_open, booked, words))
    return tuple(columns)


def _rows(desk: Desk, found: Worked) -> list[PlannedJob]:
    clashing: dict[Hashable, list[int]] = {}
    for clash in found.plan.clashes:
        for one, other in ((clash.first, clash.second), (clash.second, clash.first)):
            clashing.setdefault(one, []).append(found.jobs[other].job.job.number)  # type: ignore[index]
    rows = [
        _row(desk, found, found.jobs[job], run, clashing.get(job, []))  # type: ignore[index]
        for job, run in found.plan.runs.items()
    ]
    return sorted(rows, key=lambda row: (row.bay is None, row.bay or 0, row.begin, row.number))


def _row(desk: Desk, found: Worked, one: Standing, run: Run, clashes: Sequence[int]) -> PlannedJob:
    job, wanted = one.job.job, one.wanted
    times = found.times[run.job]
    low, high = (_finite(times[int(share * (len(times) - 1))]) for share in (0.1, 0.9))
    chance = kept(times, wanted.promised) if wanted.promised is not None else None
    verdict = ""
    if chance is not None:
        verdict = "kept" if chance >= LOOK else "look" if chance >= NEVER else "no"
    pushed = wanted.latest is not None and run.start > wanted.latest and not one.begun
    others = tuple(numbered(number) for number in sorted(set(clashes)))
    said = ""
    if others:
        said = f"clash in the bay with {listed(others)}"
    elif verdict == "no":
        said = f"not before {clock_words(desk, low if low is not None else run.ready)}"
    elif pushed:
        said = f"begins {clock_words(desk, run.start)} at the soonest"
    return PlannedJob(
        job_id=one.job.job_id, number=numbered(job.number), customer=job.customer,
        vehicle=job.vehicle, work=one.job.services_text, state=job.state,
        place=_place(one), bay=run.bay, begin=run.begin, bars=run.bars, waits=_waits(run),
        ready=run.ready, begun=one.begun,
        fixed=wanted.latest is not None and wanted.latest == wanted.not_before and not one.begun,
        pushed=pushed, minutes=one.minutes, low=low, high=high, promised=wanted.promised,
        chance=chance, verdict=verdict, said=said, clashes=others, few=one.n < ENOUGH, n=one.n,
    )  # fmt: skip


def _place(one: Standing) -> str:
    """Where it is planned: as tried, else as it stands."""
    if one.wanted.in_bay:
        return "bay"
    place = place_of(one.job)
    return "outside" if place == "bay" else place


def _finite(minute: float) -> int | None:
    return int(minute) if minute < float("inf") else None


def _waits(run: Run) -> tuple[Window, ...]:
    """The gaps between its bars, and from the last until it can be fetched."""
    ends = [run.begin, *(bar.end for bar in run.bars)]
    starts = [*(bar.start for bar in run.bars), run.ready]
    return tuple((end, start) for end, start in zip(ends, starts, strict=True) if end < start)


def _unplaced(found: Worked) -> tuple[Unplaced, ...]:
    beyond = [found.jobs[job].job for job in found.plan.unplaced]  # type: ignore[index]
    return tuple(
        Unplaced(
            one.job_id, numbered(one.job.number), one.job.customer, one.services_text,
            one.expected_minutes, waits,
        )
        for waits, some in ((True, found.waiting), (False, beyond))
        for one in some
    )  # fmt: skip


def _said(found: Worked, rows: Sequence[PlannedJob]) -> str:
    """The foot of the plan: `One clash, and one promise that cannot be kept.`"""
    clashes, never = len(found.plan.clashes), sum(one.verdict == "no" for one in rows)
    parts = [count_of(clashes, "clash", "clashes")] if clashes else []
    if never:
        parts.append(f"{count_of(never, 'promise')} that cannot be kept")
    pushed = sum(one.pushed and not one.clashes for one in rows)
    if pushed:
        parts.append(f"{count_of(pushed, 'job')} that cannot begin when agreed")
    if not rows:
        return "Nothing is booked."
    if not parts:
        return "No clash, and every promise can be kept."
    return f"{listed(parts)}."


def _on_the_wall(desk: Desk, minute: int) -> int:
    at = instant_of(minute)
    hour, past = desk.clock_of(at).split(":")
    return DAY * desk.day_of(at).toordinal() + 60 * int(hour) + int(past)


def _effect_said(
    desk: Desk, effect: Effect, before: Mapping[int, PlannedJob], after: Mapping[int, PlannedJob]
) -> str:
    was, now = effect.before, effect.after
    if now is None:
        return "Not kept yet. It finds no place within the days that are planned."
    if was is None or was.begin == now.begin:
        said = ["Not kept yet."]
    else:
        # By the clock on the wall: over a night in which clocks change a day is still a day.
        far_off = _on_the_wall(desk, now.begin) - _on_the_wall(desk, was.begin)
        days, minutes = divmod(abs(far_off), DAY)
        parts = [count_of(days, "day")] if days else []
        far = " and ".join([*parts, shown_duration(minutes)] if minutes else parts)
        said = [f"Moved by {far}, not kept yet."]
    for clashes, word in ((effect.gone, "is gone"), (effect.come, "comes")):
        rows = before if word == "is gone" else after
        names = [
            rows[other].number  # type: ignore[index]
            for clash in clashes
            for other in (clash.first, clash.second)
            if other != effect.move.job_id
        ]
        if names:
            said.append(f"The clash with {listed(names)} {word}.")
    moved = len(effect.others)
    said.append(f"{count_of(moved, 'other job')} {'moves' if moved == 1 else 'move'}."
                if moved else "No other job moves.")  # fmt: skip
    return " ".join(said)


def clock_words(desk: Desk, minute: int, *, long: bool = False) -> str:
    """A minute on the shop's clock: `Fri 8:30`, long `Fri 21 Aug, 17:00`; beyond a week long."""
    at = instant_of(minute)
    day, clock = desk.day_of(at), desk.clock_of(at).removeprefix("0")
    if long or not timedelta() <= day - desk.today < timedelta(days=7):
        return f"{day:%a} {day_short(day)}, {clock}"
    return f"{day:%a} {clock}"


def is_hands(bar: Bar) -> bool:
    """Whether somebody works in it."""
    return bar.kind is Kind.HANDS
