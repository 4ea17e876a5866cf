"""What is done with what is owed: payment, invoice, statement, reminder, promised day, dispute."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.typed_days import read_typed_day
from app.actions.jobs import asking, invoice_payments, invoices, job_changes
from app.actions.jobs.jobs import OwedInvoice, ShownJob
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.window.house.acting import on_book, on_each
from app.window.house.who_pays import payers_to_choose
from app.window.jobs.invoicing import hand_out_paper, issue_jobs
from app.window.paper.finder import FoundLine

if TYPE_CHECKING:
    from app.window.jobs.place import JobsPlace

NO_INVOICE = "This work is on no invoice yet; F2 issues one."


class OwedActions:
    """The keys of *Owed*; each does one thing with the chosen rows, else that with the focus."""

    def __init__(self, place: JobsPlace) -> None:
        self._place = place
        self._office = place.office
        self._listing = place.listing

    @property
    def here(self) -> bool:
        """Whether *Owed* is the part in view."""
        return self._listing.open_key == "owed"

    def take(self, ways: tuple[tuple[str, str], ...]) -> None:
        """One invoice: what came for it. Several rows: the way that all of them were paid."""
        found, jobs = self._listing.chosen_invoices, self._listing.chosen
        if len(found) == 1 and not jobs:
            self._take_one(found[0], ways)
            return
        if len(jobs) == 1 and not found:
            self._place.propose_payment(jobs[0].job_id)
            return
        office, desk = self._office, self._office.desk
        due = sum(one.due for one in found) + sum(one.due for one in jobs)
        counts = [count_of(len(found), "invoice")] * bool(found)
        counts += [count_of(len(jobs), "job")] * bool(jobs)
        words = f"{' and '.join(counts)}, {money(desk, due)}"

        def take(method: str) -> None:
            def one(row: OwedInvoice | ShownJob) -> object:
                if isinstance(row, OwedInvoice):
                    take = invoice_payments.take_for_invoice
                    return on_book(office, take, row.invoice_id, "", method)
                return on_book(office, job_changes.take_rest, row.job_id, row.due, method)

            rows: list[OwedInvoice | ShownJob] = [*found, *jobs]
            on_each(office, rows, one, "debts are wholly paid")

        self._place.pick(
            "how they were paid",
            lambda text: [
                FoundLine(f"{words} came by", way, "", partial(take, method))
                for method, way in ways
                if text.casefold() in way
            ],
        )

    def _take_one(self, one: OwedInvoice, ways: tuple[tuple[str, str], ...]) -> None:
        office, desk = self._office, self._office.desk

        def take(typed: str, method: str = "") -> None:
            do = invoice_payments.take_for_invoice
            if on_book(office, do, one.invoice_id, typed, method) is None and typed:
                # What was typed waits to be put right, once the field that it was in is gone.
                QTimer.singleShot(0, self._place, partial(pick, typed))

        def pick(typed: str = "") -> None:
            finder = self._place.pick("how it was paid, or a part: 400 check", look_up)
            finder.field.setText(typed)

        def look_up(text: str) -> list[FoundLine]:
            if text.strip() and text.strip()[0].isdigit():
                return [FoundLine(f"Came for {one.number}", text.strip(), "", partial(take, text))]
            kind = f"All of {one.number}, {money(desk, one.due)}, came by"
            return [
                FoundLine(kind, way, "", partial(take, "", method))
                for method, way in ways
                if text.strip().casefold() in way
            ]

        pick()

    def hand_out(self, *, mail: bool) -> None:
        """The paper of what is chosen, of the plan its week; by mail the reminder of what is
        owed."""
        if self._listing.planning:
            if not mail:
                self._listing.plan.print_week()
        elif not mail:
            self.invoice()
        elif self.here:
            self.statement("remind")

    def invoice(self) -> None:
        """Print the invoice with the focus; of chosen work that is on none, issue one invoice."""
        found, jobs = self._listing.chosen_invoices, self._listing.chosen
        if jobs and found:
            self._office.say_trouble("Choose either invoices, or work that is on none yet.")
        elif jobs:
            issue_jobs(self._office, [one.job_id for one in jobs])
        elif found:
            hand_out_paper(self._office, found[0].invoice_id, mail=False)

    def statement(self, entry: str = "statement") -> None:
        """The statement of who pays the row with the focus, or their reminder."""
        found, jobs = self._listing.chosen_invoices, self._listing.chosen
        if found:
            self._office.go("statement", (found[0].payer_id, entry))
        elif jobs:
            payer = on_book(self._office, invoices.who_pays, jobs[0].job_id)
            if payer is not None:
                self._office.go("statement", (payer, entry))

    def promised(self) -> None:
        """Note the day that they named."""
        one, desk = self._one(), self._office.desk
        if one is None:
            return

        def look_up(text: str) -> list[FoundLine]:
            try:
                day = read_typed_day(desk, text) if text.strip() else None
            except Mendable:
                return []
            if day is None:
                return []
            note = partial(on_book, self._office, asking.promise, one.invoice_id, text)
            return [FoundLine(f"{one.payer} pays {one.number} on", weekday_day(day), "", note)]

        self._place.pick("the day that they named: Fri, 20 Aug, +7", look_up)

    def dispute(self) -> None:
        """Note that they say it is not right, and why; or that this is settled."""
        one = self._one()
        if one is None:
            return
        if one.disputed:
            on_book(self._office, asking.settle, one.invoice_id)
            return

        def look_up(text: str) -> list[FoundLine]:
            note = partial(on_book, self._office, asking.dispute, one.invoice_id, text)
            return [FoundLine(f"{one.number} is disputed", text or "without a reason", "", note)]

        self._place.pick("what is not right, as they say", look_up)

    def who_pays(self) -> None:
        """Choose who pays the open job; nobody chosen, whoever pays for its customer."""
        job = self._place.open_job
        if job is None:
            return

        def put(desk: Desk, customer: int | None) -> Changed:
            return job_changes.edit_job(desk, job, payer_id=customer)

        look_up = payers_to_choose(self._office, put, "Its customer, or who pays for them")
        self._place.pick("who pays this job", look_up)

    def _one(self) -> OwedInvoice | None:
        found = self._listing.chosen_invoices
        if not found and self._listing.chosen:
            self._office.say_trouble(NO_INVOICE)
        return found[0] if found else None
