"""Who agreed to be sent what, and who withdrew it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.records.asking import made, to_write
from app.records.models import Consent


@dataclass(frozen=True, kw_only=True)
class ConsentRow:
    """A consent as it was given, and whether it was withdrawn."""

    consent_id: int
    channel: str
    purpose: str
    wording: str
    how: str
    day: date
    by: str
    withdrawn_on: date | None


def consent_rows(session: Session, customer_id: int) -> tuple[ConsentRow, ...]:
    """A customer's consents, the newest first."""
    rows = consents_of(session, customer_id)
    return tuple(made(ConsentRow, row, consent_id=row.id) for row in rows)


def consents_of(session: Session, customer_id: int) -> list[Consent]:
    """A customer's consents, the newest first; they may be changed within a change."""
    order = (Consent.day.desc(), Consent.id.desc())
    return to_write(session, Consent, *order, customer_id=customer_id)


def withdrawn(
    session: Session, purpose: str, customer_ids: Collection[int] | None = None
) -> dict[int, frozenset[str]]:
    """Customer id -> the channels on which a purpose was taken back and not agreed to again."""
    ended: dict[int, set[str]] = {}
    standing: set[tuple[int, str]] = set()
    query = select(Consent.customer_id, Consent.channel, Consent.withdrawn_on)
    if customer_ids is not None:
        query = query.where(Consent.customer_id.in_(customer_ids))
    for customer, channel, on in session.execute(query.where(Consent.purpose == purpose)):
        if on is None:
            standing.add((customer, channel))
        else:
            ended.setdefault(customer, set()).add(channel)
    return {
        customer: frozenset(one for one in channels if (customer, one) not in standing)
        for customer, channels in ended.items()
    }


def agreed(channel: str, purposes: frozenset[str]) -> Select[Any]:
    """The customers with a standing consent to any of these purposes on a channel."""
    return select(Consent.customer_id).where(
        Consent.channel == channel,
        Consent.purpose.in_(sorted(purposes)),
        Consent.withdrawn_on.is_(None),
    )
