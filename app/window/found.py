"""What Find anything finds: things of the book, its settings and papers; each opens at its row."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.calculations.numbers.dates import near_short, weekday_day
from app.window.house.office import Office
from app.window.house.runner import Task
from app.window.house.same_thing import detail_of
from app.window.paper.finder import FoundLine, forgiving
from app.window.paper.pause import Pause

if TYPE_CHECKING:
    from app.records.finding.looking_up import HitRow

KINDS = {
    "customer": "Customers", "vehicle": "Vehicles", "job": "Jobs", "supply": "Supplies",
    "supplier": "Suppliers", "service": "Services", "order": "Orders", "letter": "Letters",
}  # fmt: skip
_PLACES = {
    "customer": "customers", "job": "jobs", "supply": "shelf", "supplier": "suppliers",
    "service": "services",
}  # fmt: skip
# The papers that a page prints or writes: what each is called, what it is for, where it is made.
_PAPERS = (
    ("Day sheet on paper", "print the day as it stands, Ctrl P there", "day", None),
    ("Order sheets", "what to order, for each supplier", "day", "orders"),
    ("Count sheet", "print the shelf in its order, to count by", "shelf", None),
    ("Estimate", "what a job may cost; on its card, Estimate", "jobs", None),
    ("Invoice or credit note", "of a done job; on its card, Money", "jobs", None),
    ("Bottle label", "product, water, day and hazards; at the supply", "shelf", None),
    ("Letters and the call list", "whom to write to and to call", "letters", None),
    ("What is kept of a customer", "written out for them; F7 at the customer", "customers", None),
    ("How to get the book back", "the paper for the drawer", "backups", None),
)
UNHURRIED = 1500  # ms after the opening or a change: nobody looks for something at once
_BETWEEN = 40  # ms between two portions, in which others write
_STILL_TO_COME = ("written", "sent", "part")


class BookFinder(QObject):
    """Looks up what is typed, and sees to it that there is a full text to look it up in."""

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._office = office
        self._at_work = False
        # What many things came by, such as a close or a list, is taken in when all rests.
        self._pause = Pause(self, UNHURRIED, self.keep_up)
        office.changed.connect(self._rest)
        self._pause.start()

    def find(self, text: str, own: Sequence[FoundLine]) -> list[FoundLine]:
        """What has the words typed: the day that they are; things of the book, then of the window's
        `own` lines, then settings and papers; last the book's things that have them but for slips,
        where nothing has them as typed all that have."""
        from app.actions.finding import find  # not before the first picture

        if len(text) == 1:
            self.keep_up()
        found = [self._line(hit) for hit in find(self._office.desk, text)]
        beside = [*self._settings(), *self._papers()]
        every = [*found, *forgiving(text, own), *forgiving(text, beside)]
        exact = [line for line in every if not line.near]
        near = [line for line in (found if exact else every) if line.near]
        return [*self._days(text), *exact, *near]

    def _days(self, text: str) -> list[FoundLine]:
        """The day sheet of a day that was typed."""
        from app.actions.finding import day_meant

        office = self._office
        meant = office.read(lambda: day_meant(office.desk, text))
        if meant is None:
            return []
        day, said = meant

        def go() -> None:
            office.open_day(day)
            office.go("day")

        return [FoundLine("Days", f"{weekday_day(day)} {day.year}", said, go)]

    def _rest(self, _kinds: object) -> None:
        self._pause.start()

    # the full text -------------------------------------------------------------------------
    def keep_up(self) -> None:
        """Have what the full text lacks taken in, in the background and a little at a time."""
        if not self._at_work and not self._office.reading:
            self._at_work = True
            self._run(self._is_behind, self._look)

    def _is_behind(self, _task: Task) -> bool:
        from app.actions.finding import is_behind

        return is_behind(self._office.desk)

    def _look(self, behind: bool) -> None:
        self._at_work = behind
        if behind:
            self._run(self._catch_up, self._taken_in)

    def _catch_up(self, _task: Task) -> bool:
        from app.actions.finding import catch_up

        return catch_up(self._office.desk)

    def _taken_in(self, more: bool) -> None:
        self._at_work = more
        if more:
            QTimer.singleShot(_BETWEEN, self, partial(self._look, True))

    def _stop(self, _sentence: str) -> None:
        """A full disk or a lost book is said where something is written; finding goes on."""
        self._at_work = False

    def _run(self, work: Callable[[Task], bool], done: Callable[[bool], object]) -> None:
        """None of it counts as writing: what a person writes meanwhile does not queue behind it."""
        runner = self._office.runner
        name = "what finding looks up"
        runner.run(name, work, done, self._stop, owner=self, quiet=True, later=True)

    # lines ---------------------------------------------------------------------------------
    def _line(self, hit: HitRow) -> FoundLine:
        day = near_short(hit.day, self._office.desk.today) if hit.day else ""
        detail = ", ".join(filter(None, (day, detail_of(hit))))
        go = partial(self._open, hit)
        return FoundLine(KINDS[hit.kind], hit.text, detail, go, near=hit.near)

    def _open(self, hit: HitRow) -> None:
        office = self._office
        if hit.kind == "vehicle":
            self._open_vehicle(hit.id)
        elif hit.kind == "order":
            coming = hit.state in _STILL_TO_COME
            order = ("order", hit.id) if coming else ("order", hit.of_id, hit.id)
            office.go("shelf" if coming else "suppliers", order)
        elif hit.kind == "letter":
            self._open_letter(hit)
        else:
            office.go(_PLACES[hit.kind], hit.id)

    def _open_vehicle(self, vehicle_id: int) -> None:
        """Open the customer who holds a vehicle, else the last who did."""
        from app.actions.people.vehicles import vehicle_page

        office = self._office
        page = office.read(lambda: vehicle_page(office.desk, vehicle_id))
        if page is None:
            return
        if page.owners:
            office.go("customers", ("vehicle", page.owners[-1][0], vehicle_id))
        elif page.history:
            office.go("jobs", page.history[0].job_id)
        else:
            office.say_trouble("Nobody holds this vehicle by the book, and it was never here.")

    def _open_letter(self, hit: HitRow) -> None:
        """One that is not sent yet where it can be; others with the customer they went to."""
        from app.actions.finding import household_of

        office, customer = self._office, hit.of_id or 0
        if hit.state != "prepared":
            office.go("customers", ("letter", customer, hit.id))
            return
        office.go("letters", office.read(lambda: household_of(office.desk, customer)))

    def _settings(self) -> list[FoundLine]:
        from app.window.shop.settings_page import found_settings

        return [
            FoundLine("Settings", label, entry, partial(self._office.go, "settings", item))
            for label, entry, item in found_settings()
        ]

    def _papers(self) -> list[FoundLine]:
        return [
            FoundLine("Papers", name, detail, partial(self._office.go, place, item))
            for name, detail, place, item in _PAPERS
        ]
