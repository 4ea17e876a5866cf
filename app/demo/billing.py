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
    """What will be taken back of the first line of an invoice's job, before tax."""

    invoice: int
    line: int
    job: Job
    amount: int
    address: dict[str, Any]


class Billing(Part):
    """Issues an invoice for each larger job, and one for each visit to a fleet.

    It draws from a chance of its own: only what is credited changes the rest of the story.
    """

    def __init__(self, scene: Scene) -> None:
        super().__init__(scene)
        self._rng = Random(43)
        self._usual = {
            "currency": scene.catalog.settings["currency"], "tax_rule": RULE.value
        }  # fmt: skip
        self._done: dict[int, list[Job]] = {}  # by payer
        self._part: dict[int, int] = {}  # of a job: what will be taken back of its first charge
        self._credits: dict[date, list[_Credit]] = {}
        self._numbers: dict[tuple[str, int], int] = {}

    def done(self, plan: Plan, charges: Sequence[Line], gross: int, day: date) -> int:
        """The job is done and stands on an invoice this evening; what of it will be credited,
        with its tax."""
        fleet = plan.payer.fleet is not None
        if gross <= 0 or not (fleet or gross >= DEPOSIT_FROM):
            return 0
        self._done.setdefault(plan.payer.id, []).append(Job(plan, charges))
        if not fleet or self._rng.randrange(ONE_CREDIT_IN) or not self._in_time(day):
            return 0
        amount = charges[0].amount * self._rng.choice(PARTS) // 100
        self._part[plan.id] = amount
        return credit_of(
            [Standing(one.amount, one.rate) for one in charges], {0: amount}, RULE
        ).gross

    def _in_time(self, day: date) -> bool:
        return self._calendar.after(day, AFTER) < self._calendar.left_open

    def evening(self, day: date) -> None:
        """What is issued on this day."""
        for jobs in self._done.values():
            self._invoice(jobs, day)
        self._done.clear()
        for one in self._credits.pop(day, ()):
            self._credit(one, day)

    def _invoice(self, jobs: Sequence[Job], day: date) -> None:
        payer = jobs[0].plan.payer
        address = {
            "payer_id": payer.id, "payer_name": payer.columns["name"],
            "payer_address": _address(payer.columns),
        }  # fmt: skip
        lines = [line for job in jobs for line in job.charges]
        taxed = any(line.rate for line in lines)
        exempt = payer.columns["tax_exempt_no"]
        invoice = self._paper(
            "invoice", day, reckoned([(one.amount, one.rate) for one in lines], RULE), address,
            terms_days=TERMS, due_on=day + timedelta(days=TERMS),
            tax_text=f"Exempt from tax, certificate {exempt}" if exempt and not taxed else "",
        )  # fmt: skip
        how = "mail" if payer.columns["email"] else "paper"
        self._rows.add(
            InvoiceWord, invoice_id=invoice, day=day, at=self._clock.at(day, 1025), kind="sent",
            how=how,
        )  # fmt: skip
        position = 0
        for job in jobs:
            for line in job.charges:
                position += 1
                number = self._line(invoice, position, job, line.charge, line.text, line.amount,
                                    line.rate)  # fmt: skip
                if line is job.charges[0] and job.plan.id in self._part:
                    when, amount = self._calendar.after(day, AFTER), self._part.pop(job.plan.id)
                    credit = _Credit(invoice, number, job, amount, address)
                    self._credits.setdefault(when, []).append(credit)

    def _credit(self, back: _Credit, day: date) -> None:
        first, amount = back.job.charges[0], back.amount
        standing = [Standing(one.amount, one.rate) for one in back.job.charges]
        paper = self._paper(
            "credit", day, credit_of(standing, {0: amount}, RULE), back.address,
            credits_id=back.invoice, reason=self._rng.choice(REASONS),
        )  # fmt: skip
        number = f"C-{day.year}-{self._numbers['credit', day.year]:04d}"
        charge = self._rows.add(
            Charge, job_id=back.job.plan.id, position=len(back.job.charges),
            text=f"Credit note {number}: {first.text}", amount=-amount, tax_rate=first.rate,
        )  # fmt: skip
        self._line(paper, 1, back.job, charge, first.text, amount, first.rate, back.line)

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
                InvoiceTax, invoice_id=paper, letter=_letter(one.rate), rate=one.rate, net=one.net,
                tax=one.tax,
            )  # fmt: skip
        return paper

    def _line(
        self, paper: int, position: int, job: Job, charge: int, text: str, amount: int, rate: int,
        credits: int | None = None,
    ) -> int:  # fmt: skip
        return self._rows.add(
            InvoiceLine, invoice_id=paper, position=position, job_id=job.plan.id, charge_id=charge,
            credits_line_id=credits, text=text, amount=amount, tax_rate=rate,
            tax_letter=_letter(rate),
        )  # fmt: skip


def _letter(rate: int) -> str:
    """The shop has one rate: its letter, and none where there is no tax."""
    return "A" if rate else ""


def _address(columns: dict[str, Any]) -> str:
    """As the shop's people live: all in one country, which stands on no paper."""
    city = " ".join(filter(None, (columns["city"], columns["postal_code"])))
    return "\n".join(filter(None, (columns["street"], city)))
