"""The slip: from earned to received for a month, a quarter, a year or any span of days."""

from __future__ import annotations

from datetime import date, timedelta
from functools import partial

from app.actions.desk.amounts import money
from app.actions.desk.papers import file_name, papers_folder
from app.actions.desk.typed_days import read_written_day
from app.actions.figures import filings, slips
from app.documents.papers.slip_sheet import SlipSheet
from app.errors import Mendable
from app.window.figures.slip_tables import (
    WAY_COLUMNS,
    SideBySide,
    held_columns,
    held_rows,
    step_columns,
    step_rows,
    tax_columns,
    tax_rows,
    way_rows,
)
from app.window.house.acting import ask, in_background, on_book
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.house.place import Place
from app.window.paper.action import ActionRow
from app.window.paper.cells import Column, EmptyText
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Form
from app.window.paper.notes import Block, Facts, Note, Rule, Voice
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

KEYS = (
    ("PgUp", "earlier"),
    ("PgDn", "later"),
    ("M Q Y", "a month, a quarter, a year"),
    ("F", "from one day to another"),
    ("P", "profit, or what came"),
    ("L", "tax is filed: lock the days"),
    ("U", "unlock them"),
    ("Ctrl ↵", "print the slip"),
    ("W", "the accountant’s workbook"),
)
_SPANS = {"M": ("month", "one month"), "Q": ("quarter", "one quarter"), "Y": ("year", "one year")}
_MEANS = "A job counts on the day on which it was done, money on the day on which it came."
_EMPTY = EmptyText(
    "Nothing earned, nothing received",
    "Each step from work done to the money that came stands here. PgUp goes to an earlier time.",
)


class SlipPage(Place):
    """Each step from one number to the next, with both ways of adding up."""

    shows_money = True
    shows = frozenset(
        {"days", "money", "jobs", "settings", "customers", "expenses", "hours", "uses"}
    )
    keys = (("Slip", KEYS),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._kind = "month"  # empty for any other span
        self._first, self._last = slips.span_of("month", office.desk.today)
        self._profit = False  # the steps to profit are shown, in place of those to what came
        self._shown: SlipSheet | None = None
        theme = office.theme
        blank = (Column("words", "From earned to received"),)
        self.steps = EntryTable(theme, blank, rows_from=22, rows_to=26, empty=_EMPTY)
        self.ways = EntryTable(theme, WAY_COLUMNS, rows_from=22, rows_to=24)
        self.taxes = EntryTable(theme, WAY_COLUMNS, rows_from=22, rows_to=24)
        self.held = EntryTable(theme, WAY_COLUMNS, rows_from=22, rows_to=24)
        self.form = Form(theme, 2)
        self.first = self.form.add_line("First day", "1 July 2026", on_enter=self._typed)
        self.last = self.form.add_line("Last day", "31 July 2026", on_enter=self._typed)
        self.why_form = Form(theme, 1)
        self.why = self.why_form.add_line(
            "Why are these days unlocked?", "it stays with them", on_enter=self._unlock
        )
        self._asked: tuple[date, date] | None = None  # to lock these days
        self.row = ActionRow(theme, "Print the slip")
        self.row.button.clicked.connect(self.primary)
        self.beside = SideBySide(theme, self.ways, self.taxes)
        self.parts = PartsBody(
            theme,
            self.form,
            self.why_form,
            self.steps,
            self.beside,
            self.held,
            self.row,
            focus=lambda: self.steps,
        )
        self.form.hide()  # until other days are asked for
        self.why_form.hide()  # until filed days are to be unlocked
        self.set_body(self.parts)
        for key, (kind, _words) in _SPANS.items():
            self.on_key(key, partial(self.show_span, kind))
        self.on_key("PgUp", partial(self._step, -1))
        self.on_key("PgDown", partial(self._step, 1))
        self.on_key("F", self._ask_days)
        self.on_key("P", self._turn)
        self.on_key("W", self._write_workbook)
        self.on_key("L", self._lock)
        self.on_key("U", self._ask_why)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        read = partial(filings.sheet_with_tax, self.office.desk, self._first, self._last)
        in_background(self.office, self, "Adding up the slip", read, self._show)

    def _show(self, sheet: SlipSheet) -> None:
        if (sheet.first, sheet.last) != (self._first, self._last):
            return  # another span was asked for meanwhile
        self._shown = sheet
        shown = partial(money, self.office.desk)
        steps = sheet.profit if self._profit else sheet.steps
        rows = step_rows(steps, shown) if sheet.moved else []
        to = "profit" if self._profit else "received"
        self.steps.show_rows(rows, step_columns(steps, to, shown))
        self.beside.setVisible(sheet.moved and not self._profit)
        self.held.setVisible(sheet.moved)
        self.row.set_ready("" if sheet.moved else "There is nothing to print for this time.")
        self.ways.show_rows(way_rows(sheet, shown))
        self.taxes.show_rows(tax_rows(sheet, shown), tax_columns(sheet))
        self.held.show_rows(held_rows(sheet, shown), held_columns(sheet))
        self.parts.lay()
        runs = []
        for kind, words in _SPANS.values():
            role, tone = ("total", "ink") if kind == self._kind else ("row", "ink2")
            runs.append(Run(words, role, tone, on_click=partial(self.show_span, kind), gap=14))
        self.set_head(sheet.title, sheet.span, runs)
        self.row.show_hints(
            [
                Run("Earlier", "unit", key="PgUp", on_click=partial(self._step, -1), gap=16),
                Run("Later", "unit", key="PgDn", on_click=partial(self._step, 1), gap=16),
                Run("Other days", "unit", key="F", on_click=self._ask_days, gap=16),
                Run(
                    "What came" if self._profit else "Profit",
                    "unit",
                    key="P",
                    on_click=self._turn,
                    gap=16,
                ),
                Run("Tax is filed", "unit", key="L", on_click=self._lock),
            ]
        )
        self._explain(sheet)

    def _explain(self, sheet: SlipSheet) -> None:
        apart = sheet.trouble or sheet.checked
        blocks: list[Block] = [Rule(), Facts(self._five(sheet)), Rule()]
        means = "" if sheet.counted else _MEANS
        told = (sheet.an_hour, sheet.filing, apart, means, " ".join(sheet.notes))
        blocks += [Voice(words) for words in told if words]
        self.margin.say(Note("Five numbers, kept apart", tuple(blocks), KEYS[2:]))
        if sheet.trouble:
            self.office.say_trouble(sheet.trouble)

    def _five(self, sheet: SlipSheet) -> tuple[tuple[str, str], ...]:
        shown = partial(money, self.office.desk)
        return (
            ("Earned", shown(sheet.taxes[-1].on)),
            ("Received for work", shown(sheet.received)),
            ("Deposits held", shown(sheet.held[0].end)),
            ("Tips", shown(sheet.tips)),
            ("Tax on it", shown(sheet.taxes[-1].tax)),
        )

    def entered(self) -> None:
        self.steps.setFocus()

    def keep(self) -> object:
        return self._kind, self._first, self._last

    def resume(self, kept: object) -> None:
        if isinstance(kept, tuple):
            self._kind, self._first, self._last = kept

    # moving --------------------------------------------------------------------------------
    def show_span(self, kind: str) -> None:
        """The month, quarter or year in which the present span ends, today's at the latest."""
        self._go(kind, slips.span_of(kind, min(self._last, self.office.desk.today)))

    def _step(self, by: int) -> None:
        """One span earlier or later, none that begins after today."""
        if self._kind:
            beside = self._first - timedelta(days=1) if by < 0 else self._last + timedelta(days=1)
            span = slips.span_of(self._kind, beside)
        else:
            long = timedelta(days=(self._last - self._first).days + 1)
            span = self._first + by * long, self._last + by * long
        if span[0] > self.office.desk.today:
            self.office.say_trouble("Nothing was earned after today.")
            return
        self._go(self._kind, span)

    def _go(self, kind: str, span: tuple[date, date]) -> None:
        self._kind, (self._first, self._last) = kind, span
        self._asked = None
        self.office.say_trouble("")
        self.refresh(self.shows)

    def _turn(self) -> None:
        """From the steps to what came to those to profit, and back."""
        self._profit = not self._profit
        if self._shown is not None:
            self._show(self._shown)

    def _ask_days(self) -> None:
        """Open the line for a first and a last day, filled in with those shown."""
        self.first.setText(self._first.isoformat())
        self.last.setText(self._last.isoformat())
        self.form.show()
        self.parts.lay()
        self.first.setFocus()
        self.first.selectAll()

    def _typed(self) -> None:
        """Show the days typed; Enter in the first goes on to the last."""
        if self.first.hasFocus():
            self.last.setFocus()
            self.last.selectAll()
            return
        desk = self.office.desk
        try:
            first, last = (read_written_day(desk, one.text()) for one in (self.first, self.last))
            slips.check_span(first, last)
        except Mendable as trouble:
            self.office.say_trouble(trouble.sentence)
            return
        self._close_days()
        self._go("", (first, last))

    def _close_days(self) -> None:
        self.form.hide()
        self.parts.lay()
        self.steps.setFocus()

    # filing --------------------------------------------------------------------------------
    def _lock(self) -> None:
        """Note that the tax of these days was filed, once it is asked for twice."""
        span, office = (self._first, self._last), self.office
        if self._asked != span:
            if office.act_now(lambda: filings.may_be_filed(office.desk, *span)):
                self._asked = span
                ask(office, "Was the tax of these days filed? L again notes it and locks them.")
            return
        self._asked = None
        on_book(office, filings.file, *span)

    def _ask_why(self) -> None:
        """Open the line for the reason, where something of these days is locked."""
        if self.office.act_now(self._locking) is None:
            return
        self.why.setText("")
        self.why_form.show()
        self.parts.lay()
        self.why.setFocus()

    def _locking(self) -> int:
        return filings.locking(self.office.desk, self._first, self._last)

    def _unlock(self) -> None:
        office, words = self.office, self.why.text()
        number = office.act_now(self._locking)
        if number is None:
            return
        if on_book(office, filings.unlock, number, words) is not None:
            self._close_why()

    def _close_why(self) -> None:
        self.why_form.hide()
        self.parts.lay()
        self.steps.setFocus()

    def back(self) -> bool:
        if not self.why_form.isHidden():
            self._close_why()
        elif not self.form.isHidden():
            self._close_days()
        else:
            self.office.go_back()
        return True

    # paper ---------------------------------------------------------------------------------
    def primary(self) -> None:
        """Write the slip as a PDF beside the book, and open it for printing."""
        from app.documents.papers.slip_paper import slip_pdf  # not before the first picture

        office, sheet = self.office, self._shown
        if sheet is None or not sheet.moved:
            return
        folder = office.act_now(lambda: papers_folder(office.desk, "slips"))
        if folder is None:
            return
        path = folder / f"{file_name(sheet.title.lower())}.pdf"
        region = office.desk.settings.region
        if office.act_now(lambda: slip_pdf(sheet, path, region)) is not None:
            office.say(f"The slip is written to {path}")
            office.act(lambda: open_outside(path))

    def _write_workbook(self) -> None:
        """Write invoices, taxes and receipts of the days shown, for an accountant."""
        from app.actions.exchange.accounts import write_span  # openpyxl: not before it is asked for

        desk, first, last = self.office.desk, self._first, self._last
        folder = self.office.act_now(lambda: papers_folder(desk, "accounts"))
        if folder is None:
            return
        path = folder / f"accounts {first} to {last}.xlsx"
        in_background(
            self.office,
            self,
            "Writing the workbook",
            lambda: write_span(desk, first, last, path),
            lambda written: self.office.say(f"The workbook is written to {written}"),
        )
