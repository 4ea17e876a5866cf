"""A charge that stands on an invoice stays as it was printed, also when something is undone."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection, select

from app.errors import Refused
from app.records.asking import in_parts
from app.records.models import Invoice, InvoiceLine
from app.records.undo.images import RowImage

_PRINTED = frozenset({"job_id", "text", "amount", "tax_rate"})


def hold_invoiced_charges(connection: Connection, images: Iterable[RowImage]) -> None:
    """Refuse a change of charges that stand on an invoice or credit note.

    Raises:
        Refused: names the paper, and what to write instead.
    """
    changed = {
        image.key
        for image in images
        if image.table.name == "charges"
        and image.before is not None
        and (image.after is None or _PRINTED & image.after.keys())
    }
    for part in in_parts(changed):
        query = (
            select(Invoice.kind, Invoice.year, Invoice.number)
            .join(InvoiceLine, InvoiceLine.invoice_id == Invoice.id)
            .where(InvoiceLine.charge_id.in_(part))
        )
        for kind, year, number in connection.execute(query):
            what = "credit note C-" if kind == "credit" else "invoice "
            raise Refused(
                f"This charge stands on {what}{year}-{number:04d}, which stays as it was issued; "
                "write a credit note (F11 on the job’s money), or another charge."
            )
