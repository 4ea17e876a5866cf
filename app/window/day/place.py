"""The Day sheet: six stations from the jobs worked to the day's close."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import date
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QWidget

from app.actions.day.day import DayView, confirm, day_view, is_new, reminders_result
from app.actions.desk.desk import Changed, Desk
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.wording import capital, counted
from app.window.day.station import NEW_BOOK_KEYS, Station
from app.window.house.office import Office
from app.window.house.place import STILL, Place
from app.window.house.runner import Task
from app.window.paper.entrytable import finish_writing
from app.window.paper.runs import Run
from app.window.paper.strip import Strip, StripEntry

if TYPE_CHECKING:
    from app.window.day.new_book import NewBook

STATIONS = ("jobs", "supplies", "money", "orders", "reminders", "close")


def _station(key: str, place: DayPlace) -> Station:
    """A station; its module is read in when the station is first opened."""
    module = import_module(f"app.window.day.{key}_station")
    made: Station = getattr(module, f"{key.title()}Station")(place)
    return made


class DayPlace(Place):
    """The heart of the book. Its views are read in the background and shown when they come."""

    shows_money = True
    goes_on = True
    shows = frozenset(
        {"day", "days", "jobs", "hours", "uses", "money", "orders", "stock", "supplies"}
        | {"reminders", "layers", "customers", "vehicles", "services", "settings", "files"}
    )
    keys = (
        (
            "The day sheet",
            (
                ("Alt 1–6", "a station"),
                ("Alt ↓", "the next station"),
                ("Alt ↑", "the one before"),
                ("Ctrl ↵", "this station is right"),
                ("0–9", "write over a number"),
                ("↵", "next below"),
                ("Tab", "next to write in"),
                ("Esc", "put the filled-in one back"),
                ("F8", "next worth a look"),
                ("Ins", "add"),
                ("L", "loads that were washed"),
                ("F4", "the second action"),
            ),
        ),
        ("A new book", NEW_BOOK_KEYS),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._view: DayView | None = None
        self._begun: dict[date, float] = {}
        self._usual: int | None = None  # seconds, as far as it was read yet
        self._task: Task | None = None
        self._counting: Task | None = None  # of whom to remind, after all else
        self._again = False
        self._confirming = False
        self._is_new = True  # no day is closed yet, as far as is known
        self._new_book: NewBook | None = None  # what its page shows more, made where it is new
        self.going_on = False  # the open station was reached by confirming, not by choosing it
        self.strip = Strip(self.theme, self._station)
        self.strip.opened.connect(self._opened)
        self.set_head("Day sheet")
        self.set_body(self.strip, bleeds=True)
        self.on_key("F4", self._second)
        office.lock_changed.connect(self._lock)
        self._letters = {
            letter: self.on_key(letter, partial(self._letter, letter))
            for letter in (
                "B",
                "C",
                "D",
                "E",
                "F",
                "I",
                "J",
                "L",
                "M",
                "N",
                "R",
                "S",
                "Space",
                "X",
                "Y",
            )
        }

    # stations ------------------------------------------------------------------------------
    def _station(self, key: str) -> QWidget:
        made = _station(key, self)
        made.set_closed(self.is_closed)
        made.set_locked(self.office.locked(self.office.day))
        return made

    def station(self, key: str = "") -> Station:
        """A station, made now if it was not yet; the open one without a key."""
        body = self.strip.body(key or self.strip.open_key)
        assert isinstance(body, Station)
        return body

    @property
    def open_key(self) -> str:
        return self.strip.open_key

    @property
    def is_closed(self) -> bool:
        return self._view is not None and self._view.state == "closed"

    def _made(self) -> list[Station]:
        """The stations that were opened before."""
        bodies = (self.strip.made(key) for key in STATIONS)
        return [body for body in bodies if isinstance(body, Station)]

    def _lock(self) -> None:
        """Show which stations may be written in, now that something began or ended."""
        sentence = self.office.locked(self.office.day)
        for station in self._made():
            station.set_locked(sentence)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read the sheet again; at once when another day is to be shown."""
        if self._shows_steps():
            return
        day = self.office.day
        self._begun.setdefault(day, time.monotonic())
        if self._view is None or self._view.day != day:
            self._show_another_day(day)
            self._lock()
        elif kinds == self.shows and self.strip.open_key:
            # Come back from another page, where anything may have changed: what stands here is not
            # what would be confirmed.
            station = self.station()
            if station.table.rows:
                station.awaits()
            else:
                station.forget()
        self.read_again()

    def _shows_steps(self) -> bool:
        """Show the steps of a new book, until its first job; False where the sheet is shown."""
        self._is_new = self._is_new and is_new(self.office.desk)
        if self._is_new and self._new_book is None:
            from app.window.day.new_book import NewBook

            self._new_book = NewBook(self)
        if self._new_book is not None and self._new_book.show(is_new=self._is_new):
            for letter in self._letters.values():
                letter.setEnabled(False)
            return True
        if self.body is not self.strip:
            self._view = None  # what stood there is of before
            self.set_body(self.strip, bleeds=True)
            QTimer.singleShot(0, self, self.entered)
        return False

    def _show_another_day(self, day: date) -> None:
        desk = self.office.desk
        view = self.office.read(lambda: day_view(desk, day, slow=False))
        if view is None:
            return
        self._show(view)
        wanted = next((s.key for s in view.stations if s.state != "done"), "close")
        if view.state == "closed":
            wanted = "close"
        self._confirming = False
        if self.strip.open_key != wanted:
            self.strip.open(wanted, still=True)
        for key in STATIONS:
            body = self.strip.made(key)
            if isinstance(body, Station) and key != self.strip.open_key:
                body.forget()
        if self._task is not None:
            self._task.drop()  # it reads a day that is not looked at any more
            self._task = None
        if self.station().quick:
            self._read_at_once()
        else:
            self._read_station()
        if not self.office.runner.held:
            self.office.ask_of_day()

    def _read_at_once(self) -> None:
        """Read the open station now, in the window's thread, as far as that is quickly done."""
        desk, day, station = self.office.desk, self.office.day, self.station()
        read_here = station.read_here
        read = self.office.read(lambda: read_here(desk, day)) if read_here else None
        if read is not None:
            self._show_station(station, read)
        else:
            station.forget()

    def _read_station(self) -> None:
        """Read the open station in the background, before the rest of the day."""
        desk, day, station = self.office.desk, self.office.day, self.station()
        station.forget()

        def show(read: Any) -> None:
            if day == self.office.day and station.is_open():
                self._show_station(station, read)

        self.office.runner.run(
            "a station", lambda _task: station.read(desk, day), show, owner=station, quiet=True
        )

    def read_again(self) -> None:
        """Read the day anew, in the background."""
        if self._task is not None:
            self._again = True
            return
        desk, day, key = self.office.desk, self.office.day, self.strip.open_key
        station = self.station(key)
        self._task = self.office.runner.run(
            "the day sheet",
            lambda _task: _read(desk, day, station),
            done=partial(self._take, day, key),
            failed=self._failed,
            owner=self,
            quiet=True,
        )

    def _take(self, day: date, key: str, found: tuple[DayView, Any]) -> None:
        self._task = None
        again, self._again = self._again, False
        if day == self.office.day and not again:
            view, read = found
            self._show(view)
            if key == self.strip.open_key:
                self._show_station(self.station(key), read)
            self._count_reminders(view)
        if again or day != self.office.day or key != self.strip.open_key:
            self.read_again()

    def _count_reminders(self, view: DayView) -> None:
        """Read whom to remind, where the view was read without: nothing else waits for it."""
        if self._counting is not None:
            self._counting.drop()
            self._counting = None
        if any(s.key == "reminders" and s.result for s in view.stations):
            return
        desk, day = self.office.desk, view.day

        def counted(found: tuple[str, str]) -> None:
            self._counting = None
            if self._view is view:
                stations = [
                    replace(s, result=found[0], alert=found[1]) if s.key == "reminders" else s
                    for s in view.stations
                ]
                self._show(replace(view, stations=tuple(stations)))

        self._counting = self.office.runner.run(
            "whom to remind",
            lambda _task: reminders_result(desk, day),
            counted,
            self.office.say_trouble,
            owner=self,
            quiet=True,
            later=True,
        )

    def _failed(self, sentence: str) -> None:
        self._task = None
        self._again = False
        self.office.say_trouble(sentence)

    @property
    def settled(self) -> bool:
        return self._task is None

    # showing -------------------------------------------------------------------------------
    def _show(self, view: DayView) -> None:
        same_day = self._view is not None and self._view.day == view.day
        self._view = view
        today = self.office.desk.today
        words = "" if view.day == today else weekday_day(view.day)
        if view.state == "closed":
            words = f"{words}, closed" if words else "closed"
        left = self._new_book.head_runs() if self._new_book is not None else []
        self.set_head("Day sheet", words, [*left, Run(f"page {view.page}", "voice")])
        known = {entry.key: entry for entry in self.strip.entries} if same_day else {}
        entries = []
        for s in view.stations:
            entry = StripEntry(s.key, s.title, s.subtitle, s.result, s.alert, s.state)
            before = known.get(s.key)
            if not s.result and before is not None and before.state == s.state:  # not yet known
                entry = replace(entry, result=before.result, alert=before.alert)
            entries.append(entry)
        self.strip.set_entries(entries, still=not same_day)
        for made in self._made():
            made.set_closed(view.state == "closed")
        self._say_remaining(view)
        if not self.office.saved and view.last_saved:
            self.office.saved = view.last_saved
            self.speak()

    def _show_station(self, station: Station, read: Any) -> None:
        station.show_read(read)
        self.strip.relay()
        if self.office.trouble == STILL:
            self.office.say_trouble("")
        if station.table.hasFocus() and not station.table.rows and station.row.button.ready:
            station.row.button.setFocus()
        if station.isVisible():
            station.explain()

    def _say_remaining(self, view: DayView) -> None:
        if view.state == "closed":
            self.say_remaining(view.summary)
            return
        left = sum(s.state != "done" for s in view.stations if s.key != self.strip.open_key)
        words = f"{capital(counted(left))} more after this." if left else "This is the last."
        self._usual = view.usual_seconds or self._usual
        if self._usual:
            words += f" Your last ten days took {_minutes(self._usual)} to close."
        self.say_remaining(words)

    def _opened(self, _key: str) -> None:
        self.going_on = self._confirming
        letters = self.station().letters
        for letter, shortcut in self._letters.items():
            shortcut.setEnabled(letter in letters)  # else the letter would not reach the table
        self.station().awaits()
        if self._view is not None:
            self._say_remaining(self._view)
            if not self.station().shown and self.office.runner.writing is not None:
                self._read_at_once()  # the background is busy for long, and comes to it after that
            self.read_again()

    # doing ---------------------------------------------------------------------------------
    def primary(self) -> None:
        """The open station is right: say so, and go on to the next one that is not yet."""
        if self._new_book is not None and self._new_book.stands:
            self._new_book.steps.primary()
            return
        if not finish_writing() or not self.strip.open_key:
            return
        station = self.station()
        if not station.row.button.ready:
            self.office.say_trouble(station.row.reason)
            return
        if not station.shown:
            self.office.say_trouble(STILL)
            return
        if station.confirm():
            self._next()

    def confirm(self, key: str) -> bool:
        desk, day = self.office.desk, self.office.day

        def later(_changed: Changed) -> None:
            if self.isVisible() and self.office.day == day and key == self.strip.open_key:
                self._next()

        do = partial(confirm, desk, day, key)
        return self.office.act(do, f"{key}, confirmed", later) is not None

    def go_on_from(self, key: str) -> None:
        """A station is right, as was found in the background: on to the next where it is open."""
        if self.confirm(key) and key == self.strip.open_key:
            self._next()

    def _next(self) -> None:
        done = self.strip.open_key
        states = {entry.key: entry.state for entry in self.strip.entries}
        later = STATIONS[STATIONS.index(done) + 1 :]
        wanted = next((key for key in later if states.get(key) != "done"), "close")
        # The mark appears at once; the view that comes from the book says the same.
        self.strip.set_entries(
            [replace(e, state="done") if e.key == done else e for e in self.strip.entries]
        )
        QTimer.singleShot(0, self, partial(self._go_on, wanted))

    def _go_on(self, key: str) -> None:
        self._confirming = self.going_on = True
        self.strip.open(key)
        self._confirming = False

    def _letter(self, letter: str) -> None:
        station = self.station()
        if len(letter) == 1 and station.takes_words():
            station.table.begin_typing(letter.lower())
        else:
            getattr(station, station.letters[letter])()

    def _second(self) -> None:
        if self.body is self.strip and finish_writing():
            self.station().row.press_second()

    def seconds_spent(self) -> int:
        """Seconds since this day's sheet was first shown."""
        return round(time.monotonic() - self._begun.get(self.office.day, time.monotonic()))

    # place ---------------------------------------------------------------------------------
    def entered(self) -> None:
        if self._new_book is not None and self._new_book.stands:
            steps = self._new_book.steps
            steps.open(steps.open_key)
        elif self.strip.open_key:
            self.station().entered()

    def open_item(self, item: object) -> None:
        if isinstance(item, str) and item in STATIONS and self.body is self.strip:
            self.strip.open(item)

    def keep(self) -> object:
        return self.strip.open_key

    def resume(self, kept: object) -> None:
        if isinstance(kept, str) and kept in STATIONS:
            QTimer.singleShot(0, self, partial(self.strip.open, kept, still=True))


def _read(desk: Desk, day: date, station: Station) -> tuple[DayView, Any]:
    read = station.read(desk, day)
    return day_view(desk, day, reminders=station.key == "reminders"), read


def _minutes(seconds: int) -> str:
    minutes, rest = divmod(seconds, 60)
    if not minutes:
        return f"{rest} s"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"
