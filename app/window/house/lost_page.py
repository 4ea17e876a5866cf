"""The page that opens when the open book's path leads elsewhere: save what is open, or go there."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QWidget

from app.actions.opening import SUFFIX, free_path
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.action import ActionRow
from app.window.paper.fields import Form, LineField
from app.window.paper.leafbody import LeafBody
from app.window.paper.notes import Alert, Block, Note, Voice
from app.window.paper.runs import Run
from app.window.paper.strip import Strip, StripEntry

FILES = f"Books (*{SUFFIX});;All files (*)"
_ENTRIES = (
    StripEntry("save", "Save what is open here", "Into another file; the work goes on in that.",
               "nothing is lost"),
    StripEntry("go", "Open what lies there now", "What was typed since is not in it.",
               "as it stands there"),
)  # fmt: skip
_WORDS = {
    "save": "All that was in the book is still held by this window. It is gone when the window is "
    "closed, unless it is saved. Words typed after the book went stand beside, to be typed again.",
    "go": "The file at the book’s old place is opened as it is, and what is open here is let go. "
    "Save it first where you are not sure.",
}
_KEYS = (("Alt 1–2", "save, or go there"), ("Ctrl ↵", "do the open one"), ("Tab", "next field"))


class LostPage(Place):
    """Nothing is saved any more until one of its two entries was done."""

    keys = (("This page", _KEYS),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self.place = LineField(office.theme, "")
        self._wanted = ""  # the place that is proposed, or was saved to
        self.strip = Strip(office.theme, self._body_for)
        self.strip.set_entries(_ENTRIES)
        self.strip.opened.connect(lambda _key: self._explain())
        office.spoke.connect(self._explain)
        self.set_head("The book is not where it was", "nothing is saved until this is settled")
        self.set_body(self.strip, bleeds=True)
        self.strip.open("save", still=True)

    def _body_for(self, key: str) -> QWidget:
        theme, form = self.office.theme, None
        row = ActionRow(theme, "Save it there" if key == "save" else "Open it")
        row.button.clicked.connect(self.primary)
        if key == "save":
            path = self.office.desk.book.path
            folder = path.parent if path.parent.is_dir() else Path.home()
            wanted = folder / f"{path.stem} saved{path.suffix or SUFFIX}"
            self._wanted = str(free_path(wanted))
            self.place.setText(self._wanted)
            form = Form(theme, 1)
            form.on_leave = self._leave
            form.add("Where it goes", self.place)
            row.show_hints([Run("Choose the folder", "unit", on_click=self._choose)])
        return LeafBody(theme, _WORDS[key], form, row)

    def _leave(self) -> bool:
        """Say that another place was typed and nothing is saved there yet."""
        if self.place.text() != self._wanted:
            self.office.say_trouble("Nothing is saved there yet: Ctrl ↵ beside the place does it.")
        return True

    def _choose(self) -> None:
        choice = FileChoice(self.theme, self, "books")
        chosen = choice.save("Save what is open", self.place.text(), FILES)
        if chosen is not None:
            self.place.setText(str(chosen))

    def entered(self) -> None:
        """The first field, where there is one."""
        self._explain()
        body = self.strip.made(self.strip.open_key)
        if isinstance(body, LeafBody):
            body.entered()

    def _explain(self) -> None:
        why = self.office.lost or "The book is where it was."
        blocks: list[Block] = [Alert("Not saved any more", "wrong"), Voice(why)]
        if self.office.left_out:
            blocks.append(Alert("Not in the book, type it again:"))
            blocks += [Voice(f"“{words}”") for words in self.office.left_out]
        self.margin.say(Note("Your book", tuple(blocks), _KEYS))

    def primary(self) -> None:
        """Save what is open into another file and go on in it, or open what lies there now."""
        if self.strip.open_key == "go":
            self.office.other_book_asked.emit(self.office.desk.book.path)
            return
        self._wanted = self.place.text()
        target = Path(self.place.text().strip()).expanduser()
        self.office.runner.run(
            "saving what is open",
            lambda _task: self.office.desk.book.save_elsewhere(target),
            done=self.office.other_book_asked.emit,
            failed=self.office.say_trouble,
            owner=self,
        )
