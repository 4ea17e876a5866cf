"""Money that comes for an invoice: shared over its jobs, the oldest first, as one change."""

from __future__ import annotations

from typing import Any

from app.actions.day.money_taken import METHODS, ask_above_due
from app.actions.day.typed_money import Typed, read_taken
from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.open_day import UNTOUCHED_BY_TYPING, writing_on
from app.actions.jobs.invoice_standing import Part, Stand, stand_of
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.records.models import Receipt
from app.records.queries.days import Session

KINDS = frozenset({"money", "days"})


def take_for_invoice(desk: Desk, invoice_id: int, typed: str, method: str = "") -> Changed:
    """Note what came today for an invoice, such as `400 check`; nothing typed means all of it.

    A tip and what is kept for later stand with its last job. `Mendable` where nothing is due, or
    where more came than is due and nobody said what it is.
    """
    currency = desk.settings.currency
    read = read_taken(typed, currency) if typed.strip() else Typed(None)
    way = method or read.method
    if way and way not in METHODS:
        raise Mendable(f"“{way}” is no way of paying here; say {', '.join(METHODS)}.")
    with desk.book.reading() as session:
        stand = there(stand_of(session, desk, invoice_id), "This invoice")
    amount = _amount(desk, stand, read)
    name = f"Paid for {stand.invoice.number_text}: {money(desk, amount)}"
    name += f", {way}" if way else ""
    with writing_on(desk, desk.today, name, KINDS, untouched=UNTOUCHED_BY_TYPING) as session:
        # Judged again inside the change: somebody may have taken money meanwhile.
        stand = there(stand_of(session, desk, invoice_id), "This invoice")
        shares = _shares(stand, _amount(desk, stand, read))
        one = {"day": desk.today, "at": desk.clock(), "method": way}  # one payment, so one moment
        for part, share in shares:
            _write(session, part, amount=share, kind="payment", **one)
        for kind, beside in (("tip", read.tip), ("credit", read.credit)):
            if beside:
                _write(session, shares[-1][0], amount=beside, kind=kind, **one)
    jobs = f", over {count_of(len(shares), 'job')}" if len(shares) > 1 else ""
    left = stand.due - sum(share for _, share in shares)
    rest = "Nothing of it is due any more." if not left else f"{money(desk, left)} is still due."
    return Changed(name, KINDS, sentence=f"{name}{jobs}. {rest}")


def _amount(desk: Desk, stand: Stand, read: Typed) -> int:
    if stand.due <= 0:
        raise Mendable(f"Nothing is due on invoice {stand.invoice.number_text}.")
    if read.credit and any(part.job.customer_id is None for part in stand.parts):
        raise Mendable("A credit is held for a customer, and a job of this invoice has none.")
    amount = read.for_job(stand.due)
    if amount <= 0:
        raise Mendable("Type what came as a number above zero; money is given back on its job.")
    ask_above_due(desk, amount, stand.due, charged=True)
    return amount


def _shares(stand: Stand, amount: int) -> list[tuple[Part, int]]:
    """Each job that is paid something, the oldest first."""
    found = []
    for part in stand.parts:
        share = min(max(part.due, 0), amount)
        if share:
            found.append((part, share))
            amount -= share
    return found


def _write(session: Session, part: Part, **paid: Any) -> None:
    job = part.job
    session.add(Receipt(job_id=job.job_id, customer_id=job.customer_id, **paid))
