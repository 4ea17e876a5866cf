"""What is said of a new job's days, place and condition: typed, else as it was found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.actions.jobs.booking_jobs import NewJob
from app.actions.jobs.jobs import span_text
from app.calculations.bay.opening import instant_of
from app.calculations.numbers.dates import near
from app.window.house.office import Office
from app.window.jobs.booking_form import MoreForm, WhenForm
from app.window.paper.action import ActionRow
from app.window.paper.fields import LineField
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.actions.bay.earliest_days import Asked
    from app.window.jobs.booking_when import WhenBody


class BookingDays(QObject):
    """The two forms and the body in which a day is found, once that was opened."""

    typed = Signal()  # days, hours or the condition
    said = Signal()  # words, or what was found

    def __init__(self, office: Office) -> None:
        super().__init__()
        self._office = office
        self.form, self.more = WhenForm(office), MoreForm(office)
        self.when: WhenBody | None = None
        self.sold: Sequence[tuple[int, int]] = ()
        self.sizes = "M", "M"
        for one in (*self.form.days, self.more.last, self.more.travel):
            one.editingFinished.connect(self.typed.emit)
        for choice in (self.more.condition, self.more.place):
            choice.activated.connect(lambda _at: self.typed.emit())
        self.more.enquiry.toggled.connect(lambda _on: self.said.emit())
        for line in (self.more.title, self.more.notes):
            line.editingFinished.connect(self.said.emit)

    def make_when(self, row: ActionRow) -> WhenBody:
        """The body of the days, over its row."""
        from app.window.jobs.booking_when import WhenBody  # what finds a day is slow to import

        self.when = WhenBody(self._office, self.form, self.more, self.asked, row)
        self.when.changed.connect(self.said.emit)
        row.show_hints(
            [
                Run("Earlier", "unit", key="PgUp", gap=20),
                Run("Later", "unit", key="PgDn", gap=20),
                Run("Without a day", "unit", key="Del"),
            ]
        )
        return self.when

    def expect(self, sold: Sequence[tuple[int, int]], sizes: tuple[str, str], minutes: int) -> None:
        """What is sold, for which vehicle, and how long it takes: the days are found anew."""
        self.sold, self.sizes = sold, sizes
        if self.when is not None:
            self.when.expect(minutes)

    def asked(self) -> Asked | None:
        """What days are looked for; none while neither services nor hours are known."""
        from app.actions.bay.earliest_days import Asked

        typed = self.form.read()
        if not self.sold and typed.minutes is None:
            return None
        begins_at = typed.begins_at
        if begins_at is None and typed.promised is not None and self.when is not None:
            begins_at = self.when.found_begin
        return Asked(
            services=tuple(self.sold), size_outside=self.sizes[0], size_inside=self.sizes[1],
            condition=self.condition, minutes=typed.minutes, place=self.place,
            travel_minutes=self.more.way(), begins_at=begins_at, promised_at=typed.promised,
        )  # fmt: skip

    @property
    def condition(self) -> str:
        """The vehicle's condition."""
        return str(self.more.condition.value or "average")

    @property
    def place(self) -> str:
        """Where it is done; nothing for as its services say."""
        return str(self.more.place.value or "")

    @property
    def words(self) -> str:
        """The begin as its entry says it."""
        typed, today = self.form.read(), self._office.desk.today
        if self.when is None:
            return near(typed.first, today) if typed.first is not None else ""
        begin, (first, last) = self.when.begin_taken, self.when.days()
        if begin is not None:
            return self.when.lines.say(begin.begin)
        return span_text(first, last, today) if first is not None else ""

    @property
    def wrong(self) -> LineField | None:
        """The first field that cannot be read."""
        return self.form.wrong() or self.more.wrong()

    @property
    def entry_wrong(self) -> str:
        """The entry in which that field stands."""
        return "when" if self.form.wrong() is not None else "more"

    @property
    def written(self) -> bool:
        """Whether anything was typed."""
        typed = any(line.words.strip() for line in self.form.days)
        return typed or any(field.text().strip() for _label, field in self.more.lines())

    def said_of(self, new: NewJob) -> NewJob:
        """The job with all that was said here."""
        typed, when = self.form.read(), self.when
        first, last = when.days() if when is not None else (typed.first, None)
        begin = when.begin_taken if when is not None else None
        promised = typed.promised or (instant_of(begin.promised) if begin is not None else None)
        return replace(
            new, first_day=first, last_day=self.more.last_day(first) or last,
            begins_at=instant_of(begin.begin) if begin is not None else typed.begins_at,
            promised_at=promised, minutes=typed.minutes, condition=self.condition,
            place=self.place, travel_minutes=self.more.way(), title=self.more.title.text(),
            notes=self.more.notes.text(), enquiry=self.more.enquiry.isChecked(),
        )  # fmt: skip

    def question(self) -> tuple[str, object]:
        """What to ask before it is booked so, and for which days that is."""
        if self.when is None or self.more.enquiry.isChecked():
            return "", ()
        return self.when.question(), (*self.when.days(), self.when.begin_taken)

    def put_back(self) -> bool:
        """What was found stands again in the field with the focus; False where none was typed."""
        if not self.form.put_back():
            return False
        self.typed.emit()
        return True

    # what was said, for another time -----------------------------------------------------------
    def clear(self) -> None:
        """As for a fresh booking."""
        self.form.empty()
        self.more.clear()
        if self.when is not None:
            self.when.begin()

    def keep(self) -> object:
        """All that was typed and chosen."""
        more = self.more
        lines = [line.text() for _label, line in more.lines()]
        chosen = more.condition.value, more.place.value, more.enquiry.isChecked()
        return [line.words for line in self.form.days], lines, chosen

    def resume(self, kept: object) -> None:
        """Stand as it was kept."""
        assert isinstance(kept, tuple)
        days, lines, (condition, place, ticked) = kept
        for day, text in zip(self.form.days, days, strict=True):
            if text:
                day.type_over(text)
        for (_label, line), text in zip(self.more.lines(), lines, strict=True):
            line.setText(text)
        self.more.condition.choose(condition)
        self.more.place.choose(place)
        self.more.enquiry.setChecked(ticked)
