"""Consent per channel and purpose: in which words, how, when, by whom; and its withdrawal.

Marketing by text message goes only to whoever agreed to it. A withdrawal ends what was agreed to,
for this purpose in this way; the word "stop" ends all marketing, read as wide as it may be meant.
"""

from __future__ import annotations

from datetime import date

from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.row_changes import set_fields
from app.errors import Mendable
from app.records.models import Consent, Customer
from app.records.queries import consents as queries
from app.records.queries.protection import MARKETING

CHANNELS = ("mail", "letter", "phone", "text")
PURPOSES = ("care", "reminders", "offers")

PURPOSE_WORDS = {
    "care": "care notes after a job",
    "reminders": "reminders of what is due",
    "offers": "offers",
}
KINDS = frozenset({"customers", "reminders"})
# What is written down as agreed to while nothing else is typed; the shop may change it.
USUAL_WORDING = (
    "You may send me {purpose} by {channel}. I can end this at any time with a short answer."
)


def consents_of(desk: Desk, customer_id: int) -> tuple[queries.ConsentRow, ...]:
    """A customer's consents, the newest first."""
    with desk.book.reading() as session:
        return queries.consent_rows(session, customer_id)


def worded(wording: str, channel: str, purpose: str) -> str:
    """The words of a consent with {purpose} and {channel} filled in; `Mendable` for other ones."""
    try:
        return wording.format(
            purpose=PURPOSE_WORDS[purpose],
            channel="text message" if channel == "text" else channel,
        )
    except (LookupError, ValueError, AttributeError):
        raise Mendable(
            "Only {purpose} and {channel} can be filled in; write other braces doubled: {{ }}."
        ) from None


def give(
    desk: Desk,
    customer_id: int,
    channel: str,
    purpose: str,
    *,
    wording: str = "",
    how: str = "",
    day: date | None = None,
    by: str = "",
) -> Changed:
    """Write down that a customer agreed; a consent that stands already is not written twice."""
    check_channel(channel)
    if purpose not in PURPOSES:
        raise Mendable(f"“{purpose}” is no purpose; say {', '.join(PURPOSES)}.")
    usual = desk.settings.consent_wording or USUAL_WORDING
    wording = wording.strip() or worded(usual, channel, purpose)
    with desk.book.reading() as session:
        name_of = there(session.get(Customer, customer_id), "This customer").name
        standing = queries.consents_of(session, customer_id)
    if any(
        (row.channel, row.purpose) == (channel, purpose) and row.withdrawn_on is None
        for row in standing
    ):
        return NOTHING
    name = f"Consent of {name_of} to {purpose} by {channel}"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        session.add(
            Consent(
                customer_id=customer_id,
                channel=channel,
                purpose=purpose,
                wording=wording,
                how=how.strip()[:80],
                day=day or desk.today,
                by=by.strip()[:80],
            )
        )
    return Changed(name, KINDS)


def edit_consent(desk: Desk, consent_id: int, **fields: str) -> Changed:
    """Change the words of a consent: `wording`, `how` or `by`."""
    for field in fields:
        if field not in ("wording", "how", "by"):
            raise ValueError(f"no such field of a consent: {field}")
    longest = {"how": 80, "by": 80}
    for field, value in fields.items():
        if len(value) > longest.get(field, 2000):
            raise Mendable(f"That is longer than {longest.get(field, 2000)} characters.")
    typed = {field: value.strip() for field, value in fields.items()}
    name = "Changed the words of a consent"
    return set_fields(desk, Consent, consent_id, lambda _: name, typed, KINDS)


def withdraw(desk: Desk, consent_id: int, day: date) -> Changed:
    """The customer takes a consent back: this purpose in this way, and nothing else."""
    with desk.book.reading() as session:
        row = there(session.get(Consent, consent_id), "This consent")
        if row.withdrawn_on is not None:
            return NOTHING
        name_of = there(session.get(Customer, row.customer_id), "This customer").name
        name = f"Withdrawn by {name_of}: {row.purpose} by {row.channel}"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        session.get_one(Consent, consent_id).withdrawn_on = day
    return Changed(name, KINDS, f"{name}. Every other way and purpose stays.")


def end_marketing(session: queries.Session, customer_id: int, day: date) -> None:
    """Every consent to marketing of a customer ends on a day, within a change that is under way."""
    for row in queries.consents_of(session, customer_id):
        if row.purpose in MARKETING and row.withdrawn_on is None:
            row.withdrawn_on = day


def end_withdrawn(session: queries.Session, customer_id: int) -> None:
    """What was taken back ends what was agreed to before: of one who stood in the book twice."""
    rows = queries.consents_of(session, customer_id)
    for row in rows:
        ended = [
            one.withdrawn_on
            for one in rows
            if (one.channel, one.purpose) == (row.channel, row.purpose)
            and one.withdrawn_on is not None
            and row.day <= one.withdrawn_on
        ]
        if row.withdrawn_on is None and ended:
            row.withdrawn_on = max(ended)


def check_channel(channel: str) -> None:
    """`Mendable` for what is no way to reach people."""
    if channel not in CHANNELS:
        raise Mendable(f"“{channel}” is no way to reach people; say {', '.join(CHANNELS)}.")
