"""Station 1: the jobs of the day, their steps and hours."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
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
from app.window.day.station import Station
from app.window.house.acting import on_each
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    State,
    TableRow,
    given_entry,
    quiet,
    row_of,
)
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Alert, Block, Facts, Note, Offer, Rule, Voice
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.day.place import DayPlace

_STEP_KEYS = (
    ("Space", "done, or later"),
    ("a–z", "why it was not done"),
    ("↵", "next below"),
    ("S", "fold the steps again"),
)
_SHOP = "shop"
_WORDS = {"done": "done", "not done": "not done", "later": "later", "before": "done before"}


class JobsStation(Station):
    """Steps are ticked as planned; hours are filled in as expected."""

    key = "jobs"
    quick = True
    title = "Jobs worked"
    keys = (
        ("0–9", "write over the hours"),
        ("S", "its steps"),
        ("Space", "step done, or later"),
        ("F", "finished, or goes on"),
    )
    columns = (
        Column("job", "Job", least=170, yields=3),
        Column("work", "Work", width=176, least=110, aside=1),
        Column("steps", "Steps", subhead="done", width=76, least=64, right=True),
        Column("hours", "Hours", subhead="today", width=132, least=92, right=True),
        Column("expected", "Expected", width=88, least=70, right=True, aside=2),
        Column("end", "", width=100, least=90, pad=14),
    )
    letters: ClassVar[dict[str, str]] = {
        "J": "bring",
        "S": "fold_here",
        "F": "finish_here",
        "X": "take_off_here",
        "Space": "turn_here",
    }

    def __init__(self, place: DayPlace) -> None:
        empty = EmptyText(
            "No job was worked today",
            "Then nothing was used and nothing is owed. Close the day as it is, "
            "or bring yesterday’s unfinished job forward.",
            "J",
            "Bring a job forward",
            self.bring,
        )
        super().__init__(place, "Jobs are right", jobs_worked, empty)
        self.table.sorts = False  # steps stand under their job
        self._view: JobsWorked | None = None
        self._behind: dict[Hashable, tuple[JobWorked, StepView | None]] = {}  # the rows
        self._unfolded: set[int] = set()
        self.table.add_asked.connect(self.bring)
        self.table.cell_clicked.connect(self._clicked)
        self.table.row_opened.connect(self._opened)

    # view ----------------------------------------------------------------------------------
    def show_view(self, view: JobsWorked) -> None:
        self._view = view
        rows: list[TableRow] = []
        self._behind = {}
        for job in view.rows:
            rows.append(self._row(job))
            self._behind[job.job.job_id] = job, None
            for step in job.steps if job.job.job_id in self._unfolded else ():
                rows.append(self._step_row(step))
                self._behind[rows[-1].key] = job, step
        if rows or view.other_minutes:
            hours = self.as_shown(
                given_entry(shown_duration(view.other_minutes) if view.other_minutes else "")
            )
            errands = quiet("errands, upkeep, laundry")
            rows.append(row_of(_SHOP, "The shop’s own work", errands, "", hours, "", ""))
        self.table.show_rows(rows)
        runs = [Run(view.total_text.replace("  ", ", "), "unit_total", "ink", gap=20)]
        if not self.closed:
            runs.append(Run("Bring a job forward", "unit", key="J", on_click=self.bring))
        self.row.show_hints(runs if view.rows else [])

    def _row(self, row: JobWorked) -> TableRow:
        left_out = sum(step.state == "not done" for step in row.steps)
        minutes, expected = shown_duration(row.minutes), shown_duration(row.expected)
        hours = Cell(minutes, editable=True)
        if row.hours_state == "confirmed" and row.minutes != row.expected:
            hours = replace(hours, state=State.CHANGED, old=expected)
        elif row.over:
            hours = replace(hours, state=State.LOOK, mark="look")
        return row_of(
            row.job.job_id,
            Cell(
                f"{row.job.number_text} {row.job.customer}".strip(),
                bold=True,
                detail=row.job.vehicle,
            ),
            quiet(row.services),
            Cell(row.steps_text, State.LOOK if left_out else State.QUIET),
            self.as_shown(hours),
            quiet(expected),
            quiet("finished", mark="done") if row.finished else quiet("goes on", mark="to come"),
        )

    def _step_row(self, step: StepView) -> TableRow:
        mark = {"done": "done", "before": "done", "not done": "look"}.get(step.state, "to come")
        because = Cell(
            f"because {step.because}" if step.because else _WORDS.get(step.state, step.state),
            State.LOOK if step.state == "not done" else State.QUIET,
            editable=step.state != "before" and not self.closed,
        )
        name = quiet(step.name, mark=mark)
        return row_of(("step", step.step_id), name, because, "", "", "", "")

    # writing -------------------------------------------------------------------------------
    def write(self, key: Hashable, column: str, text: str) -> Changed:
        if isinstance(key, tuple):
            words = text.removeprefix("because ").strip()
            state = "not done" if words and words not in _WORDS.values() else "done"
            return set_step(self.desk, self.day, key[1], state, words)
        job_id = key if isinstance(key, int) else None
        return set_hours(self.desk, self.day, job_id, text)

    # steps ---------------------------------------------------------------------------------
    def _here(self) -> tuple[JobWorked | None, StepView | None]:
        """The job and the step with the focus."""
        return self._behind.get(self.table.current_key(), (None, None))

    def takes_words(self) -> bool:
        _, step = self._here()
        return step is not None and step.state != "before" and self.table.hasFocus()

    def fold_here(self) -> None:
        """Show or hide the steps of the job with the focus."""
        job, _ = self._here()
        if job is not None:
            self._fold(job.job.job_id)

    def _fold(self, job_id: int) -> None:
        if self.table.finish() and self._view is not None:
            self._unfolded ^= {job_id}
            self.show_view(self._view)
            self.table.go(job_id)
            self.place.strip.relay()

    def turn_here(self) -> None:
        """Turn the step with the focus, or show the job's steps."""
        _, step = self._here()
        if step is not None:
            self._turn(step)
        else:
            self.fold_here()

    def _turn(self, step: StepView) -> None:
        """Done becomes later, anything else becomes done."""
        if step.state != "before":
            self.act(set_step, step.step_id, "later" if step.state == "done" else "done")

    def _opened(self, key: Hashable) -> None:
        if key in self._behind:
            self.turn_here()

    def _clicked(self, key: Hashable, column: str) -> None:
        job, step = self._behind.get(key, (None, None))
        if step is not None and column == "job":
            self._turn(step)
        elif job is not None and step is None and column == "steps":
            self._fold(job.job.job_id)
        elif job is not None and step is None and column == "end":
            self.table.go(key)
            self.finish_here()

    # jobs ----------------------------------------------------------------------------------
    def finish_here(self) -> None:
        """The chosen jobs, else that with the focus, are finished today, or go on."""

        def finish(job: JobWorked) -> None:
            self.act(finish_job, job.job.job_id, not job.finished)

        if self.table.finish():
            on_each(self.office, self._chosen(), finish, "jobs turned")

    def take_off_here(self) -> None:
        """The chosen jobs, else that with the focus, were not worked on this day."""
        if self.table.finish():
            ids = [job.job.job_id for job in self._chosen()]
            said = "jobs taken off this day"
            on_each(self.office, ids, lambda one: self.act(take_off_day, one), said)

    def _chosen(self) -> list[JobWorked]:
        """The chosen jobs, or those of chosen steps, each once; else that with the focus."""
        found = (self._behind.get(key, (None, None))[0] for key in self.table.chosen_keys)
        return list({job.job.job_id: job for job in found if job is not None}.values())

    def bring(self) -> None:
        """Choose another job that was worked on this day."""
        if self.closed or self._view is None:
            return
        lines = [
            FoundLine(
                "Jobs near this day",
                f"{job.number_text} {job.customer}",
                ", ".join(part for part in (job.vehicle, when) if part),
                partial(self.act, put_on_day, job.job_id),
            )
            for job, when in self._view.others
        ]
        self.choose("job number or name", lines)

    # note ----------------------------------------------------------------------------------
    def read_note(self, desk: Desk, day: date, key: Hashable, column: str) -> Any:
        if not isinstance(key, tuple):
            return key
        # Imported with the first step that is explained: it knows all that is worn by now.
        from app.actions.layers.layering_advice import advice_on_step

        return advice_on_step(desk, key[1]) or key

    def show_note(self, found: Any) -> Note:
        job, step = self._here()
        if step is not None:
            return self._step_note(step, found)
        if job is not None:
            return self._job_note(job, found)
        if found == _SHOP:
            voice = (
                "Hours that belong to no job. Filled in with the middle of the last ten "
                "days that noted any."
            )
            return Note("The shop’s own work", (Voice(voice),), self.keys)
        return super().show_note(found)

    def _step_note(self, step: StepView, advice: Any) -> Note:
        voice = (
            "Type the reason if it was not done, such as: paint too soft. "
            "Space says done, or later."
        )
        facts = (("It stands as", _WORDS.get(step.state, step.state)),)
        blocks: list[Block] = [Voice(voice), Rule(), Facts(facts)]
        if getattr(advice, "step_id", None) == step.step_id:
            blocks.append(Rule())
            if advice.against:
                blocks += [Alert("Look at the order"), *map(Voice, advice.against)]
            blocks.append(Voice(advice.waits))
        return Note(step.name, tuple(blocks), _STEP_KEYS)

    def _job_note(self, job: JobWorked, found: Any) -> Note:
        blocks: list[Block] = [Alert(asked)] if (asked := self.asked_here()) else []
        from app.actions.jobs.estimate_calls import calls_due  # not before the first picture

        due = calls_due(self.office.desk, [job.job.job_id]).get(job.job.job_id)
        if due is not None:
            blocks += [Alert("A call is due"), Voice(due.sentence)]
        if job.over:
            blocks += self._why(job)
        elif job.hours_state == "expected":
            blocks.append(
                Voice(
                    f"Filled in with {shown_duration(job.expected)}, what is expected of this day. "
                    "Type 90m, 6:30 or 1 1/2."
                )
            )
        facts = (
            ("Hours today", shown_duration(job.minutes)),
            ("Expected", shown_duration(job.expected)),
            ("Steps", str(len(job.steps))),
            ("The job", "is finished today" if job.finished else "goes on"),
        )
        blocks += [Rule(), Facts(facts)]
        keys = (*self.keys[:3], ("X", "not worked today")) if found == job.job.job_id else self.keys
        return Note(f"{job.job.number_text} {job.job.customer}".strip(), tuple(blocks), keys)

    def _why(self, job: JobWorked) -> list[Block]:
        over = Alert("Well over what was expected")
        if job.job.drift_reason:
            return [over, Voice(f"Because of {job.job.drift_reason}.")]
        return [
            over,
            Voice("What took longer? It helps the next estimate; it may stay unsaid."),
            *(
                Offer("", reason, partial(self.act, why_over, job.job.job_id, reason))
                for reason in DRIFT_REASONS
            ),
        ]
