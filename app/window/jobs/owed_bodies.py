"""What stands in a job's entries for money, and for its days and notes."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date, datetime
from functools import partial
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from app.actions.day import jobs_worked
from app.actions.day.money_taken import METHODS
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.typed_days import read_promise, read_typed_day
from app.actions.jobs import booking_jobs, job_changes
from app.actions.jobs.job_card import CardCharge, JobCard
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.durations import shown_duration
from app.window.house.acting import on_book
from app.window.house.savedform import SavedForm
from app.window.jobs.bodies import CardBody
from app.window.paper.cells import (
    Cell,
    Column,
    GroupRow,
    State,
    TableRow,
    entry,
    new_row,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.jobs.card import CardStrip

CONDITIONS = [
    ("kept by us", "kept"),
    ("average", "average"),
    ("neglected", "neglected"),
    ("extreme", "extreme"),
]

_WAYS = (*((one, one) for one in METHODS), ("", "some other way"))


class MoneyBody(CardBody):
    """Charges with their rates, the tax of each rate, what came and what is due."""

    def __init__(self, strip: CardStrip) -> None:
        self.table = EntryTable(
            strip.office.theme,
            (
                Column("text", "What", width=0, least=200),
                Column("rate", "Tax", width=96, least=70, right=True),
                Column("amount", "Amount", "before tax", width=130, least=100, right=True),
            ),
            rows_from=24,
            rows_to=30,
        )
        self.table.on_commit = self._typed
        self.table.add_asked.connect(self.add)
        super().__init__(strip, "Take the rest", self.table)

    def show_card(self, card: JobCard) -> None:
        money = card.money
        rows: list[TableRow | GroupRow] = [_charge_row(one) for one in money.charges]
        rows.append(new_row("a further charge", 3))
        if money.charges:
            rows.append(new_row("a discount, as money or as a share", 3, at=2, key="discount"))
            rows.append(_sum_row("net", "Before tax", money.net_text))
            rows += [_sum_row(("tax", rate), f"Tax, {rate}", tax) for rate, tax in money.taxes]
            rows.append(_sum_row("gross", "Comes to", money.gross_text, bold=True))
        rows.append(GroupRow("came", "Came in", "a deposit until the job is done"))
        for one in money.receipts:
            words = " ".join(part for part in (one.kind, one.method) if part)
            key = ("receipt", one.receipt_id)
            rows.append(row_of(key, Cell(one.day_text, detail=words), "", one.amount_text))
        rows.append(new_row("taken today, such as 400 check", 3, at=2, key="take"))
        if money.gross or money.paid:
            late = card.state == "done" and money.due > 0
            rows.append(_sum_row("due", "Still due", money.due_text, bold=True, look=late))
        self.table.show_rows(rows)
        self.row.show_hints(
            [
                Run("A charge", "unit", key="Ins", on_click=self.add, gap=20),
                Run("Take out", "unit", key="Ctrl Del", on_click=self.remove),
            ]
        )
        self.row.button.set_label(
            f"Take the rest, {money.due_text}" if money.due > 0 else "Take the rest"
        )
        paid = "Wholly paid." if money.gross else "Nothing is charged yet."
        self.row.set_ready("" if money.due > 0 else paid)

    def _typed(self, key: Hashable, column: str, text: str) -> None:
        if isinstance(key, tuple) and key[0] == "charge":
            change: dict[str, Any] = {{"amount": "typed"}.get(column, column): text}
            self.office.note(job_changes.edit_charge(self.office.desk, key[1], **change))
        elif text and key == "new":
            self.write(_new_charge, text)
        elif text and key == "discount":
            self.write(job_changes.add_discount, text)
        elif text and key == "take":
            self.write(job_changes.take_money, text)

    def add(self) -> None:
        self.table.write_in("new", "text")

    def remove(self) -> None:
        key = self.table.current_key()
        if isinstance(key, tuple) and key[0] == "charge":
            on_book(self.office, job_changes.remove_charge, key[1])

    def primary(self) -> None:
        if not self.may_act():
            return
        money = self.job.money

        def take(method: str) -> None:
            self.act(job_changes.take_rest, money.due, method)

        def look_up(text: str) -> list[FoundLine]:
            low = text.casefold()
            return [
                FoundLine(f"{money.due_text} came by", words, "", partial(take, method))
                for method, words in _WAYS
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
        self.form.line("title", "Called, where no service says it", span=3)
        self.form.line("notes", "Notes", "keys, marks seen on arrival, what was agreed", span=4)
        super().__init__(strip, "Finished today", self.form)
        self.row.set_second("Call it off", "F6").clicked.connect(self.call_off)

    def entered(self) -> None:
        self.form.focus("notes")

    def forget(self) -> None:
        self.form.forget()

    def show_card(self, card: JobCard) -> None:
        zone = self.office.desk.settings.zone
        self.form.show_values(
            {
                "first_day": _day_words(card.first_day),
                "last_day": _day_words(card.last_day),
                "promised": _promise_words(card.promised_at, zone),
                "expected": shown_duration(card.expected_minutes),
                "condition": card.condition,
                "title": card.title,
                "notes": card.notes.replace("\n", "; "),
            }
        )
        waits = card.state in ("enquiry", "cancelled")
        self.row.button.set_label("Book it" if waits else "Finished today")
        self.row.show_second(card.state not in ("done", "cancelled"))
        self.row.set_ready("This job is done." if card.state == "done" else "")

    def _save(self, key: str, value: Any) -> Changed:
        desk, card = self.office.desk, self.job
        if key == "first_day":
            return booking_jobs.put_days(desk, card.job_id, read_typed_day(desk, value))
        if key == "last_day":
            last = read_typed_day(desk, value, card.first_day)
            return booking_jobs.put_days(desk, card.job_id, card.first_day, last)
        if key == "promised":
            day = card.last_day or card.first_day
            return job_changes.edit_job(
                desk, card.job_id, promised_at=read_promise(desk, value, day)
            )
        if key == "expected":
            return job_changes.expect(desk, card.job_id, value)
        return job_changes.edit_job(desk, card.job_id, **{key: value})

    def call_off(self) -> None:
        """Call the job off, or book it again."""
        waits = self.job.state in ("enquiry", "cancelled")
        self.act(job_changes.book_again if waits else job_changes.cancel_job)

    def primary(self) -> None:
        if not self.may_act():
            return
        if self.job.state in ("enquiry", "cancelled"):
            self.call_off()
            return
        desk, day, job = self.office.desk, self.office.day, self.job.job_id
        changed = self.office.act(lambda: jobs_worked.finish_job(desk, day, job, True))
        if changed is not None and not changed.name:
            self.office.say("It is finished when this day is closed")


def _new_charge(desk: Desk, job_id: int, text: str) -> Changed:
    """A charge from words alone, or from words with their amount at the end: `Odor 60`."""
    words, _, last = text.rpartition(" ")
    if words and last.strip("$€£").replace(",", "").replace(".", "").isdigit():
        return job_changes.add_charge(desk, job_id, words, last)
    return job_changes.add_charge(desk, job_id, text, "0")


def _charge_row(one: CardCharge) -> TableRow:
    return row_of(
        ("charge", one.charge_id),
        entry(one.text, tip=one.text),
        entry(one.rate_text, State.QUIET),
        entry(one.amount_text),
    )


def _sum_row(
    key: Hashable, words: str, amount: str, *, bold: bool = False, look: bool = False
) -> TableRow:
    state = State.PLAIN if bold else State.QUIET
    shown = Cell(amount, State.LOOK if look else state, bold=bold)
    return row_of(key, Cell(words, state, bold=bold), "", shown)


def _day_words(day: date | None) -> str:
    return day_year(day) if day is not None else ""


def _promise_words(at: datetime | None, zone: str) -> str:
    if at is None:
        return ""
    local = at.astimezone(ZoneInfo(zone))
    return f"{day_year(local.date())} {local:%H:%M}"
