"""What a plan shows: its days, and groups of rows, each a job with its bars."""

from __future__ import annotations

from dataclasses import dataclass

from app.calculations.bay.planning import Clash
from app.calculations.bay.runs import Run
from app.window.bay.calendar import PlanDay

LIKELY = 0.8  # the chance from which a promise stands plain


@dataclass(frozen=True)
class PlanRow:
    """A job of the plan. `ready` is one in ten to nine in ten; `instead` stands in alarm beside the
    bar where the promise cannot be kept, such as `not before Wed 8:00`."""

    job_id: int
    number: str
    who: str
    work: str
    run: Run | None
    promised: int | None = None
    ready: tuple[int, int] | None = None
    chance: float | None = None
    few: bool = False  # fewer than five jobs like it
    begun: bool = False
    instead: str = ""

    @property
    def end(self) -> int:
        """The last minute that is drawn of it."""
        ends = [self.run.ready] if self.run is not None else []
        ends += [self.ready[1]] if self.ready is not None else []
        return max([*ends, self.promised or 0], default=0)


@dataclass(frozen=True)
class PlanGroup:
    """A bay with its jobs and clashes, or what is done elsewhere."""

    title: str
    note: str
    rows: tuple[PlanRow, ...]
    in_bay: bool = True
    clashes: tuple[Clash, ...] = ()


@dataclass(frozen=True)
class PlanMove:
    """A job that is moved and not kept yet: where it stood, and where the shown plan has it."""

    job_id: int
    was: Run | None
    clashed: tuple[Clash, ...] = ()  # that go with the move


@dataclass(frozen=True)
class PlanShown:
    """All that the drawing needs."""

    days: tuple[PlanDay, ...]
    groups: tuple[PlanGroup, ...]
    now: int
    zone: str = "UTC"
    move: PlanMove | None = None

    @property
    def rows(self) -> tuple[PlanRow, ...]:
        """All rows in the order in which they stand."""
        return tuple(row for group in self.groups for row in group.rows)

    def row(self, job_id: int | None) -> PlanRow | None:
        """The row of a job."""
        return next((row for row in self.rows if row.job_id == job_id), None)

    @property
    def clashes(self) -> tuple[Clash, ...]:
        """The clashes of all bays."""
        return tuple(clash for group in self.groups for clash in group.clashes)
