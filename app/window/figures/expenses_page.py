"""Expenses: what went out beside the supplies, year by year, and what comes again."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from datetime import date
from functools import partial
from itertools import groupby

from PySide6.QtGui import QDragEnterEvent, QDropEvent

from app.actions.costs import driving, expenses
from app.actions.costs.expenses import EVERY, Spent, words_of_kind
from app.actions.desk.amounts import money
from app.actions.jobs.job_card import rate_text
from app.calculations.numbers.dates import day_month, day_short, day_year, near
from app.records.queries.expenses import ExpenseRow, PhotoRow, RepeatRow
from app.window.figures.expense_form import ExpenseForm
from app.window.figures.receipt_photos import ReceiptPhotos, photos_in
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, GroupRow, State, TableRow, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Form
from app.window.paper.notes import Block, Facts, Note, Plain, Rule, Voice, known
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

KEYS = (
    ("N", "write an expense"),
    ("↵", "change the line, or the rule"),
    ("Del", "take it back"),
    ("P", "its photo, or drag it here"),
    ("O", "open the photo"),
    ("X", "take the photo off"),
    ("PgUp", "the year before"),
    ("PgDn", "the year after"),
    ("W", "what driving is worth"),
    ("Ctrl ↵", "write it"),
)
_COLUMNS = (
    Column("day", "Day", width=74, least=56),
    Column("kind", "What for", width=210, least=100),
    Column("text", "In your words", width=0, least=84),
    Column("method", "Paid by", width=90, least=62, aside=1),
    Column("amount", "Amount", width=112, least=90, right=True),
)
_EMPTY = EmptyText(
    "No expenses in this year",
    "Rent, insurance, fuel, card fees, tools: what is no supply. Tips handed on, tax paid over, "
    "and cash put into the till or taken out stand here too.",
)
_RULES = "An expense counts on its day, with its tax in it."
_TWICE = "Mostly such a rate has the fuel in it: write one or the other."


class ExpensesPage(Place):
    """A year's lines by month, above them what comes again."""

    shows_money = True
    shows = frozenset({"expenses", "days", "settings"})
    keys = (("Expenses", KEYS),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        theme, today = office.theme, office.desk.today
        self._year = today.year
        self._shown: Spent | None = None
        self._lines: dict[Hashable, ExpenseRow] = {}
        self._rules: dict[Hashable, RepeatRow] = {}
        self.table = EntryTable(theme, _COLUMNS, rows_to=30, empty=_EMPTY)
        self.table.row_opened.connect(self._opened)
        self.table.row_entered.connect(lambda _key, _column: self.explain())
        self.table.add_asked.connect(self.begin)
        self.form = ExpenseForm(office, self.primary)
        self.rate = Form(theme, 3)
        word = driving.unit_word(driving.unit_of(office.desk), many=False)
        self.worth = self.rate.add_line(f"What a {word} is worth", "0.50")
        self.since = self.rate.add_line("From", f"1 Jan {today.year}")
        self.source = self.rate.add_line(
            "Whose rate it is", "notice of the tax office", on_enter=self._set_rate
        )
        self.worth.returnPressed.connect(self.since.setFocus)
        self.since.returnPressed.connect(self.source.setFocus)
        self.row = ActionRow(theme, "Write an expense")
        self.row.button.clicked.connect(self.primary)
        self.parts = PartsBody(
            theme, self.form, self.rate, self.table, self.row, focus=lambda: self.table
        )
        self.form.hide()
        self.rate.hide()
        self.set_body(self.parts)
        self.pictures = ReceiptPhotos(self)
        self.setAcceptDrops(True)
        for key, do in (
            ("N", self.begin), ("Del", self._take_back), ("P", self.pictures.choose),
            ("O", self.pictures.open), ("X", self.pictures.take_off), ("W", self._ask_rate),
            ("PgUp", partial(self._step, -1)), ("PgDown", partial(self._step, 1)),
        ):  # fmt: skip
            self.on_key(key, do)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        first, last = date(self._year, 1, 1), date(self._year, 12, 31)
        read = partial(expenses.spent, self.office.desk, first, last)
        in_background(self.office, self, "Adding up the expenses", read, self._show, quiet=True)

    def _show(self, found: Spent) -> None:
        if found.first.year != self._year:
            return  # another year was asked for meanwhile
        self._shown = found
        self._lines = {("line", one.expense_id): one for one in found.lines}
        self._rules = {("rule", rule.repeat_id): rule for rule, _ in found.repeats}
        rows: list[TableRow | GroupRow] = []
        if found.repeats:
            rows.append(GroupRow("rules", "Comes again", "written by closing a day"))
            rows += [self._rule_row(rule, due) for rule, due in found.repeats]
        for month, lines in groupby(found.lines, key=lambda one: one.day.month):
            rows.append(GroupRow(("month", month), f"{date(self._year, month, 1):%B}"))
            rows += [self._line_row(one) for one in lines]
        here, before = self.table.current_key(), self.table.rows
        self.table.show_rows(rows)
        self._stay_near(here, [row.key for row in before])
        self.parts.lay()
        total = money(self.office.desk, found.total)
        when = "so far" if self._year == self.office.desk.today.year else ""
        self.set_head("Expenses", f"{self._year} {when}".strip(), f"{total} spent")
        self.row.show_hints(
            [
                Run("Year before", "unit", key="PgUp", on_click=partial(self._step, -1), gap=16),
                Run("Year after", "unit", key="PgDn", on_click=partial(self._step, 1), gap=16),
                Run("What driving is worth", "unit", key="W", on_click=self._ask_rate),
            ]
        )
        self.explain()

    def _stay_near(self, here: Hashable, before: list[Hashable]) -> None:
        """Where the line with the focus is gone, the next one has it: Del again takes no rule."""
        if here not in before or self.table.current_key() == here:
            return
        at = before.index(here)
        near_by = (*before[at:], *reversed(before[:at]))
        kind = self._rules if isinstance(here, tuple) and here[0] == "rule" else self._lines
        for key in near_by:
            if key in kind:
                self.table.go(key)
                return

    def _rule_row(self, rule: RepeatRow, due: date | None) -> TableRow:
        when = f"next {near(due, self.office.desk.today)}" if due else "ended"
        return row_of(
            ("rule", rule.repeat_id),
            "",
            Cell(words_of_kind(rule.kind, rule.amount), bold=True),
            Cell(rule.text, detail=f"{EVERY[rule.every]}, {when}"),
            quiet(rule.method),
            quiet(money(self.office.desk, rule.amount)),
        )

    def _line_row(self, one: ExpenseRow) -> TableRow:
        detail = "by its rule" if one.repeat_id is not None else ""
        if one.counters_id is not None:
            detail = "takes an earlier line back"
        elif one.taken_back_on is not None:
            detail = f"taken back on {day_month(one.taken_back_on)}"
        if photos := self.photos.get(one.expense_id):
            count = "photo" if len(photos) == 1 else f"{len(photos)} photos"
            detail = ", ".join(filter(None, (detail, count)))
        back = State.QUIET if detail.startswith("ta") else State.PLAIN
        return row_of(
            ("line", one.expense_id),
            quiet(day_short(one.day)),
            Cell(words_of_kind(one.kind, one.amount), back),
            Cell(one.text, back, detail=detail),
            quiet(one.method),
            Cell(money(self.office.desk, one.amount), back),
        )

    @property
    def line(self) -> ExpenseRow | None:
        """The line with the focus."""
        return self._lines.get(self.table.current_key())

    @property
    def photos(self) -> Mapping[int, list[PhotoRow]]:
        """The photos by expense."""
        return self._shown.photos if self._shown is not None else {}

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if photos_in(event.mimeData()):
            event.acceptProposedAction()
        else:
            event.ignore()  # the window brings in other files

    def dropEvent(self, event: QDropEvent) -> None:
        if not self.pictures.dropped(event.mimeData()):
            event.ignore()

    def explain(self) -> None:
        """The line with the focus, its photos, and what all of the year comes to."""
        found, shown = self._shown, partial(money, self.office.desk)
        if found is None:
            return
        blocks: list[Block] = []
        line = self.line
        if pictures := self.pictures.blocks():
            blocks += [*pictures, Rule()]
        if line is not None and (line.tax or line.use_tax_rate):
            tax = known(
                ("Tax in it", shown(line.tax) if line.tax else ""),
                ("Use tax on it", rate_text(line.use_tax_rate) if line.use_tax_rate else ""),
            )
            blocks += [
                Plain(f"{day_year(line.day)}, {words_of_kind(line.kind)}"),
                tax,
                Rule(),
            ]
        sums = [(words, shown(amount)) for words, amount in found.costs]
        if sums:
            blocks += [Facts((*sums, ("All costs", shown(found.total)))), Rule()]
        if found.beside:
            beside = tuple((words, shown(amount)) for words, amount in found.beside)
            blocks += [Plain("No cost"), known(*beside), Rule()]
        blocks += [Voice(_RULES), Voice(self._rate_words())]
        self.margin.say(Note(f"Spent in {self._year}", tuple(blocks), (*KEYS[:4], KEYS[-1])))

    def _rate_words(self) -> str:
        desk = self.office.desk
        rates = driving.rates(desk)
        if rates:
            return f"Driven: {driving.rate_text(desk, rates[-1])}. {_TWICE}"
        word = driving.unit_word(driving.unit_of(desk), many=False)
        return (
            f"What a {word} driven is worth is yours to say (W), with whose rate it is; until then "
            f"it counts nothing. {_TWICE}"
        )

    def entered(self) -> None:
        self.table.setFocus()
        self.explain()

    def keep(self) -> object:
        return self._year

    def resume(self, kept: object) -> None:
        if isinstance(kept, int):
            self._year = kept

    # moving --------------------------------------------------------------------------------
    def _step(self, by: int) -> None:
        if self._year + by > self.office.desk.today.year + 1:
            self.office.say_trouble("Nothing is spent that far ahead.")
            return
        self._year += by
        self.office.say_trouble("")
        self.refresh(self.shows)

    # doing ---------------------------------------------------------------------------------
    def begin(self) -> None:
        """Open the form for a new expense."""
        self.form.begin()
        self._open_form("Write it")
        self.form.kind.setFocus()

    def _opened(self, key: Hashable) -> None:
        """Open the form with the line or the rule of a row."""
        line, rule = self._lines.get(key), self._rules.get(key)
        if line is not None:
            if stays := expenses.why_it_stays(self.office.desk, line):
                self.office.say_trouble(stays)
                return
            self.office.say_trouble("")
            self.form.fill(expenses.as_typed(self.office.desk, line), expense_id=line.expense_id)
        elif rule is not None:
            self.form.fill(expenses.as_typed(self.office.desk, rule), repeat_id=rule.repeat_id)
        else:
            return
        self._open_form("Write it anew")
        self.form.amount.setFocus()
        self.form.amount.selectAll()

    def _open_form(self, label: str) -> None:
        self.rate.hide()
        self.form.show()
        self.row.button.set_label(label)
        self.parts.lay()

    def primary(self) -> None:
        """Open the form; where it is open, write what stands in it."""
        if self.form.isHidden():
            self.begin()
            return
        said = self.form.typed()

        def written(_changed: object) -> None:
            if self.form.isVisible() and said == self.form.typed():
                self._close_forms()

        self.office.act_then(self.form.do(), written, f"expense of {said.amount}", said)

    def _take_back(self) -> None:
        key, desk = self.table.current_key(), self.office.desk
        if key in self._lines:
            line = self._lines[key]
            self.office.act(partial(expenses.take_back_expense, desk, line.expense_id))
        elif key in self._rules:
            rule = self._rules[key]
            self.office.act(partial(expenses.take_back_repeat, desk, rule.repeat_id))

    def _ask_rate(self) -> None:
        """Open the line for what a way driven is worth."""
        self.form.hide()
        self.rate.empty()
        self.rate.show()
        self.parts.lay()
        self.worth.setFocus()

    def _set_rate(self) -> None:
        said = self.worth.text(), self.since.text(), self.source.text()
        do = partial(driving.set_rate, self.office.desk, *said)
        self.office.act_then(do, lambda _done: self._close_forms(), f"rate of {said[0]}", said)

    def _close_forms(self) -> None:
        self.form.hide()
        self.rate.hide()
        self.row.button.set_label("Write an expense")
        self.parts.lay()
        self.table.setFocus()

    def back(self) -> bool:
        if self.form.isHidden() and self.rate.isHidden():
            self.office.go_back()
        else:
            self._close_forms()
        return True
