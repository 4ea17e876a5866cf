"""What the figures are made of, summed by day or by job in the database."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import Session, aliased

from app.records.asking import made, sums_of
from app.records.models import (
    BESIDE_THE_JOB,
    Charge,
    Customer,
    DaySheet,
    Hours,
    Invoice,
    InvoiceLine,
    Job,
    Receipt,
    Supply,
    Use,
)
from app.records.queries.days import services_of
from app.records.queries.jobs import minutes_of


@dataclass(frozen=True, kw_only=True)
class DoneJob:
    """A job that was done in the period, with its sums (minor units, minutes)."""

    job_id: int
    number: int
    title: str
    customer: str
    done_on: date
    services: tuple[str, ...]
    earned: int  # without credit notes, which count on their own days
    tax_by_rate: tuple[tuple[int, int], ...]  # (rate in thousandths of a percent, net at it)
    supplies: int
    recorded: bool  # any use booked at all
    minutes: int
    expected_minutes: int
    drift_reason: str
    customer_id: int | None = None
    credited: int = 0  # what credit notes ever took back of it, above zero

    @property
    def stands(self) -> int:
        """What it earned in the end."""
        return self.earned - self.credited


@dataclass(frozen=True)
class Source:
    """A customer with who sent them, if anybody is noted, and since when they come.

    `came_first` is the day of their first done job, or earlier where they are noted since then.
    """

    customer_id: int
    sent_by_id: int | None
    sent_by: str
    first_done: date
    came_first: date


# Plain columns: whole jobs would be made one by one, and a year holds a thousand.
_HEADS = (
    Job.id.label("job_id"),
    Job.number,
    Job.title,
    func.coalesce(Customer.name, "").label("customer"),
    Job.done_on,
    Job.expected_minutes,
    Job.drift_reason,
    Job.customer_id,
)


def done_jobs(session: Session, first: date, last: date) -> list[DoneJob]:
    """The jobs done from `first` to `last`, both included, in order of their day."""
    within = and_(Job.state == "done", Job.done_on >= first, Job.done_on <= last)
    heads = session.execute(
        select(*_HEADS)
        .outerjoin(Customer, Customer.id == Job.customer_id)
        .where(within)
        .order_by(Job.done_on, Job.number)
    ).all()
    charges, credited = _charges(session, within), _credits_of(session, within)
    supplies = {
        job_id: (int(cost), int(count))
        for job_id, cost, count in session.execute(
            select(Use.job_id, func.sum(Use.cost), func.count(Use.id))
            .join(Job, Job.id == Use.job_id)
            .where(within, Use.booked.is_(True), Use.state != "unrecorded")
            .group_by(Use.job_id)
        )
    }
    ids = [job.job_id for job in heads]
    minutes, services = minutes_of(session, ids), services_of(session, ids)
    return [
        made(
            DoneJob,
            job,
            services=tuple(one.name for one in services.get(job.job_id, ())),
            earned=sum(net for _, net in charges.get(job.job_id, ())),
            tax_by_rate=charges.get(job.job_id, ()),
            credited=credited.get(job.job_id, 0),
            supplies=supplies.get(job.job_id, (0, 0))[0],
            recorded=supplies.get(job.job_id, (0, 0))[1] > 0,
            minutes=minutes.get(job.job_id, 0),
        )
        for job in heads
    ]


def sources_of(session: Session, first: date, last: date) -> list[Source]:
    """Each customer of the jobs done from `first` to `last`, both included."""
    within = select(Job.customer_id).where(Job.state == "done", Job.done_on.between(first, last))
    sender = aliased(Customer)
    query = (
        select(Customer.id, sender.id, sender.name, Customer.since, func.min(Job.done_on))
        .join(Job, Job.customer_id == Customer.id)
        .outerjoin(sender, sender.id == Customer.referred_by_id)
        .where(Job.state == "done", Customer.id.in_(within))
        .group_by(Customer.id, sender.id, sender.name, Customer.since)
        .order_by(Customer.id)
    )
    return [
        Source(customer, sent_by, name or "", done, min(done, since or done))
        for customer, sent_by, name, since, done in session.execute(query)
        if done is not None
    ]


def earned_by_day(session: Session, first: date, last: date) -> dict[date, int]:
    """What the jobs done from `first` to `last` earned by the day on which they were done, less
    what credit notes of each day took back."""
    query = select(Job.done_on, func.coalesce(func.sum(Charge.amount), 0))
    own = and_(Charge.job_id == Job.id, ~_is_credit())
    query = query.outerjoin(Charge, own).group_by(Job.done_on)
    found = sums_of(session, query.where(Job.state == "done", Job.done_on.between(first, last)))
    for day, (net, _tax) in credited_by_day(session, first, last).items():
        found[day] = found.get(day, 0) - net
    return found


def received_by_day(session: Session, first: date, last: date) -> dict[date, int]:
    """Money that came, less what went back, by day; tips are not the shop's revenue."""
    query = select(Receipt.day, func.sum(Receipt.amount)).group_by(Receipt.day)
    return sums_of(session, query.where(Receipt.day.between(first, last), Receipt.kind != "tip"))


def supplies_by_day(session: Session, first: date, last: date) -> dict[date, int]:
    """What the booked uses cost, by day."""
    query = select(Use.day, func.sum(Use.cost)).group_by(Use.day)
    return sums_of(session, query.where(Use.day.between(first, last), Use.booked.is_(True)))


def cost_by_supply(session: Session, first: date, last: date) -> list[tuple[int, str, int, int]]:
    """(supply id, name, cost, number of uses), the dearest first, of the booked uses."""
    rows = session.execute(
        select(Supply.id, Supply.name, func.sum(Use.cost), func.count(Use.id))
        .join(Use, Use.supply_id == Supply.id)
        .where(Use.day >= first, Use.day <= last, Use.booked.is_(True))
        .group_by(Supply.id, Supply.name)
        .order_by(func.sum(Use.cost).desc(), Supply.name)
    )
    return [(supply, name, int(cost), int(count)) for supply, name, cost, count in rows]


def jobs_of_supplies(
    session: Session, supply_ids: list[int], first: date, last: date
) -> dict[int, list[int]]:
    """The jobs whose booked uses of each supply stand behind its cost in the period."""
    query = select(Use.supply_id, Use.job_id).where(Use.day.between(first, last))
    query = query.where(Use.supply_id.in_(supply_ids), Use.booked.is_(True))
    query = query.distinct()
    found: dict[int, list[int]] = {}
    for supply, job in session.execute(query.order_by(Use.supply_id, Use.job_id)):
        if job is not None:
            found.setdefault(supply, []).append(job)
    return found


def minutes_worked(session: Session, first: date, last: date) -> tuple[int, int]:
    """(on jobs, on the shop itself) minutes in the period."""
    shop = Hours.job_id.is_(None)
    query = select(shop, func.sum(Hours.minutes)).where(Hours.day.between(first, last))
    sums = sums_of(session, query.group_by(shop))
    return sums.get(False, 0), sums.get(True, 0)


def closed_days(session: Session, first: date, last: date) -> list[date]:
    """The closed days of the period, in order."""
    query = select(DaySheet.day).where(DaySheet.state == "closed")
    query = query.where(DaySheet.day.between(first, last)).order_by(DaySheet.day)
    return list(session.scalars(query))


def received_for_jobs(session: Session, first: date, last: date) -> tuple[int, int]:
    """What came in the period for jobs; and by how much more had come for done jobs at its end.

    Into the second goes what came in the period for jobs done before it, and all that had come by
    its end for those done in it.
    """
    for_jobs = Receipt.kind.not_in(BESIDE_THE_JOB)
    then = and_(for_jobs, Receipt.job_id.is_not(None), Receipt.day.between(first, last))
    done = Job.state == "done"
    own = select(Job.id).where(done, Job.done_on.between(first, last))
    sums = (
        select(func.sum(Receipt.amount)).where(then),
        select(func.sum(Receipt.amount))
        .join(Job, Job.id == Receipt.job_id)
        .where(then, done, Job.done_on < first),
        select(func.sum(Receipt.amount)).where(
            for_jobs, Receipt.day <= last, Receipt.job_id.in_(own)
        ),
    )
    came, for_older, for_own = (int(session.scalar(one) or 0) for one in sums)
    return came, for_older + for_own


def _is_credit() -> ColumnElement[bool]:
    """A charge that a credit note wrote: it counts on the day of that, not on its job's."""
    papers = select(InvoiceLine.charge_id).join(Invoice, Invoice.id == InvoiceLine.invoice_id)
    return Charge.id.in_(papers.where(Invoice.kind == "credit", InvoiceLine.charge_id.is_not(None)))


def credited_by_day(session: Session, first: date, last: date) -> dict[date, tuple[int, int]]:
    """What credit notes of these days took back, above zero: before tax, and its tax."""
    query = (
        select(Invoice.issued_on, func.sum(Invoice.net), func.sum(Invoice.tax))
        .where(Invoice.kind == "credit", Invoice.issued_on.between(first, last))
        .group_by(Invoice.issued_on)
    )
    return {day: (int(net), int(tax)) for day, net, tax in session.execute(query)}


def _credits_of(session: Session, within: ColumnElement[bool]) -> dict[int, int]:
    """What credit notes ever took back of each of these jobs, before tax and above zero."""
    query = select(Charge.job_id, -func.sum(Charge.amount)).join(Job, Job.id == Charge.job_id)
    return sums_of(session, query.where(within, _is_credit()).group_by(Charge.job_id))


def _charges(
    session: Session, within: ColumnElement[bool]
) -> dict[int, tuple[tuple[int, int], ...]]:
    """(rate, net at it) of each of these jobs, the lowest rate first; without credit notes."""
    found: dict[int, list[tuple[int, int]]] = {}
    for job_id, rate, amount in session.execute(
        select(Charge.job_id, Charge.tax_rate, func.sum(Charge.amount))
        .join(Job, Job.id == Charge.job_id)
        .where(within, ~_is_credit())
        .group_by(Charge.job_id, Charge.tax_rate)
        .order_by(Charge.tax_rate)
    ):
        found.setdefault(job_id, []).append((rate, int(amount)))
    return {job_id: tuple(some) for job_id, some in found.items()}


def received_without_job(session: Session, first: date, last: date) -> int:
    """Money of the period that stands with no job, or as a credit: held as a deposit."""
    query = select(func.sum(Receipt.amount)).where(Receipt.day.between(first, last))
    loose = and_(Receipt.kind != "tip", Receipt.job_id.is_(None))
    query = query.where(or_(loose, Receipt.kind == "credit"))
    return int(session.scalar(query) or 0)


def job_labels(session: Session, job_ids: list[int]) -> list[tuple[int, int, str, date | None]]:
    """(id, number, customer, day done) of some jobs, the newest first."""
    rows = session.execute(
        select(Job.id, Job.number, Customer.name, Job.done_on)
        .outerjoin(Customer, Customer.id == Job.customer_id)
        .where(Job.id.in_(job_ids))
        .order_by(Job.number.desc())
    )
    return [(job, number, customer or "", done) for job, number, customer, done in rows]


def names_of(session: Session, customer_ids: list[int]) -> list[tuple[int, str]]:
    """(id, name) of some customers, by name."""
    query = select(Customer.id, Customer.name).where(Customer.id.in_(customer_ids))
    return [(one, name) for one, name in session.execute(query.order_by(Customer.name))]
