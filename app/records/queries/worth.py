"""What work is worth: what jobs took of each supply, how it was bought, and when customers came."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.records.models import Customer, Job, Order, OrderLine, Supply, Use


class TookOf(NamedTuple):
    """What a job took of a supply: base units and minor units."""

    job_id: int
    supply_id: int
    quantity: int
    cost: int


class Bought(NamedTuple):
    """The pack in which a supply came last."""

    label: str
    size: int
    price: int


def took(session: Session, first: date, last: date) -> list[TookOf]:
    """The booked uses of the jobs done from `first` to `last`, by job and supply."""
    rows = session.execute(
        select(Use.job_id, Use.supply_id, func.sum(Use.quantity), func.sum(Use.cost))
        .join(Job, Job.id == Use.job_id)
        .where(Job.state == "done", Job.done_on.between(first, last))
        .where(Use.booked.is_(True), Use.state != "unrecorded")
        .group_by(Use.job_id, Use.supply_id)
    )
    return [
        TookOf(job, supply, int(some), int(cost))
        for job, supply, some, cost in rows
        if job is not None
    ]


def bought_last(session: Session, day: date) -> dict[int, Bought]:
    """By supply, the pack that came last by an order, up to a day."""
    rows = session.execute(
        select(OrderLine.supply_id, OrderLine.pack_label, OrderLine.pack_size, OrderLine.price)
        .join(Order, Order.id == OrderLine.order_id)
        .where(OrderLine.packs_received > 0, OrderLine.price > 0, OrderLine.pack_size > 0)
        .where(Order.day <= day)
        .order_by(Order.day, OrderLine.id)
    )
    return {supply: Bought(label, int(size), price) for supply, label, size, price in rows}


def bought_by_pack(session: Session) -> dict[int, int | None]:
    """Supplies that are bought and used by the pack, with their shelf life in days; not those that
    a job takes by the whole container, nor pools, nor what is to be bought no more."""
    query = select(Supply.id, Supply.shelf_life_days).where(
        Supply.whole_container.is_(False), Supply.pool == "", Supply.stopped.is_(False),
        Supply.archived_on.is_(None),
    )  # fmt: skip
    return {supply: days for supply, days in session.execute(query)}


def last_done(session: Session, day: date) -> date | None:
    """The last day up to `day` on which any job was done, whoever it was for."""
    query = select(func.max(Job.done_on)).where(Job.state == "done", Job.done_on <= day)
    return session.scalar(query)


def visits(session: Session, day: date) -> dict[int, list[date]]:
    """The days up to `day` on which jobs of each customer were done, in order.

    Left out: who has died, who is kept for the history only, and who does not want to be written
    to.
    """
    query = (
        select(Job.customer_id, Job.done_on)
        .join(Customer, Customer.id == Job.customer_id)
        .where(Job.state == "done", Job.done_on <= day)
        .where(Customer.deceased.is_(False), Customer.archived_on.is_(None))
        .where(Customer.stopped_on.is_(None), Customer.may_remind.is_(True))
        .distinct()
        .order_by(Job.done_on)
    )
    found: dict[int, list[date]] = {}
    for customer, done in session.execute(query):
        if customer is not None and done is not None:
            found.setdefault(customer, []).append(done)
    return found
