"""The days on which a new job would fit: up to three begins, why not sooner, when it is ready."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from app.actions.bay.days_of_shop import days_of_shop
from app.actions.bay.keeping import SURE, sure_promise
from app.actions.bay.pieces import pieces_of_services
from app.actions.bay.plan_of_shop import Worked, bands_of, worked_out
from app.actions.bay.standing import spread
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.plan.job_hours import JobHours, job_hours
from app.calculations.bay.opening import instant_of, minute_of, next_open
from app.calculations.bay.planning import Clash, Plan, Wanted, earliest, plan
from app.calculations.bay.promises import Band, Numbers, earliest_that_keeps, kept, ready_times
from app.calculations.bay.runs import Bar, Kind, Run
from app.calculations.plan.expected_hours import ENOUGH

OPTIONS = 3
NEW = "new"  # the job that is asked about, among the numbers of the others
GAP = 60  # minutes free that are named though they are too short


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a new job is made of; minutes none as the services say; begin and promise none as
    found."""

    services: tuple[tuple[int, int], ...]  # service, layers
    size_outside: str = "M"
    size_inside: str = "M"
    condition: str = "average"
    minutes: int | None = None
    place: str = ""  # as the services say
    travel_minutes: int = 0
    begins_at: datetime | None = None
    promised_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class Begin:
    """A begin that fits, or one that was typed."""

    begin: int
    why: str  # why not sooner
    ready: int
    nights: int  # that it stands inside
    promised: int
    chance: float  # that the promise is kept
    low: int | None  # ready, one in ten
    high: int | None  # ready, nine in ten
    bay: int | None
    bars: tuple[Bar, ...]
    clashes: tuple[str, ...] = ()  # numbers of jobs, of a begin that was typed
    harms: tuple[str, ...] = ()  # numbers of jobs whose promise it brings below nine in ten


@dataclass(frozen=True, kw_only=True)
class EarliestDays:
    """The begins that fit, the earliest first, and what is said of them."""

    finding: str
    why: str
    begins: tuple[Begin, ...]
    typed: Begin | None  # at the begin or promise that was typed
    too_short: str  # a gap before the first that is too short
    hours: JobHours
    few: bool = False
    stays: tuple[tuple[int, int, int, str], ...] = field(default=())  # bay, from, to, number


def earliest_days(desk: Desk, asked: Asked, options: int = OPTIONS) -> EarliestDays:
    """Where a new job fits without a clash and without pushing a promise below nine in ten."""
    hours = job_hours(desk, asked.services, asked.size_outside, asked.size_inside, asked.condition)
    now = worked_out(desk)
    minutes = hours.likely if asked.minutes is None else asked.minutes
    in_bay = asked.place == "bay" or (not asked.place and _needs_bay(hours))
    stays = tuple(
        (run.bay, run.begin, run.ready, numbered(now.jobs[job].job.job.number))  # type: ignore[index]
        for job, run in now.plan.runs.items()
        if run.bay is not None
    )
    if not minutes:
        said = "Say what is sold, and the day is found."
        return EarliestDays(finding=said, why="", begins=(), typed=None, too_short="",
                            hours=hours, stays=stays)  # fmt: skip
    travel = asked.travel_minutes if asked.place == "yard" else 0
    pieces = pieces_of_services(desk, asked.services, minutes, travel)
    new = Wanted(job=NEW, pieces=pieces, in_bay=in_bay, not_before=now.days.now,
                 shut=() if in_bay else now.days.shut)  # fmt: skip
    low, high = spread(hours)
    search = _Search(desk, now, new, Band(low * minutes, minutes, high * minutes))
    begins: list[Begin] = []
    while len(begins) < options:
        found = search.next()
        if found is None:
            break
        begins.append(found)
    typed = None
    if asked.begins_at is not None or asked.promised_at is not None:
        at = (
            minute_of(asked.begins_at) if asked.begins_at else (begins[0].begin if begins else None)
        )
        by = minute_of(asked.promised_at) if asked.promised_at else None
        typed = search.at(at, by) if at is not None else None
    return EarliestDays(
        finding=_finding(desk, begins), why=begins[0].why if begins else "", begins=tuple(begins),
        typed=typed, too_short=search.too_short(begins[0].begin) if begins and in_bay else "",
        hours=hours, few=hours.n < ENOUGH, stays=stays,
    )  # fmt: skip


def _needs_bay(hours: JobHours) -> bool:
    return any(hours.known[one.service].in_bay for one in hours.sold)


def _finding(desk: Desk, begins: Sequence[Begin]) -> str:
    if not begins:
        return "No day is free within four months."
    at = instant_of(begins[0].begin)
    day = desk.day_of(at)
    return f"Earliest: {day:%A} {day.day} {day:%B}, {desk.clock_of(at).removeprefix('0')}"


@dataclass
class _Search:
    """Where a new job fits, one begin after another."""

    desk: Desk
    now: Worked
    new: Wanted
    band: Band
    after: int = 0

    def next(self) -> Begin | None:
        """The next begin that fits, on another day than the last; none where there is none."""
        promised: dict[Hashable, int] = {
            job: one.wanted.promised
            for job, one in self.now.jobs.items()
            if one.wanted.promised is not None
        }
        bands = {**bands_of(self.now.jobs), NEW: self.band}
        new = replace(self.new, not_before=max(self.after, self.now.days.now))
        found = earliest_that_keeps(
            new, self.now.plan, self.now.shop, bands, promised, days_of_shop(self.desk)
        )
        if found is None:
            return None
        run, times = found
        hours = self.now.days.hours
        begin = self._begin(run, times, None)
        day = self.desk.day_of(instant_of(run.begin))
        self.after = hours.midnight(day + timedelta(days=1))
        return begin

    def at(self, begin: int, promised: int | None) -> Begin | None:
        """The job begun at this minute, whatever clashes."""
        shop = self.now.shop.copy()
        one = replace(self.new, not_before=begin, latest=begin)
        found = plan([one], shop)
        run = found.runs.get(NEW)
        if run is None:
            return None
        runs = Plan({**self.now.plan.runs, NEW: run})
        bands = {**bands_of(self.now.jobs), NEW: self.band}
        times = ready_times(
            runs, bands, self.now.days.windows, self.now.shop.people, days_of_shop(self.desk)
        )
        made = self._begin(run, times[NEW], promised)
        harms = [
            self._number(job)
            for job, other in self.now.jobs.items()
            if other.wanted.promised is not None and job in times
            and kept(times[job], other.wanted.promised)
            < min(SURE, kept(self.now.times[job], other.wanted.promised)) - 0.01
        ]  # fmt: skip
        return replace(made, clashes=self._clashes(found.clashes), harms=tuple(harms))

    def _begin(self, run: Run, times: Numbers, promised: int | None) -> Begin:
        by = promised
        if by is None:
            by = sure_promise(self.now, float(times[min(int(SURE * len(times)), len(times) - 1)]))
        by = run.ready if by is None else by
        low, high = (float(times[int(share * (len(times) - 1))]) for share in (0.1, 0.9))
        days = [self.desk.day_of(instant_of(at)) for at in (run.begin, run.ready)]
        return Begin(
            begin=run.begin, why=self._why(run), ready=run.ready,
            nights=(days[1] - days[0]).days if run.bay is not None else 0, promised=by,
            chance=kept(times, by), low=int(low) if low < float("inf") else None,
            high=int(high) if high < float("inf") else None, bay=run.bay, bars=run.bars,
        )  # fmt: skip

    def _clashes(self, clashes: Sequence[Clash]) -> tuple[str, ...]:
        return tuple(self._number(clash.first) for clash in clashes)

    def _number(self, job: object) -> str:
        return numbered(self.now.jobs[job].job.job.number)  # type: ignore[index]

    def _why(self, run: Run) -> str:
        """Why it begins no sooner: who stands in the bay, or is worked on, until then."""
        runs = self.now.plan.runs
        if self._pushes_sooner(run.begin):
            return "sooner it would push a promise that was given"
        for job, other in runs.items():
            if run.bay is not None and other.bay == run.bay and other.ready == run.begin:
                what = self.now.jobs[job].job.services_text.split(", ")[0].lower()  # type: ignore[index]
                last = other.bars[-1].kind if other.bars else Kind.HANDS
                word = {Kind.CURES: "cures", Kind.DRIES: "dries"}.get(last)
                number = self._number(job)
                if word:
                    return f"the {what or 'work'} on {number} {word} in the bay until then"
                return f"{number} stands in the bay until then"
        for job, other in runs.items():
            if any(end == run.begin for _start, end in other.hands):
                return f"{self._number(job)} is worked on until then"
        if any(start == run.begin for start, _end in self.now.days.windows):
            return "from the morning on it is free"
        return "nothing stands before it"

    def _pushes_sooner(self, begin: int) -> bool:
        """Whether it is for the promises of others alone that it begins no sooner."""
        since = max(self.after, self.now.days.now)
        plain = earliest(replace(self.new, not_before=since), self.now.shop)
        return plain is not None and plain.begin < begin - 1

    def too_short(self, before: int) -> str:
        """The first gap of a bay before a minute that is too short, in a sentence."""
        self.after = 0
        if self._pushes_sooner(before):
            return ""
        windows = self.now.days.windows
        gaps = []
        for stays in self.now.shop.stays:
            now = self.now.days.now
            for stay in stays:
                start = next_open(windows, now)
                if start is not None and start < before:
                    is_open = sum(
                        max(0, min(end, stay.start) - max(first, now)) for first, end in windows
                    )
                    gaps += [(start, stay)] if is_open >= GAP else []
                now = max(now, stay.end)
        if not gaps:
            return ""
        start, stay = min(gaps)
        moments = [instant_of(one) for one in (start, stay.start)]
        days = [self.desk.day_of(one) for one in moments]
        clocks = [self.desk.clock_of(one).removeprefix("0") for one in moments]
        free, comes = f"from {clocks[0]} on", f"on {days[1]:%A} at {clocks[1]}"
        if days[0] == days[1]:
            free, comes = f"{clocks[0]} to {clocks[1]}", f"at {clocks[1]}"
        return (
            f"{days[0]:%A} {days[0].day} {days[0]:%B}, {free}, is free, but too short: "
            f"{self._number(stay.job)} comes {comes}."
        )
