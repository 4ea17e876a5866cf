"""Customers: the list, a customer's page, and what a person changes there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from app.actions.desk.amounts import totals
from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.row_changes import add_row, known_fields, set_fields
from app.actions.desk.telephones import shown_phone
from app.actions.desk.typed_days import read_written_day
from app.actions.people.consents import end_marketing, end_withdrawn
from app.actions.people.left_bookings import telling_what_is_open
from app.actions.people.vehicles import LayerView, standing_layers
from app.calculations.numbers.dates import day_year, near
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.months import read_months
from app.documents.reading.people import read_mails, read_phones
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Consent, Customer, Invoice, Job, OwnerLink, Receipt, Reminder
from app.records.queries import invoices, takings
from app.records.queries import people as queries
from app.records.queries.refusals import refusals
from app.records.undo.ledgers import countering

KINDS = frozenset({"customers"})
MARKED = KINDS | {"reminders"}
LIMIT = 500  # customers listed at once
CHANNELS = ("", "mail", "letter", "phone", "text")
FIELDS = frozenset(
    {
        "name", "is_firm", "household", "phone", "second_phone", "email", "street", "city",
        "region", "postal_code", "country", "asks_by", "may_remind", "later_until",
        "referred_by_id", "tax_exempt_no", "tax_exempt_until", "notes", "season_months",
        "season_title", "payer_id", "terms_days",
    }
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class HeldVehicle:
    """A vehicle on a customer's page, with what stands on it."""

    vehicle_id: int
    link_id: int
    title: str
    plate: str
    sizes: str
    span: str
    held: bool
    archived: bool
    layers: tuple[LayerView, ...]


@dataclass(frozen=True, kw_only=True)
class WrittenLetter:
    """A reminder to a customer, word for word, and what came of it."""

    reminder_id: int
    day: date
    channel: str
    subject: str
    text: str
    came_of_it: str


@dataclass(frozen=True, kw_only=True)
class CustomerPage:
    """One customer: fields to change, vehicles, jobs, what is owed, and how to reach them."""

    customer_id: int
    fields: dict[str, Any]
    title: str
    subtitle: str
    vehicles: tuple[HeldVehicle, ...]
    history: tuple[queries.HistoryRow, ...]
    due: dict[int, int]  # by done job, in minor units
    facts: tuple[tuple[str, str], ...]
    bad_ways: tuple[str, ...]  # what does not reach them any more, and since when
    letters: tuple[WrittenLetter, ...]
    stopped_on: date | None
    deceased: bool
    archived: bool


def list_customers(
    desk: Desk, text: str = "", limit: int = LIMIT
) -> tuple[list[queries.CustomerRow], int]:
    """Customers in order of name, and how many there are in all.

    `text` looks in names, ways to reach them and vehicles.
    """
    with desk.book.reading() as session:
        return queries.customers(session, text, limit)


def customer_page(desk: Desk, customer_id: int) -> CustomerPage:
    """Everything about one customer; `Mendable` when they are not in the book."""
    today = desk.today
    currency = desk.settings.currency
    with desk.book.reading() as session:
        customer = there(session.get(Customer, customer_id), "This customer")
        fields = {name: getattr(customer, name) for name in sorted(FIELDS)}
        stopped_on, deceased, since = customer.stopped_on, customer.deceased, customer.since
        archived = customer.archived_on is not None
        said = refusals(session, {customer_id}).get(customer_id, "")
        bad_ways = []
        if customer.email_bad_since:
            why = refused_words(said) or "Mail did not arrive; change the address to try again."
            bad_ways.append(f"Since {day_year(customer.email_bad_since)}: {why}")
        if customer.address_bad_since:
            since_day = day_year(customer.address_bad_since)
            bad_ways.append(f"Since {since_day}: post does not reach this address; change it.")
        links = queries.links_of(session, customer_id=customer_id)
        history = queries.history(session, customer_id=customer_id)
        pays = set(
            invoices.done_for(session, customer_id)
        )  # also of others, and not what others pay
        ids = [*{row.job_id for row in history} | pays]
        nets, receipts = takings.nets_of(session, ids), takings.receipts_of(session, ids)
        credit = takings.credit_of(session, [customer_id]).get(customer_id, 0)
        worth = queries.earned_since(session, customer_id, today - timedelta(days=730))
        letters = [_written(one) for one in queries.reminders_of(session, customer_id)]
        sent = queries.referred_by(session, customer_id)
        payer = session.get(Customer, customer.payer_id or 0)
        paid_by = payer.name if payer is not None else ""
    due = {
        row.job_id: totals(desk, nets.get(row.job_id, ()), receipts.get(row.job_id, ())).due
        for row in history
        if row.state == "done"
    }
    owed = sum(totals(desk, nets.get(job, ()), receipts.get(job, ())).due for job in pays)
    last = next((row.day for row in history if row.state == "done" and row.day), None)
    facts = [
        ("Last here", near(last, today) if last else "not yet"),
        ("Earned in two years", shown_money(worth, currency)),
        ("Owes", shown_money(owed, currency) if owed > 0 else "nothing"),
    ]
    if owed < 0:
        facts.append(("Paid too much", shown_money(-owed, currency)))
    if credit:
        facts.append(("Credit held", shown_money(credit, currency)))
    if since:
        facts.insert(0, ("Customer since", near(since, today)))
    if paid_by:
        facts.append(("Paid by", paid_by))
    if sent:
        facts.append(("Sent us", ", ".join(name for _, name in sent[:3])))
    reach = shown_phone(customer.phone, desk.settings.region) or customer.email
    return CustomerPage(
        customer_id=customer_id,
        fields=fields,
        title=customer.name,
        subtitle=", ".join(part for part in (customer.city, reach) if part),
        vehicles=tuple(_held(desk, link) for link in links),
        history=tuple(history),
        due=due,
        facts=tuple(facts),
        bad_ways=tuple(bad_ways),
        letters=tuple(letters),
        stopped_on=stopped_on,
        deceased=deceased,
        archived=archived,
    )


def _written(one: Reminder) -> WrittenLetter:
    return WrittenLetter(
        reminder_id=one.id,
        day=one.day,
        channel=one.channel,
        subject=one.subject,
        text=one.text,
        came_of_it=one.answer or one.state,
    )


def add_customer(desk: Desk, **fields: Any) -> tuple[Changed, int]:
    """A new customer; only the name is needed."""
    checked = checked_fields(desk, fields)
    if not checked.get("name"):
        raise Mendable("A customer needs a name; anything else can wait.")
    customer = Customer(since=desk.today, **checked)
    return add_row(desk, customer, f"Added {checked['name']}", KINDS)


def edit_customer(desk: Desk, customer_id: int, **fields: Any) -> Changed:
    """Change what is known of a customer; what stands already changes nothing."""
    checked = checked_fields(desk, fields)
    if "name" in checked and not checked["name"]:
        raise Mendable("A customer needs a name; put it back or write another.")
    if checked.get("referred_by_id") == customer_id:
        raise Mendable("A customer cannot have sent themselves.")
    if checked.get("payer_id") == customer_id:
        checked["payer_id"] = None  # who pays for themselves pays as anybody does

    def mend(_session: queries.Session, customer: Customer) -> None:
        if "email" in checked:
            customer.email_bad_since = None
        if checked.keys() & {"street", "city", "postal_code"}:
            customer.address_bad_since = None

    return set_fields(
        desk,
        Customer,
        customer_id,
        lambda before: f"Changed {checked.get('name', before.name)}",
        checked,
        KINDS,
        mend,
    )


def stop(desk: Desk, customer_id: int, day: date, *, stopped: bool = True) -> Changed:
    """The customer wants no more reminders, on any channel; or wants them again."""
    words = "No more reminders to {}" if stopped else "Reminders to {} again"

    def end(session: queries.Session, _customer: Customer) -> None:
        if stopped:
            end_marketing(session, customer_id, day)

    values = {"stopped_on": day if stopped else None}
    return set_fields(
        desk, Customer, customer_id, lambda one: words.format(one.name), values, MARKED, end
    )


def deceased(desk: Desk, customer_id: int, *, dead: bool = True) -> Changed:
    """The customer has died: silent for ever, on every channel, and never deleted."""
    words = "{} has died: nothing is sent any more" if dead else "{} is alive"
    values = {"deceased": dead}
    changed = set_fields(
        desk, Customer, customer_id, lambda one: words.format(one.name), values, MARKED
    )
    return telling_what_is_open(desk, changed, [customer_id])


def merge_customers(desk: Desk, keep_id: int, other_id: int) -> Changed:
    """Put two entries of the same person together; what the kept one lacks comes from the other.

    Whatever forbids writing to either (stopped, deceased, no reminders) holds for the one left.
    """
    if keep_id == other_id:
        raise Mendable("These are the same customer already.")
    with desk.book.reading() as session:
        kept_name = there(session.get(Customer, keep_id), "This customer").name
        other_name = there(session.get(Customer, other_id), "This customer").name
    name = f"Put {other_name} together with {kept_name}"
    kinds = frozenset({"customers", "vehicles", "jobs", "reminders", "money"})
    with desk.book.change(name, day=desk.today, kinds=kinds, at=desk.clock()) as session:
        kept, other = session.get_one(Customer, keep_id), session.get_one(Customer, other_id)
        _fill_gaps(kept, other)
        held = {one.vehicle_id for one in to_write(session, OwnerLink, customer_id=keep_id)}
        for link in to_write(session, OwnerLink, customer_id=other_id):
            if link.vehicle_id in held and link.to_day is None:
                session.delete(link)
            else:
                link.customer_id = keep_id
        named: tuple[type[Any], ...] = (Job, Reminder, Consent)
        for model in named:
            for row in to_write(session, model, customer_id=other_id):
                row.customer_id = keep_id
        paid: tuple[type[Any], ...] = (Invoice, Job, Customer)
        for model in paid:
            for row in to_write(session, model, payer_id=other_id):
                row.payer_id = keep_id
        _move_deposits(desk, session, keep_id, other_id, name)
        for sent_id, _ in queries.referred_by(session, other_id):
            session.get_one(Customer, sent_id).referred_by_id = keep_id
        if kept.referred_by_id in (keep_id, other_id):
            kept.referred_by_id = None
        if kept.payer_id in (keep_id, other_id):
            kept.payer_id = None
        session.flush()
        end_withdrawn(session, keep_id)
        if kept.stopped_on is not None:
            end_marketing(session, keep_id, kept.stopped_on)
        session.flush()
        session.delete(other)
    return Changed(name, kinds)


def refused_words(said: str) -> str:
    """One sentence on a mail address that a server refuses, in its words; nothing where none is."""
    if not said:
        return ""
    return f"The mail server refuses their address (“{said}”); call, write, or change the address."


def _fill_gaps(kept: Customer, other: Customer) -> None:
    if not kept.email:
        kept.email_bad_since = other.email_bad_since  # the address that comes with it
    for field in FIELDS - {"name", "is_firm", "may_remind", "notes"}:
        if not getattr(kept, field) and getattr(other, field):
            setattr(kept, field, getattr(other, field))
    if other.email and kept.email and other.email.lower() != kept.email.lower():
        kept.notes = f"{kept.notes}\nAlso {other.email}".strip()
    if other.notes and other.notes not in kept.notes:
        kept.notes = f"{kept.notes}\n{other.notes}".strip()
    kept.may_remind = kept.may_remind and other.may_remind
    kept.deceased = kept.deceased or other.deceased
    kept.stopped_on = kept.stopped_on or other.stopped_on
    kept.not_before = kept.not_before or other.not_before
    starts = [day for day in (kept.since, other.since) if day]
    kept.since = min(starts) if starts else None


def _move_deposits(
    desk: Desk, session: queries.Session, keep_id: int, other_id: int, why: str
) -> None:
    """Money held for no job yet follows its owner: countered where it stands, and noted anew.

    Money of a job stays as it is, for it is found through the job.
    """
    receipts = to_write(session, Receipt, customer_id=other_id)
    countered = {receipt.counters_id for receipt in receipts}
    for receipt in receipts:
        if receipt.job_id is not None or receipt.counters_id or receipt.id in countered:
            continue
        moment: dict[str, Any] = {"day": desk.today, "at": desk.clock(), "note": why[:300]}
        session.add(countering(receipt, **moment))
        same = {name: getattr(receipt, name) for name in ("amount", "method", "kind", "state")}
        session.add(Receipt(customer_id=keep_id, **same, **moment))


def checked_fields(desk: Desk, fields: dict[str, Any]) -> dict[str, Any]:
    """Fields as they may be stored; `Mendable` names the one that cannot be read."""
    checked = known_fields(fields, FIELDS, "customer")
    for field in ("phone", "second_phone"):
        if checked.get(field):
            found = read_phones(checked[field], desk.settings.region)
            if not found.numbers:
                raise Mendable(
                    f"“{checked[field][:40]}” is no telephone number; write it with its area code."
                )
            if field == "phone":
                checked["phone_as_typed"] = checked[field][:80]
            checked[field] = found.numbers[0]
    if checked.get("email"):
        mails = read_mails(checked["email"])
        if len(mails.addresses) != 1:
            raise Mendable(
                f"“{checked['email'][:60]}” is no mail address; write one like ida@example.org."
            )
        checked["email"] = mails.addresses[0]
    if isinstance(checked.get("season_months"), str):
        checked["season_months"] = read_months(checked["season_months"])
    if isinstance(checked.get("tax_exempt_until"), str):
        typed = checked["tax_exempt_until"]
        checked["tax_exempt_until"] = read_written_day(desk, typed) if typed else None
    if checked.get("asks_by", "") not in CHANNELS:
        raise Mendable(f"“{checked['asks_by']}” is no way to reach people.")
    if isinstance(checked.get("terms_days"), str):
        checked["terms_days"] = _terms(checked["terms_days"])
    if len(checked.get("season_title") or "") > 60:
        raise Mendable("The name of the season is longer than 60 characters; shorten it.")
    for field, longest in (("name", 200), ("street", 200), ("city", 100), ("household", 80)):
        if len(checked.get(field) or "") > longest:
            raise Mendable(f"The {field} is longer than {longest} characters; shorten it.")
    return checked


def _terms(typed: str) -> int | None:
    """Days until their invoices are due, as typed; nothing typed means the shop's own."""
    typed = typed.lower().removesuffix("days").strip()
    if not typed:
        return None
    if not typed.isdecimal() or not int(typed) <= 365:
        raise Mendable("An invoice is due after 0 to 365 days; type a number between, or nothing.")
    return int(typed)


def _held(desk: Desk, link: queries.LinkRow) -> HeldVehicle:
    title = f"{link.year} {link.description}" if link.year else link.description
    sizes = link.size_outside
    if link.size_inside != sizes:
        sizes = f"{sizes} outside, {link.size_inside} inside"
    held = link.to_day is None
    span = f"since {day_year(link.from_day)}" if link.from_day else ""
    if link.to_day is not None:
        span = f"until {day_year(link.to_day)}"
    if link.archived_on is not None:
        span = f"archived {day_year(link.archived_on)}"
    return HeldVehicle(
        vehicle_id=link.vehicle_id,
        link_id=link.link_id,
        title=title,
        plate=link.plate,
        sizes=sizes,
        span=span,
        held=held,
        archived=link.archived_on is not None,
        layers=standing_layers(desk, link.vehicle_id) if held else (),
    )
