"""The list of jobs as seven entries: in work, the plan, booked, enquiries, done, owed, all."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.jobs import jobs
from app.actions.jobs.jobs import JobList, OwedInvoice, ShownJob
from app.calculations.numbers.money import minor_digits
from app.calculations.numbers.wording import count_of
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.house.runner import Task
from app.window.jobs.job_rows import columns_of, rows_of
from app.window.jobs.owed_drawing import OwedBar, OwedDrawing
from app.window.paper.action import ActionRow
from app.window.paper.cells import EmptyText
from app.window.paper.entrytable import EntryTable
from app.window.paper.narrowing import Narrowing
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run
from app.window.paper.strip import Strip, StripEntry

if TYPE_CHECKING:
    from app.window.bay.plan_body import PlanBody

PLAN = "plan"
_ENTRIES = (jobs.WHICH[0], PLAN, *jobs.WHICH[1:])
_WORDS = {**jobs.WHICH_WORDS, PLAN: "Plan"}
_ACTIONS = {"enquiries": ("Book it", "Ctrl ↵"), "owed": ("Take payment", "Ctrl ↵")}
SCREENFUL = 40
AT_ONCE = ("work", "booked", "owed")  # short in any shop; the others grow with the years
_SUBTITLES = {
    PLAN: "Two weeks. Nights and closed days are drawn narrow.",
    "work": "Begun, or booked for a day that has come.",
    "booked": "Next first; those without a day last.",
    "enquiries": "Who asked and is not booked, the longest waiting first.",
    "done": "Newest first.",
    "owed": "Invoices by their age, and work that is on none yet.",
    "all": "By number, newest first.",
}
_EMPTY = {
    "work": ("Nothing is in work", "A job appears here on its first day. Book one for today, or "
             "look at what is booked."),
    "booked": ("Nothing is booked", "Book a job with a customer or a vehicle; day, services and "
               "promise can follow when you know them."),
    "enquiries": ("Nobody waits for an answer", "Who asks for work stands here until it is booked, "
                  "or came to nothing. A name is enough; what for and when can follow."),
    "done": ("No job is done yet", "A job moves here when the day is closed on which it was "
             "finished."),
    "owed": ("Nobody owes anything", "Invoices that are not wholly paid stand here until their "
             "money comes, and work that is done and on no invoice."),
    "all": ("No job yet", "Book the first, or bring past jobs in from a spreadsheet."),
}  # fmt: skip


class JobsPart(PartsBody):
    """One part of the list: the words that narrow it, the table, the action."""

    def __init__(self, listing: JobsListing, which: str) -> None:
        theme = listing.office.theme
        self.which = which
        self._least_rows = theme.px(150)  # rows that a drawing must leave in sight
        self.table = EntryTable(theme, columns_of(which))
        self.table.name = f"jobs {which}"
        self.table.more_asked.connect(listing.read_on)
        hint = "name, vehicle, plate, service or job number"
        self.filter = Narrowing(theme, hint, "Narrow the list", self.table, listing.read)
        self.filter.follow()
        self.row = ActionRow(theme, *_ACTIONS.get(which, ("Book a job", "Ins")))
        self.row.button.clicked.connect(lambda: listing.acted.emit(which))
        self.drawing = OwedDrawing(theme) if which == "owed" else None
        if which == "owed":
            second = self.row.set_second("Statement", "F4")
            second.clicked.connect(listing.statement_asked.emit)
        if which == "enquiries":
            second = self.row.set_second("Came to nothing", "F6")
            second.clicked.connect(listing.ended.emit)
        parts = (self.filter, self.drawing, self.table, self.row)
        shown = [part for part in parts if part is not None]
        super().__init__(theme, *shown, focus=lambda: self.table)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The drawing gives way where there is no room."""
        self._show_drawing()
        super().resizeEvent(event)

    def show_jobs(self, office: Office, found: JobList) -> None:
        """Show the rows, and what is owed by age."""
        self.table.show_rows(rows_of(office, found), columns_of(self.which))
        self._draw_owed(office, found)

    def natural_height(self, width: int) -> int:
        """With the drawing, also while it has no room."""
        need = super().natural_height(width)
        if self.drawing is not None and self.drawing.isHidden() and self.table.rows:
            need += self.drawing.height() + self._gap
        return need

    def _show_drawing(self) -> None:
        if self.drawing is not None:
            table = min(self.table.natural_height(self.width()), self._least_rows)
            beside = self.filter.sizeHint().height() + self.row.height() + table
            room = self.height() >= self.drawing.height() + beside
            self.drawing.setVisible(room and bool(self.table.rows))

    def _draw_owed(self, office: Office, found: JobList) -> None:
        if self.drawing is None:
            return
        desk = office.desk
        bars = [OwedBar(one.days, one.due, one.payer) for one in found.invoices]
        bars += [OwedBar(line.days, line.due, line.customer) for line in found.rows]
        bands = [(band, money(desk, band.amount)) for band in found.bands]
        noun = "" if found.invoices and found.rows else "invoice" if found.invoices else "job"
        self.drawing.show_owed(bands, bars, 10 ** minor_digits(desk.settings.currency), noun)
        self._show_drawing()
        self.lay()


class JobsListing(Strip):
    """The strip of the parts; only the open one is read at once, the others say how many."""

    job_opened = Signal(int)
    invoice_opened = Signal(int, int)  # its oldest job, and itself
    statement_asked = Signal()
    row_entered = Signal(object)
    add_asked = Signal()
    acted = Signal(str)  # the button of a part
    ended = Signal()  # what is chosen is called off, or came to nothing
    shown = Signal(object)  # JobList
    pick_asked = Signal(str, object)  # a hint, and what finds lines for what is typed
    planned = Signal()  # the plan was read, or a move is tried

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self.office = office
        self.list: JobList | None = None
        self._results: dict[str, str] = {}
        self._subtitles = dict(_SUBTITLES)
        self._alerts: dict[str, str] = {}
        self._asked: Task | None = None
        self._wanted: Hashable | None = None
        self._told: tuple[str, str] = "", ""  # the part and words that were read last
        self._most = jobs.LIMIT  # rows of them that are read
        self._name_entries()
        self.open("work", still=True)  # not read yet: the page is, when it is first shown
        self.opened.connect(lambda _key: self.read())

    def _make(self, which: str) -> QWidget:
        if which == PLAN:
            return self._make_plan()
        part = JobsPart(self, which)
        part.table.row_entered.connect(lambda key, _column: self._entered(key))
        part.table.choice_changed.connect(self.say_ready)
        part.table.row_opened.connect(self._open_row)
        part.table.add_asked.connect(self.add_asked.emit)
        return part

    def _make_plan(self) -> PlanBody:
        from app.window.bay.plan_body import PlanBody  # not before the first picture

        plan = PlanBody(self.office)
        plan.job_opened.connect(self.job_opened.emit)
        plan.add_asked.connect(self.add_asked.emit)
        plan.row_entered.connect(self.row_entered.emit)
        plan.pick_asked.connect(self.pick_asked.emit)
        plan.changed.connect(self._plan_changed)
        return plan

    def _plan_changed(self) -> None:
        self._results[PLAN], self._subtitles[PLAN] = self.plan.result, self.plan.subtitle
        self._alerts[PLAN] = self.plan.alert
        self._name_entries()
        self.planned.emit()

    @property
    def plan(self) -> PlanBody:
        """The plan of the open jobs."""
        from app.window.bay.plan_body import PlanBody

        body = self.body(PLAN)
        assert isinstance(body, PlanBody)
        return body

    @property
    def planning(self) -> bool:
        """Whether the plan is open, and none of the lists."""
        return self.open_key == PLAN

    def _open_row(self, key: Hashable) -> None:
        """A job's card, or of an invoice that of its oldest job, at its money."""
        invoice = self.invoice_of(key)
        if invoice is not None:
            self.invoice_opened.emit(invoice.jobs[0], invoice.invoice_id)
        elif isinstance(key, int):
            self.job_opened.emit(key)

    def invoice_of(self, key: Hashable) -> OwedInvoice | None:
        """The invoice of a row, where it is one."""
        rows = self.list.invoices if self.list else ()
        return next((one for one in rows if ("invoice", one.invoice_id) == key), None)

    def _entered(self, key: Hashable) -> None:
        self.say_ready()
        self.row_entered.emit(key)

    @property
    def part(self) -> JobsPart:
        """The open part; of the plan what is booked."""
        body = self.body("booked" if self.planning else self.open_key or "work")
        assert isinstance(body, JobsPart)
        return body

    # reading -------------------------------------------------------------------------------
    def read(self) -> None:
        """Read the open part: a screenful at once, the rest of a long one in the background."""
        if self.planning:
            self.plan.read()
            return
        part, office = self.part, self.office
        which, text = part.which, part.filter.text()
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
        part.show_jobs(self.office, found)
        part.table.expect_more(count and found.whole > self._most)
        if self._wanted is not None and part.table.go(self._wanted):
            self._wanted = None
        some = bool(found.rows or found.invoices)
        runs = [Run(_count(found), "unit_total", "ink", gap=20)] if some else []
        if some:
            runs.append(Run("Open", "unit", key="↵"))
        if part.which == "enquiries":
            words = "Another" if found.rows else "Note an enquiry"
            runs.append(Run(words, "unit", key="Ins", on_click=self.add_asked.emit))
        part.row.show_hints(runs)
        self._subtitles[part.which] = found.voice or _SUBTITLES[part.which]
        self.say_ready()
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
        self._alerts[PLAN] = "wrong" if "clash" in said.get(PLAN, "") else ""
        self._name_entries()

    def _name_entries(self) -> None:
        results, alerts = self._results, self._alerts
        self.set_entries(
            [
                StripEntry(one, _WORDS[one], self._subtitles[one], results.get(one, ""),
                           alerts.get(one, ""))
                for one in _ENTRIES
            ]
        )  # fmt: skip

    def _teach(self, which: str, narrowed: bool) -> EmptyText:
        if narrowed:
            return EmptyText(
                "No such job here",
                "No job in this part holds these words. Alt 7 looks through all of them.",
                "Esc",
                "Show all again",
                self.widen,
            )
        return EmptyText(*_EMPTY[which])  # the key that begins it stands below

    def current_key(self) -> Hashable | None:
        """The line with the focus."""
        return self.plan.here if self.planning else self.part.table.current_key()

    @property
    def chosen(self) -> tuple[ShownJob, ...]:
        """The chosen jobs, else that with the focus."""
        by_key = {line.job_id: line for line in self.list.rows} if self.list else {}
        keys = self.part.table.chosen_keys
        return tuple(by_key[key] for key in keys if isinstance(key, int) and key in by_key)

    @property
    def chosen_invoices(self) -> tuple[OwedInvoice, ...]:
        """The chosen invoices, else that with the focus."""
        found = (self.invoice_of(key) for key in self.part.table.chosen_keys)
        return tuple(one for one in found if one is not None)

    def say_ready(self) -> None:
        """What the action of the open part would do with the chosen rows."""
        part, chosen, desk = self.part, self.chosen, self.office.desk
        if part.which == "owed":
            invoices = self.chosen_invoices
            due = sum(one.due for one in chosen) + sum(one.due for one in invoices)
            counts = [count_of(len(invoices), "invoice")] * bool(invoices)
            counts += [count_of(len(chosen), "job")] * bool(chosen)
            many = f"{' and '.join(counts)}, " if len(invoices) + len(chosen) > 1 else ""
            part.row.show_total(
                [Run(f"{many}owed", "row", gap=6), Run(money(desk, due), "total", "ink")]
                if due
                else []
            )
            part.row.set_ready("" if chosen or invoices else "Nobody owes anything.")
        elif part.which == "enquiries":
            waits = any(one.state == "enquiry" for one in chosen)
            part.row.show_second(waits)
            part.row.set_ready("" if chosen else "No enquiry is here to be booked.")

    # keys ----------------------------------------------------------------------------------
    def widen(self) -> bool:
        """Take the words away that narrow the list, or put a move back; False where there is
        neither."""
        if self.planning:
            return self.plan.back()
        part = self.part
        if not part.filter.text():
            part.table.setFocus()
            return False
        part.filter.clear()
        part.filter.at_once()
        part.table.setFocus()
        return True

    def go(self, key: Hashable) -> None:
        """Give a job's line the focus."""
        if self.planning:
            self.plan.go(key)
            return
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
    task.check()
    from app.actions.bay.plan_of_shop import plan_of_shop  # not before the first picture
    from app.window.bay.shown import plan_sentence

    said[PLAN] = plan_sentence(plan_of_shop(desk))
    return said


def _count(found: JobList) -> str:
    if found.which == "owed":  # how much in all stands at the head of the page
        return f"{found.whole:,} open"
    if len(found.rows) < found.whole:
        return f"{len(found.rows):,} of {found.whole:,} shown"
    return found.sentence
