"""Station 1: the jobs of the day, their steps and hours."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from app.actions.day.jobs_worked import (
    DRIFT_REASONS,
    JobsWorked,
    JobWorked,
    StepView,
    finish_job,
    jobs_worked,
    put_on_day,
    set_hours,
    set_step,
    take_off_day,
    why_over,
)
from app.actions.desk.desk import Changed, Desk
from app.calculations.numbers.durations import shown_duration
from app.window.day.station import Station, closed_cell
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Alert, Block, Facts, Note, Offer, Rule, Voice
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.day.place import DaySheet

_KEYS = (
    ("0–9", "write over the hours"),
    ("S", "its steps"),
    ("Space", "step done, or later"),
    ("F", "finished, or goes on"),
)
_STEP_KEYS = (
    ("Space", "done, or later"),
    ("a–z", "why it was not done"),
    ("↵", "next below"),
    ("S", "fold the steps again"),
)
_COLUMNS = (
    Column("job", "Job", least=170),
    Column("work", "Work", width=176, least=110),
    Column("steps", "Steps", "done", width=76, least=64, right=True),
    Column("hours", "Hours", "today", width=110, least=86, right=True),
    Column("expected", "Expected", width=88, least=70, right=True),
    Column("end", "", width=100, least=90, pad=14),
)
_SHOP = "shop"
_WORDS = {"done": "done", "not done": "not done", "later": "later", "before": "done before"}


class JobsStation(Station):
    """Steps are ticked as planned; hours are filled in as expected."""

    key = "jobs"
    keys = _KEYS
    letters: ClassVar[dict[str, str]] = {
        "J": "bring",
        "S": "fold_here",
        "F": "finish_here",
        "X": "take_off_here",
        "Space": "turn_here",
    }

    def __init__(self, place: DaySheet) -> None:
        table = EntryTable(place.theme, _COLUMNS, rows_from=25, rows_to=32)
        super().__init__(place, table, "Jobs are right")
        self._view: JobsWorked | None = None
        self._unfolded: set[int] = set()
        table.add_asked.connect(self.bring)
        table.cell_clicked.connect(self._clicked)
        table.row_opened.connect(self._opened)
        table.teach_when_empty(
            EmptyText(
                "No job was worked today",
                "Then nothing was used and nothing is owed. Close the day as it is, "
                "or bring yesterday’s unfinished job forward.",
                "J",
                "Bring a job forward",
                self.bring,
            )
        )

    # view ----------------------------------------------------------------------------------
    def read(self, desk: Desk, day: date) -> JobsWorked:
        return jobs_worked(desk, day)

    def show_view(self, view: JobsWorked) -> None:
        self._view = view
        rows: list[TableRow] = []
        for row in view.rows:
            rows.append(self._row(row))
            if row.job.job_id in self._unfolded:
                rows += [self._step_row(step) for step in row.steps]
        if rows or view.other_minutes:
            rows.append(self._shop_row(view))
        self.table.show_rows(rows)
        runs = [Run(view.total_text.replace("  ", ", "), "unit_total", "ink", gap=20)]
        if not self.closed:
            runs.append(Run("Bring a job forward", "unit", key="J", on_click=self.bring))
        self.row.show_hints(runs if view.rows else [])

    def _row(self, row: JobWorked) -> TableRow:
        done = sum(step.state in ("done", "before") for step in row.steps)
        left_out = sum(step.state == "not done" for step in row.steps)
        steps = f"{done} of {len(row.steps)}" if row.steps else "none"
        minutes, expected = shown_duration(row.minutes), shown_duration(row.expected)
        hours = Cell(minutes, editable=True)
        if row.hours_state == "confirmed" and row.minutes != row.expected:
            hours = Cell(minutes, State.CHANGED, expected, editable=True)
        if row.over and hours.state is State.PLAIN:
            hours = Cell(minutes, State.LOOK, mark="look", editable=True)
        job = row.job
        end = "finished" if row.finished else "goes on"
        return TableRow(
            job.job_id,
            (
                Cell(f"{job.number_text} {job.customer}".strip(), bold=True, detail=job.vehicle),
                Cell(row.services, State.QUIET),
                Cell(steps, State.LOOK if left_out else State.QUIET),
                closed_cell(hours) if self.closed else hours,
                Cell(expected, State.QUIET),
                Cell(end, State.QUIET, mark="done" if row.finished else "to come"),
            ),
        )

    def _step_row(self, step: StepView) -> TableRow:
        mark = {"done": "done", "before": "done", "not done": "look"}.get(step.state, "to come")
        because = Cell(
            f"because {step.because}" if step.because else _WORDS.get(step.state, step.state),
            State.LOOK if step.state == "not done" else State.QUIET,
            editable=step.state != "before" and not self.closed,
        )
        return TableRow(
            ("step", step.step_id),
            (
                Cell(step.name, State.QUIET, mark=mark),
                because,
                Cell(),
                Cell(),
                Cell(),
                Cell(),
            ),
        )

    def _shop_row(self, view: JobsWorked) -> TableRow:
        hours = Cell(
            shown_duration(view.other_minutes) if view.other_minutes else "", editable=True
        )
        if not view.other_minutes:
            hours = Cell("", State.UNUSED, editable=True)
        return TableRow(
            _SHOP,
            (
                Cell("The shop’s own work"),
                Cell("errands, upkeep, laundry", State.QUIET),
                Cell(),
                closed_cell(hours) if self.closed else hours,
                Cell(),
                Cell(),
            ),
        )

    # writing -------------------------------------------------------------------------------
    def write(self, key: Hashable, column: str, text: str) -> Changed:
        if isinstance(key, tuple):
            words = text.removeprefix("because ").strip()
            state = "not done" if words and words not in _WORDS.values() else "done"
            return set_step(self.desk, self.day, key[1], state, words)
        job_id = key if isinstance(key, int) else None
        return set_hours(self.desk, self.day, job_id, text)

    # steps ---------------------------------------------------------------------------------
    def _job_here(self) -> JobWorked | None:
        key = self.table.current_key()
        if self._view is None:
            return None
        for row in self._view.rows:
            steps = {step.step_id for step in row.steps}
            if row.job.job_id == key or (isinstance(key, tuple) and key[1] in steps):
                return row
        return None

    def _step_here(self) -> StepView | None:
        key, job = self.table.current_key(), self._job_here()
        if job is None or not isinstance(key, tuple):
            return None
        return next((step for step in job.steps if step.step_id == key[1]), None)

    def takes_words(self) -> bool:
        step = self._step_here()
        return step is not None and step.state != "before" and self.table.hasFocus()

    def fold_here(self) -> None:
        """Show or hide the steps of the job with the focus."""
        job = self._job_here()
        if job is not None:
            self.fold(job.job.job_id)

    def fold(self, job_id: int) -> None:
        """Show the steps of a job under it, or hide them again."""
        if not self.table.finish():
            return
        self._unfolded ^= {job_id}
        if self._view is not None:
            self.show_view(self._view)
            self.table.go(job_id)
            self.place.strip.relay()

    def turn_here(self) -> None:
        """Turn the step with the focus, or show the job's steps."""
        step = self._step_here()
        if step is not None:
            self.turn(step)
        else:
            self.fold_here()

    def turn(self, step: StepView) -> None:
        """Done becomes later, anything else becomes done."""
        if step.state == "before":
            return
        state = "later" if step.state == "done" else "done"
        desk, day = self.desk, self.day
        self.act(lambda: set_step(desk, day, step.step_id, state))

    def _opened(self, key: object) -> None:
        step = self._step_here()
        if step is not None:
            self.turn(step)
        elif isinstance(key, int):
            self.fold(key)

    def _clicked(self, key: object, column: str) -> None:
        if isinstance(key, tuple) and column == "job":
            step = self._step_of(key[1])
            if step is not None:
                self.turn(step)
        elif isinstance(key, int) and column == "steps":
            self.fold(key)
        elif isinstance(key, int) and column == "end":
            self.table.go(key)
            self.finish_here()

    def _step_of(self, step_id: int) -> StepView | None:
        jobs = self._view.rows if self._view is not None else ()
        return next((s for row in jobs for s in row.steps if s.step_id == step_id), None)

    # jobs ----------------------------------------------------------------------------------
    def finish_here(self) -> None:
        """The job with the focus is finished today, or goes on."""
        job, desk, day = self._job_here(), self.desk, self.day
        if job is not None and self.table.finish():
            self.act(lambda: finish_job(desk, day, job.job.job_id, not job.finished))

    def take_off_here(self) -> None:
        """The job with the focus was not worked on this day."""
        job, desk, day = self._job_here(), self.desk, self.day
        if job is not None and self.table.finish():
            self.act(lambda: take_off_day(desk, day, job.job.job_id))

    def bring(self) -> None:
        """Choose another job that was worked on this day."""
        view = self._view
        if self.closed or view is None:
            return
        desk, day = self.desk, self.day

        def put(job_id: int) -> None:
            self.act(lambda: put_on_day(desk, day, job_id))

        def look_up(text: str) -> list[FoundLine]:
            low = text.lower()
            return [
                FoundLine(
                    "Jobs near this day",
                    f"{job.number_text} {job.customer}",
                    ", ".join(part for part in (job.vehicle, when) if part),
                    partial(put, job.job_id),
                )
                for job, when in view.others
                if low in f"{job.number_text} {job.customer} {job.vehicle}".lower()
            ]

        self.place.pick("job number or name", look_up)

    # note ----------------------------------------------------------------------------------
    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        if not isinstance(key, tuple):
            return key
        # Imported with the first step that is explained: it knows all that is worn by now.
        from app.actions.layers.layering_advice import advice_on_step

        return advice_on_step(desk, key[1]) or key

    def show_note(self, found: Any) -> Note:
        job = self._job_here()
        if job is None:
            if found == _SHOP:
                voice = (
                    "Hours that belong to no job. Filled in with the middle of the last ten "
                    "days that noted any."
                )
                return Note("The shop’s own work", (Voice(voice),), _KEYS)
            return Note("Jobs worked", (), _KEYS)
        step = self._step_here()
        if step is not None:
            voice = (
                "Type the reason if it was not done, such as: paint too soft. "
                "Space says done, or later."
            )
            facts = (("It stands as", _WORDS.get(step.state, step.state)),)
            said: tuple[Block, ...] = (Voice(voice), Rule(), Facts(facts))
            if getattr(found, "step_id", None) == step.step_id:
                said += (Rule(),)
                if found.against:
                    said += (Alert("Look at the order"), *map(Voice, found.against))
                said += (Voice(found.waits),)
            return Note(step.name, said, _STEP_KEYS)
        blocks: list[Block] = []
        if self.office.question:
            blocks.append(Alert(self.office.question))
        if job.over:
            blocks += self._why(job)
        elif job.hours_state == "expected":
            blocks.append(
                Voice(
                    f"Filled in with {shown_duration(job.expected)}, what is expected of this day. "
                    "Type 90m, 6:30 or 1 1/2."
                )
            )
        stands = (
            ("Hours today", shown_duration(job.minutes)),
            ("Expected", shown_duration(job.expected)),
            ("Steps", str(len(job.steps))),
            ("The job", "is finished today" if job.finished else "goes on"),
        )
        blocks += [Rule(), Facts(stands)]
        keys = (*_KEYS[:3], ("X", "not worked today")) if found == job.job.job_id else _KEYS
        return Note(f"{job.job.number_text} {job.job.customer}".strip(), tuple(blocks), keys)

    def _why(self, job: JobWorked) -> list[Block]:
        if job.job.drift_reason:
            return [
                Alert("Well over what was expected"),
                Voice(f"Because of {job.job.drift_reason}."),
            ]
        desk, day = self.desk, self.day

        def tell(reason: str) -> None:
            self.act(lambda: why_over(desk, day, job.job.job_id, reason))

        offers = [Offer("", reason, partial(tell, reason)) for reason in DRIFT_REASONS]
        asked = Voice("What took longer? It helps the next estimate; it may stay unsaid.")
        return [Alert("Well over what was expected"), asked, *offers]

    def title(self) -> str:
        return "Jobs worked"
