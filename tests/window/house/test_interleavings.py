"""Five hundred random interleavings of typing with what is written in the background.

A real office over a real book is asked, at random moments of the background's work, to close days,
to open them again, to bring in a list, to undo, and to write what is typed. A plain reference is
told the same in the same order. After each run the book says what the reference says: nothing typed
was lost, doubled or written on another day, and what was refused was said with its words. That the
window's thread never waits for a writer is seen at the lock itself, not from a clock.
"""

from __future__ import annotations

import random
import shutil
import threading
from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.actions.day.closing import close_day, reopen_day
from app.actions.day.jobs_worked import set_hours
from app.actions.day.supplies_used import set_use
from app.actions.desk.desk import Changed, Desk
from app.actions.exchange import bringing_in
from app.errors import BeingWritten, Mendable
from app.records.book import Book
from app.records.models import Customer, DaySheet, Hours, Use
from app.window.house.office import Office
from app.window.house.runner import Runner
from app.window.paper.theme import Theme
from tests.shop import TODAY, Clock, SmallShop
from tests.turns import never_waiting_here

PARTS, RUNS = 20, 25
DAYS = (TODAY, TODAY - timedelta(days=1), TODAY - timedelta(days=2))
PEOPLE = ("Ada Quillfeather", "Bram Tock", "Cato Wren")


@dataclass
class Said:
    """What the book ought to say."""

    hours: dict[date, int] = field(default_factory=dict)
    uses: dict[date, int] = field(default_factory=dict)
    closed: set[date] = field(default_factory=set)
    people: bool = False


class Waiting:
    """What will be refused when its turn comes; until then an undo means it."""

    known = False  # that it is refused


class Reference:
    """Does what is asked in plain sight, one thing after the other."""

    def __init__(self) -> None:
        self.now = Said()
        self._before: list[Said | Waiting] = []

    def _do(self, change: Callable[[Said], object]) -> None:
        self._before.append(deepcopy(self.now))
        change(self.now)

    def wait(self) -> Waiting:
        """Something was asked for that will be refused."""
        self._before.append(Waiting())
        return self._before[-1]

    def type(self, what: str, day: date, number: int) -> bool:
        """Whether it is taken."""
        if day in self.now.closed:
            return False
        self._do(lambda now: getattr(now, what).__setitem__(day, number))
        return True

    def close(self, day: date) -> None:
        if day not in self.now.closed:
            self._do(lambda now: now.closed.add(day))

    def reopen(self, day: date) -> Waiting | None:
        if day not in self.now.closed:
            return self.wait()
        self._do(lambda now: now.closed.discard(day))
        return None

    def bring_in(self) -> None:
        if not self.now.people:
            self._do(lambda now: setattr(now, "people", True))

    def undo(self) -> None:
        self._before = [one for one in self._before if not (isinstance(one, Waiting) and one.known)]
        meant = self._before.pop() if self._before else None
        if isinstance(meant, Said):
            self.now = meant


class Person:
    """Asks the office for things, and the reference for the same."""

    def __init__(
        self, office: Office, shop: SmallShop, people: Path, chance: random.Random
    ) -> None:
        self.office, self.desk, self.shop, self.people = office, office.desk, shop, people
        self.chance = chance
        self.reference = Reference()
        self.typed = 0
        self.done: list[int] = []  # what was typed, in the order in which it was written
        self.to_be_done: list[int] = []
        self.to_be_refused: list[str] = []
        self.heard: set[str] = set()
        office.spoke.connect(lambda: self.heard.add(office.trouble))

    def type(self) -> None:
        self.typed += 1
        number = self.typed
        what = self.chance.choice(("hours", "hours", "uses"))
        day = TODAY if what == "uses" else self.chance.choice(DAYS)
        self.office.open_day(day)
        job, soap = self.shop.jobs["0411"], self.shop.supplies["soap"]

        waiting: list[Waiting] = []

        def do() -> Changed:
            # As in the window: the day is looked up when it is written, not when it was typed.
            try:
                if what == "uses":
                    changed = set_use(self.desk, self.office.day, job, soap, f"{number} mL")
                else:
                    changed = set_hours(self.desk, self.office.day, None, f"{number}m")
            except BeingWritten:
                raise
            except Mendable:
                for one in waiting:
                    one.known = True
                raise
            self.done.append(number)
            return changed

        words = f"number {number}"
        taken = self.reference.type(what, day, number)
        if taken:
            self.to_be_done.append(number)
        else:
            self.to_be_refused.append(words)
        outcome = self.office.typed(do, words)
        if outcome.ok and not taken:
            waiting.append(self.reference.wait())
        if not outcome.ok:
            self.heard.add(f"“{words}”")  # it stands in its field still, with the reason beside it

    def close(self) -> None:
        day = self.chance.choice(DAYS)
        self.reference.close(day)
        self.office.write_long("closing", lambda _task: close_day(self.desk, day), self._ended)

    def reopen(self) -> None:
        day = self.chance.choice(DAYS)
        waiting = self.reference.reopen(day)

        def refused(sentence: str) -> None:
            assert waiting is not None, sentence
            waiting.known = True

        self.office.write_long(
            "opening again",
            lambda _task: reopen_day(self.desk, day, "again"),
            self._ended,
            failed=refused,
        )

    def bring_in(self) -> None:
        def work(_task: object) -> Changed:
            plan = bringing_in.preview(self.desk, [bringing_in.read(self.desk, self.people)])
            return bringing_in.bring_in(self.desk, plan)

        self.reference.bring_in()
        self.office.write_long("bringing in", work, self._ended)

    def undo(self) -> None:
        self.reference.undo()
        self.office.undo()

    def _ended(self, _result: object) -> None:
        self.office.say("done")


def said(desk: Desk) -> Said:
    """What the book says."""
    found = Said()
    with desk.book.reading() as session:
        for hours in session.query(Hours).filter_by(job_id=None, state="confirmed"):
            found.hours[hours.day] = hours.minutes
        for use in session.query(Use).filter_by(state="confirmed"):
            found.uses[use.day] = use.quantity // 1000
            assert use.booked == (session.get_one(DaySheet, use.day).state == "closed")
        found.closed = {one.day for one in session.query(DaySheet).filter_by(state="closed")}
        names = [one.name for one in session.query(Customer)]
    assert {names.count(name) for name in PEOPLE} in ({0}, {1})
    found.people = PEOPLE[0] in names
    return found


@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
def test_nothing_typed_is_lost_or_doubled_and_the_window_waits_for_no_writer(
    part: int,
    shop_book: tuple[Path, SmallShop],
    tmp_path: Path,
    theme: Theme,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    path = tmp_path / "shop.bayledger"
    shutil.copyfile(shop_book[0], path)
    people = tmp_path / "people.csv"
    people.write_text("Name,City\n" + "".join(f"{name},Lindmoor\n" for name in PEOPLE))
    chance = random.Random(part)
    with Book.open(path) as book:
        dawdling = random.Random(1000 + part)
        waited = never_waiting_here(
            book,
            monkeypatch,
            elsewhere=lambda: threading.Event().wait(dawdling.choice((0, 0, 0.0005, 0.002))),
        )
        # A backup writes nothing into the book, and would take most of the time.
        monkeypatch.setattr(book, "backup", lambda _to=None, turn=None: path)
        runner = Runner()
        office = Office(Desk(book, clock=Clock()), theme, runner)
        person = Person(office, shop_book[1], people, chance)
        for run in range(RUNS):
            for _ in range(chance.randint(4, 9)):
                ask = chance.choices(
                    (person.type, person.close, person.reopen, person.bring_in, person.undo),
                    (8, 3, 2, 1, 2),
                )[0]
                ask()
                for _ in range(chance.choice((0, 0, 1, 3))):
                    threading.Event().wait(chance.choice((0, 0.001, 0.004)))
                    QApplication.processEvents()
            qtbot.waitUntil(lambda: not runner.busy, timeout=60_000)
            assert said(office.desk) == person.reference.now, f"part {part}, run {run}"
            assert person.done == person.to_be_done  # once each, in the order they were typed
            heard = " ".join(person.heard)
            assert all(f"“{words}”" in heard for words in person.to_be_refused)
        assert waited == []
        assert book.check() == []
        assert runner.close()
