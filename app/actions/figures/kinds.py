"""The figures by kind of job: what an hour of it leaves, and how its hours stand to the expected.

A kind of job is the services sold together.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.calculations.figures import figures as pure
from app.calculations.numbers.money import shown_whole
from app.calculations.numbers.wording import capital, count_of, counted, listed
from app.records.queries.figures import DoneJob

MOST_KINDS = 7  # that a figure draws; the others are the rarest
FEW_JOBS = 5  # below it a kind is drawn hollow and dashed: few jobs, worth a look
OVER = 1.15  # hours worked to an expected one, above which a kind runs over
_LONG = 26  # letters of a name that a finding still has room for


@dataclass(frozen=True)
class KindBar:
    """The middle of the jobs of one kind, and the span that holds four in five of them."""

    name: str
    jobs: int
    middle: float
    low: float
    high: float
    job_ids: tuple[int, ...]

    @property
    def few(self) -> bool:
        """Whether so few jobs stand behind it that it is drawn as a guess."""
        return self.jobs < FEW_JOBS


@dataclass(frozen=True)
class KindFigure:
    """Kinds of job in the order drawn, those of few jobs last; the middle of all jobs.

    `rest`: the rarer kinds, which the table lists and the figure does not draw.
    """

    finding: str
    bars: tuple[KindBar, ...] = ()
    rest: tuple[KindBar, ...] = ()
    all_jobs: float | None = None

    @property
    def kinds(self) -> tuple[KindBar, ...]:
        """All of them."""
        return self.bars + self.rest

    @property
    def others(self) -> str:
        """What is not drawn, in a sentence; none where all is."""
        if not self.rest:
            return ""
        jobs = count_of(sum(bar.jobs for bar in self.rest), "job")
        return f"{jobs} of {count_of(len(self.rest), 'other kind')} not drawn; T lists them."


def kind_name(services: Sequence[str], title: str = "") -> str:
    """The services sold together, as one says them: “Upkeep wash and hand wax”."""
    if not services:
        return title or "Other work"
    return capital(listed([services[0], *(_within(name) for name in services[1:])]))


def _within(name: str) -> str:
    """A service's name within a sentence; an abbreviation keeps its capitals."""
    return name[0].lower() + name[1:] if name[1:2].islower() else name


def services_figure(jobs: list[DoneJob], currency: str) -> KindFigure:
    """What a job leaves an hour after its supplies, in minor units; the best kind first."""

    def left(job: DoneJob) -> float | None:
        return pure.per_hour(job.stands, job.supplies, job.minutes) if job.recorded else None

    figure = _by_kind(jobs, left)
    if not figure.bars:
        return KindFigure("No job with hours and supplies is done yet.")
    best = figure.bars[0]
    finding = f"{best.name} leaves most an hour."
    if len(best.name) > _LONG:
        finding = (
            f"The best kind of job leaves {shown_whole(round(best.middle), currency)} an hour."
        )
    return KindFigure(finding, figure.bars, figure.rest, figure.all_jobs)


def hours_figure(jobs: list[DoneJob]) -> KindFigure:
    """Hours worked for each hour expected; the kind that runs most over first."""

    def ratio(job: DoneJob) -> float | None:
        over = pure.drift(job.expected_minutes, job.minutes)
        return None if over is None or job.minutes <= 0 else 1 + over

    figure = _by_kind(jobs, ratio)
    return KindFigure(_hours_finding(figure), figure.bars, figure.rest, figure.all_jobs)


def _hours_finding(figure: KindFigure) -> str:
    counted_jobs = sum(bar.jobs for bar in figure.kinds)
    if figure.all_jobs is None:
        return "No job with expected hours is done yet."
    if counted_jobs < FEW_JOBS:
        return f"{count_of(counted_jobs, 'job')}: too few for a middle."
    over = [bar for bar in figure.bars if bar.middle > OVER and not bar.few]
    if over:
        by = f"by {round(100 * (over[0].middle - 1))} %."
        if len(over[0].name) <= _LONG:
            return f"{over[0].name} runs most over, {by}"
        kinds = f"{counted(len(over))} kind{'s' if len(over) > 1 else ''} of job"
        if len(over) == 1:
            return f"{capital(kinds)} runs over, {by}"
        return f"{capital(kinds)} run over, the most {by}"
    percent = round(100 * (figure.all_jobs - 1))
    if percent == 0:
        return "Jobs take the hours you expect."
    return f"Jobs run {abs(percent)} % {'over' if percent > 0 else 'under'} what you expect."


def _by_kind(jobs: list[DoneJob], value: Callable[[DoneJob], float | None]) -> KindFigure:
    """The middle and span of a value by kind, highest first; jobs without one are left out."""
    groups: dict[str, list[tuple[int, float]]] = {}
    names: dict[tuple[tuple[str, ...], str], str] = {}  # a thousand jobs are of few kinds
    for job in jobs:
        found = value(job)
        if found is not None:
            kind = job.services, job.title
            name = names.get(kind) or names.setdefault(kind, kind_name(*kind))
            groups.setdefault(name, []).append((job.job_id, found))
    bars = []
    for name, members in groups.items():
        seen = pure.span([found for _, found in members])
        assert seen is not None
        ids = tuple(job_id for job_id, _ in members)
        bars.append(KindBar(name, seen.n, seen.middle, seen.low, seen.high, ids))
    bars.sort(key=lambda bar: -bar.jobs)
    drawn, rest = bars[:MOST_KINDS], bars[MOST_KINDS:]
    drawn.sort(key=lambda bar: (bar.few, -bar.middle))
    everything = pure.span([found for members in groups.values() for _, found in members])
    middle = everything.middle if everything else None
    return KindFigure("", tuple(drawn), tuple(rest), middle)
