"""Asking for what is owed: a friendly reminder that a person sends, and what they said.

A reminder is written to who pays, for what is still due on their invoices. It is judged when it is
prepared and once more when it goes out; what was said is kept with each invoice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.papers import file_name, papers_folder
from app.actions.desk.telephones import shown_phone
from app.actions.desk.typed_days import read_typed_day
from app.actions.jobs.booking_jobs import KINDS
from app.actions.jobs.invoice_standing import Stand, stand_of
from app.actions.jobs.statements import open_invoices
from app.calculations.numbers.dates import day_year, near
from app.documents.papers.mail import OrderMail, write_order_mail
from app.errors import Mendable
from app.records.models import Customer, InvoiceWord
from app.records.queries import invoices as queries
from app.records.queries import people
from app.records.queries.days import Session

ASKED_BY = {"mail": "by mail", "letter": "by letter", "phone": "by telephone"}
LONGEST_NOTE, LONGEST_TEXT = 300, 5000


@dataclass(frozen=True, kw_only=True)
class Reminder:
    """A reminder as it would go out now; `owed` is what it asks for, by invoice."""

    payer_id: int
    name: str
    mail: str  # "" where none is known, or what is known does not arrive
    address: tuple[str, ...]
    subject: str
    text: str
    owed: tuple[tuple[int, int], ...]
    left_out: tuple[str, ...]  # what it does not ask for, and why
    asked: str  # when they were asked for any of it last, and how; "" where they were not


def reminder(desk: Desk, payer_id: int) -> Reminder:
    """The reminder of what somebody owes.

    `Mendable` where they have died (it says whom to write to), or where nothing is to be asked for.
    """
    with desk.book.reading() as session:
        return _reminder(session, desk, payer_id)


def _reminder(session: Session, desk: Desk, payer_id: int) -> Reminder:
    payer = there(session.get(Customer, payer_id), "This customer")
    if payer.deceased:
        raise Mendable(
            f"{payer.name} has died; no reminder goes to them. {_others(session, payer)}"
        )
    stands = open_invoices(session, desk, payer_id)
    not_asked = {one.invoice.number_text: why for one in stands if (why := _why_not(desk, one))}
    asks = [one for one in stands if one.invoice.number_text not in not_asked]
    left_out = tuple(f"{number} {why}" for number, why in not_asked.items())
    if not asks:
        why = "they owe nothing on an invoice"
        if any(one.disputed for one in stands):
            why = "what they owe is disputed; settle that first (F6)"
        elif stands:
            why = f"{left_out[0]}, and that day is not over"
        raise Mendable(f"No reminder is written to {payer.name}: {why}.")
    late = [one for one in asks if one.invoice.due_on and one.invoice.due_on < desk.today]
    asks = late or asks
    total = sum(one.due for one in asks)
    currency, shop = desk.settings.currency, desk.settings
    one = asks[0].invoice
    subject = f"Invoice {one.number_text}" if len(asks) == 1 else "What is still open"
    lines = [_line(desk, stand) for stand in asks]
    if len(asks) > 1:
        lines.append(f"Together {money(desk, total)} {currency}.")
    from_whom = (
        shop.shop_name, *shop.shop_address.splitlines(),
        shown_phone(shop.shop_phone, shop.region), shop.shop_email,
    )  # fmt: skip
    how = [one.strip() for one in shop.how_to_pay.split(";") if one.strip()]
    text = "\n".join(
        [
            f"Hello {payer.name},",
            "",
            "this is a friendly word about what is still open with us:",
            "",
            *lines,
            "",
            "If it is on its way already, please take no notice. If something about it is not "
            "right, tell us, and we will look at it.",
            *(["", *how] if how else []),
            "",
            "Thank you",
            "",
            *filter(None, from_whom),
        ]
    )
    city = " ".join(filter(None, (payer.city, payer.region, payer.postal_code)))
    street = "" if payer.address_bad_since else payer.street
    return Reminder(
        payer_id=payer_id,
        name=payer.name,
        mail="" if payer.email_bad_since else payer.email,
        address=tuple(filter(None, (payer.name, street, city, payer.country))) if street else (),
        subject=", ".join(filter(None, (subject, shop.shop_name))),
        text=text,
        owed=tuple((stand.invoice.invoice_id, stand.due) for stand in asks),
        left_out=left_out,
        asked=_asked_last(asks, desk.today),
    )


def _asked_last(asks: Sequence[Stand], today: date) -> str:
    said = [word for one in asks for word in one.asked]
    last = max(said, key=lambda one: one.day, default=None)
    return f"Asked {near(last.day, today)}, {ASKED_BY[last.how]}" if last is not None else ""


def _why_not(desk: Desk, stand: Stand) -> str:
    """Why nobody is asked for an invoice now; "" where they are."""
    if stand.disputed:
        return "is disputed"
    day = stand.promised
    return f"is to be paid on {near(day, desk.today)}" if day and day >= desk.today else ""


def _line(desk: Desk, stand: Stand) -> str:
    paper = stand.invoice
    due = f", due {day_year(paper.due_on)}" if paper.due_on else ""
    rest = " is still open" if stand.came or stand.credited else ""
    return (
        f"Invoice {paper.number_text} of {day_year(paper.issued_on)}{due}: "
        f"{money(desk, stand.due)} {paper.currency}{rest}"
    )


def _others(session: Session, payer: Customer) -> str:
    """Whom to write to in place of one who has died."""
    names = people.others_of_household(session, payer.id) if payer.household else []
    if names:
        return (
            f"Of the same household is {names[0]}: call, or credit the invoice, say on the job "
            "that they pay, and issue it anew."
        )
    return (
        "Write to whoever sees to what they left: credit the invoice, say on the job who pays, and "
        "issue it anew."
    )


def ask(desk: Desk, shown: Reminder, how: str, text: str = "") -> tuple[Changed, Path]:
    """Write the reminder as the draft of a `mail` or as a `letter` on paper, for a person to send,
    and remember it with each invoice, in the words that went; `text`: a person's own.

    Judged again now: `Mendable`, and nothing is written, where what it asks for changed since it
    was shown, or where it must not go at all.
    """
    if len(text) > LONGEST_TEXT:
        raise Mendable(f"The reminder is longer than {LONGEST_TEXT:,} characters; shorten it.")
    now = reminder(desk, shown.payer_id)
    _same(shown, now)
    now = replace(now, text=text.strip() or now.text)
    if how == "mail" and not now.mail:
        raise Mendable(f"No mail address that arrives is known of {now.name}; print the letter.")
    if how == "letter" and not now.address:
        raise Mendable(f"No address that post reaches is known of {now.name}; write a mail.")
    with _asking(desk, now, how):
        path = _written(desk, now, how)
    return Changed(_asked_words(now, how), KINDS), path


def _written(desk: Desk, now: Reminder, how: str) -> Path:
    folder = papers_folder(desk, "reminders")
    stem = f"reminder {desk.today.isoformat()} {file_name(now.name, 'customer')}"
    if how == "mail":
        draft = OrderMail(
            sender_name=desk.settings.shop_name, sender_mail=desk.settings.shop_email,
            name=now.name, mail=now.mail, subject=now.subject, text=now.text, files=(),
            at=desk.clock(),
        )  # fmt: skip
        return write_order_mail(draft, folder / f"{stem}.eml")
    from app.documents.papers.statement_paper import letter_pdf

    settings = desk.settings
    return letter_pdf(
        (settings.shop_name, settings.shop_address), now.address, day_year(desk.today),
        now.subject, now.text, folder / f"{stem}.pdf", settings.region,
    )  # fmt: skip


def asked_by_phone(desk: Desk, shown: Reminder) -> Changed:
    """Remember that they were asked on the telephone for what a reminder would ask for."""
    now = reminder(desk, shown.payer_id)
    _same(shown, now)
    with _asking(desk, now, "phone"):
        pass
    return Changed(_asked_words(now, "phone"), KINDS)


def _asked_words(now: Reminder, how: str) -> str:
    return f"Asked {now.name} {ASKED_BY[how]}"


@contextmanager
def _asking(desk: Desk, now: Reminder, how: str) -> Iterator[None]:
    """Remember that they are asked; judged once more while nobody else writes, and before a paper
    is written."""
    name = _asked_words(now, how)
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        _same(now, _reminder(session, desk, now.payer_id))
        said = queries.words_on(session, [invoice_id for invoice_id, _ in now.owed])
        for invoice_id, _ in now.owed:
            word = _word(desk, invoice_id, kind="asked", how=how)
            word.text = "" if how == "phone" else now.text
            # The same once more on the same day, such as a second press, asks nobody twice.
            if not any(
                (one.kind, one.how, one.day, one.text) == ("asked", how, desk.today, word.text)
                for one in said.get(invoice_id, ())
            ):
                session.add(word)
        yield


def _same(shown: Reminder, now: Reminder) -> None:
    if shown.owed != now.owed:
        raise Mendable(
            f"What {now.name} owes changed since this was written; it is written anew, read it "
            "once more."
        )


def promise(desk: Desk, invoice_id: int, typed: str) -> Changed:
    """Remember the day on which they said that they pay: `Fri`, `20 Aug`, `+7`."""
    day = read_typed_day(desk, typed)
    if day is None:
        raise Mendable("Type the day that they named, such as Fri, 20 Aug or +7.")
    if day < desk.today:
        raise Mendable(f"{near(day, desk.today)} has gone by; type the day that they named.")
    number = _due_number(desk, invoice_id)
    name = f"{number}: they pay on {near(day, desk.today)}"
    return _note(desk, name, _word(desk, invoice_id, kind="promised", until=day))


def dispute(desk: Desk, invoice_id: int, why: str) -> Changed:
    """Remember that they say it is not right: nobody is asked for it until that is settled."""
    why = " ".join(why.split())
    if len(why) > LONGEST_NOTE:
        raise Mendable(f"What is not right is longer than {LONGEST_NOTE} characters; shorten it.")
    number = _due_number(desk, invoice_id)
    return _note(desk, f"{number} is disputed", _word(desk, invoice_id, kind="disputed", note=why))


def settle(desk: Desk, invoice_id: int) -> Changed:
    """Remember that a dispute is settled: what is due can be asked for again."""
    number = _due_number(desk, invoice_id)
    return _note(desk, f"{number}: the dispute is settled", _word(desk, invoice_id, kind="settled"))


def _due_number(desk: Desk, invoice_id: int) -> str:
    with desk.book.reading() as session:
        stand = there(stand_of(session, desk, invoice_id), "This invoice")
    if stand.due <= 0:
        raise Mendable(f"Nothing is due on invoice {stand.invoice.number_text}.")
    return stand.invoice.number_text


def _word(
    desk: Desk, invoice_id: int, *, kind: str, how: str = "", until: date | None = None,
    note: str = "",
) -> InvoiceWord:  # fmt: skip
    return InvoiceWord(
        invoice_id=invoice_id, day=desk.today, at=desk.clock(), kind=kind, how=how, until=until,
        note=note,
    )  # fmt: skip


def _note(desk: Desk, name: str, word: InvoiceWord) -> Changed:
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        session.add(word)
    return Changed(name, KINDS)
