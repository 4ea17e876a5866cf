"""From the lines of people's files to drafts: past and booked jobs, layers and receipts."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from app.actions.exchange.alike import plain_name
from app.actions.exchange.drafts import Draft, Drafts, row_of, standing_lines
from app.actions.exchange.gathering import People
from app.actions.exchange.gathering_shelf import ShelfGathering
from app.actions.exchange.outcomes import LineOutcome, add_notes, take
from app.calculations.layers.protection import PAINT, ProtectionClass
from app.documents.reading.lines import (
    JobLine,
    LayerLine,
    Line,
    PaidLine,
    ReceiptLine,
    VehicleLine,
)
from app.documents.reading.title_reading import usual_groups

Moment = Callable[[date], datetime]
# A number that was taken already, as the notes keep it; "No. 3 bay preferred" is a remark.
_MARK = re.compile(r"No\. \S{1,40}")


class WorkGathering:
    """Finds and drafts jobs, layers and receipts, once people and supplies are known."""

    def __init__(
        self,
        drafts: Drafts,
        people: People,
        shelf: ShelfGathering,
        moment: Moment,
        told: Iterable[str],
    ) -> None:
        """`moment` gives the moment that stands for a day of which no hour is known; `told` are the
        numbers that the files give their jobs: jobs without one get numbers beyond all of them.
        """
        self._drafts = drafts
        self._people = people
        self._shelf = shelf
        self._moment = moment
        self._by_number: dict[int, Draft] = {}
        self._by_mark: dict[str, Draft] = {}
        self._by_day: dict[Any, list[Draft]] = defaultdict(list)
        for job in drafts.all("jobs"):
            self._by_number[int(job.get("number"))] = job
            self._by_day[job.get("first_day")].append(job)
            self._mark(job)
        numbers = [number for text in told if (number := _number(text)) is not None]
        self._next = max([*self._by_number, *numbers], default=0) + 1
        self._of_job: dict[str, dict[Any, list[Draft]]] = {}
        for kind in ("charges", "receipts", "hours"):
            found: dict[Any, list[Draft]] = defaultdict(list)
            for draft in drafts.all(kind):
                found[draft.get("job_id")].append(draft)
            self._of_job[kind] = found
        self._layers = {
            _layer_key(layer.values)
            for layer in standing_lines(drafts.all("layer_events"))
            if layer.get("kind") == "applied"
        }
        self._receipts: dict[Any, list[Draft]] = defaultdict(list)
        for receipt in standing_lines(drafts.all("receipts")):
            self._index_receipt(receipt)
        # What a table has told of already: each of its lines is a job, a payment of its own.
        self._used: set[tuple[str, str, int]] = set()

    # Jobs

    def job(self, line: JobLine) -> LineOutcome:
        """The job of a line, found or drafted, with hours, charges and money."""
        outcome = LineOutcome(line)
        assert line.day is not None
        customer = self._people.named(line.customer, outcome)
        vehicle = self._vehicle(line.vehicle, customer)
        if customer is None and vehicle is not None:
            customer = self._people.holder_of(vehicle)
        found = self._find_job(line, customer, vehicle)
        if found is None:
            outcome.made = True
            found = self._new_job(line, customer, vehicle)
        again = found.is_new and not outcome.made and self._is_used(line, found)
        outcome.draft = found
        self._use(line, found)
        if again:
            self._go_on(found, line)
        elif not outcome.made:
            take(outcome, found, "state", line.state)
            take(outcome, found, "last_day", line.last_day)
        if vehicle is not None and found.get("vehicle_id") is None:
            found.values["vehicle_id"] = vehicle
            if not outcome.made:
                outcome.changes.append(f"vehicle: {vehicle.get('description')}")
        add_notes(outcome, found, line.notes)
        self._take_hours(outcome, found, line, again)
        self._take_charges(outcome, found, line, again)
        for paid in line.paid:
            self._take_paid(outcome, found, customer, replace(paid, day=paid.day or line.day))
        return outcome

    def _vehicle(self, line: VehicleLine | None, customer: Draft | None) -> Draft | None:
        """The vehicle that a job or layer is about; the customer's only one where none is said."""
        if line is not None:
            owner = customer
            if owner is None and line.owner.name:
                owner = self._people.find(line.owner)
            return self._people.find_vehicle(line, owner) or self._people.vehicle(line).draft
        if customer is None:
            return None
        held = self._people.held_by(customer)
        return held[0] if len(held) == 1 else None

    def _find_job(
        self, line: JobLine, customer: Draft | None, vehicle: Draft | None
    ) -> Draft | None:
        """The same job: by its number and day, or by day, who and what.

        Two lines of one table that are alike in everything are two jobs (two vans of one firm);
        in the next bringing-in each finds its own.
        """
        number = _number(line.number)
        numbered = self._by_number.get(number) if number is not None else None
        if numbered is not None and numbered.get("first_day") == line.day:
            theirs = row_of(numbered.points_to("customer_id"))
            if customer is None or theirs is None or theirs == row_of(customer):
                return numbered
        mark = f"No. {line.number}" if line.number else ""
        for job in self._by_day.get(line.day, ()):
            if self._is_used(line, job):
                continue
            if customer is None and vehicle is None and job.get("customer_id") is not None:
                continue
            if customer is not None and row_of(job.points_to("customer_id")) != row_of(customer):
                continue
            theirs = row_of(job.points_to("vehicle_id"))
            if vehicle is not None and theirs is not None and theirs != row_of(vehicle):
                continue
            notes = str(job.get("notes") or "").splitlines()
            if mark and any(_MARK.fullmatch(note) and note != mark for note in notes):
                continue
            if mark and job.is_new and job.get("number") != number and mark not in notes:
                continue
            if plain_name(str(job.get("title"))) == plain_name(line.services):
                return job
        return None

    def _index_receipt(self, receipt: Draft) -> None:
        """Find a receipt by its job, and by who paid and when."""
        amount, job = receipt.get("amount"), row_of(receipt.points_to("job_id"))
        if job is not None:
            self._receipts[amount, "job", job].append(receipt)
        payer = row_of(receipt.points_to("customer_id"))
        self._receipts[amount, receipt.get("day"), payer].append(receipt)

    def _is_used(self, line: Line, draft: Draft) -> bool:
        return (line.source.file, line.source.sheet, id(draft)) in self._used

    def _use(self, line: Line, draft: Draft) -> None:
        self._used.add((line.source.file, line.source.sheet, id(draft)))

    def _new_job(self, line: JobLine, customer: Draft | None, vehicle: Draft | None) -> Draft:
        number = _number(line.number)
        notes = ""
        if number is None or number in self._by_number:
            if line.number:
                notes = f"No. {line.number}"
            number = self._next
        self._next = max(self._next, number + 1)
        last = line.last_day or line.day
        done = line.state == "done"
        job = self._drafts.new(
            "jobs", line.source.whole(), number=number, title=line.services, state=line.state,
            first_day=line.day, last_day=last, done_on=last if done else None, notes=notes,
            expected_minutes=line.minutes or 0,
        )  # fmt: skip
        if customer is not None:
            job.values["customer_id"] = customer
        if vehicle is not None:
            job.values["vehicle_id"] = vehicle
        self._by_number[number] = job
        self._by_day[line.day].append(job)
        self._mark(job)
        return job

    def _go_on(self, job: Draft, line: JobLine) -> None:
        """One more row of the same job, as logs with a row for each item have it."""
        title = str(job.get("title") or "")
        if line.services and plain_name(line.services) not in plain_name(title):
            job.values["title"] = f"{title}, {line.services}".strip(", ")[:200]
        last = line.last_day or line.day
        if last and job.get("last_day") and last > job.get("last_day"):
            job.values["last_day"] = last

    def _take_hours(self, outcome: LineOutcome, job: Draft, line: JobLine, again: bool) -> None:
        if not line.minutes:
            return
        stood = self._of_job["hours"][row_of(job)]
        told = sum(int(d.get("minutes")) for d in stood)
        if not stood or again:
            hours = self._drafts.new(
                "hours", line.source.whole(), job_id=job, day=line.day, minutes=line.minutes,
                state="confirmed", typed="",
            )  # fmt: skip
            stood.append(hours)
            if job.is_new:
                job.values["expected_minutes"] = told + line.minutes
            if not outcome.made:
                outcome.changes.append(f"hours: {line.minutes / 60:g}")
        elif told < line.minutes:
            outcome.remarks.append(
                f"the book has {told / 60:g} hours for this job, the file {line.minutes / 60:g}; "
                "the book's stay"
            )

    def _take_charges(self, outcome: LineOutcome, job: Draft, line: JobLine, again: bool) -> None:
        if not line.charges:
            return
        stood = self._of_job["charges"][row_of(job)]
        if not stood or again:
            for charge in line.charges:
                made = self._drafts.new(
                    "charges", line.source.whole(), job_id=job, position=len(stood),
                    text=charge.text, amount=charge.amount, tax_rate=charge.tax_rate,
                )  # fmt: skip
                stood.append(made)
            if not outcome.made:
                outcome.changes.append("charges")
            return
        known = [(str(d.get("text")), d.get("amount")) for d in stood]
        if any((charge.text, charge.amount) not in known for charge in line.charges):
            outcome.remarks.append("the book has other charges for this job; the book's stay")

    def _take_paid(
        self, outcome: LineOutcome, job: Draft | None, customer: Draft | None, paid: PaidLine,
        note: str = "",
    ) -> bool:  # fmt: skip
        """Money that came; False when it stands in the book already."""
        line, day = outcome.line, paid.day
        assert day is not None
        near = [*self._receipts[paid.amount, "job", row_of(job)]] if job is not None else []
        near += self._receipts[paid.amount, day, row_of(customer)]
        for receipt in near:
            if not self._is_used(line, receipt) and _same_money(receipt, job, customer, paid):
                self._use(line, receipt)
                return False
        made = self._drafts.new(
            "receipts", line.source.whole(), job_id=job, customer_id=customer, day=day,
            at=self._moment(day), amount=paid.amount, method=paid.method, kind=paid.kind,
            note=note[:300],
        )  # fmt: skip
        self._index_receipt(made)
        self._use(line, made)
        if not outcome.made:
            outcome.changes.append("money received")
        return True

    # Layers

    def layer(self, line: LayerLine) -> LineOutcome:
        """The layer of a line on each of its surface groups, found or drafted."""
        outcome = LineOutcome(line)
        assert line.day is not None
        customer = self._people.named(line.customer, outcome)
        vehicle = self._vehicle(line.vehicle, customer)
        if vehicle is None:
            who = line.customer.name or "nobody"
            outcome.refused = (
                f"it is not said which vehicle of {who} it was put on; name the vehicle in the file"
            )
            return outcome
        supply = self._shelf.applied(line.supply, outcome)
        groups = line.surface_groups or _usual_groups(str(supply.get("protection") or ""))
        job = next(
            (
                job
                for job in self._by_day.get(line.day, ())
                if row_of(job.points_to("vehicle_id")) == row_of(vehicle)
            ),
            None,
        )
        told = 0
        for group in groups:
            values: dict[str, Any] = {
                "vehicle_id": vehicle, "day": line.day, "surface_group": group, "supply_id": supply,
            }  # fmt: skip
            key = _layer_key(values)
            if key in self._layers:
                continue
            self._layers.add(key)
            told += 1
            made = self._drafts.new(
                "layer_events", line.source.whole(), at=self._moment(line.day), kind="applied",
                note=line.notes[:300], job_id=job, **values,
            )  # fmt: skip
            outcome.draft = outcome.draft or made
        if not line.surface_groups:
            outcome.remarks.append("no surfaces are said; taken for " + ", ".join(groups))
        outcome.made = told > 0
        outcome.draft = outcome.draft or vehicle
        return outcome

    # Receipts

    def receipt(self, line: ReceiptLine) -> LineOutcome:
        """Money that came, found or drafted."""
        outcome = LineOutcome(line)
        assert line.day is not None
        assert line.amount is not None
        customer = self._people.named(line.customer, outcome)
        number = _number(line.job_number)
        job = self._by_number.get(number) if number is not None else None
        if job is None and line.job_number:
            job = self._by_mark.get(f"No. {line.job_number}")
        note = line.notes
        if line.job_number and job is None:
            note = f"For {line.job_number}. {note}".strip()
        if job is not None and customer is None:
            customer = self._customer_of(job)
        outcome.draft = job or customer
        outcome.made = True
        paid = PaidLine(line.amount, line.day, line.method, line.receipt_kind)
        outcome.made = self._take_paid(outcome, job, customer, paid, note)
        return outcome

    def _mark(self, job: Draft) -> None:
        """Index another list's number, which the notes carry where the book's own was taken."""
        for note in str(job.get("notes") or "").splitlines():
            if _MARK.fullmatch(note):
                self._by_mark.setdefault(note, job)

    def _customer_of(self, job: Draft) -> Draft | None:
        found = job.points_to("customer_id")
        return self._drafts.standing("customers", found) if isinstance(found, int) else found


def _number(text: str) -> int | None:
    """A job's number from what the file calls it: 1021, "INV-1021" is none of ours."""
    text = text.strip().removeprefix("#").removesuffix(".0")
    return int(text) if text.isascii() and text.isdigit() and 0 < len(text) < 8 else None


def _same_money(receipt: Draft, job: Draft | None, customer: Draft | None, paid: PaidLine) -> bool:
    """The same payment, told by the log of jobs and by the list of payments."""
    theirs = row_of(receipt.points_to("job_id"))
    if (receipt.get("kind") == "refund") != (paid.kind == "refund"):
        return False
    if paid.method and receipt.get("method") and receipt.get("method") != paid.method:
        return False
    if job is not None and theirs is not None:
        # The job's own payment; a list that only says "paid" does not know the day.
        return bool(theirs == row_of(job))
    if receipt.get("day") != paid.day:
        return False
    payer = row_of(receipt.points_to("customer_id"))
    return bool(customer is not None and payer == row_of(customer)) or (
        customer is None and job is None and theirs is None and payer is None
    )


def _layer_key(values: Mapping[str, Any]) -> tuple[Any, ...]:
    return (
        row_of(values["vehicle_id"]), values["day"], values["surface_group"],
        row_of(values["supply_id"]),
    )  # fmt: skip


def _usual_groups(protection: str) -> tuple[str, ...]:
    """The surfaces that such a layer usually goes on; paint where nothing is known."""
    known = protection in {one.value for one in ProtectionClass}
    return tuple(group.value for group in (usual_groups(protection) if known else sorted(PAINT)))
