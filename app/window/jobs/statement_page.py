"""The statement of somebody who pays: what they owe by age, and the reminder that asks for it."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import money
from app.actions.jobs import asking, statements
from app.actions.jobs.asking import Reminder
from app.actions.jobs.statements import Statement, statement_line
from app.calculations.numbers.dates import near
from app.calculations.numbers.money import minor_digits
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.records.queries.invoices import InvoiceWordRow
from app.window.house.acting import on_book
from app.window.house.entriespage import EntriesPage
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.jobs.owed_drawing import OwedBar, OwedDrawing
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.leafbody import LeafBody
from app.window.paper.notes import Alert, Block, Facts, Note, Plain, Rule, Voice, Writable
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

KEYS = (
    ("Alt 1–2", "statement, or reminder"),
    ("Ctrl ↵", "print it; write the mail"),
    ("F3", "the statement by mail"),
    ("F2", "the reminder in other words"),
    ("F6", "the reminder as a letter"),
    ("F9", "asked by telephone"),
    ("Esc", "back"),
)
FIRST = "Open what is owed on Jobs first, and press F4 on a line there."
_COLUMNS = (
    Column("number", "Invoice", width=98, least=86),
    Column("issued", "Issued", width=84, least=70, dense=True, aside=3),
    Column("due_on", "Due on", width=84, least=70, dense=True),
    Column("what", "For", width=0, least=100, dense=True),
    Column("days", "Days", width=60, least=46, right=True, aside=1),
    Column("gross", "Total", width=92, least=70, right=True, aside=4),
    Column("came", "Paid", width=92, least=60, right=True, aside=2),
    Column("due", "Owed", width=92, least=70, right=True),
)
_EMPTY = EmptyText(
    "Nothing is due on an invoice",
    "What they owe on invoices stands here by its age. Work that is done and on no invoice yet is "
    "named in the margin.",
)


class StatementPage(EntriesPage):
    """Opened from *Owed* on Jobs; what is written here a person hands over or sends."""

    entries: ClassVar = {
        "statement": ("Statement", "All that is open, by its age."),
        "remind": ("A friendly reminder", "You send it; that is remembered."),
    }
    shows_money = True
    shows = frozenset({"money", "jobs", "customers", "settings", "days"})
    keys = (("A statement", KEYS),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._payer: int | None = None
        self._found: Statement | None = None
        self._letter: Reminder | None = None
        self._refused = ""  # why no reminder is written
        self._own = ""  # the reminder in a person's own words
        theme = office.theme
        self.drawing = OwedDrawing(theme)
        self.table = EntryTable(theme, _COLUMNS, rows_from=24, rows_to=28, empty=_EMPTY)
        self.table.row_opened.connect(self._open_invoice)
        self._print = ActionRow(theme, "Print the statement")
        self._print.set_second("By mail", "F3").clicked.connect(self._mail_statement)
        self._print.button.clicked.connect(self.primary)
        self._write = ActionRow(theme, "Write the mail")
        self._write.set_second("As a letter", "F6").clicked.connect(partial(self._ask, "letter"))
        self._write.button.clicked.connect(self.primary)
        self._write.show_hints(
            [Run("Asked by telephone", "unit", key="F9", on_click=partial(self._ask, "phone"))]
        )
        self.letter = LeafBody(theme, FIRST, None, self._write)
        self.show_entries({}, lambda _key: False)
        self.begin("statement", self.office.go_back)
        self.on_key("F2", self._reword)
        self.on_key("F3", self._mail_statement)
        self.on_key("F6", partial(self._ask, "letter"))
        self.on_key("F9", partial(self._ask, "phone"))

    def make_body(self, key: str) -> QWidget:
        if key == "remind":  # a long letter in large type is moved up and down
            return PartsBody(self.office.theme, self.letter, focus=lambda: self.letter)
        parts = (self.drawing, self.table, self._print)
        return PartsBody(self.office.theme, *parts, focus=lambda: self.table)

    # reading -------------------------------------------------------------------------------
    def open_item(self, item: object) -> None:
        """Show somebody's statement: their key, or that with the entry to open."""
        payer, entry = item if isinstance(item, tuple) else (item, "statement")
        if isinstance(payer, int):
            if payer != self._payer:
                self._own = ""
            self._payer = payer
            self.refresh(self.shows)
            self.strip.open(str(entry), still=True)
            self.entered()

    def refresh(self, kinds: frozenset[str]) -> None:
        """Read the statement again, and judge again whether a reminder may go."""
        if self._payer is None:
            self.set_head("Statement", "of nobody yet", italic=True)
            return
        found = self.office.read(partial(statements.statement, self.office.desk, self._payer))
        if found is None:
            return
        self._found = found
        self._judge(found.payer_id)
        self._show(found)

    def _judge(self, payer: int) -> None:
        before = self._letter
        try:
            self._letter, self._refused = asking.reminder(self.office.desk, payer), ""
        except Mendable as why:
            self._letter, self._refused = None, why.sentence
        now = self._letter
        if self._own and before and now and before.owed != now.owed:
            self._own = ""  # its sums are not true any more
            self.office.say("What they owe changed; the reminder is written anew.")

    def _show(self, found: Statement) -> None:
        desk = self.office.desk
        bands = [(band, money(desk, band.amount)) for band in found.bands]
        bars = [OwedBar(one.days_on(desk.today), one.due, "") for one in found.stands]
        unit = 10 ** minor_digits(desk.settings.currency)
        self.drawing.show_owed(bands, bars, unit, "invoice")
        self.drawing.setVisible(bool(found.stands))
        self.table.show_rows([self._row(one) for one in found.stands])
        none = "" if found.stands else "They owe nothing on an invoice."
        self._print.set_ready(none)
        self._print.set_second_ready(not none)
        self.letter.say(self._text if self._letter else self._refused)
        can_mail = self._letter is not None and bool(self._letter.mail)
        why = "" if self._letter else "No reminder is written."
        if self._letter and not can_mail:
            why = "No mail address that arrives is known."
        self._write.set_ready(why)
        self._write.set_second_ready(self._letter is not None and bool(self._letter.address))
        due = money(desk, found.due)
        self.set_head(
            found.name,
            "what they owe",
            [Run(f"{due} owed" if found.due else "nothing on an invoice")],
            italic=True,
        )
        count = count_of(len(found.stands), "invoice")
        results = {
            "statement": f"{count}, {due}" if found.stands else "nothing on an invoice",
            "remind": self._asked_words(found),
        }
        self.show_entries(results, lambda _key: False)
        self.explain()

    @property
    def _text(self) -> str:
        """The reminder as it would go now."""
        return self._own or (self._letter.text if self._letter else "")

    @property
    def _key(self) -> str:
        """The text of the margin, by whose reminder and how often it was written."""
        stands = self._found.stands if self._found else ()
        return f"words {self._payer} {sum(len(one.asked) for one in stands)}"

    def _reworded(self, text: str) -> None:
        """Keep a person's own words until it goes; none are the usual ones again."""
        usual = self._letter.text if self._letter else ""
        self._own = "" if text.strip() in ("", usual.strip()) else text
        self.letter.say(self._text)

    def _reword(self) -> None:
        """Into the words of the reminder, in the margin."""
        if self._letter is None:
            self.office.say_trouble(self._refused or FIRST)
            return
        self.strip.open("remind", still=True)
        self.explain()
        self.margin.write(self._key)

    @staticmethod
    def _asked_words(found: Statement) -> str:
        times = max((len(one.asked) for one in found.stands), default=0)
        words = {0: "not asked yet", 1: "asked once", 2: "asked twice"}
        return words.get(times, f"asked {times} times")

    def _row(self, stand: statements.Stand) -> TableRow:
        one = statement_line(self.office.desk, stand)
        late = stand.invoice.due_on is not None and stand.invoice.due_on < self.office.desk.today
        return row_of(
            stand.invoice.invoice_id,
            Cell(one.number, bold=True),
            quiet(one.issued, order=stand.invoice.issued_on),
            Cell(one.due_on, State.LOOK if late else State.QUIET, order=stand.invoice.due_on),
            quiet(one.words, tip=one.said),
            quiet(f"{one.days}", order=one.days),
            quiet(one.gross),
            quiet(one.came) if one.came else Cell("", State.UNUSED),
            Cell(one.due, bold=True),
        )

    def explain(self) -> None:
        found = self._found
        if found is None:
            voice = Voice(FIRST)
            self.margin.say(Note(self.entries["statement"][0], (voice,), KEYS))
            return
        desk = self.office.desk
        blocks: list[Block] = []
        if found.deceased:
            blocks.append(Alert("They have died"))
        if self.strip.open_key == "remind" and self._letter:
            blocks += self._about_letter(found, self._letter)
            self.margin.say(Note(found.name, tuple(blocks), KEYS))
            return
        facts = [(band.words, money(desk, band.amount) if band.count else "–")
                 for band in found.bands[::-1]]  # fmt: skip
        blocks += [Facts((*facts, ("Together", money(desk, found.due))))]
        if found.not_invoiced:
            jobs = count_of(len(found.jobs_not_invoiced), "job")
            words = f"{money(desk, found.not_invoiced)} of {jobs} is done and not invoiced yet."
            blocks += [Rule(), Voice(words)]
        self.margin.say(Note(found.name, tuple(blocks), KEYS))

    def _about_letter(self, found: Statement, letter: Reminder) -> list[Block]:
        """When they were asked last, and the words, which are the shop's to change."""
        said = [f"{letter.asked}."] if letter.asked else []
        said += [f"Not asked for: {one}." for one in letter.left_out]
        label = "In your own words, until it goes" if self._own else "Yours to change (F2)"
        blocks: list[Block] = [Voice(one) for one in said]
        blocks.append(Writable(self._key, label, self._text, self._reworded, 14))
        blocks.append(Voice("It is judged once more when it is written, on the book as it is."))
        if went := _last_written(found):
            when = near(went.day, self.office.desk.today)
            blocks += [Rule(), Plain(f"Written {when}, by {went.how}"), Voice(went.text[:500])]
        return blocks

    def entered(self) -> None:
        body = self.strip.made(self.strip.open_key)
        if isinstance(body, LeafBody | PartsBody):
            body.entered()

    def turned(self, key: str) -> None:
        super().turned(key)
        self.entered()

    def keep(self) -> object:
        return self._payer, self.strip.open_key

    def resume(self, kept: object) -> None:
        self.open_item(kept)

    # doing ---------------------------------------------------------------------------------
    def _open_invoice(self, key: object) -> None:
        stands = self._found.stands if self._found else ()
        for one in stands:
            if one.invoice.invoice_id == key:
                self.office.go("jobs", ("paper", one.parts[0].job.job_id, key))

    def primary(self) -> None:
        """Print the statement, or write the reminder as a mail."""
        if self.strip.open_key == "remind":
            self._ask("mail")
            return
        files = self._files()
        if files is not None:
            self.office.say(f"The statement is written to {files[0]}")
            self.office.act_now(partial(open_outside, files[0]))

    def _mail_statement(self) -> None:
        files = self._files()
        if files is not None:
            self.office.act_now(partial(open_outside, files[1]))

    def _files(self) -> tuple[statements.Path, statements.Path] | None:
        if self._payer is None:
            return None
        desk, payer = self.office.desk, self._payer
        return self.office.act_now(lambda: statements.statement_files(desk, payer))

    def _ask(self, how: str) -> None:
        """Write the reminder for a person to send, or note that they were called."""
        if self._letter is None:
            self.office.say_trouble(self._refused)
            return
        if how == "phone":
            on_book(self.office, asking.asked_by_phone, self._letter)
            return
        self.margin.keep()
        written = on_book(self.office, asking.ask, self._letter, how, self._own)
        if written is None:
            self._judge(self._letter.payer_id)
            if self._found is not None:
                self._show(self._found)
            return
        self._own = ""
        self.office.act_now(partial(open_outside, written[1]))


def _last_written(found: Statement) -> InvoiceWordRow | None:
    """The newest letter or mail that asked for any of it."""
    words = [word for one in found.stands for word in one.asked if word.text]
    return max(words, key=lambda one: one.day, default=None)
