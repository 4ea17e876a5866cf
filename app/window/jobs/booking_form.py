"""The forms of the booking page: the begin, the promise and the hours; and what else is known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar

from PySide6.QtGui import QFocusEvent

from app.actions.desk.typed_days import read_promise, read_typed_day
from app.calculations.numbers.dates import day_short
from app.calculations.numbers.durations import JOB_MINUTES, read_duration
from app.errors import Mendable
from app.window.house.office import Office
from app.window.jobs.owed_bodies import CONDITIONS
from app.window.paper.fields import Choice, Form, LineField, Tick
from app.window.paper.theme import Theme

T = TypeVar("T")
PLACES = (
    ("as the services say", ""),
    ("in the bay", "bay"),
    ("outside", "outside"),
    ("in their yard", "yard"),
)


def read_line(line: LineField, read: Callable[[], T]) -> T | None:
    """What stands in a line; None where it cannot be read, and the line says why."""
    try:
        found = read()
    except Mendable as trouble:
        line.set_trouble(trouble.sentence)
        return None
    line.set_trouble("")
    return found


class FilledLine(LineField):
    """A line that is filled in until it is typed over; what was typed stands bold."""

    def __init__(self, theme: Theme, hint: str) -> None:
        super().__init__(theme, "", hint)
        self.typed = False
        self._filled = ""
        self.textEdited.connect(lambda _text: self._set_typed(True))

    def _set_typed(self, typed: bool) -> None:
        self.typed = typed
        self.setFont(self._theme.font("changed" if typed else "row"))

    def fill(self, text: str) -> None:
        """What was found for it; it shows until something is typed."""
        self._filled = text
        if not self.typed and self.text() != text:
            self.setText(text)
            if self.hasFocus():
                self.selectAll()

    def type_over(self, text: str) -> None:
        """As if it had been typed."""
        self.setText(text)
        self._set_typed(True)
        self.set_trouble("")

    def put_back(self) -> bool:
        """What was found stands again; False where nothing was typed, or found."""
        if not self.typed or not self._filled:
            return False
        self._set_typed(False)
        self.set_trouble("")
        self.setText(self._filled)
        self.selectAll()
        return True

    @property
    def words(self) -> str:
        """What was typed; nothing where it is only filled in."""
        return self.text() if self.typed else ""

    def empty(self) -> None:
        self._filled = ""
        self._set_typed(False)
        super().empty()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if not self.typed:
            self.selectAll()


@dataclass(frozen=True, kw_only=True)
class When:
    """What was typed of the days; without a time of day a begin is a day alone."""

    first: date | None = None
    begins_at: datetime | None = None
    promised: datetime | None = None
    minutes: int | None = None
    no_day: bool = False  # the day that was found was taken away


class WhenForm(Form):
    """The begin, the promise and the hours; each is filled in with what was found."""

    def __init__(self, office: Office) -> None:
        theme = office.theme
        super().__init__(theme, 3)
        self._office = office
        self.first = self.add("Begins", FilledLine(theme, "fri 8, 2 sep 11:00, +3"))
        self.promised = self.add("Promised for", FilledLine(theme, "Fri 17:00"))
        self.hours = self.add("Hours, hands on, likely", FilledLine(theme, "6:30"))
        self.days = (self.first, self.promised, self.hours)

    def read(self) -> When:
        """What was typed; a field that cannot be read is marked and left out."""
        first = begins_at = promised = minutes = None
        desk, day = self._office.desk, self.first
        if (both := read_line(day, lambda: self._begin(day.words))) is not None:
            first, begins_at = both
        # A promise of a time alone is for the day of the begin.
        promised = read_line(self.promised, lambda: read_promise(desk, self.promised.words, first))
        if self.hours.words.strip():
            minutes = read_line(
                self.hours, lambda: read_duration(self.hours.words, most=JOB_MINUTES)
            )
        return When(
            first=first, begins_at=begins_at, promised=promised, minutes=minutes,
            no_day=day.typed and not day.text().strip(),
        )  # fmt: skip

    def _begin(self, text: str) -> tuple[date | None, datetime | None]:
        """A day, with its moment where a time of day was typed beside it."""
        desk = self._office.desk
        try:
            return read_typed_day(desk, text), None
        except Mendable as trouble:
            try:
                at = read_promise(desk, text, None)
            except Mendable:
                raise trouble from None
            return (desk.day_of(at), at) if at is not None else (None, None)

    def wrong(self) -> LineField | None:
        """The first field that cannot be read."""
        return next((line for line in self.days if line.trouble), None)

    def put_back(self) -> bool:
        """What was found stands again in the line with the focus; False where none was typed."""
        return any(line.hasFocus() and line.put_back() for line in self.days)


class MoreForm(Form):
    """Condition, place, last day and words; all of it can wait."""

    def __init__(self, office: Office) -> None:
        theme = office.theme
        super().__init__(theme, 4)
        self._office = office
        self.condition = self.add("Condition", Choice(theme, CONDITIONS))
        self.place = self.add("Where", Choice(theme, PLACES))
        self.travel = self.add_line("Way there and back", "30m")
        self.last = self.add_line("Last day", "as long as it takes")
        self.title = self.add_line("Title", "only where no service says it", span=3)
        self.enquiry = self.add("State", Tick(theme, "only an enquiry yet"))
        self.notes = self.add_line("Notes", "marks seen, keys, what was agreed", span=4)
        self.condition.choose("average")

    def clear(self) -> None:
        """As for a fresh booking."""
        self.empty()
        self.condition.choose("average")
        self.place.choose("")
        self.enquiry.setChecked(False)

    @property
    def said(self) -> str:
        """What was said here, in short; nothing where all is as usual."""
        parts = ["an enquiry"] if self.enquiry.isChecked() else []
        if self.condition.value != "average":
            parts.append(f"{self.condition.currentText()} condition")
        parts += [self.place.currentText()] if self.place.value else []
        parts += [line.text() for line in (self.title, self.notes) if line.text().strip()]
        return ", ".join(parts)

    def last_day(self, first: date | None) -> date | None:
        """The last day that was typed; one that cannot be read is marked and left out."""
        return read_line(self.last, lambda: read_typed_day(self._office.desk, self.last.text(),
                                                           first))  # fmt: skip

    def way(self) -> int:
        """Minutes there and back that were typed."""
        text = self.travel.text()
        if not text.strip():
            self.travel.set_trouble("")
            return 0
        return read_line(self.travel, lambda: read_duration(text, bare=1)) or 0

    def wrong(self) -> LineField | None:
        """The first field that cannot be read."""
        return next((line for line in (self.travel, self.last) if line.trouble), None)


def day_words(day: date) -> str:
    """A day as it is typed."""
    return f"{day_short(day)} {day.year}"
