"""What stands in a job's entries for money, and for its days and notes."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import date, datetime
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer

from app.actions.day import jobs_worked
from app.actions.day.money_taken import rest_text
from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.typed_days import read_promise, read_typed_day
from app.actions.jobs import booking_jobs, job_changes
from app.actions.jobs.agreed import agreed_with, charge_agreed
from app.actions.jobs.job_card import JobCard, rate_text
from app.calculations.numbers.dates import day_year, near
from app.calculations.numbers.durations import shown_duration
from app.window.house.acting import on_book
from app.window.house.savedform import SavedForm
from app.window.jobs.bodies import CardBody, begins_later
from app.window.jobs.invoicing import (
    credit_lines,
    hand_out_paper,
    hand_out_receipt,
    is_issued,
    issue,
    paper_rows,
)
from app.window.jobs.list_actions import WAYS
from app.window.jobs.money_bar import MoneyBar
from app.window.jobs.money_rows import charge_row, missing_row, stands_of
from app.window.paper.cells import (
    Cell,
    Column,
    GroupRow,
    Outcome,
    State,
    TableRow,
    new_row,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.jobs.card import CardStrip

CONDITIONS = [
    ("well kept", "kept"),
    ("average", "average"),
    ("neglected", "neglected"),
    ("extreme", "extreme"),
]


class MoneyBody(CardBody):
    """Charges with their rates, the tax of each rate, what came and what is due."""

    def __init__(self, strip: CardStrip) -> None:
        self.bar = MoneyBar(strip.office.theme)
        self.table = EntryTable(
            strip.office.theme,
            (
                Column("text", "What", width=0, least=200),
                Column("rate", "Tax", width=84, least=66, right=True, aside=1),
                Column("likely", "Likely", subhead="estimate", width=104, least=80, right=True),
                Column("amount", "Amount", subhead="before tax", width=130, least=100, right=True),
            ),
            rows_from=24,
            rows_to=30,
        )
        self.table.on_commit = self._typed
        self.table.add_asked.connect(self.add)
        super().__init__(strip, "Take the rest", self.bar, self.table)

    def show_card(self, card: JobCard) -> None:
        cash, desk = card.money, self.office.desk
        sums = cash.sums
        agreed = agreed_with(card.versions, cash.charges)
        self.bar.show_money(stands_of(desk, card, agreed) if agreed is not None else None)
        likely = agreed.likely if agreed is not None else {}
        rows: list[TableRow | GroupRow] = [
            charge_row(desk, one, likely.get(one.charge_id), issued=is_issued(card, one.charge_id))
            for one in cash.charges
        ]
        rows += [missing_row(desk, one) for one in (agreed.missing if agreed else ())]
        rows.append(new_row("another charge", 4))
        if cash.charges:
            rows.append(new_row("a discount, as money or as a share", 4, at=3, key="discount"))
            rows.append(_sum_row("net", "Before tax", money(desk, sums.net)))
            for rate, tax in sums.tax_by_rate.items():
                if rate:
                    words = rate_text(int(rate * 1000))
                    rows.append(_sum_row(("tax", words), f"Tax, {words}", money(desk, tax)))
            rows.append(_sum_row("gross", "Total", money(desk, sums.gross), bold=True))
        done = card.job.state == "done"
        rows.append(GroupRow("came", "Paid", "" if done else "a deposit until the job is done"))
        for one in cash.receipts:
            words = " ".join(part for part in (one.kind, one.method) if part)
            on = Cell(near(one.day, desk.today), detail=words)
            rows.append(row_of(("receipt", one.receipt_id), on, "", "", money(desk, one.amount)))
        rows.append(new_row("taken today, such as 400 check", 4, at=3, key="take"))
        if sums.gross or cash.paid:
            late = done and sums.due > 0
            words = "Owed" if done else "To come"
            words = words if sums.due >= 0 else "Paid beyond the total"
            rows.append(_sum_row("due", words, money(desk, abs(sums.due)), bold=True, look=late))
        rows += paper_rows(desk, card)
        self.table.show_rows(rows)
        self.row.show_hints(
            [
                Run("A charge", "unit", key="Ins", on_click=self.add, gap=20),
                Run("Take out", "unit", key="Ctrl Del", on_click=self.remove, gap=20),
                Run("Invoice", "unit", key="F2", on_click=lambda: self.hand_out(mail=False)),
            ]
        )
        self.row.button.set_label(
            f"Take the rest, {money(desk, sums.due)}" if sums.due > 0 else "Take the rest"
        )
        paid = "Wholly paid." if sums.gross else "Nothing is charged yet."
        self.row.set_ready("" if sums.due > 0 else paid)

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        if isinstance(key, tuple) and key[0] == "charge":
            change: dict[str, Any] = {{"amount": "typed"}.get(column, column): text}
            edit = partial(job_changes.edit_charge, self.office.desk, key[1], **change)
            return self.office.typed(edit, text)
        if isinstance(key, tuple) and key[0] == "agreed" and text:
            return self.write(text, charge_agreed, key[1], text)
        ways: dict[Hashable, Callable[[Desk, int, str], Changed]] = {
            "new": _new_charge,
            "discount": job_changes.add_discount,
            "take": job_changes.take_money,
        }
        if not text or key not in ways:
            return Outcome()
        outcome = self.write(text, ways[key], text)
        if outcome.ok and key == "new":
            QTimer.singleShot(0, self, self._to_its_amount)
        return outcome

    def _to_its_amount(self) -> None:
        """On from a charge's words to its price; where that was typed too, to another charge.

        The line below would be the discount, and a price typed there be taken off.
        """
        if not self.table.hasFocus() or not self.job.money.charges:
            return
        last = self.job.money.charges[-1]
        if last.amount:
            self.table.go("new", "text")
        else:
            self.table.write_in(("charge", last.charge_id), "amount")

    def add(self) -> None:
        self.table.write_in("new", "text")

    def propose(self) -> None:
        """Fill in what is due as taken today, chosen: Enter takes it, other words replace it."""
        text = self.office.read(partial(rest_text, self.office.desk, self.job.job.job_id))
        if text:
            self.table.write_in("take", "amount")
            if self.table.writing is not None:
                self.table.writing.propose(text)

    def turn(self) -> None:
        """Charge what was agreed and is not charged: the line with the focus, else all of it."""
        key = self.table.current_key()
        line = key[1] if isinstance(key, tuple) and key[0] == "agreed" else None
        if self.table.finish():
            self.act(charge_agreed, line)

    def remove(self) -> None:
        key = self.table.current_key()
        if isinstance(key, tuple) and key[0] == "charge":
            on_book(self.office, job_changes.remove_charge, key[1])

    def hand_out(self, *, mail: bool) -> None:
        """The paper or receipt with the focus, else the newest; what is not invoiced is issued."""
        key, papers = self.table.current_key(), self.job.papers
        if isinstance(key, tuple) and key[0] == "receipt":
            hand_out_receipt(self.office, key[1])
            return
        chosen = papers.newest
        if isinstance(key, tuple) and key[0] == "paper":
            chosen = next(one for one in papers.issued if one.invoice.invoice_id == key[1])
        elif papers.open_charges:
            chosen = None
        if chosen is None:
            issue(self.office, self.job)
        else:
            hand_out_paper(self.office, chosen.invoice.invoice_id, mail=mail)

    def credit(self) -> None:
        if self.job.papers.newest is None:
            self.office.say_trouble("Nothing is invoiced yet; F2 issues the invoice.")
            return
        look_up = credit_lines(self.office, self.job, self.table.current_key())
        self.strip.pick_asked.emit("why; with an amount first for a part", look_up)

    def primary(self) -> None:
        if not self.may_act():
            return
        desk, job, due = self.office.desk, self.job.job.job_id, self.job.money.sums.due

        def take(method: str) -> None:
            on_book(self.office, job_changes.take_rest, job, due, method)

        def look_up(text: str) -> list[FoundLine]:
            low = text.casefold()
            return [
                FoundLine(f"{money(desk, due)} came by", words, "", partial(take, method))
                for method, words in WAYS
                if low in words
            ]

        self.strip.pick_asked.emit("how it was paid", look_up)


class HeadBody(CardBody):
    """Days, promise, condition, hours expected, and notes."""

    def __init__(self, strip: CardStrip) -> None:
        self.form = SavedForm(strip.office, self._save, columns=4)
        self.form.line("first_day", "First day", "Tue, 14 Aug, +3")
        self.form.line("last_day", "Last day")
        self.form.line("promised", "Promised for", "Fri 17:00")
        self.form.line("expected", "Hours expected", "6:30")
        self.form.choice("condition", "Condition", CONDITIONS)
        self.form.line("title", "Title, where no service says it", span=2)
        self.form.line("wanted", "Wanted, as they said it")
        self.form.line("order_number", "Their order number")
        self.form.line("notes", "Notes", "keys, marks seen on arrival, what was agreed", span=4)
        super().__init__(strip, "Finished today", self.form)
        self.row.set_second("Call it off", "F6").clicked.connect(strip.end_asked.emit)

    def entered(self) -> None:
        self.form.focus("notes")

    def forget(self) -> None:
        self.form.forget()

    def show_card(self, card: JobCard) -> None:
        self.form.show_values(
            {
                "first_day": _day_words(card.job.first_day),
                "last_day": _day_words(card.job.last_day),
                "promised": _promise_words(self.office.desk, card.job.promised_at),
                "expected": shown_duration(card.expected_minutes),
                "condition": card.job.condition,
                "title": card.job.title,
                "wanted": card.job.wanted,
                "order_number": card.job.order_number,
                "notes": card.job.notes.replace("\n", "; "),
            }
        )
        waits = card.job.state in ("enquiry", "cancelled")
        self.row.button.set_label("Book it" if waits else "Finished today")
        if self.row.second is not None:
            enquiry = card.job.state == "enquiry"
            self.row.second.set_label("Came to nothing" if enquiry else "Call it off")
        self.row.show_second(card.job.state not in ("done", "cancelled"))
        later = begins_later(self.office.desk, card)
        self.row.set_ready("This job is done." if card.job.state == "done" else later)

    def _save(self, key: str, value: Any) -> Callable[[], Changed]:
        return partial(_save, self.office.desk, self.job, key, value)

    def call_off(self) -> None:
        """Call the job off, or book it again."""
        waits = self.job.job.state in ("enquiry", "cancelled")
        self.act(job_changes.book_again if waits else job_changes.cancel_job)

    def primary(self) -> None:
        if not self.may_act():
            return
        if self.job.job.state == "enquiry" and not self.job.services:
            self.strip.book_asked.emit()
            return
        if self.job.job.state in ("enquiry", "cancelled"):
            self.call_off()
            return
        desk, day, job = self.office.desk, self.office.day, self.job.job.job_id

        def finished(changed: Changed) -> None:
            if not changed.name:
                self.office.say("It is finished when this day is closed")

        finish = partial(jobs_worked.finish_job, desk, day, job, True)
        self.office.act_then(finish, finished, "finished today", ("finished", job))


def _new_charge(desk: Desk, job_id: int, text: str) -> Changed:
    """A charge from words alone, or from words with their amount at the end: `Odor 60`."""
    words, _, last = text.rpartition(" ")
    if words and last.strip("$€£").replace(",", "").replace(".", "").isdigit():
        return job_changes.add_charge(desk, job_id, words, last)
    return job_changes.add_charge(desk, job_id, text, "0")


def _sum_row(
    key: Hashable, words: str, amount: str, *, bold: bool = False, look: bool = False
) -> TableRow:
    state = State.PLAIN if bold else State.QUIET
    shown = Cell(amount, State.LOOK if look else state, bold=bold)
    return row_of(key, Cell(words, state, bold=bold), "", "", shown)


def _day_words(day: date | None) -> str:
    return day_year(day) if day is not None else ""


def _save(desk: Desk, card: JobCard, key: str, value: Any) -> Changed:
    if key == "first_day":
        return booking_jobs.put_days(desk, card.job.job_id, read_typed_day(desk, value))
    if key == "last_day":
        last = read_typed_day(desk, value, card.job.first_day)
        return booking_jobs.put_days(desk, card.job.job_id, card.job.first_day, last)
    if key == "promised":
        day = card.job.last_day or card.job.first_day
        return job_changes.edit_job(
            desk, card.job.job_id, promised_at=read_promise(desk, value, day)
        )
    if key == "expected":
        return job_changes.expect(desk, card.job.job_id, value)
    return job_changes.edit_job(desk, card.job.job_id, **{key: value})


def _promise_words(desk: Desk, at: datetime | None) -> str:
    return f"{_day_words(desk.day_of(at))} {desk.clock_of(at)}" if at else ""
