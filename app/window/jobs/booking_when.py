"""When a job is booked for: the days that fit, three weeks with what each holds, and the form.

The earliest begin is found for what is sold. Another line takes another, a day or a time is typed,
or taken with the mouse.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from functools import partial

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.actions.bay.earliest_days import Asked, Begin, EarliestDays, earliest_days
from app.actions.bay.plan_of_shop import DayOfPlan, clock_words, plan_of_shop
from app.actions.jobs import booking_jobs
from app.actions.jobs.estimates import Estimate
from app.actions.plan.load import Load, added, load, over_sentence
from app.calculations.bay.opening import instant_of
from app.calculations.bay.runs import Kind
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of, listed
from app.calculations.plan.load import DayLoad
from app.window.bay.found_days import Finding, FoundDays
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.house.runner import Task
from app.window.jobs.booking_form import MoreForm, WhenForm, day_words
from app.window.jobs.booking_note import begin_blocks
from app.window.jobs.load_drawing import DAYS, LoadDrawing
from app.window.jobs.margins import hours_facts
from app.window.paper.notes import Alert, Block, Facts, Rule, Voice
from app.window.paper.partsbody import PartsBody
from app.window.paper.pause import Pause

_STEPS = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}
_PAGES = {Qt.Key.Key_PageUp: -1, Qt.Key.Key_PageDown: 1}
NAMED = 5  # jobs of a day that the margin names
FIND_PAUSE = 60  # ms after something changed before the days are looked for


class WhenBody(PartsBody):
    """What was found, three weeks of days, the lines that fit, and the form."""

    changed = Signal()  # another day, or what the days hold has been read

    def __init__(
        self,
        office: Office,
        form: WhenForm,
        more: MoreForm,
        asked: Callable[[], Asked | None],
        row: QWidget,
    ) -> None:
        self.office, self.form, self._more, self._asked = office, form, more, asked
        theme = office.theme
        self.finding = Finding(theme)
        self.drawing = LoadDrawing(theme)
        self.drawing.day_chosen.connect(self._take)
        self.drawing.turned.connect(self._turn)
        self.lines = FoundDays(theme)
        self.lines.say = partial(clock_words, office.desk, long=True)
        self.lines.chosen.connect(self._choose)
        self._from = office.desk.today
        self._load: Load | None = None
        self._days: tuple[DayOfPlan, ...] = ()
        self._found: EarliestDays | None = None
        self._at = 0  # which of the found begins is taken
        self._minutes = 0
        self._looking: Task | None = None
        super().__init__(
            theme, self.finding, self.drawing, self.lines, form, row, focus=form.first_field, top=2
        )
        self._pause = Pause(self, FIND_PAUSE, self._find)
        for field in form.days:
            field.installEventFilter(self)

    def begin(self) -> None:
        """For a fresh booking: the weeks from today on."""
        self._from, self._load, self._found, self._at = self.office.desk.today, None, None, 0
        self._days = ()
        self.drawing.show_load({}, {}, None, self._from)

    def read(self) -> None:
        """Read what the days in view hold, and find the days that fit."""
        first, desk = self._from, self.office.desk
        last = first + timedelta(days=DAYS - 1)

        def show(found: tuple[Load, tuple[DayOfPlan, ...]]) -> None:
            if self._from == first:
                self._load, self._days = found
                self._show()
                self.changed.emit()

        def look() -> tuple[Load, tuple[DayOfPlan, ...]]:
            return load(desk, first, last), plan_of_shop(desk, first, DAYS).days

        in_background(self.office, self, "Reading the days", look, show, quiet=True)
        self._pause.start()

    def _find(self) -> None:
        """Look for the days that fit, in the background."""
        asked, desk = self._asked(), self.office.desk
        if self._looking is not None:
            self._looking.stop()
            self._looking = None
        if asked is None:
            self._found = None
            self._show()
            return

        def show(found: EarliestDays) -> None:
            self._looking = None
            self._found = found
            self._at = min(self._at, max(0, len(found.begins) - 1))
            self._fill()
            self._show()
            self.changed.emit()

        self._looking = in_background(
            self.office,
            self,
            "Finding a day",
            partial(earliest_days, desk, asked),
            show,
            quiet=True,
        )

    # what is chosen --------------------------------------------------------------------------
    @property
    def begin_taken(self) -> Begin | None:
        """The begin as it would be booked: typed, else found; none without a day or a time."""
        found, typed = self._found, self.form.read()
        if found is None or typed.no_day:
            return None
        if typed.begins_at is not None or typed.promised is not None:
            return found.typed
        if typed.first is not None or not found.begins:
            return None
        return found.begins[self._at]

    @property
    def found_begin(self) -> datetime | None:
        """When the begin is that was found and is taken, whatever is promised."""
        begins = self._found.begins if self._found is not None else ()
        return instant_of(begins[self._at].begin) if begins else None

    def _fill(self) -> None:
        """Fill in what was found, where nothing is typed."""
        found, say = self._found, self.lines.say
        begins = found.begins if found is not None else ()
        one = begins[self._at] if begins else None
        taken = self.begin_taken or one
        self.form.first.fill(say(one.begin) if one is not None else "")
        self.form.promised.fill(say(taken.promised) if taken is not None else "")
        likely = found.hours.likely if found is not None else 0
        self.form.hours.fill(shown_duration(likely) if likely else "")

    def expect(self, minutes: int) -> None:
        """How long the job is expected to take, and what was typed of its days."""
        self._minutes = minutes
        first = self.days()[0]
        if first is not None and not 0 <= (first - self._from).days < self.drawing.count:
            self._from = max(self.office.desk.today, first - timedelta(days=first.weekday()))
            self.read()
        self._pause.start()
        self._show()

    def days(self) -> tuple[date | None, date | None]:
        """The first and last day as they would be booked."""
        desk, begin = self.office.desk, self.begin_taken
        first = self.form.read().first
        if first is None and begin is not None:
            first = desk.day_of(instant_of(begin.begin))
        last = self._more.last_day(first)
        if first is not None and last is None:
            ends = [bar.end for bar in begin.bars if bar.kind is Kind.HANDS] if begin else []
            if ends:
                last = desk.day_of(instant_of(max(ends) - 1))
            else:
                last = booking_jobs.usual_last_day(desk, first, self._minutes)
        return first, last

    def _added(self) -> dict[date, int]:
        begin = self.begin_taken
        if begin is None or not self._days:
            return added(self.office.desk, *self.days(), self._minutes)
        held = {
            day.day: sum(
                max(0, min(bar.end, day.end) - max(bar.start, day.start))
                for bar in begin.bars
                if bar.kind is Kind.HANDS
            )
            for day in self._days
        }
        return {day: minutes for day, minutes in held.items() if minutes}

    def _show(self) -> None:
        days = {one.day: DayLoad(one.day, one.open_minutes, one.booked) for one in self._days}
        found, begin, today = self._found, self.begin_taken, self.office.desk.today
        stays = found.stays if found is not None else ()
        bays = max(1, self.office.desk.settings.bays)
        self.drawing.show_bays(self._days, bays if self._days else 0, stays, begin)
        self.drawing.show_load(days, self._added(), self.days()[0], today)
        self.finding.show_finding(found)
        typed = self.form.read()
        by_hand = typed.first is not None or typed.no_day
        self.lines.show_begins(found, -1 if by_hand else self._at)
        self.lay()
        self._focus_moved(None, QApplication.focusWidget())  # still in sight with more above it

    def question(self) -> str:
        """What to ask before the job is booked for these days; nothing where each has room."""
        begin = self.begin_taken
        if begin is not None and begin.clashes:
            return f"It clashes in the bay with {listed(begin.clashes)}."
        if begin is not None and begin.harms:
            return f"It brings a promise below nine in ten: that of {listed(begin.harms)}."
        first, last = self.days()
        found = begin is not None and self._found is not None and begin in self._found.begins
        if found or first is None or last is None or not self._minutes or last < first:
            return ""
        desk = self.office.desk
        standing = self.office.read(partial(load, desk, first, last))
        return over_sentence(desk, standing, self._added()) if standing is not None else ""

    def note(self, guess: Estimate | None) -> tuple[str, list[Block]]:
        """What the margin says of the begin, of its day, and how long the job takes."""
        first, desk = self.days()[0], self.office.desk
        assert first is not None
        blocks: list[Block] = []
        begin, standing = self.begin_taken, self._load
        over = ""
        if standing is not None and first in standing.days:
            over = over_sentence(desk, standing, self._added(), named=False)
        if over:
            blocks += [Alert("More than the day has"), Voice(_unbroken(over))]
        if begin is not None:
            return clock_words(desk, begin.begin, long=True), [*blocks, *begin_blocks(desk, begin)]
        if standing is not None and first in standing.days:
            one = standing.days[first]
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
        """↑ and ↓ in the begin take another line, PgUp and PgDn go to other weeks."""
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
        """Another begin that was found; where none was, or a day was typed, another day."""
        found = self._found
        if found is not None and found.begins and not self.form.first.typed:
            self._choose(min(max(self._at + by, 0), len(found.begins) - 1))
            return
        desk = self.office.desk
        first = self.form.read().first
        day = first + timedelta(days=by) if first is not None else desk.today
        weekdays = booking_jobs.working_weekdays(desk)
        while day.weekday() not in weekdays:
            day += timedelta(days=by if first is not None else 1)
        self._take(max(day, desk.today))

    def _choose(self, at: int) -> None:
        self._at = at
        self.form.first.put_back()
        self._fill()
        self.form.first.editingFinished.emit()

    def _take(self, day: date) -> None:
        self.form.first.type_over(day_words(day))
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
