"""What stands in the entries of a job's card."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Concatenate, ParamSpec

from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.jobs import job_changes
from app.actions.jobs.job_card import JobCard
from app.actions.jobs.services import effect_text
from app.calculations.numbers.dates import near
from app.calculations.numbers.durations import shown_duration
from app.window.house.acting import on_book
from app.window.paper.action import ActionRow
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    Outcome,
    State,
    TableRow,
    entry,
    given,
    new_row,
    quiet,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.records.queries.days import StepRow
    from app.window.jobs.card import CardStrip


P = ParamSpec("P")


class CardBody(PartsBody):
    """An entry's body; a subclass shows the card and says what its action is."""

    def __init__(self, strip: CardStrip, label: str, *parts: QWidget) -> None:
        self.strip = strip
        self.office = strip.office
        self.row = ActionRow(strip.office.theme, label)
        self.row.button.clicked.connect(self.primary)
        first = next((one for one in parts if isinstance(one, EntryTable)), parts[0])
        super().__init__(strip.office.theme, *parts, self.row, focus=lambda: first, gap=2)
        for part in parts:
            if isinstance(part, EntryTable):
                part.row_entered.connect(lambda _key, _column: strip.moved.emit())

    def show_card(self, card: JobCard) -> None:
        """Show the job as it stands."""

    def forget(self) -> None:
        """Another job is coming: drop what could not be read."""

    def primary(self) -> None:
        """The entry's action (Ctrl+Enter)."""

    def add(self) -> None:
        """Add a line (Ins)."""

    def remove(self) -> None:
        """Take the line with the focus out (Ctrl+Del)."""

    def hand_out(self, *, mail: bool) -> None:
        """Print the entry's paper (F2), or write a mail with it (F3)."""

    def credit(self) -> None:
        """Take an issued paper back, or a part of it (F11)."""

    def turn(self) -> None:
        """Say the opposite of the line with the focus (Space)."""

    def focused(self) -> Hashable | None:
        """The line with the focus."""
        table = next((p for p in self._parts if isinstance(p, EntryTable)), None)
        return table.current_key() if table is not None else None

    def act(
        self,
        do: Callable[Concatenate[Desk, int, P], Changed],
        *args: P.args,
        **more: P.kwargs,
    ) -> Changed | None:
        """Run an action on the job shown."""
        return on_book(self.office, do, self.job.job.job_id, *args, **more)

    def write(
        self,
        text: str,
        do: Callable[Concatenate[Desk, int, P], Changed],
        *args: P.args,
        **more: P.kwargs,
    ) -> Outcome:
        """Write `text`, typed into a cell of the job shown; a refusal is said beside it."""
        return self.office.typed(
            partial(do, self.office.desk, self.job.job.job_id, *args, **more), text
        )

    def may_act(self) -> bool:
        """Whether the entry's action can be done now; else the foot says why not."""
        if self.row.reason:
            self.office.say_trouble(self.row.reason)
        return not self.row.reason

    def go_to_day(self) -> None:
        """The day sheet of the day, or of the job's last where the day is none of it."""
        job, day = self.job.job, self.office.desk.today
        if job.first_day is not None and not job.first_day <= day <= (job.last_day or day):
            day = job.last_day or job.first_day
        self.office.open_day(day)
        self.office.go("day", job.job_id)

    @property
    def job(self) -> JobCard:
        """The job shown."""
        assert self.strip.card is not None
        return self.strip.card


def begins_later(desk: Desk, card: JobCard) -> str:
    """Why a job is not finished by one key: it is booked for a day that has not come."""
    first = card.job.first_day
    begun = card.job.state != "booked" or card.worked_minutes
    if begun or first is None or first <= desk.today:
        return ""
    return f"It is booked for {near(first, desk.today)}."


class StepsBody(CardBody):
    """The plan, step by step."""

    def __init__(self, strip: CardStrip) -> None:
        self.table = EntryTable(
            strip.office.theme,
            (
                Column("step", "Step", width=250, least=150),
                Column("stands", "How it stands", width=0, least=150),
                Column("day", "On", width=112, least=80, dense=True),
                Column("effect", "On the vehicle", width=230, least=110, dense=True, aside=1),
            ),
            empty=EmptyText(
                "No step yet",
                "Steps come with the job’s services, in their order. "
                "You can also write one of your own.",
                "Ins",
                "Write a step",
                self.add,
            ),
        )
        self.table.sorts = False  # one follows the other
        self.table.on_commit = self._typed
        self.table.add_asked.connect(self.add)
        self.table.cell_clicked.connect(self._clicked)
        super().__init__(strip, "All steps are done", self.table)

    def show_card(self, card: JobCard) -> None:
        rows = [_step_row(self.office.desk, step) for step in card.steps]
        if rows:
            rows.append(new_row("another step", 4))
        self.table.show_rows(rows)
        left = [step for step in card.steps if step.state == "to do"]
        self.row.show_hints(
            [
                Run("Done or later", "unit", key="Space", on_click=self.turn, gap=20),
                Run("Add a service", "unit", key="F4", on_click=self.strip.sell_asked.emit),
            ]
        )
        reason = "" if left else "Nothing is left to do." if card.steps else "No step stands here."
        if card.job.state == "cancelled":
            reason = "The job was called off. F6 books it again."
        reason = reason or begins_later(self.office.desk, card)
        self.row.set_ready(reason)

    def _step(self) -> StepRow | None:
        key = self.table.current_key()
        return next((one for one in self.job.steps if one.step_id == key), None)

    def turn(self) -> None:
        step = self._step()
        if step is not None and self.table.finish():
            state = "later" if step.state == "done" else "done"
            day = self.office.day
            self.act(job_changes.say_step, step.step_id, state, "", day)

    def _clicked(self, key: object, column: str) -> None:
        if isinstance(key, int) and column == "step":
            self.table.go(key, "stands")
            self.turn()

    def _typed(self, key: Hashable, _column: str, text: str) -> Outcome:
        if key == "new":
            return self.write(text, job_changes.add_step, text) if text else Outcome()
        if not isinstance(key, int):
            return Outcome()
        state, because = text.removeprefix("not done: ").strip(), ""
        if state in ("", "to do"):
            state = "later"
        elif state not in ("later", "done"):
            state, because = "not done", state
        return self.write(text, job_changes.say_step, key, state, because, self.office.day)

    def add(self) -> None:
        if not self.job.steps:
            # An empty table has no row to write in: begin with one that can be written over.
            self.act(job_changes.add_step, "Look it over")
        self.table.write_in("new", "step")

    def remove(self) -> None:
        step = self._step()
        if step is not None:
            self.act(job_changes.remove_step, step.step_id)

    def primary(self) -> None:
        if self.may_act():
            self.act(job_changes.all_steps_done, self.office.day)


class SuppliesBody(CardBody):
    """Expected and used, to read; they are written on the day sheet."""

    def __init__(self, strip: CardStrip) -> None:
        self.table = EntryTable(
            strip.office.theme,
            (
                Column("supply", "Supply", width=0, least=180),
                Column("unit", "", width=56, least=44, unit=True),
                Column("expected", "Expected", width=110, least=80, right=True),
                Column("used", "Used", subhead="so far", width=110, least=80, right=True),
                Column("cost", "Cost", subhead="as closed", width=110, least=80, right=True),
                Column("how", "", width=150, least=80, dense=True, pad=16, aside=1),
            ),
            empty=EmptyText(
                "Nothing is expected to be used",
                "The recipes of the services say what a job will use. "
                "Add a service to it, or write a recipe first.",
                "F4",
                "Add a service",
                strip.sell_asked.emit,
            ),
        )
        super().__init__(strip, "To the day sheet", self.table)

    def show_card(self, card: JobCard) -> None:
        desk = self.office.desk
        words = {"expected": "to come", "recipe": "from recipe", "used": ""}
        self.table.show_rows(
            [
                row_of(
                    one.supply_id,
                    one.name,
                    one.unit,
                    given(one.expected_text, State.QUIET),
                    given(one.used_text, State.LOOK if one.far else State.PLAIN, bold=True),
                    given(money(desk, one.cost) if one.cost else ""),
                    quiet(words[one.state]),
                )
                for one in card.supplies
            ]
        )
        cost = sum(one.cost for one in card.supplies)
        total = [Run("Supplies", "row"), Run(money(desk, cost), "total", "ink")]
        self.row.show_total(total if any(one.cost for one in card.supplies) else [])

    def primary(self) -> None:
        self.go_to_day()


class HoursBody(CardBody):
    """Day by day, to read."""

    def __init__(self, strip: CardStrip) -> None:
        self.table = EntryTable(
            strip.office.theme,
            (
                Column("day", "Day", width=0, least=180),
                Column("expected", "Expected", width=130, least=90, right=True),
                Column("worked", "Worked", width=130, least=90, right=True),
                Column("how", "", width=190, least=90, dense=True, pad=16, aside=1),
            ),
            empty=EmptyText(
                "No day yet",
                "Give the job its first day under Notes and days; "
                "hours are then filled in on each of its days.",
                "Alt 5",
                "Notes and days",
                lambda: strip.open("notes"),
            ),
        )
        self.table.row_opened.connect(self._open)
        super().__init__(strip, "To the day sheet", self.table)

    def show_card(self, card: JobCard) -> None:
        words = {
            "worked": "on the sheet, not closed",
            "booked": "closed",
            "expected": "to come",
            "off": "",
        }
        self.table.show_rows(
            [
                row_of(
                    one.day,
                    one.day_text,
                    quiet(one.expected_text),
                    given(one.worked_text, bold=True),
                    quiet(words[one.state], mark="done" if one.closed else ""),
                )
                for one in card.hours
            ]
        )
        total = f"{shown_duration(card.worked_minutes)} of {shown_duration(card.expected_minutes)}"
        self.row.show_total([Run("In all", "row"), Run(total, "total", "ink")])
        self.row.show_hints([Run("Open that day", "unit", key="↵", on_click=self._open_here)])

    def _open_here(self) -> None:
        self._open(self.table.current_key())

    def _open(self, key: object) -> None:
        if isinstance(key, date):
            self.office.open_day(key)
            self.office.go("day", self.job.job.job_id)

    def primary(self) -> None:
        self.go_to_day()


def _step_row(desk: Desk, step: StepRow) -> TableRow:
    on = near(step.day, desk.today) if step.day and step.state != "to do" else ""
    effect = effect_text(desk, step.effect, step.supply_id, step.surface_groups)
    mark = {"done": "done", "not done": "wrong"}.get(step.state, "to come")
    became = entry(step.state, State.QUIET)
    if step.state == "not done":
        became = entry(f"not done: {step.because}", State.LOOK)
    return row_of(
        step.step_id,
        Cell(step.name, mark=mark, bold=step.state == "done"),
        became,
        quiet(on),
        quiet(effect, mark="layer" if effect else "", tip=effect),
    )
