"""Noting an enquiry: who asked, what for, and when it is wanted; read as it is typed."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal

from app.actions.desk.desk import Changed
from app.actions.jobs import enquiries
from app.actions.people.as_typed import (
    person_fields,
    reached_words,
    read_person,
    who_it_may_be,
)
from app.calculations.numbers.dates import weekday_day
from app.window.house.office import Office
from app.window.paper.action import ActionRow
from app.window.paper.fields import Form
from app.window.paper.notes import Alert, Block, Facts, Keys, Note, Rule, Voice, known
from app.window.paper.partsbody import PartsBody
from app.window.paper.pause import Pause

KEYS: Keys = (
    ("↵", "next field, then note it"),
    ("Ctrl ↵", "note it"),
    ("Esc", "leave without noting it"),
)
READ_PAUSE = 150  # ms without typing before the book is asked who it may be


class EnquiryForm(PartsBody):
    """Three fields, of which the first is needed."""

    noted = Signal(int)
    changed = Signal()  # the margin should speak anew

    def __init__(self, office: Office) -> None:
        self.office = office
        self.form = form = Form(office.theme, 2)
        self.who = form.add_line("Who asks", "name, with telephone or mail", span=2)
        self.what = form.add_line("What for", "a coating for the blue wagon")
        self.wanted = form.add_line(
            "When wanted", "Tue, 14 Aug, before winter", on_enter=self.note_it
        )
        self.who.returnPressed.connect(self.what.setFocus)
        self.what.returnPressed.connect(self.wanted.setFocus)
        self._blocks: tuple[Block, ...] = ()
        self._pause = Pause(form, READ_PAUSE, self._read)
        for field in (self.who, self.what, self.wanted):
            field.textChanged.connect(lambda _text: self._pause.start())
        row = ActionRow(office.theme, "Note the enquiry")
        row.button.clicked.connect(self.note_it)
        super().__init__(office.theme, form, row, focus=form.first_field, top=12)

    def begin(self, name: str = "") -> None:
        """A fresh enquiry, with the words typed so far."""
        self.form.empty()
        self.who.setText(name)
        self._read()
        self.who.setFocus()

    def keep(self) -> object:
        """What was typed, for when the window is built anew."""
        return self.who.text(), self.what.text(), self.wanted.text()

    def resume(self, kept: object) -> None:
        """Stand as it was kept."""
        assert isinstance(kept, tuple)
        for field, words in zip((self.who, self.what, self.wanted), kept, strict=True):
            field.setText(words)

    @property
    def written(self) -> bool:
        """Whether anything was typed that is not noted."""
        return any(field.text().strip() for field in (self.who, self.what, self.wanted))

    def _read(self) -> None:
        """Say as whom, and for which day, the words are read."""
        desk, words = self.office.desk, self.who.text().strip()
        blocks: list[Block] = []
        if words:
            person = read_person(desk, words)
            found = self.office.read(partial(who_it_may_be, desk, person)) or []
            if len(found) > 1:
                blocks.append(Alert(f"{len(found)} customers of this name"))
                blocks.append(Voice("Type a telephone or mail beside the name to say which."))
            elif found:
                vehicles = ", ".join(found[0].vehicles)
                blocks += [Voice("In the book already."), known(("Who", found[0].name))]
                blocks += [Facts((("Holds", vehicles),))] if vehicles else []
            else:
                blocks.append(Voice("New in the book:"))
                name = str(person_fields(person)["name"])
                blocks.append(known(("Name", name), ("Reached by", reached_words(desk, person))))
        day = enquiries.day_wanted(desk, self.wanted.text())
        if self.wanted.text().strip():
            blocks += [Rule()] if blocks else []
            blocks.append(
                Facts((("Wanted", weekday_day(day)),))
                if day
                else Voice("When is kept in your words.")
            )
        self._blocks = tuple(blocks)
        self.changed.emit()

    def note(self) -> Note:
        """What the margin says of it."""
        usual = (
            Voice(
                "A name is enough; a telephone or mail beside it is read too. The enquiry waits in "
                "its own list until it is booked, or came to nothing."
            ),
        )
        return Note("An enquiry", self._blocks or usual, KEYS)

    def note_it(self) -> None:
        """Note it, as one action."""
        said = self.who.text(), self.what.text(), self.wanted.text()
        do = partial(enquiries.note_enquiry, self.office.desk, *said)

        def noted(made: tuple[Changed, int]) -> None:
            if said == (self.who.text(), self.what.text(), self.wanted.text()):
                self.form.empty()
                self.noted.emit(made[1])

        self.office.act_then(do, noted, f"enquiry of {said[0]}", ("enquiry", said))
