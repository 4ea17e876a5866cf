"""The first page: begin a book, bring in spreadsheets, look at a made-up shop, or open a book.

A backup can be put back there too, and a book that is open elsewhere be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QCloseEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QWidget

from app.actions import opening as books
from app.window.house.filechoice import FileChoice
from app.window.house.leaf import LEFT, WIDE, draw_date
from app.window.house.runner import Runner, Task
from app.window.house.windowsize import first_size, hold_least
from app.window.paper.action import ActionRow
from app.window.paper.brush import Brush, Drawn
from app.window.paper.fields import Form, LineField
from app.window.paper.leafbody import LeafBody
from app.window.paper.notes import Alert, Note, Voice
from app.window.paper.page import Page
from app.window.paper.runs import Run
from app.window.paper.strip import Strip, StripEntry
from app.window.paper.theme import Theme

SHEETS = "Spreadsheets and address cards (*.xlsx *.xlsm *.csv *.txt *.vcf);;All files (*)"
BACKUPS = f"Backups (*{books.SUFFIX} *{books.SUFFIX}.sealed);;All files (*)"
_OFFERS = (
    StripEntry("new", "Begin a new book", "One file holds the whole shop.", "empty, yours"),
    StripEntry("bring", "Bring in spreadsheets", "Customers, vehicles, supplies, past jobs.",
               "workbooks, CSV, address cards"),
    StripEntry("demo", "Look at a made-up shop", "Two years of invented days to try things in.",
               "nothing of it is real"),
    StripEntry("open", "Open a book you have", "From another folder or disk.", "a file"),
    StripEntry("back", "Put a backup back", "The book as it was when the backup was made.",
               "a copy, sealed or not"),
)  # fmt: skip
_LOOK = StripEntry("look", "Look without changing anything", "The book as it stands now, to read.",
                   "open elsewhere")  # fmt: skip
_WORDS = {
    "look": "Every page of the book, as it was saved last. Nothing can be typed in it here, and "
    "nothing is done to it, so that whoever has it open is not disturbed.",
    "new": "Choose where to keep the book. The shop’s name goes on order sheets and "
    "letters; it can be written or changed later, in the settings.",
    "bring": "Choose the files as you keep them: title rows, totals and merged cells may stay. "
    "You see line by line what would come in before anything does.",
    "demo": "The people, places and supplies in it are invented. It is a copy: write in it, close "
    "its day, undo it. A fresh one is made each day.",
    "open": "Books from an older version are backed up first and then brought up to date.",
    "back": "The backup itself stays. A book that lies at its place is moved aside and named, "
    "never lost.",
}
# what an offer's action says, and its fields: words, and the field of the page
_FIELDS: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "new": ("Begin this book",
            (("The shop’s name (can wait)", "name"), ("Where the book lies", "place"))),
    "bring": ("Choose the files", (("Where the new book lies", "bring_place"),)),
    "demo": ("Look at it", ()),
    "open": ("Choose the book", ()),
    "back": ("Put it back",
             (("The backup", "backup"), ("Its passphrase, if it is sealed", "passphrase"),
              ("Where the book lies", "back_place"))),
    "look": ("Look at it", ()),
}  # fmt: skip
_KEYS = (
    ("Alt ↑ ↓", "the offers"),
    ("Ctrl ↵", "do this one"),
    ("Tab", "next field"),
    ("Ctrl D", "light or dark"),
)


class Opener(Protocol):
    """Who opens the book that was chosen here, and takes the window over."""

    def open(self, path: Path) -> bool: ...
    def look(self, path: Path) -> bool: ...
    def create(self, path: Path, name: str = "", files: Sequence[Path] = ()) -> None: ...
    def put_back(self, backup: Path, book: Path, passphrase: str) -> None: ...


class _Cover(Drawn):
    """The left leaf of a book that has no contents yet."""

    def draw(self, brush: Brush) -> None:
        brush.painter.fillRect(self.rect(), brush.c.leaf)
        brush.gutter(QRectF(self.rect()), leaf=True)
        draw_date(brush, date.today(), date.today().year)
        brush.write("aside", brush.px(LEFT), brush.px(140), "No book is open.", brush.c.ink2)


class FirstRun(QWidget):
    """The page that stands before a book is open; what stood in the way is said in its margin."""

    def __init__(
        self, theme: Theme, opener: Opener, trouble: str = "", busy: Path | None = None
    ) -> None:
        super().__init__()
        self.theme = theme
        self._busy = busy  # the book that somebody has open elsewhere
        self._opener = opener
        self.runner = Runner()
        self._leaving = False
        self.setWindowTitle("Bayledger")
        hold_least(self, theme)
        self.resize(first_size(self, theme))
        self._build(trouble)
        for keys in ("Ctrl+Return", "Ctrl+Enter"):
            QShortcut(QKeySequence(keys), self).activated.connect(self.primary)
        QShortcut(QKeySequence("Ctrl+D"), self).activated.connect(self._next_look)
        QShortcut(QKeySequence("Ctrl+O"), self).activated.connect(self.choose_book)
        QShortcut(QKeySequence("Ctrl+N"), self).activated.connect(partial(self.strip.open, "new"))
        QShortcut(QKeySequence("Ctrl+Q"), self).activated.connect(self.close)
        self.runner.told.connect(self._told)

    def _build(self, trouble: str) -> None:
        theme = self.theme
        self.cover = _Cover(theme, self)
        self.page = Page(theme, self)
        self.name = LineField(theme, "", "as it stands on your letters")
        self.place = LineField(theme, str(books.free_path(books.usual_book())))
        self.bring_place = LineField(theme, self.place.text())
        self.backup = LineField(theme, "", "found in the folder backups beside the book")
        self.passphrase = LineField(theme, "")
        self.passphrase.setEchoMode(LineField.EchoMode.Password)
        self.back_place = LineField(theme, str(self._busy or books.usual_book()))
        self.strip = Strip(theme, self._body_for)
        self.strip.set_entries((*_OFFERS, _LOOK) if self._busy else _OFFERS)
        self.strip.opened.connect(lambda _key: self._explain())
        self.page.set_head("The day book of your shop", "ways to begin")
        self.page.set_body(self.strip, bleeds=True)
        self._trouble = trouble
        self.strip.open("look" if self._busy else "open" if trouble else "new", still=True)
        self.say_trouble(trouble)
        self._lay()

    def _body_for(self, key: str) -> QWidget:
        theme, form = self.theme, None
        label, fields = _FIELDS[key]
        row = ActionRow(theme, label)
        row.button.clicked.connect(self.primary)
        if fields:
            form = Form(theme, 1)
            for words, name in fields:
                form.add(words, getattr(self, name))
            place = getattr(self, fields[-1][1])
            hints = [Run("Choose the folder", "unit", on_click=lambda: self._choose_place(place))]
            if key == "back":
                hints.insert(0, Run("Choose the backup", "unit", on_click=self._choose_backup))
            row.show_hints(hints)
        return LeafBody(theme, _WORDS[key], form, row)

    # saying --------------------------------------------------------------------------------
    def say_trouble(self, sentence: str) -> None:
        """What stood in the way, at the head of the margin where all of it has room."""
        self._trouble = sentence
        self.page.set_foot([], "Everything stays on this computer.")
        self._explain()

    @property
    def trouble(self) -> str:
        """What stands in the way, or nothing."""
        return self._trouble

    def _explain(self) -> None:
        if self._trouble:
            blocks: tuple[Alert | Voice, ...] = (
                Alert("The book did not open", "wrong"),
                Voice(self._trouble),
                Voice("Nothing was changed. A backup can be put back here (Alt 5); backups lie in "
                      "the folder beside the book."),
            )  # fmt: skip
            self.page.margin.say(Note("Your book", blocks, _KEYS))
            return
        blocks = (
            Voice(
                "A page for each working day: jobs, supplies, money, what to order, whom to "
                "remind. Filled in from what is known, so that you correct and close it in "
                "minutes."
            ),
            Voice("The book is one file. Nothing is sent anywhere unless you send it."),
        )
        self.page.margin.say(Note("How it works", blocks, _KEYS))

    def _told(self, _task: object, share: float, words: str) -> None:
        self.page.foot_left.show_runs(
            [
                Run(f"{words}, {round(100 * share)} %", "unit", "ink"),
                Run("Stop", "unit", on_click=self.runner.stop),
            ]
        )
        self.page._lay()

    # doing ---------------------------------------------------------------------------------
    def primary(self) -> None:
        """Do the open offer."""
        if self.runner.busy:
            return
        key = self.strip.open_key
        if key == "new":
            self._opener.create(_path(self.place.text()), self.name.text().strip())
        elif key == "bring":
            choice = FileChoice(self.theme, self, "files to bring in")
            files = choice.open_many("Choose the files", SHEETS)
            if files:
                self._opener.create(_path(self.bring_place.text()), "", files)
        elif key == "demo":
            self.show_demo()
        elif key == "back":
            if self.backup.text().strip() or self._choose_backup():
                typed, place = self.backup.text().strip(), self.back_place.text()
                self.say_trouble("")
                self._opener.put_back(
                    Path(typed).expanduser(), _path(place), self.passphrase.text()
                )
        elif key == "look" and self._busy is not None:
            self._opener.look(self._busy)
        else:
            self.choose_book()

    def choose_book(self) -> None:
        """Choose a book in the system's own file chooser, and open it."""
        folder = books.usual_book().parent
        start = folder if folder.is_dir() else Path.home()
        choice = FileChoice(self.theme, self, "books", start)
        chosen = choice.open("Open a book", f"Books (*{books.SUFFIX});;All files (*)")
        if chosen is not None:
            self._opener.open(chosen)

    def show_demo(self) -> None:
        """Make the copy of the made-up shop, then open it."""
        self.strip.open("demo", still=True)
        self.say_trouble("")
        self._set_demo_ready("Being made; this takes a little while, the first time each day.")

        def work(task: Task) -> Path:
            from app.demo import demo_copy

            def progress(days: int, of: int) -> None:
                task.check()
                task.say(days / max(of, 1), "Telling two years of days")

            return demo_copy.demo_copy(progress=progress)

        self.runner.run(
            "the made-up shop", work, done=self._opener.open, failed=self.say_trouble, owner=self
        )
        self.runner.ended.connect(self._demo_ended)

    def _set_demo_ready(self, reason: str = "") -> None:
        body = self.strip.made("demo")
        if isinstance(body, LeafBody) and body.row is not None:
            body.row.set_ready(reason)

    def _demo_ended(self, _task: object, how: str) -> None:
        self._set_demo_ready()
        if how == "stopped":
            self.say_trouble("")

    def _choose_backup(self) -> bool:
        choice = FileChoice(self.theme, self, "backups", books.usual_book().parent)
        chosen = choice.open("Choose the backup", BACKUPS)
        if chosen is not None:
            self.backup.setText(str(chosen))
        return chosen is not None

    def _choose_place(self, field: LineField) -> None:
        choice = FileChoice(self.theme, self, "books")
        chosen = choice.save("Where the book lies", field.text(), f"Books (*{books.SUFFIX})")
        if chosen is not None:
            field.setText(str(chosen))

    def _next_look(self) -> None:
        order = ("system", "light", "dark")
        self.theme.set_look(order[(order.index(self.theme.look) + 1) % 3])

    # window --------------------------------------------------------------------------------
    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay()

    def _lay(self) -> None:
        wide = self.theme.px(WIDE)
        self.cover.setGeometry(0, 0, wide, self.height())
        self.page.setGeometry(wide, 0, max(0, self.width() - wide), self.height())

    def showEvent(self, event: object) -> None:
        self.activateWindow()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.runner.close()
        super().closeEvent(event)


def _path(typed: str) -> Path:
    path = Path(typed.strip()).expanduser()
    return path if path.suffix else path.with_suffix(books.SUFFIX)
