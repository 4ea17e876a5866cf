"""The list of jobs as five entries: in work, booked, done, owed, all; narrowed by typing."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from app.actions.desk.desk import Desk
from app.actions.jobs import jobs
from app.actions.jobs.jobs import JobList, ShownJob
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.house.runner import Task
from app.window.jobs.fortnight import FortnightStrip
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.narrowing import Narrowing
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run
from app.window.paper.strip import Strip, StripEntry


def _columns(which: str) -> tuple[Column, ...]:
    return (
        Column("number", "Job", width=62, least=62, pad=10),
        Column("customer", "Customer", width=146, least=110),
        Column("vehicle", "Vehicle", width=116, least=80, dense=True),
        Column("services", "Services", width=0, least=100, dense=True),
        Column("when", "When", width=108, least=84, dense=True),
        Column("hours", "Hours", width=164, least=96, right=True, dense=True),
        Column("money", "Owed" if which == "owed" else "Total", width=80, least=66, right=True),
    )


SCREENFUL = 40
_LEAST_AHEAD = 320  # height of a page that has room for the fortnight
AT_ONCE = ("work", "booked")  # short in any shop; the others grow with the years
_SUBTITLES = {
    "work": "Begun, or booked for a day that has come.",
    "booked": "Next first; those without a day last.",
    "done": "Newest first.",
    "owed": "Done and not wholly paid, oldest first.",
    "all": "By number, newest first.",
}
_EMPTY = {
    "work": ("Nothing is in work", "A job appears here on its first day. Book one for today, or "
             "look at what is booked."),
    "booked": ("Nothing is booked", "Book a job with a customer or a vehicle; day, services and "
               "promise can follow when you know them."),
    "done": ("No job is done yet", "A job moves here when the day is closed on which it was "
             "finished."),
    "owed": ("Nobody owes anything", "Jobs that are done and not wholly paid stand here until "
             "their money comes."),
    "all": ("No job yet", "Book the first, or bring past jobs in from a spreadsheet."),
}  # fmt: skip


class JobsPart(PartsBody):
    """One part of the list: the words that narrow it, the table, the action."""

    def __init__(self, listing: JobsListing, which: str) -> None:
        theme = listing.office.theme
        self.which = which
        self.table = EntryTable(theme, _columns(which))
        self.table.name = f"jobs {which}"
        self.table.more_asked.connect(listing.read_on)
        hint = "name, vehicle, plate, service or job number"
        self.filter = Narrowing(theme, hint, "Narrow the list", self.table, listing.read)
        self.filter.follow()
        self.row = ActionRow(theme, "Book a job", "Ins")
        self.row.button.clicked.connect(listing.add_asked.emit)
        self.ahead: FortnightStrip | None = None
        self._least_ahead = theme.px(_LEAST_AHEAD)
        parts: list[QWidget] = [self.filter, self.table, self.row]
        if which == "booked":
            self.ahead = FortnightStrip(listing.office, listing.go_or_open, listing.add_asked.emit)
            parts.insert(1, self.ahead)
        super().__init__(theme, *parts, focus=lambda: self.table)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """On a low page the rows need the room of the fortnight."""
        if self.ahead is not None:
            self.ahead.setVisible(self.height() >= self._least_ahead)
        super().resizeEvent(event)


class JobsListing(Strip):
    """The strip of five parts; only the open one is read at once, the others say how many."""

    job_opened = Signal(int)
    row_entered = Signal(object)
    add_asked = Signal()
    shown = Signal(object)  # JobList

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self.office = office
        self.list: JobList | None = None
        self._results: dict[str, str] = {}
        self._asked: Task | None = None
        self._wanted: Hashable | None = None
        self._told: tuple[str, str] = "", ""  # the part and words that were read last
        self._most = jobs.LIMIT  # rows of them that are read
        self._name_entries()
        self.opened.connect(lambda _key: self.read())

    def _make(self, which: str) -> QWidget:
        part = JobsPart(self, which)
        part.table.row_entered.connect(lambda key, _column: self.row_entered.emit(key))
        part.table.row_opened.connect(lambda key: self.job_opened.emit(int(key)))
        part.table.add_asked.connect(self.add_asked.emit)
        return part

    @property
    def part(self) -> JobsPart:
        """The open part."""
        body = self.body(self.open_key or "work")
        assert isinstance(body, JobsPart)
        return body

    # reading -------------------------------------------------------------------------------
    def read(self) -> None:
        """Read the open part: a screenful at once, the rest of a long one in the background."""
        part, office = self.part, self.office
        which, text = part.which, part.filter.text()
        if part.ahead is not None:
            part.ahead.read()
        if self._asked is not None:
            self._asked.stop()
            self._asked = None
        if self._told != (which, text):
            self._told, self._most = (which, text), jobs.LIMIT
        elif len(part.table.rows) > SCREENFUL and which not in AT_ONCE:
            self._read_rest()  # a long list stands until then: the row in view stays
            return
        limit = self._most if which in AT_ONCE else SCREENFUL
        first = office.read(partial(jobs.list_jobs, office.desk, which, text, limit))
        if first is None:
            return
        whole = which in AT_ONCE or first.whole <= limit
        self._show(first, text, count=whole)
        if not whole:
            self._read_rest()

    def read_on(self, all_of_it: bool) -> None:
        """More rows: the next ones, or all where they are to be sorted."""
        if self.list is not None:
            self._most = self.list.whole if all_of_it else self._most + jobs.LIMIT
            self._read_rest()

    def _read_rest(self) -> None:
        office, (which, text), most = self.office, self._told, self._most
        desk = office.desk

        def show(found: JobList) -> None:
            self._asked = None
            if self.open_key == found.which and self.part.filter.text() == text:
                self._show(found, text, count=True)

        self._asked = in_background(
            office,
            self,
            "Reading the jobs",
            lambda: jobs.list_jobs(desk, which, text, most),
            show,
            quiet=True,
        )

    def _show(self, found: JobList, text: str, *, count: bool) -> None:
        part, desk = self.part, self.office.desk
        self.list = found
        part.table.teach_when_empty(self._teach(part.which, bool(text.strip())))
        part.table.show_rows([_row(line, part.which) for line in found.rows])
        part.table.expect_more(count and found.whole > self._most)
        if self._wanted is not None and part.table.go(self._wanted):
            self._wanted = None
        runs = [Run(_count(found), "unit_total", "ink", gap=20)] if found.rows else []
        if found.rows:
            runs.append(Run("Open", "unit", key="↵"))
        part.row.show_hints(runs)
        if not text.strip() and (count or part.which != "owed"):
            self._results[part.which] = found.sentence
        self._name_entries()
        self.shown.emit(found)
        if not count:
            return
        self.office.runner.run(
            "Counting jobs",
            lambda task: _sentences(desk, part.which, task),
            done=self._counted,
            owner=self,
            quiet=True,
        )

    def _counted(self, said: dict[str, str]) -> None:
        self._results.update(said)
        self._name_entries()

    def _name_entries(self) -> None:
        words, results = jobs.WHICH_WORDS, self._results
        self.set_entries(
            [
                StripEntry(one, words[one], _SUBTITLES[one], results.get(one, ""))
                for one in jobs.WHICH
            ]
        )

    def _teach(self, which: str, narrowed: bool) -> EmptyText:
        if narrowed:
            return EmptyText(
                "No such job here",
                "No job in this part holds these words. Alt 5 looks through all of them.",
                "Esc",
                "Show all again",
                self.widen,
            )
        return EmptyText(*_EMPTY[which], "Ins", "Book a job", self.add_asked.emit)

    # keys ----------------------------------------------------------------------------------
    def widen(self) -> bool:
        """Take the words away that narrow the list; False where there are none."""
        part = self.part
        if not part.filter.text():
            part.table.setFocus()
            return False
        part.filter.clear()
        part.filter.at_once()
        part.table.setFocus()
        return True

    def go_or_open(self, job: int) -> None:
        """Give a job's line the focus; one that stands in another part is opened."""
        if self.part.table.go(job):
            self.part.table.setFocus()
        else:
            self.job_opened.emit(job)

    def go(self, key: Hashable) -> None:
        """Give a job's line the focus."""
        if not self.part.table.go(key):
            self._wanted = key  # its rows are still being read
        self.part.table.setFocus()


def _sentences(desk: Desk, but: str, task: Task) -> dict[str, str]:
    said = {}
    for which in jobs.WHICH:
        if which != but:
            task.check()
            # Money is summed for what is owed only; of the others one line tells how many.
            limit = jobs.LIMIT if which in ("owed", "work") else 1
            said[which] = jobs.list_jobs(desk, which, limit=limit).sentence
    return said


def _count(found: JobList) -> str:
    if len(found.rows) < found.whole:
        return f"{len(found.rows):,} of {found.whole:,} shown"
    return found.sentence


def _row(line: ShownJob, which: str) -> TableRow:
    when = quiet(line.when_text, order=line.day)
    if line.alert:
        when = Cell(
            line.when_text, State.LOOK, mark="look", tip="Its last day has gone by", order=line.day
        )
    money = Cell(line.worth_text)
    if which in ("owed", "done", "all") and line.due_text:
        money = Cell(line.due_text, State.LOOK, tip=f"{line.due_text} of {line.worth_text} owed")
    detail = line.state if which == "all" or line.state == "enquiry" else ""
    return row_of(
        line.job_id,
        line.number,
        Cell(line.customer or "no customer yet", bold=True, detail=detail, tip=line.customer),
        quiet(line.vehicle, tip=line.vehicle),
        quiet(line.services, tip=line.services),
        when,
        quiet(line.hours_text),
        money,
    )
