"""When a job is booked for: the form, and above it what each day holds."""

from __future__ import annotations

import re
from datetime import date, timedelta
from functools import partial

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from app.actions.jobs import booking_jobs
from app.actions.jobs.estimates import Estimate
from app.actions.plan.load import Load, added, load, over_sentence
from app.calculations.numbers.dates import day_short, weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.jobs.booking_parts import WhenForm
from app.window.jobs.load_drawing import DAYS, LoadDrawing
from app.window.jobs.margins import hours_facts
from app.window.paper.notes import Alert, Block, Facts, Rule, Voice
from app.window.paper.partsbody import PartsBody

_STEPS = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}
_PAGES = {Qt.Key.Key_PageUp: -1, Qt.Key.Key_PageDown: 1}
NAMED = 5  # jobs of a day that the margin names


class WhenBody(PartsBody):
    """Three weeks, and the form. A day is typed, taken with the mouse, or by ↑ and ↓."""

    changed = Signal()  # another day, or what the days hold has been read

    def __init__(self, office: Office, form: WhenForm, row: QWidget) -> None:
        self.office, self.form = office, form
        self.drawing = LoadDrawing(office.theme)
        self.drawing.day_chosen.connect(self._take)
        self.drawing.turned.connect(self._turn)
        self._from = office.desk.today
        self._load: Load | None = None
        self._minutes = 0
        super().__init__(office.theme, self.drawing, form, row, focus=form.first_field, top=2)
        for field in form.days:
            field.installEventFilter(self)

    def begin(self) -> None:
        """For a fresh booking: the weeks from today on."""
        self._from, self._load = self.office.desk.today, None
        self.drawing.show_load({}, {}, None, self._from)

    def read(self) -> None:
        """Read what the days in view hold."""
        first, desk = self._from, self.office.desk
        last = first + timedelta(days=DAYS - 1)

        def show(found: Load) -> None:
            if self._from == first:
                self._load = found
                self._show()
                self.changed.emit()

        in_background(
            self.office, self, "Reading the days", lambda: load(desk, first, last), show, quiet=True
        )

    def expect(self, minutes: int) -> None:
        """How long the job is expected to take, and what was typed of its days."""
        self._minutes = minutes
        first = self.form.read()[0]
        if first is not None and not 0 <= (first - self._from).days < self.drawing.count:
            self._from = max(self.office.desk.today, first - timedelta(days=first.weekday()))
            self.read()
        self._show()

    def days(self) -> tuple[date | None, date | None]:
        """The first and last day as they would be booked."""
        first, last, _promised = self.form.read()
        if first is not None and last is None:
            last = booking_jobs.usual_last_day(self.office.desk, first, self._minutes)
        return first, last

    def _added(self) -> dict[date, int]:
        return added(self.office.desk, *self.days(), self._minutes)

    def _show(self) -> None:
        days = self._load.days if self._load is not None else {}
        self.drawing.show_load(days, self._added(), self.days()[0], self.office.desk.today)

    def question(self) -> str:
        """What to ask before the job is booked for these days; nothing where each has room."""
        first, last = self.days()
        if first is None or last is None or not self._minutes or last < first:
            return ""
        desk = self.office.desk
        standing = self.office.read(partial(load, desk, first, last))
        return over_sentence(desk, standing, self._added()) if standing is not None else ""

    def note(self, guess: Estimate | None) -> tuple[str, list[Block]]:
        """What the margin says of the first day, and how long the job takes."""
        first, desk = self.days()[0], self.office.desk
        assert first is not None
        blocks: list[Block] = []
        standing = self._load
        if standing is not None and first in standing.days:
            one = standing.days[first]
            over = over_sentence(desk, standing, self._added(), named=False)
            if over:
                blocks += [Alert("More than the day has"), Voice(_unbroken(over))]
            is_open = shown_duration(one.open_minutes) if one.open_minutes else "no working day"
            blocks.append(Facts((("Open", is_open), ("Booked", shown_duration(one.booked)))))
            jobs = standing.jobs.get(first, ())
            if jobs:
                named = [(_vehicle(words), shown_duration(minutes)) for words, minutes in jobs]
                more = len(jobs) - NAMED
                others = [(count_of(more, "more job"), "")] if more > 0 else []
                blocks += [Rule(), Facts((*named[:NAMED], *others))]
        if guess is not None:
            hours = hours_facts(guess, ("This job, low", "likely", "not above"))
            blocks += [Rule(), hours] if blocks else [hours]
        return weekday_day(first), blocks

    # another day ---------------------------------------------------------------------------
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """↑ and ↓ in the first day go to another working day, PgUp and PgDn to other weeks."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            key = Qt.Key(event.key())
            if key in _STEPS and watched is self.form.first and not event.modifiers():
                self._step(_STEPS[key])
                return True
            if key in _PAGES and not event.modifiers():
                self._turn(_PAGES[key])
                return True
        return super().eventFilter(watched, event)

    def _step(self, by: int) -> None:
        desk = self.office.desk
        first = self.form.read()[0]
        day = first + timedelta(days=by) if first is not None else desk.today
        weekdays = booking_jobs.working_weekdays(desk)
        while day.weekday() not in weekdays:
            day += timedelta(days=by if first is not None else 1)
        self._take(max(day, desk.today))

    def _take(self, day: date) -> None:
        self.form.first.setText(f"{day_short(day)} {day.year}")
        self.form.first.set_trouble("")
        self.form.first.editingFinished.emit()

    def _turn(self, weeks: int) -> None:
        self._from = max(self.office.desk.today, self._from + timedelta(weeks=weeks))
        self.read()


def _vehicle(words: str) -> str:
    """The vehicle alone, of a job that is named by its work and its vehicle."""
    return words.partition(" on the ")[2] or words


def _unbroken(words: str) -> str:
    """Hours with their unit on one line."""
    return re.sub(r"(\d) (h|min)\b", "\\1\u00a0\\2", words)
