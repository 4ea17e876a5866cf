"""The made-up shop's invoices and credit notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from typing import Any

from app.actions.desk.settings import Settings
from app.calculations.numbers.invoicing import Reckoned, Standing, credit_of, reckoned
from app.calculations.numbers.tax import Rounding
from app.demo.diary import Plan
from app.demo.scene import Part, Scene
from app.demo.till import DEPOSIT_FROM, Line
from app.records.models import Charge, Invoice, InvoiceLine, InvoiceTax, InvoiceWord

RULE = Rounding.ON_TOTAL
KIND = "work"  # of all lines: the tax that is on them
TERMS = Settings().terms_days
REASONS = ("Fetched before its inside was done.", "A lower price was agreed for the year.")
ONE_CREDIT_IN = 25  # jobs of fleets
PARTS = (10, 20, 50)  # percent of a line that is taken back
AFTER = 4  # workdays until it is


@dataclass(frozen=True)
class Job:
    """A done job with its charges."""

    plan: Plan
    charges: Sequence[Line]


@dataclass(frozen=True)
class _Credit:
    """What will be taken back of the first line of an invoice's job, with what that comes to."""

    invoice: int
    line: int
    job: Job
    amount: int
    sums: Reckoned
    address: dict[str, Any]


class Billing(Part):
    """Issues an invoice for each larger job, and one for each visit to a fleet.

    It draws from a chance of its own: the rest of the story changes by nothing but what is owed.
    """

    def __init__(self, scene: Scene) -> None:
        super().__init__(scene)
        self._rng = Random(43)
        self._usual = {
            "currency": scene.catalog.settings["currency"], "tax_rule": RULE.value
        }  # fmt: skip
        rates = scene.catalog.rates
        self._words = next(one["words"] for one in rates if one["kind"] == KIND)
        self._done: dict[int, list[Job]] = {}  # by payer
        self._credits: dict[date, list[_Credit]] = {}
        self._numbers: dict[tuple[str, int], int] = {}

    def done(self, plan: Plan, charges: Sequence[Line], gross: int) -> None:
        """The job is done, and stands on an invoice this evening where it is to."""
        if gross > 0 and (plan.payer.fleet is not None or gross >= DEPOSIT_FROM):
            self._done.setdefault(plan.payer.id, []).append(Job(plan, charges))

    def evening(self, day: date) -> list[tuple[Plan, int]]:
        """Issue what is to be issued on this day; the jobs on invoices with what each then owes,
        less what will be credited."""
        owed = [one for jobs in self._done.values() for one in self._invoice(jobs, day)]
        self._done.clear()
        for one in self._credits.pop(day, ()):
            self._credit(one, day)
        return owed

    def _invoice(self, jobs: Sequence[Job], day: date) -> list[tuple[Plan, int]]:
        payer = jobs[0].plan.payer
        address = {
            "payer_id": payer.id, "payer_name": payer.columns["name"],
            "payer_address": _address(payer.columns),
        }  # fmt: skip
        lines = [(at, line) for at, job in enumerate(jobs) for line in job.charges]
        sums = reckoned([(line.amount, line.rate) for _, line in lines], RULE)
        standing = [
            Standing(line.amount, line.rate, job=at, tax=carries)
            for (at, line), carries in zip(lines, sums.shares, strict=True)
        ]
        exempt = payer.columns["tax_exempt_no"]
        invoice = self._paper(
            "invoice", day, sums, address,
            terms_days=TERMS, due_on=day + timedelta(days=TERMS),
            tax_text=f"Exempt from tax, certificate {exempt}" if exempt and not sums.tax else "",
        )  # fmt: skip
        self._rows.add(
            InvoiceWord, invoice_id=invoice, day=day, at=self._clock.at(day, 1025), kind="sent",
            how="mail" if payer.columns["email"] else "paper",
        )  # fmt: skip
        owed = [0] * len(jobs)
        for position, ((at, line), one) in enumerate(zip(lines, standing, strict=True)):
            job = jobs[at]
            number = self._line(invoice, position + 1, job, line, line.charge, one.amount, one.tax)
            owed[at] += one.amount + one.tax
            if line is job.charges[0] and payer.fleet is not None and self._wrong(day):
                amount = line.amount * self._rng.choice(PARTS) // 100
                back = credit_of(standing, {position: amount}, RULE)
                credit = _Credit(invoice, number, job, amount, back, address)
                self._credits.setdefault(self._calendar.after(day, AFTER), []).append(credit)
                owed[at] -= back.gross
        return [(job.plan, due) for job, due in zip(jobs, owed, strict=True)]

    def _wrong(self, day: date) -> bool:
        """Whether a job of a fleet will be credited in part, in time for the demo's last days."""
        in_time = self._calendar.after(day, AFTER) < self._calendar.left_open
        return self._rng.randrange(ONE_CREDIT_IN) == 0 and in_time

    def _credit(self, back: _Credit, day: date) -> None:
        first = back.job.charges[0]
        paper = self._paper(
            "credit", day, back.sums, back.address,
            credits_id=back.invoice, reason=self._rng.choice(REASONS),
        )  # fmt: skip
        number = f"C-{day.year}-{self._numbers['credit', day.year]:04d}"
        charge = self._rows.add(
            Charge, job_id=back.job.plan.id, position=len(back.job.charges),
            text=f"Credit note {number}: {first.text}", amount=-back.amount, tax_rate=first.rate,
            tax_kind=KIND,
        )  # fmt: skip
        self._line(paper, 1, back.job, first, charge, back.amount, back.sums.tax, back.line)

    def _paper(
        self, kind: str, day: date, sums: Reckoned, address: dict[str, Any], **more: Any
    ) -> int:
        """A paper with the next number of its series, and its taxes."""
        self._numbers[kind, day.year] = number = self._numbers.get((kind, day.year), 0) + 1
        paper = self._rows.add(
            Invoice, kind=kind, year=day.year, number=number, issued_on=day,
            at=self._clock.at(day, 1020), net=sums.net, tax=sums.tax, gross=sums.gross,
            **(self._usual | address | more),
        )  # fmt: skip
        for one in sums.rates:
            self._rows.add(
                InvoiceTax, invoice_id=paper, letter=_letter(one.rate), rate=one.rate,
                words=self._words if one.rate else "", net=one.net, tax=one.tax,
            )  # fmt: skip
        return paper

    def _line(
        self, paper: int, position: int, job: Job, line: Line, charge: int, amount: int, tax: int,
        credits: int | None = None,
    ) -> int:  # fmt: skip
        return self._rows.add(
            InvoiceLine, invoice_id=paper, position=position, job_id=job.plan.id, charge_id=charge,
            credits_line_id=credits, text=line.text, amount=amount, tax_rate=line.rate,
            tax_letter=_letter(line.rate), tax=tax,
        )  # fmt: skip


def _letter(rate: int) -> str:
    """The shop has one rate: its letter, and none where there is no tax."""
    return "A" if rate else ""


def _address(columns: dict[str, Any]) -> str:
    """As the shop's people live: all in one country, which stands on no paper."""
    city = " ".join(filter(None, (columns["city"], columns["postal_code"])))
    return "\n".join(filter(None, (columns["street"], city)))
