"""Erasing a person: money and the history of the paint stay, and nothing says whose they were.

The words are taken out of the person's own rows, and out of every other text of the book that
names them. What was done with those rows can be undone no more: undo would bring them back.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from itertools import groupby
from typing import Any

from sqlalchemy import Select, delete, select, update
from sqlalchemy.orm import Session

from app.errors import Refused
from app.records.asking import in_parts
from app.records.models import Action, Image, Record
from app.records.models.money import lifted
from app.records.queries import person
from app.records.queries.everything import blank
from app.records.undo.images import key_column, key_from_text, table_named

# What is emptied in the rows of a person; the day and the sum of money, and what was done, stay.
_EMPTIED = {
    "customers": (
        "household", "phone", "phone_as_typed", "second_phone", "email", "email_bad_since",
        "street", "city", "region", "postal_code", "country", "address_bad_since", "asks_by",
        "later_until", "not_before", "season_months", "season_title", "referred_by_id",
        "payer_id", "terms_days",
        "tax_exempt_no", "tax_exempt_until", "notes", "since",
    ),
    "vehicles": (
        "plate", "plate_region", "vin", "fleet_unit", "exposure", "lease_ends", "stored_until",
        "notes",
    ),
    "consents": ("wording", "how", "by"),
    "jobs": ("title", "wanted", "order_number", "drift_reason", "ended_because", "notes"),
    "job_steps": ("because",),
    "job_moves": ("note",),
    "receipts": ("note",),
    "invoices": ("payer_address", "reason", "order_number", "tax_text"),
    "invoice_words": ("text", "note"),
    "estimates": (
        "reason", "assumptions", "not_included", "left_alone", "name", "address", "vehicle",
        "approved_by",
    ),
    "hold_points": ("text", "answer"),
    "estimate_calls": ("who", "said"),
    "layer_events": ("note",),
    "judgements": ("note",),
    "reminders": ("subject", "text", "reason"),
    "reminder_events": ("note",),
}  # fmt: skip
# What tells a person from others wherever it stands; what anybody may have is looked for only in
# the person's own rows.
_TELLING = {
    "customers": (
        "name", "phone", "phone_as_typed", "second_phone", "email", "street", "tax_exempt_no",
    ),
    "vehicles": ("plate", "vin"),
}  # fmt: skip
_OWN_WORDS = {"vehicles": ("description",), "jobs": ("title",), "customers": ("household",)}
_SHORTEST = 4  # letters; a shorter plate or name would be found in words that mean others
# Where people write what they like; nothing else is looked through, for a name may be a state's.
_FREE = frozenset(
    {
        "note", "notes", "reason", "because", "summary", "text", "subject", "title", "typed",
        "what", "wording", "how", "by", "description", "value", "wanted", "ended_because",
        "order_number", "payer_name", "payer_address", "tax_text",
        "assumptions", "not_included", "left_alone", "approved_by", "answer", "who", "said",
    }
)  # fmt: skip
_SHOPS_OWN = ("shop_", "mail_", "letter_", "consent_")  # settings in which the shop tells itself
_LOG = (Action.__tablename__, Image.__tablename__)


@dataclass
class _Traces:
    """Whose rows, under which keys they were ever kept, and the words that tell the person."""

    ids: person.Ids
    label: str
    telling: set[str] = field(default_factory=set)
    own: set[str] = field(default_factory=set)
    names: set[str] = field(default_factory=set)

    def take(self, kind: str, values: dict[str, Any]) -> None:
        """Remember the words of a row, as it stands or stood."""
        for into, names in ((self.telling, _TELLING), (self.own, _OWN_WORDS)):
            for name in names.get(kind, ()):
                value = values.get(name)
                if isinstance(value, str) and len(value.strip()) >= _SHORTEST:
                    into.add(value.strip())
        name = str(values.get("name") or "").strip() if kind == "customers" else ""
        if name:
            self.names.add(name)  # however short: it is looked for where it is named as one
            self.own |= {name, *(part for part in name.split() if len(part) >= _SHORTEST)}

    def are_of(self, kind: str, key: Any, values: dict[str, Any]) -> bool:
        """Whether a row of the log is one of the person's, or was."""
        return key in self.ids.get(kind, ()) or any(
            values.get(column) in self.ids[of]
            for column, of in person.BY.get(kind, {}).items()
            if values.get(column) is not None
        )


def label_of(customer_id: int) -> str:
    """What stands in place of an erased customer's name."""
    return f"Erased {customer_id:04d}"


def erase(session: Session, customer_id: int, today: date, at: datetime) -> str:
    """Erase a customer within `Book.load`; returns what stands in place of the name.

    Raises `Refused` while a job or a letter of theirs is not done with.
    """
    label = label_of(customer_id)
    refuse_unfinished(session, customer_id)
    traces = _Traces(person.ids_of(session, customer_id), label)
    for kind, rows in person.rows_of(session, customer_id).items():
        for row in rows:
            if row["id"] in traces.ids[kind]:
                traces.take(kind, row)
    _follow(session, traces)
    known = traces.telling | traces.names
    alone = {word for word in known if not _is_shared(session, customer_id, word)}
    # A name of one word may be a word of the trade: not looked for in what others are told by.
    words = _pattern({one for one in alone & traces.telling if not one.isalpha()})
    own = _pattern(traces.telling | traces.own)
    session.expunge_all()  # rows are changed below without the session
    _forget(session, traces, words, own)
    _rename_actions(session, _pattern(alone), label)
    with lifted(session.connection()):
        _empty(session, traces, today)
        _sweep(session, traces, words, own)
    session.add(Action(name=label, at=at, day=today, kinds=["customers"], state="kept"))
    return label


def _is_shared(session: Session, customer_id: int, word: str) -> bool:
    return any(
        person.shared(session, customer_id, column, word) for column in _TELLING["customers"]
    )


def refuse_unfinished(session: Session, customer_id: int) -> None:
    """`Refused` while a job or a letter of a customer is not done with."""
    jobs, letters = table_named("jobs"), table_named("reminders")
    open_jobs = session.scalars(
        select(jobs.c.number).where(
            jobs.c.customer_id == customer_id,
            jobs.c.state.not_in(("done", "cancelled")),
        )
    ).all()
    if open_jobs:
        raise Refused(
            f"Job {open_jobs[0]:04d} is not done yet; end or cancel it first, then erase them."
        )
    going = select(letters.c.id).where(
        letters.c.customer_id == customer_id, letters.c.state.in_(("sending", "uncertain"))
    )
    if session.scalars(going).first() is not None:
        raise Refused(
            "Whether a letter to them went out is not settled; say so in Renewals first, then "
            "erase them."
        )


def _images(session: Session, *, newest_first: bool) -> Iterator[tuple[int, list[Any]]]:
    """The images of the log, action by action: table, key, before and after of each."""
    table = table_named(Image.__tablename__)
    order = table.c.action_id.desc() if newest_first else table.c.action_id
    rows = session.execute(
        select(
            table.c.action_id, table.c.table_name, table.c.row_key, table.c.before, table.c.after
        ).order_by(order, table.c.id),
        execution_options={"yield_per": 2000},
    )
    for action_id, group in groupby(rows, key=lambda row: row.action_id):
        yield action_id, [
            (row.table_name, key_from_text(table_named(row.table_name), row.row_key),
             row.before or {}, row.after or {})
            for row in group
        ]  # fmt: skip


def _follow(session: Session, traces: _Traces) -> None:
    """Take in the words that rows had before, and what entries put together with theirs said."""
    standing = {
        kind: set(session.scalars(select(key_column(table_named(kind)))))
        for kind in ("customers", "vehicles")
    }
    for _, images in _images(session, newest_first=True):
        for kind, key, before, after in images:
            if not traces.are_of(kind, key, before) and not traces.are_of(kind, key, after):
                continue
            for column, of in (("customer_id", "customers"), ("vehicle_id", "vehicles")):
                was = before.get(column)
                if was is not None and column in after:
                    traces.ids[of] |= {was} - standing[of]
        for kind, key, before, after in images:
            if key in traces.ids.get(kind, ()):
                traces.take(kind, before)
                traces.take(kind, after)


def _pattern(words: set[str]) -> re.Pattern[str] | None:
    """What finds these words, whatever their capitals, but not within longer ones."""
    longest = sorted(words, key=lambda word: (-len(word), word))
    if not longest:
        return None
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest))})(?!\w)", re.IGNORECASE)


def _forget(
    session: Session, traces: _Traces, words: re.Pattern[str] | None, own: re.Pattern[str] | None
) -> None:
    """Drop the images that hold the person, and take their words out of what actions are called."""
    touched = {
        action_id
        for action_id, images in _images(session, newest_first=False)
        if any(
            traces.are_of(kind, key, values) or _swept(values, words, "") != values
            for kind, key, *both in images
            for values in both
        )
    }
    actions, images = table_named(Action.__tablename__), table_named(Image.__tablename__)
    for part in in_parts(touched):
        session.execute(delete(images).where(images.c.action_id.in_(part)))
        session.execute(
            update(actions)
            .where(actions.c.id.in_(part), actions.c.state == "done")
            .values(state="kept")
        )
        names = select(actions.c.id, actions.c.name).where(actions.c.id.in_(part))
        _rename(session, names, own, traces.label)


def _rename_actions(session: Session, words: re.Pattern[str] | None, label: str) -> None:
    """Take the words out of what all actions are called."""
    actions = table_named(Action.__tablename__)
    _rename(session, select(actions.c.id, actions.c.name), words, label)


def _rename(
    session: Session, names: Select[Any], words: re.Pattern[str] | None, label: str
) -> None:
    actions = table_named(Action.__tablename__)
    for key, name in session.execute(names).all():
        new = _swept(name, words, label)
        if new != name:
            session.execute(update(actions).where(actions.c.id == key).values(name=new[:200]))


def _empty(session: Session, traces: _Traces, today: date) -> None:
    """Empty what the person's own rows say of them."""
    for kind, names in _EMPTIED.items():
        table = table_named(kind)
        nothing = {name: blank(kind)[name] for name in names}
        for part in in_parts(traces.ids[kind]):
            session.execute(update(table).where(table.c.id.in_(part)).values(**nothing))
    customers, vehicles = table_named("customers"), table_named("vehicles")
    for part in in_parts(traces.ids["customers"]):
        # Nobody waits for who is erased to pay for others; what they were billed for stays.
        session.execute(
            update(customers).where(customers.c.payer_id.in_(part)).values(payer_id=None)
        )
        session.execute(
            update(customers)
            .where(customers.c.id.in_(part))
            .values(name=traces.label, may_remind=False, deceased=False, archived_on=today)
        )
    for key in traces.ids["vehicles"]:
        where = vehicles.c.id == key
        found = session.execute(
            select(vehicles.c.color, vehicles.c.make, vehicles.c.model).where(where)
        ).first()
        words = " ".join(word for word in found or () if word)
        session.execute(
            update(vehicles).where(where).values(description=words or "vehicle", archived_on=today)
        )
    papers = table_named("invoices")
    for part in in_parts(traces.ids["invoices"]):
        session.execute(update(papers).where(papers.c.id.in_(part)).values(payer_name=traces.label))
    letters = table_named("reminders")
    for part in in_parts(traces.ids["reminders"]):
        session.execute(
            update(letters)
            .where(letters.c.id.in_(part), letters.c.state == "prepared")
            .values(state="dropped")
        )


def _sweep(
    session: Session, traces: _Traces, words: re.Pattern[str] | None, own: re.Pattern[str] | None
) -> None:
    """Take the person's words out of every text that is left."""
    for table in Record.metadata.sorted_tables:
        if table.name in _LOG:
            continue
        key = key_column(table)
        texts = [column for column in table.columns if column.name in _FREE]
        if not texts:
            continue
        for row in session.execute(select(key, *texts)).mappings().all():
            theirs = row[key.name] in traces.ids.get(table.name, ())
            if table.name == "settings" and str(row[key.name]).startswith(_SHOPS_OWN):
                continue
            new = {
                column.name: swept
                for column in texts
                for swept in [_swept(row[column.name], own if theirs else words, traces.label)]
                if swept != row[column.name]
            }
            if new:
                session.execute(update(table).where(key == row[key.name]).values(**new))


def _swept(value: Any, words: re.Pattern[str] | None, label: str) -> Any:
    """A value, also of JSON, with something else in place of the words."""
    if words is None:
        return value
    if isinstance(value, str):
        return words.sub(label, value)
    if isinstance(value, list):
        return [_swept(one, words, label) for one in value]
    if isinstance(value, dict):
        return {name: _swept(one, words, label) for name, one in value.items()}
    return value
