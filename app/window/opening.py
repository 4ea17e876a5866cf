"""From the start to an open book: the first page, the window over a book, and changing books."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QObject, QSettings, QTimer
from PySide6.QtWidgets import QApplication, QWidget

from app import collecting
from app.actions import opening as books
from app.actions.day.day import month_load, month_marks
from app.actions.desk.desk import Desk
from app.errors import BookBusy, Mendable
from app.window.first_picture import after_the_first_picture
from app.window.found import BookFinder
from app.window.house.office import Office
from app.window.house.reading_only import ReadingOnly
from app.window.house.runner import BUG_SENTENCE, Runner, Task
from app.window.house.shell import Shell
from app.window.offers import commands
from app.window.paper.theme import Theme
from app.window.places import asides, places

if TYPE_CHECKING:
    from app.actions.shop.backups import Kept
    from app.records.storage.sealing import Key
    from app.window.house.filechoice import FileChoice
    from app.window.house.first_run import FirstRun

log = logging.getLogger("bayledger.window")
LAST = "book/last"
FIRST_PICTURE = 60  # ms in which the opened sheet is painted before the rest is read
FILES = f"Books (*{books.SUFFIX});;All files (*)"


class Opening(QObject):
    """Holds the one window of the program and the book under it."""

    def __init__(
        self,
        settings: QSettings,
        theme: Theme,
        *,
        open_book: Callable[[Path], Desk] = books.open_desk,
        look_at_book: Callable[[Path], Desk] = books.look_desk,
        new_book: Callable[[Path], Desk] = books.new_desk,
    ) -> None:
        super().__init__()
        self.settings = settings
        self.theme = theme
        self._open_book, self._look_at_book, self._new_book = open_book, look_at_book, new_book
        self.window: QWidget | None = None
        self.desk: Desk | None = None

    # beginning -----------------------------------------------------------------------------
    def begin(self, path: Path | None = None, *, demo: bool = False, reading: bool = False) -> None:
        """Open what was asked for: a book, the made-up shop, the last book, or the first page.

        A book to be read only is looked at.
        """
        if demo:
            self.first_page().show_demo()
            return
        last = str(self.settings.value(LAST, "") or "")
        if path is None and last:
            path = Path(last)
        if path is None:
            self.first_page()
        elif path.exists():
            (self.look if reading else self.open)(path)
        else:
            self.first_page(
                f"There is no book at {path}; it may have been moved. Open it where it is now, "
                "or begin another.",
            )

    def first_page(self, trouble: str = "", busy: Path | None = None) -> FirstRun:
        """The page with its offers, and why the book could not be opened; one that is `busy`
        elsewhere can be looked at."""
        from app.window.house.first_run import FirstRun

        page = FirstRun(self.theme, self, trouble, busy)
        self._put(page, None)
        QTimer.singleShot(FIRST_PICTURE, page, collecting.begin)
        return page

    def open(self, path: Path) -> bool:
        """Open a book; where that cannot be done the first page says why, and what to do."""
        return self._try(lambda: self._open_book(path), path)

    def look(self, path: Path) -> bool:
        """Open a book as it stands now, to be read only; another program may have it open."""
        own = self.desk is not None and self.desk.book.may_change
        if own and path.exists() and path.samefile(cast("Desk", self.desk).book.path):
            self._trouble(f"{path.name} is open here, and can be changed.")
            return False
        return self._try(lambda: self._look_at_book(path), path)

    def open_instead(self, path: Path) -> None:
        """Open a book in the place of one whose path leads elsewhere now; that is let go."""
        if isinstance(self.window, Shell):
            self.window.office.runner.close()  # nothing of it may read on in a closed book
        if self.desk is not None:
            self.desk.book.close()
        if not self.open(path):
            trouble = self.window.office.trouble if isinstance(self.window, Shell) else ""
            self.first_page(trouble)

    def bring_back(self, kept: Kept, key: Key | None) -> None:
        """Put the open book back to a backup: it is let go, and opened again when that is done."""
        if self.desk is None or self._still_at_work():
            return
        if self.desk.book.is_looked_at:
            self._trouble("The book is open for reading only; bring a backup back where it lies.")
            return
        book, page = self.desk.book.path, self.first_page()
        self._put_back(page, kept.path, book, key, f"as it was on {kept.text}")

    def put_back(self, backup: Path, book: Path, passphrase: str) -> None:
        """Put a backup in a book's place where no book is open, and open it then."""
        from app.records.storage.sealing import is_sealed, key_for

        page = cast("FirstRun", self.window or self.first_page())
        try:
            if not backup.is_file():
                raise Mendable(f"There is no backup at {backup}; check the name.")
            key = key_for(backup, passphrase) if is_sealed(backup) else None
        except Mendable as trouble:
            self._trouble(trouble.sentence)
            return
        self._put_back(page, backup, book, key, "as it was when the backup was made")

    def _put_back(
        self, page: FirstRun, backup: Path, book: Path, key: Key | None, words: str
    ) -> None:
        def work(task: Task) -> tuple[Path | None, str]:
            from app.actions.people.erasing import erased_and_back
            from app.records.storage.backup import restore

            task.say(0.1, "Bringing the backup back")
            aside = restore(backup, book, key)
            return aside, erased_and_back(book, aside)

        def ended(trouble: str, done: tuple[Path | None, str] = (None, "")) -> None:
            if trouble and not book.exists():
                self._trouble(trouble)
                return
            if not self.open(book):
                return
            office = cast("Shell", self.window).office
            aside, back = done
            before = f"; that of before is {aside}" if aside else ""
            said = f"{back} The book is {words}{before}" if back else f"The book is {words}{before}"
            # After what the opening has to say: this is what the person waits for.
            office.runner.run(
                "what came of it",
                lambda _task: trouble or said,
                office.say_trouble if trouble or back else office.say,
                owner=office,
                quiet=True,
                later=True,
            )

        def later(trouble: str, done: tuple[Path | None, str] = (None, "")) -> None:
            # Not within the runner's own turn: its window goes when the new one is shown.
            QTimer.singleShot(0, self, partial(ended, trouble, done))

        page.runner.run("bringing back", work, partial(later, ""), later, self, writes=True)

    def create(self, path: Path, name: str = "", files: Sequence[Path] = ()) -> None:
        """Found a new book for a shop of that name in the background, and open it then, at what is
        to be brought in."""
        if self._still_at_work():
            return

        def make(_task: Task) -> Desk:
            desk = self._new_book(path)
            if name:
                from app.actions.shop.shop_settings import change_settings

                change_settings(desk, shop_name=name)
            return desk

        def made(desk: Desk) -> None:
            self._show(desk)
            if files and isinstance(self.window, Shell):
                self.window.office.go("bringing in", tuple(files))

        def founded(desk: Desk) -> None:
            # Not within the runner's own turn: its window goes when the new one is shown.
            QTimer.singleShot(0, self, partial(made, desk))

        self._runner().run("founding the book", make, founded, self._trouble, self, writes=True)

    def _runner(self) -> Runner:
        """The one queue of the window that stands now."""
        window = self.window
        if isinstance(window, Shell):
            return window.office.runner
        return cast("FirstRun", window or self.first_page()).runner

    def _still_at_work(self) -> bool:
        """Whether the present window has something to end first; it says so."""
        task = self.window.office.runner.at_work if isinstance(self.window, Shell) else None
        if task is not None:
            self._trouble(f"Still {task.name}; open the other book when that is done.")
        return task is not None

    def _try(self, make: Callable[[], Desk], path: Path) -> bool:
        if self._still_at_work():
            return False
        try:
            desk = make()
        except BookBusy as trouble:
            self._busy(trouble.sentence, path)
            return False
        except Mendable as trouble:
            self._trouble(trouble.sentence)
            return False
        except Exception:
            log.exception("a book could not be opened")
            self._trouble(BUG_SENTENCE)
            return False
        self._show(desk)
        return True

    def say_bug(self) -> None:
        """Say in the present window that something of ours went wrong."""
        self._trouble(BUG_SENTENCE)

    def _busy(self, sentence: str, path: Path) -> None:
        """Say that a book is open elsewhere; it can be looked at from here."""
        if isinstance(self.window, Shell):
            self._trouble(f"{sentence} (Ctrl K: Look at another book)")
        else:
            self.first_page(sentence, path)

    def _trouble(self, sentence: str) -> None:
        window = self.window
        if isinstance(window, Shell):
            window.office.say_trouble(sentence)
        elif window is not None:
            cast("FirstRun", window).say_trouble(sentence)
        else:
            self.first_page(sentence)

    def _show(self, desk: Desk) -> None:
        office = Office(desk, self.theme, Runner(held=True))
        finder = BookFinder(office)
        window = Shell(
            office,
            places(),
            find=finder.find,
            month_marks=lambda first: month_marks(desk, first),
            month_load=lambda first: month_load(desk, first),
            asides=asides(),
            settings=self.settings,
        )
        finder.setParent(window)  # it goes with it, and with it what it was about to see to
        window.commands = commands(self, window)
        office.other_book_asked.connect(
            lambda path: QTimer.singleShot(0, self, partial(self.open_instead, path))
        )
        if not isinstance(self.window, Shell) or self.window.cover.is_on:
            window.cover.put_on()  # begun anew, or at a covered window: nobody has shown who it is
        window.open_asked.connect(self.choose_book)
        window.new_asked.connect(self.choose_new)
        window.book_dropped.connect(
            lambda path: QTimer.singleShot(0, self, partial(self.open, path))
        )
        office.restore_asked.connect(
            lambda kept, key: QTimer.singleShot(0, self, partial(self.bring_back, kept, key))
        )
        name = desk.settings.shop_name or desk.book.path.stem
        if office.reading:
            ReadingOnly(window)
            name = f"{name}, as of {office.clock_time()}, for reading"
        window.setWindowTitle(f"{name} · Bayledger")
        self.settings.setValue(LAST, str(desk.book.path.absolute()))
        left_out = self.window.office.left_out if isinstance(self.window, Shell) else []
        self._put(window, desk)
        window.open(window.habits.last_place())
        if left_out:
            again = ", ".join(f"“{one}”" for one in left_out)
            office.say_trouble(f"Typed when the book was not there, and not in it: {again}.")
        QTimer.singleShot(
            FIRST_PICTURE, window, partial(after_the_first_picture, window, self.settings)
        )

    def _put(self, window: QWidget, desk: Desk | None) -> None:
        """Another window in place of the present one, where that stood."""
        before, held = self.window, self.desk
        self.window, self.desk = window, desk
        if before is not None:
            window.setGeometry(before.geometry())
        window.show()
        if before is not None:
            before.close()
            before.deleteLater()
            collecting.look_through_all()
        if held is not None:
            held.book.close()

    def close(self) -> None:
        """Close the book; what is shown as saved is in it already."""
        if self.desk is not None:
            self.desk.book.close()
            self.desk = None

    # choosing ------------------------------------------------------------------------------
    def choose_book(self) -> None:
        """Choose a book in the system's own file chooser, and open it."""
        self._choose(self.open)

    def choose_to_look(self) -> None:
        """Choose a book in the system's own file chooser, and open it for reading only."""
        self._choose(self.look)

    def _choose(self, do: Callable[[Path], object]) -> None:
        folder = self.desk.book.path.parent if self.desk else books.usual_book().parent
        chosen = self._chooser(folder).open("Open a book", FILES)
        if chosen is not None:
            do(chosen)

    def _chooser(self, folder: Path) -> FileChoice:
        from app.window.house.filechoice import FileChoice  # not before the first picture

        return FileChoice(self.theme, self.window, "books", folder)

    def choose_new(self) -> None:
        """Choose where a new book is to lie, and begin it."""
        wanted = books.free_path(books.usual_book())
        folder = wanted.parent if wanted.parent.is_dir() else Path.home()
        chosen = self._chooser(folder).save("Begin a book", wanted.name, FILES)
        if chosen is not None:
            self.create(chosen)


def dressed(application: QApplication, settings: QSettings) -> Theme:
    """The theme, put on the application and fitted to its screen."""
    theme = Theme(settings)
    theme.dress(application)
    screen = application.primaryScreen()
    if screen is not None:
        theme.fit_screen(screen.availableSize())
    return theme
