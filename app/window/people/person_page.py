"""What is kept of a customer, on their request: written out for them, or erased for good."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import ClassVar

from PySide6.QtWidgets import QWidget

from app.actions.desk.desk import Changed
from app.actions.desk.papers import file_name
from app.actions.exchange.person_export import export_person
from app.actions.people import customers, erasing
from app.actions.people.customers import CustomerPage
from app.window.house.entriespage import EntriesPage
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.paper.action import ActionRow
from app.window.paper.fields import Form, LineField
from app.window.paper.leafbody import LeafBody
from app.window.paper.notes import Alert, Block, Note, Rule, Voice
from app.window.paper.runs import Run

KEYS = (
    ("Alt 1–2", "write out, or erase"),
    ("Tab", "next field"),
    ("Ctrl ↵", "do the open one"),
    ("Esc", "back to the customer"),
)
_WORDS = {
    "export": "Everything that the book holds of them, with vehicles, jobs, money, layers, letters "
    "and consents: one workbook, and the same as plain text beside it.",
    "erase": "This cannot be undone, not by Ctrl Z either. Type the word "
    f"“{erasing.WORD}” if they are to go for good; the margin says what goes and what stays.",
}


class PersonPage(EntriesPage):
    """Opened from a customer's card; nothing is done before its key is pressed."""

    entries: ClassVar = {
        "export": ("Write it all out for them", "When they ask what is kept."),
        "erase": ("Erase them", "Money stays in the books, without their name."),
    }
    shows = frozenset({"customers"})
    keys = (("What is kept of a customer", KEYS),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._page: CustomerPage | None = None
        self._said = ""  # the place that is proposed, or was written to
        self.place = LineField(office.theme, "")
        self.word = LineField(office.theme, "", erasing.WORD)
        self.set_head("What is kept of a customer", "")
        self.show_entries({}, lambda _key: False)
        self.begin("export", self._back)

    def make_body(self, key: str) -> QWidget:
        theme, form = self.office.theme, Form(self.office.theme, 1)
        row = ActionRow(theme, "Write it there" if key == "export" else "Erase them for good")
        row.button.clicked.connect(self.primary)
        form.on_leave = self._leave
        if key == "export":
            form.add("Where it goes", self.place)
            row.show_hints([Run("Choose the folder", "unit", on_click=self._choose)])
        else:
            form.add("The word", self.word)
        return LeafBody(theme, _WORDS[key], form, row)

    def open_item(self, item: object) -> None:
        """Show a customer."""
        if isinstance(item, int):
            read = partial(customers.customer_page, self.office.desk, item)
            self._page = self.office.read(read)
            if self._page is not None:
                folder = self.office.desk.book.path.parent
                name = file_name(self._page.title, "customer")
                self._said = str(folder / f"{name}.xlsx")
                self.place.setText(self._said)
                self.set_head(self._page.title, "what is kept of them", italic=True)
            self.word.clear()
            self.strip.open("export", still=True)
            self.explain()
            self.entered()

    def entered(self) -> None:
        body = self.strip.made(self.strip.open_key)
        if isinstance(body, LeafBody):
            body.entered()

    def turned(self, key: str) -> None:
        super().turned(key)
        self.entered()

    def keep(self) -> object:
        return self._page.customer_id if self._page is not None else None

    def resume(self, kept: object) -> None:
        self.open_item(kept)

    def explain(self) -> None:
        blocks: list[Block] = [Voice("Open a customer first, and press F7 on their card.")]
        if self._page is not None and self.strip.open_key == "erase":
            blocks = [Alert("Cannot be undone", "wrong"), Voice(f"Gone: {erasing.GOES}")]
            owes = dict(self._page.facts).get("Owes", "nothing")
            if owes != "nothing":
                blocks.append(Alert(f"They owe {owes}: nobody will know who", "look"))
            blocks += [Rule(), Voice(f"Kept: {erasing.STAYS}")]
            blocks += [Rule(), Voice(erasing.still_held(self.office.desk))]
        elif self._page is not None:
            blocks = [
                Voice("Hand it over as you are used to; it holds all that you wrote of them.")
            ]
        self.margin.say(Note(self.entries[self.strip.open_key or "export"][0], tuple(blocks), KEYS))

    # doing ---------------------------------------------------------------------------------
    def _leave(self) -> bool:
        """Say that what was typed has done nothing yet; it stands there when one comes back."""
        if self.word.text().strip():
            self.office.say_trouble("Nobody is erased: Ctrl ↵ beside the word does it.")
        elif self.place.text() != self._said:
            self.office.say_trouble("Nothing is written out yet: Ctrl ↵ beside the place does it.")
        return True

    def _back(self) -> None:
        number = self._page.customer_id if self._page is not None else None
        self.office.go("customers", number)

    def _choose(self) -> None:
        choice = FileChoice(self.theme, self, "what is kept of a customer")
        chosen = choice.save("Write out what is kept", self.place.text(), "Workbooks (*.xlsx)")
        if chosen is not None:
            self.place.setText(str(chosen))

    def primary(self) -> None:
        """Write the customer out, or erase them where the word was typed."""
        page = self._page
        if page is None:
            self.office.say_trouble("Open a customer first, and press F7 on their card.")
        elif self.strip.open_key == "erase":
            typed = self.word.text()
            self.word.clear()
            work = partial(erasing.erase_person, self.office.desk, page.customer_id, typed)
            self.office.write_long(
                "erasing a customer", lambda _t: work(), self._erased, owner=self
            )
        else:
            self._said = self.place.text()
            target = Path(self.place.text().strip()).expanduser()
            write = partial(export_person, self.office.desk, page.customer_id, target)
            self.office.runner.run(
                "writing out what is kept",
                lambda _task: write(),
                done=lambda files: self.office.say(f"Written: {files[0]} and {files[1].name}"),
                failed=self.office.say_trouble,
                owner=self,
            )

    def _erased(self, changed: Changed) -> None:
        self._page = None
        self.office.desk.reload()
        self.office.go("customers")
        self.office.note(changed)
