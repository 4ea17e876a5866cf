"""All backups of the book with what each holds: bring one back, make one, print how it is done."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtWidgets import QLineEdit

from app.actions.desk.papers import papers_folder
from app.actions.shop import backups
from app.actions.shop.backup_paper import paper_lines
from app.actions.shop.backups import Kept, Made
from app.errors import Mendable
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.house.place import Place
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Form, LineField
from app.window.paper.notes import Note, Rule, Voice
from app.window.paper.partsbody import PartsBody

KEYS = (
    ("↑ ↓", "a backup"),
    ("↵ ↵", "bring it back"),
    ("Ctrl ↵", "make a backup"),
    ("F7", "print that paper"),
    ("Esc", "back"),
)
_COLUMNS = (
    Column("when", "Made", width=0, least=200),
    Column("jobs", "Jobs", width=90, least=60, right=True),
    Column("size", "Size", width=110, least=80, right=True, aside=1),
    Column("place", "Where", width=240, least=120),
)
_EMPTY = EmptyText(
    "No backups yet",
    "Each close makes one. Ctrl ↵ makes one now; a second place for them stands in the settings.",
)


def _size(size: int) -> str:
    return f"{size / 1e6:,.1f} MB" if size >= 100_000 else f"{size / 1e3:,.0f} kB"


def _row(kept: Kept) -> TableRow:
    jobs = Cell("does not open", State.LOOK) if kept.jobs is None else Cell(f"{kept.jobs:,}")
    place = kept.place
    if kept.sealed:
        place += ", sealed with another passphrase" if kept.anothers else ", sealed"
    anothers = "of another book" if kept.anothers and not kept.sealed else ""
    when = Cell(kept.text, detail=", ".join(filter(None, (kept.why, anothers))))
    return row_of(str(kept.path), when, jobs, quiet(_size(kept.size)), quiet(place))


class BackupsPage(Place):
    """Enter asks once whether the book is to be as it was then; Enter again does it."""

    keys = (("Backups", KEYS),)
    shows = frozenset({"settings"})

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._kept: dict[str, Kept] = {}
        self._asked = ""  # the backup that was asked about
        theme = office.theme
        self.table = EntryTable(theme, _COLUMNS, empty=_EMPTY)
        self.table.row_opened.connect(self._opened)
        self.table.row_entered.connect(lambda key, _column: self._other(key))
        self.passphrase = LineField(theme, "", "for a sealed one, where the keyring has no key")
        self.passphrase.setEchoMode(QLineEdit.EchoMode.Password)
        self.passphrase.returnPressed.connect(lambda: self._opened(self.table.current_key()))
        self.form = Form(theme, 2)
        self.form.add("Passphrase", self.passphrase)
        row = ActionRow(theme, "Make a backup")
        row.button.clicked.connect(self.primary)
        row.set_second("Print how to get the book back", "F7").clicked.connect(self.print_paper)
        self.set_head("Backups", "the newest first")
        self.parts = PartsBody(theme, self.table, self.form, row, focus=lambda: self.table)
        self.form.hide()  # until a passphrase is asked for
        self.set_body(self.parts)
        self.on_key("F7", self.print_paper)

    def entered(self) -> None:
        """Read them, and stand on the newest."""
        self.table.setFocus()
        self.refresh(self.shows)
        voice = (
            "The book is put back to what it was when a backup was made. The book of now is moved "
            "aside and kept, with all that was typed since."
        )
        paper = Voice("The paper tells how it is done on another PC. Print it and put it away.")
        self.margin.say(Note("Backups", (Voice(voice), Rule(), paper), KEYS))

    def refresh(self, kinds: frozenset[str]) -> None:
        """Look into each of them, in the background."""
        desk = self.office.desk
        look = partial(backups.kept_backups, desk)
        in_background(self.office, self, "looking at the backups", look, self._show, quiet=True)

    def _show(self, found: list[Kept]) -> None:
        self._kept = {str(one.path): one for one in found}
        self.table.show_rows([_row(one) for one in found])
        self.parts.lay()  # it is as high as its rows

    # doing ---------------------------------------------------------------------------------
    def _other(self, key: Hashable) -> None:
        if self._asked and key != self._asked:
            self._ask("")

    def _ask(self, path: str) -> None:
        self._asked = path
        self.office.trouble = ""
        self.office.question = ""
        if path:
            kept = self._kept[path]
            doubt = "That is a copy of another book. " if kept.anothers and not kept.sealed else ""
            self.office.question = f"{doubt}Put the book back to {kept.text}? ↵ once more does it."
        self.office.spoke.emit()

    def _opened(self, key: Hashable) -> None:
        """The first Enter asks, the second brings it back."""
        kept = self._kept.get(str(key))
        if kept is None:
            return
        desk, typed = self.office.desk, self.passphrase.text()
        if not typed:
            try:
                backups.key_of(desk, kept.path)
            except (Mendable, OSError) as trouble:
                self._ask("")
                self.office.say_trouble(str(trouble))
                self.form.show()
                self.parts.lay()
                self.passphrase.setFocus()
                return
        if self._asked != str(kept.path):
            self._ask(str(kept.path))
            return
        self._ask("")
        in_background(
            self.office,
            self,
            "opening the backup",
            lambda: backups.opens(desk, kept.path, typed),
            partial(self.office.restore_asked.emit, kept),
        )

    def back(self) -> bool:
        self.office.go_back()
        return True

    def primary(self) -> None:
        """Make a backup, in both places where there are two."""
        desk = self.office.desk
        in_background(
            self.office, self, "making a backup", lambda: backups.back_up(desk), self._made
        )

    def _made(self, made: Made) -> None:
        say_made(self.office, made)
        self.refresh(self.shows)

    def print_paper(self) -> None:
        """Write the paper with the eight lines, and open it for printing."""
        from app.documents.papers.backup_paper import backup_paper_pdf

        office = self.office
        desk = office.desk
        folder = office.act_now(lambda: papers_folder(desk, "getting the book back"))
        if folder is None:
            return
        path = folder / "getting the book back.pdf"
        lines, region = paper_lines(desk), desk.settings.region
        if office.act_now(lambda: backup_paper_pdf(lines, path, region)) is not None:
            office.say(f"The paper is written to {path}")
            office.act(lambda: open_outside(path))


def say_made(office: Office, made: Made) -> None:
    """Say in the foot what making a backup came to."""
    if made.trouble:
        office.say_trouble(" ".join(one[0].upper() + one[1:] for one in made.trouble))
    else:
        office.say(made.sentence)
