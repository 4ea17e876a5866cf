"""Mail addresses that a server has refused for good, in its own words."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.records.models import Customer, Reminder, ReminderEvent


def refusals(session: Session, customer_ids: Collection[int] | None = None) -> dict[int, str]:
    """Customer id -> what the server said on the day since which their mail address is bad.

    Nothing is said of an address that was changed since.
    """
    query = (
        select(Customer.id, ReminderEvent.note)
        .join(Reminder, Reminder.customer_id == Customer.id)
        .join(ReminderEvent, ReminderEvent.reminder_id == Reminder.id)
        .where(ReminderEvent.kind == "refused", ReminderEvent.day == Customer.email_bad_since)
        .order_by(ReminderEvent.id)
    )
    if customer_ids is not None:
        query = query.where(Customer.id.in_(customer_ids))
    return {customer: words for customer, words in session.execute(query)}
