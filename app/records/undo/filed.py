"""What was filed stays: no change of charges, invoices or receipts in the days of a filing.

A filing is taken off only by unlocking it, which leaves its mark. What was wrong is put right by a
line of a later day.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from app.calculations.numbers.dates import day_year
from app.errors import Refused
from app.records.asking import in_parts
from app.records.models import Charge, Filing, Invoice, InvoiceLine, Job, Receipt
from app.records.undo.images import RowImage

# What moves the figures of a day; the others may change, also when a person is erased.
_COUNTS = {
    "receipts": {"day", "job_id", "amount", "kind", "method"},
    "charges": {"job_id", "amount", "tax_rate"},
    "jobs": {"done_on", "state"},
    "invoices": {"issued_on", "net", "tax", "gross"},
}
_DAYS = {"receipts": "day", "jobs": "done_on", "invoices": "issued_on"}
_INSTEAD = {
    "receipts": "Write the difference on a day after it",
    "charges": "Issue the invoice and credit it, or charge another job",
    "jobs": "Credit its invoice, or book another job",
    "invoices": "Issue it on a later day",
}


def hold_filed_days(connection: Connection, images: Iterable[RowImage]) -> None:
    """Refuse what would change the figures of days that were filed.

    Raises:
        Refused: names the days, and what to write instead.
    """
    images = list(images)
    touched = [one for one in images if _moves(one)]
    bases = [one for one in images if one.table.name == "settings" and one.key == "tax_basis"]
    if not touched and not bases:
        return
    # What comes together with its filing, such as a whole book, was filed so.
    new = {one.key for one in images if one.table.name == "filings" and one.before is None}
    spans = [
        tuple(span)
        for number, *span in connection.execute(
            select(Filing.id, Filing.first_day, Filing.last_day, Filing.filed_on).where(
                Filing.unlocked_on.is_(None)
            )
        )
        if number not in new
    ]
    if not spans:
        return
    for image in bases:
        then, now = ((side or {}).get("value") or {} for side in (image.before, image.after))
        turned = [day for day in {*then, *now} if then.get(day) != now.get(day)]
        if turned and any(last >= date.fromisoformat(min(turned)) for _first, last, _on in spans):
            raise Refused("Days were filed by what tax is counted by now; unlock them first.")
    days = _days_of_charges(connection, touched)
    for image in touched:
        table = image.table.name
        moved = days.get(image.key, set()) if table == "charges" else _own_days(connection, image)
        for first, last, filed_on in spans:
            if any(first <= day <= last for day in moved):
                raise Refused(
                    f"The days from {day_year(first)} to {day_year(last)} were filed on "
                    f"{day_year(filed_on)} and stay as they were. {_INSTEAD[table]}; or unlock "
                    "them on the slip (U), which leaves a mark."
                )


def _moves(image: RowImage) -> bool:
    counts = _COUNTS.get(image.table.name)
    if counts is None:
        return False
    if image.before is None or image.after is None:
        return image.table.name != "jobs" or bool((image.before or image.after or {})["done_on"])
    return bool(counts & image.after.keys())


def _own_days(connection: Connection, image: RowImage) -> set[date]:
    """The days that a receipt, job or paper counts on, before and after."""
    name = _DAYS[image.table.name]
    said: list[Any] = [side[name] for side in (image.before, image.after) if side and name in side]
    if not said:
        model = {"receipts": Receipt, "jobs": Job, "invoices": Invoice}[image.table.name]
        column = model.__table__.c[name]
        said = [connection.scalar(select(column).where(model.__table__.c.id == image.key))]
    return {date.fromisoformat(str(one)) for one in said if one}


def _days_of_charges(connection: Connection, images: Iterable[RowImage]) -> dict[Any, set[date]]:
    """By charge, the days that it counts on: its job's, or of a credit note that it comes from."""
    charges = [one for one in images if one.table.name == "charges"]
    jobs: dict[Any, set[int]] = defaultdict(set)
    for image in charges:
        for side in (image.before, image.after):
            if side and side.get("job_id"):
                jobs[image.key].add(side["job_id"])
    left = [one.key for one in charges if one.key not in jobs]
    for part in in_parts(left):
        query = select(Charge.id, Charge.job_id).where(Charge.id.in_(part))
        for charge_id, job_id in connection.execute(query):
            jobs[charge_id].add(job_id)
    done: dict[int, date] = {}
    for part in in_parts({one for some in jobs.values() for one in some}):
        when = select(Job.id, Job.done_on).where(Job.id.in_(part), Job.state == "done")
        done |= {job_id: day for job_id, day in connection.execute(when) if day}
    credited: dict[int, date] = {}
    for part in in_parts(set(jobs)):
        papers = (
            select(InvoiceLine.charge_id, Invoice.issued_on)
            .join(Invoice, Invoice.id == InvoiceLine.invoice_id)
            .where(Invoice.kind == "credit", InvoiceLine.charge_id.in_(part))
        )
        credited |= {key: day for key, day in connection.execute(papers) if key is not None}
    return {
        key: {credited[key]} if key in credited else {done[one] for one in some if one in done}
        for key, some in jobs.items()
    }
