"""The tax of a job's charges: the rate of their kind on the job's day, in its place, or none."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.open_day import numbered
from app.actions.shop.tax_rates import NO_TAX, WORK, kinds, places, rate_for
from app.calculations.numbers.dates import day_year, near
from app.records.asking import to_write
from app.records.models import Charge, Customer, Job, Service
from app.records.queries import invoices
from app.records.queries.jobs import Session

KINDS = frozenset({"jobs", "money", "days"})


@dataclass(frozen=True)
class Exemption:
    """A customer's certificate, and its last day; without a number there is none."""

    number: str = ""
    until: date | None = None

    def holds(self, day: date) -> bool:
        """Whether it is in force on a day."""
        return bool(self.number) and (self.until is None or day <= self.until)

    def printed(self) -> str:
        """`Exempt from tax, certificate TB-EX-118, valid until 31 March 2027`."""
        until = f", valid until {day_year(self.until)}" if self.until else ""
        return f"Exempt from tax, certificate {self.number}{until}"

    def ended_words(self, customer: str, day: date) -> str:
        """What is asked where it ended before a day; empty where it did not."""
        if self.until is None or not self.number or day <= self.until:
            return ""
        return (
            f"The exemption certificate {self.number} of {customer} ended on "
            f"{day_year(self.until)}. Is there a new one? Type its last day on their page"
        )


def exemption_of(customer: Customer | None) -> Exemption:
    """The certificate of a customer, or none."""
    if customer is None:
        return Exemption()
    return Exemption(customer.tax_exempt_no, customer.tax_exempt_until)


def exemption_on(session: Session, job: Job) -> Exemption:
    """The certificate of who pays a job, or none."""
    customer = session.get(Customer, job.customer_id or 0)
    return exemption_of(who_pays(session, customer, job.payer_id))


def who_pays(
    session: Session, customer: Customer | None, payer_id: int | None = None
) -> Customer | None:
    """Who pays for a customer, or on a job that says it; the customer where nobody else does."""
    payer = payer_id or (customer.payer_id if customer is not None else None)
    return session.get(Customer, payer) if payer else customer


def tax_day(desk: Desk, job: Job) -> date:
    """The day whose rates are a job's: done, or meant to be, or today."""
    return job.done_on or job.last_day or job.first_day or desk.today


def new_rate(desk: Desk, job: Job, kind: str, exemption: Exemption) -> int:
    """The rate of a new charge of this kind."""
    day = tax_day(desk, job)
    return 0 if exemption.holds(day) else rate_for(desk, kind, day, job.tax_place)


def is_kind(desk: Desk, typed: str) -> bool:
    """Whether a kind of line was typed, and no rate."""
    plain = " ".join(typed.split()).casefold()
    begins = [one for one in kinds(desk) if plain and one.casefold().startswith(plain)]
    return plain not in NO_TAX and bool(begins)


def kind_of(session: Session, charge: Charge) -> str:
    """The kind of line that a charge is; of one that does not say it, that of its service."""
    if charge.tax_kind or not charge.service_id:
        return charge.tax_kind or WORK
    service = session.get(Service, charge.service_id)
    return service.tax_kind if service is not None else WORK


def exempt_charges(session: Session, desk: Desk, job: Job) -> set[int]:
    """The charges of a job that only an exemption leaves without tax."""
    day = tax_day(desk, job)
    return {
        one.id
        for one in to_write(session, Charge, job_id=job.id)
        if not one.tax_rate and rate_for(desk, kind_of(session, one), day, job.tax_place)
    }


def other_tax(session: Session, desk: Desk, job_id: int, charge_ids: Collection[int]) -> str:
    """What to look at where one of these charges has other tax than its kind has on the job's day.

    The work was moved over a change of rate, or a certificate came since the charge was written.
    A charge that was said to have no tax is left at that.
    """
    job = session.get_one(Job, job_id)
    exemption, day = exemption_on(session, job), tax_day(desk, job)
    on = near(day, desk.today)
    for one in to_write(session, Charge, job_id=job_id):
        if one.id not in charge_ids or not one.tax_rate:
            continue
        has = f"{one.text} has {one.tax_rate / 1000:g} % tax"
        if exemption.holds(day):
            return f"{has}, but certificate {exemption.number} holds on {on}"
        kind = kind_of(session, one)
        rate = rate_for(desk, kind, day, job.tax_place)
        if rate and rate != one.tax_rate:
            return f"{has}, but {kind} has {rate / 1000:g} % on {on}"
    return ""


def set_tax_place(desk: Desk, charge_id: int, place: str) -> Changed:
    """The place of a charge's job: what stands on no invoice gets the rates there."""
    with desk.book.reading() as session:
        charge = there(session.get(Charge, charge_id), "This charge")
        job_id = charge.job_id
        number = numbered(session.get_one(Job, job_id).number)
        papers = invoices.lines_of(session, invoices.papers_on(session, [job_id]))
        printed = {one.charge_id for some in papers.values() for one in some}
    name = f"{number} is worked in {place}" if place else f"{number} is worked at the shop"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        job = session.get_one(Job, job_id)
        job.tax_place = place
        exemption = exemption_on(session, job)
        for one in to_write(session, Charge, job_id=job_id):
            kind = kind_of(session, one)
            # What was said to have no tax has none there either.
            if one.id not in printed and (one.tax_rate or exemption.holds(tax_day(desk, job))):
                one.tax_rate = new_rate(desk, job, kind, exemption)
    return Changed(name, KINDS)


def about_tax(desk: Desk, job_id: int) -> str:
    """What there is to know of a job's tax beside its charges; nothing where one rate is all."""
    with desk.book.reading() as session:
        job = there(session.get(Job, job_id), "This job")
        customer = session.get(Customer, job.customer_id or 0)
        customer = who_pays(session, customer, job.payer_id)
        exemption, day, place = exemption_of(customer), tax_day(desk, job), job.tax_place
        ended = exemption.ended_words(customer.name, day) if customer is not None else ""
        papers = invoices.lines_of(session, invoices.papers_on(session, [job_id]))
        printed = {one.charge_id for some in papers.values() for one in some}
        written = {one.id for one in to_write(session, Charge, job_id=job_id)}
        other = other_tax(session, desk, job_id, written - printed)
    said = [f"{ended}." if ended else "", f"{other}." if other else ""]
    if exemption.holds(day):
        said.append(f"{exemption.printed()}: no tax on new lines.")
    if place:
        said.append(f"Worked in {place}: its rates.")
    known = [*kinds(desk)[1:], *places(desk)]
    if known:
        said.append(f"Over a rate type another, a kind of line or a place: {', '.join(known[:4])}.")
    return " ".join(filter(None, said))
