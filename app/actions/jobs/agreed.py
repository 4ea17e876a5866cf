"""What an estimate says of a job's charges, and charging what was agreed and stands on none yet."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import numbered
from app.actions.jobs.booking_jobs import KINDS, changing, job_of, last_charge
from app.actions.jobs.by_time import comes_to, read_charge
from app.actions.jobs.estimate_lines import words_of_enquiry
from app.actions.jobs.estimate_versions import Version, approved, versions
from app.actions.jobs.invoices import Papers, papers_of
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.records.models import Charge
from app.records.queries import jobs as queries
from app.records.queries.estimates import LineRow
from app.records.queries.jobs import ChargeRow


@dataclass(frozen=True)
class Agreed:
    """A version beside the job's charges: by charge its likely price, minor units before tax, and
    the lines that the customer said yes to and no charge stands for."""

    version: Version
    likely: dict[int, int] = field(default_factory=dict)
    missing: tuple[LineRow, ...] = ()


def agreed_with(found: Sequence[Version], charges: Sequence[ChargeRow]) -> Agreed | None:
    """What the version that they said yes to, else the newest, says of these charges."""
    version = approved(found) or (found[-1] if found else None)
    if version is None:
        return None
    words = words_of_enquiry(version.lines, charges)
    left, likely = list(charges), {}
    missing = []
    for line in version.counted:
        charge = next((one for one in left if _stands_for(one, line)), None)
        if charge is not None:
            left.remove(charge)
            likely[charge.charge_id] = line.likely
        elif line.likely and line is not words:
            missing.append(line)
    said_yes = version.row.state == "approved"
    return Agreed(version, likely, tuple(missing) if said_yes else ())


def _stands_for(charge: ChargeRow, line: LineRow) -> bool:
    if line.service_id is not None:
        return charge.service_id == line.service_id
    return charge.text == line.text


def charge_agreed(desk: Desk, job_id: int, line_id: int | None = None, typed: str = "") -> Changed:
    """Charge what was agreed and stands on no charge; of one line what is typed, else its likely.

    Where nothing is missing and every invoice was credited whole, the charges of the last are
    written again, to be put right and invoiced. `Mendable` where there is neither.
    """
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number = numbered(job.number)
        charges = queries.charges_of(session, job_id)
    found = agreed_with(versions(desk, job_id), charges)
    missing = found.missing if found is not None else ()
    if line_id is not None:
        missing = tuple(one for one in missing if one.line_id == line_id)
    new: list[dict[str, Any]] = [
        {
            "text": one.text, "amount": one.likely, "tax_rate": one.tax_rate,
            "tax_kind": one.tax_kind, **_by_time(found, one),
        }
        for one in missing
    ]  # fmt: skip
    if line_id is not None and typed.strip():
        for one in new:
            one["amount"], one["minutes"], one["hour_rate"] = read_charge(desk, typed)
    if not new and line_id is None:
        new = _credited_whole(papers_of(desk, job_id), job_id, charges)
    if not new:
        raise Mendable("Nothing was agreed that does not stand among the charges already.")
    words = new[0]["text"] if len(new) == 1 else count_of(len(new), "charge")
    name = f"{words[:60]} on {number}: {money(desk, sum(one['amount'] for one in new))}"
    with changing(desk, name) as session:
        at = last_charge(session, job_id)
        for position, one in enumerate(new, at + 1):
            session.add(Charge(job_id=job_id, position=position, **one))
    return Changed(name, KINDS)


def _by_time(found: Agreed | None, line: LineRow) -> dict[str, int]:
    """The hours and the rate of a line whose likely price is their product."""
    rate = found.version.row.hour_rate if found is not None else 0
    if not line.minutes or not rate or comes_to(line.minutes, rate) != line.likely:
        return {}
    return {"minutes": line.minutes, "hour_rate": rate}


def _credited_whole(
    papers: Papers, job_id: int, charges: Collection[ChargeRow]
) -> list[dict[str, Any]]:
    """The job's charges on the newest invoice, where all of each was credited."""
    if not papers.all_credited or papers.newest is None:
        return []
    services = {one.charge_id: one.service_id for one in charges}
    return [
        {
            "text": line.text, "amount": line.amount, "tax_rate": line.tax_rate,
            "minutes": line.minutes, "hour_rate": line.hour_rate,
            "service_id": services.get(line.charge_id or 0),
        }
        for line in papers.newest.lines
        if line.job_id == job_id
    ]  # fmt: skip
