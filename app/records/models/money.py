"""What is owed and what came: charges and receipts, in whole minor units; estimates and invoices.

A version of an estimate that was given to a customer stays as it was given
(`records/undo/given_versions.py`). What an invoice printed never changes: triggers hold it in the
database itself, whatever program opens the book; they are lifted only while a person is erased.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any

from sqlalchemy import DDL, Connection, ForeignKey, String, Table, Text, UniqueConstraint, event
from sqlalchemy.orm import Mapped, mapped_column

from app.records.models.base import CONFIRMED, KEEPS_NUMBERS, LATE, Ledger, Record

# Money that came with a job and pays nothing of it: a tip is the worker's, a credit is held for the
# customer's later jobs (and below zero where one of them is paid from it).
BESIDE_THE_JOB = ("tip", "credit")
# What went out and was no cost: it is held for others, or lay in the till.
NO_COST = ("tips", "tax", "till")
EXPENSE_KINDS = (
    "rent", "insurance", "fuel", "card fees", "tools", "phone", "advertising", "repairs", "other",
    *NO_COST,
)  # fmt: skip


class Charge(Record):
    """One line of what a job costs its customer, before tax; a discount is negative."""

    __tablename__ = "charges"

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    position: Mapped[int] = mapped_column(default=0)
    text: Mapped[str] = mapped_column(String(200))
    amount: Mapped[int]
    # Thousandths of a percent, as it stood when the line was written: 7.25 % is 7250.
    tax_rate: Mapped[int] = mapped_column(default=0)
    tax_kind: Mapped[str] = mapped_column(String(40), default="")  # empty: not said
    # Charged by time: minutes and the rate an hour, whose product the amount is; else 0 and 0.
    minutes: Mapped[int] = mapped_column(default=0)
    hour_rate: Mapped[int] = mapped_column(default=0)
    service_id: Mapped[int | None] = mapped_column(ForeignKey("services.id", **LATE))


class TaxRate(Record):
    """The tax on a kind of line from a day on, in one place; a later one takes its place."""

    __tablename__ = "tax_rates"
    __table_args__ = (UniqueConstraint("kind", "place", "from_day"), KEEPS_NUMBERS)

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(40))  # work, goods, travel, as the shop says
    place: Mapped[str] = mapped_column(String(60), default="")  # empty: the shop's own
    rate: Mapped[int]  # thousandths of a percent
    from_day: Mapped[date]
    words: Mapped[str] = mapped_column(String(60), default="")  # printed beside the rate


class Filing(Record):
    """A span of days whose tax was filed; locked until it is unlocked, which leaves its mark."""

    __tablename__ = "filings"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    first_day: Mapped[date]
    last_day: Mapped[date]
    filed_on: Mapped[date]
    at: Mapped[datetime]
    figures: Mapped[dict[str, Any]] = mapped_column(default=dict)  # as filed, in minor units
    unlocked_on: Mapped[date | None]
    unlocked_because: Mapped[str] = mapped_column(String(300), default="")


class Receipt(Ledger, Record):
    """Money that came (or went back, negative); held as a deposit until its job is done."""

    __tablename__ = "receipts"
    __table_args__ = KEEPS_NUMBERS
    alike = ("job_id", "customer_id", "method")
    other_way = ("amount",)

    id: Mapped[int] = mapped_column(primary_key=True)
    # Named, not bound: a final line stays when undo takes out the job or customer.
    job_id: Mapped[int | None] = mapped_column(index=True)
    customer_id: Mapped[int | None] = mapped_column(index=True)
    day: Mapped[date] = mapped_column(index=True)
    at: Mapped[datetime]
    amount: Mapped[int]
    method: Mapped[str] = mapped_column(String(15), default="")  # cash, check, card, transfer
    kind: Mapped[str] = mapped_column(String(10), default="payment")
    # payment, deposit, refund, tip, credit, reversed
    # confirmed; expected: booked as filled in, nobody said that it came
    state: Mapped[str] = mapped_column(String(12), default=CONFIRMED)
    counters_id: Mapped[int | None] = mapped_column(
        ForeignKey("receipts.id", **LATE), index=True, unique=True
    )
    note: Mapped[str] = mapped_column(String(300), default="")

    def counter(self) -> dict[str, Any]:
        """The same money the other way; of a tip or credit one too, never taken for the job's."""
        kind = {"kind": self.kind} if self.kind in BESIDE_THE_JOB else {}
        return super().counter() | kind


class Expense(Ledger, Record):
    """Money that went out beside the supplies; with its tax, below zero where it came back.

    Of three kinds it is no cost: tips handed on, tax paid over, cash taken out of the till (put
    into it: below zero).
    """

    __tablename__ = "expenses"
    __table_args__ = KEEPS_NUMBERS
    alike = ("text", "method", "use_tax_rate")
    other_way = ("amount", "tax")

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(index=True)
    at: Mapped[datetime]
    kind: Mapped[str] = mapped_column(String(12), default="other")  # one of `EXPENSE_KINDS`
    text: Mapped[str] = mapped_column(String(200), default="")
    amount: Mapped[int]
    tax: Mapped[int] = mapped_column(default=0)  # in the amount
    # Of goods bought without tax and without an order: the rate of use tax, thousandths of a
    # percent; else 0.
    use_tax_rate: Mapped[int] = mapped_column(default=0)
    method: Mapped[str] = mapped_column(String(15), default="")  # as of receipts
    # Where the close wrote it: by which rule, and the first day of the month or year it is for. A
    # line that takes one back says both where it need not be written again.
    repeat_id: Mapped[int | None] = mapped_column(index=True)
    period: Mapped[date | None]
    counters_id: Mapped[int | None] = mapped_column(
        ForeignKey("expenses.id", **LATE), index=True, unique=True
    )
    note: Mapped[str] = mapped_column(String(300), default="")

    def counter(self) -> dict[str, Any]:
        """The same money the other way, of the same kind, so that sums by kind stay right."""
        return super().counter() | {"kind": self.kind}


class Photo(Record):
    """A photo, such as of an expense's receipt; its file lies beside the book under its hash."""

    __tablename__ = "photos"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    sha256: Mapped[str] = mapped_column(String(64), index=True)  # of the file as it came
    size: Mapped[int]  # bytes
    form: Mapped[str] = mapped_column(String(10))  # what it is, by its content: jpeg, png, webp
    name: Mapped[str] = mapped_column(String(200), default="")  # as its file was called
    day: Mapped[date]
    at: Mapped[datetime]
    # Named, not bound: an expense is a final line, and stays.
    expense_id: Mapped[int | None] = mapped_column(index=True)


class Repeat(Record):
    """An expense that comes again every month or year; the close writes each one that is due."""

    __tablename__ = "repeats"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(12), default="other")
    text: Mapped[str] = mapped_column(String(200), default="")
    amount: Mapped[int]
    tax: Mapped[int] = mapped_column(default=0)
    method: Mapped[str] = mapped_column(String(15), default="")
    every: Mapped[str] = mapped_column(String(5), default="month")  # month, year
    from_day: Mapped[date]
    until: Mapped[date | None]


class Estimate(Record):
    """A version of what a job will take and cost: low, likely, not above; money with its tax."""

    __tablename__ = "estimates"
    __table_args__ = (UniqueConstraint("job_id", "version"), KEEPS_NUMBERS)

    id: Mapped[int] = mapped_column(primary_key=True)
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    version: Mapped[int]  # from 1 in each job
    made_on: Mapped[date]
    at: Mapped[datetime]
    state: Mapped[str] = mapped_column(String(10), default="draft")  # draft, given, approved
    low_minutes: Mapped[int] = mapped_column(default=0)
    minutes: Mapped[int] = mapped_column(default=0)
    high_minutes: Mapped[int] = mapped_column(default=0)
    low: Mapped[int] = mapped_column(default=0)
    likely: Mapped[int] = mapped_column(default=0)
    high: Mapped[int] = mapped_column(default=0)
    tax_rule: Mapped[str] = mapped_column(String(10), default="total")  # total, line
    valid_until: Mapped[date | None]
    reason: Mapped[str] = mapped_column(Text, default="")  # why it is a range
    assumptions: Mapped[str] = mapped_column(Text, default="")  # one a line, as the next two
    not_included: Mapped[str] = mapped_column(Text, default="")
    left_alone: Mapped[str] = mapped_column(Text, default="")
    deposit: Mapped[int] = mapped_column(default=0)  # asked
    given_on: Mapped[date | None]
    # As it was given: the rate an hour, and to whom for what; empty in drafts, and in what was
    # given before the book kept them.
    hour_rate: Mapped[int] = mapped_column(default=0)
    name: Mapped[str] = mapped_column(String(200), default="")
    address: Mapped[str] = mapped_column(Text, default="")  # in lines
    vehicle: Mapped[str] = mapped_column(String(250), default="")
    approved_on: Mapped[date | None]
    approved_at: Mapped[datetime | None]
    approved_by: Mapped[str] = mapped_column(String(120), default="")
    approved_how: Mapped[str] = mapped_column(String(10), default="")
    ceiling: Mapped[int | None]  # not above without another yes, with its tax; as approved


class EstimateLine(Record):
    """A line of an estimate: minutes, and amounts before tax; a discount is negative."""

    __tablename__ = "estimate_lines"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    estimate_id: Mapped[int] = mapped_column(ForeignKey("estimates.id", **LATE), index=True)
    position: Mapped[int]
    text: Mapped[str] = mapped_column(String(200))
    low_minutes: Mapped[int] = mapped_column(default=0)
    minutes: Mapped[int] = mapped_column(default=0)
    high_minutes: Mapped[int] = mapped_column(default=0)
    low: Mapped[int] = mapped_column(default=0)
    likely: Mapped[int] = mapped_column(default=0)
    high: Mapped[int] = mapped_column(default=0)
    tax_rate: Mapped[int] = mapped_column(default=0)  # thousandths of a percent
    tax_kind: Mapped[str] = mapped_column(String(40), default="")  # empty: not said
    # Filled in by the program, and not yet taken nor changed by a person.
    proposed: Mapped[bool] = mapped_column(default=False)
    service_id: Mapped[int | None] = mapped_column(ForeignKey("services.id", **LATE))


class HoldPoint(Record):
    """Where the work waits for the customer, and what they answered."""

    __tablename__ = "hold_points"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    estimate_id: Mapped[int] = mapped_column(ForeignKey("estimates.id", **LATE), index=True)
    position: Mapped[int]
    text: Mapped[str] = mapped_column(String(300))
    answer: Mapped[str] = mapped_column(String(300), default="")
    answered_on: Mapped[date | None]
    answered_at: Mapped[datetime | None]
    channel: Mapped[str] = mapped_column(String(10), default="")


class EstimateCall(Record):
    """A call because a job passes what was approved: who, what was said, the new ceiling."""

    __tablename__ = "estimate_calls"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    estimate_id: Mapped[int] = mapped_column(ForeignKey("estimates.id", **LATE), index=True)
    day: Mapped[date]
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(120), default="")
    said: Mapped[str] = mapped_column(String(300), default="")
    reached: Mapped[int]  # what the job comes to by then, with its tax
    ceiling: Mapped[int | None]  # the new one; empty where it stays


class Invoice(Record):
    """An invoice, or a credit note to one; sums as printed, in minor units, never below zero."""

    __tablename__ = "invoices"
    __table_args__ = (UniqueConstraint("kind", "year", "number"), KEEPS_NUMBERS)

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(10), default="invoice")  # invoice, credit
    # Counted from 1 in each year of each kind, without a gap.
    year: Mapped[int]
    number: Mapped[int]
    issued_on: Mapped[date] = mapped_column(index=True)
    at: Mapped[datetime]
    # Who pays, and need not be the owner; empty where the job has no customer.
    payer_id: Mapped[int | None] = mapped_column(ForeignKey("customers.id", **LATE), index=True)
    payer_name: Mapped[str] = mapped_column(String(200), default="")  # as printed
    payer_address: Mapped[str] = mapped_column(Text, default="")  # as printed, in lines
    # Of a credit note: the invoice that it takes back, or a part of.
    credits_id: Mapped[int | None] = mapped_column(ForeignKey("invoices.id", **LATE), index=True)
    reason: Mapped[str] = mapped_column(String(300), default="")
    order_number: Mapped[str] = mapped_column(String(60), default="")  # the customer's own
    terms_days: Mapped[int] = mapped_column(default=0)
    due_on: Mapped[date | None]
    currency: Mapped[str] = mapped_column(String(3))
    tax_rule: Mapped[str] = mapped_column(String(10))  # total, line
    tax_text: Mapped[str] = mapped_column(String(200), default="")  # why no tax, as printed
    net: Mapped[int]
    tax: Mapped[int]
    gross: Mapped[int]


class InvoiceLine(Record):
    """A line of an invoice; of a credit note what it takes back, positive where that was."""

    __tablename__ = "invoice_lines"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    invoice_id: Mapped[int] = mapped_column(ForeignKey("invoices.id", **LATE), index=True)
    position: Mapped[int]
    job_id: Mapped[int] = mapped_column(ForeignKey("jobs.id", **LATE), index=True)
    # The charge that it came from; of a credit note that which it wrote.
    charge_id: Mapped[int | None] = mapped_column(index=True)
    credits_line_id: Mapped[int | None] = mapped_column(
        ForeignKey("invoice_lines.id", **LATE), index=True
    )
    text: Mapped[str] = mapped_column(String(200))
    amount: Mapped[int]  # before tax
    tax_rate: Mapped[int] = mapped_column(default=0)  # thousandths of a percent
    tax_letter: Mapped[str] = mapped_column(String(3), default="")
    minutes: Mapped[int] = mapped_column(default=0)  # with the next, as of charges
    hour_rate: Mapped[int] = mapped_column(default=0)
    # What the line carries of its rate's tax, so that a paper of many jobs says what is whose.
    tax: Mapped[int] = mapped_column(default=0)


class InvoiceTax(Record):
    """The tax of one rate of an invoice or credit note, as printed."""

    __tablename__ = "invoice_taxes"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    invoice_id: Mapped[int] = mapped_column(ForeignKey("invoices.id", **LATE), index=True)
    letter: Mapped[str] = mapped_column(String(3), default="")
    rate: Mapped[int] = mapped_column(default=0)  # thousandths of a percent
    words: Mapped[str] = mapped_column(String(60), default="")  # what the tax is called
    net: Mapped[int]
    tax: Mapped[int]


class InvoiceWord(Record):
    """What passed about an invoice since: it went out, they were asked, they promised a day."""

    __tablename__ = "invoice_words"
    __table_args__ = KEEPS_NUMBERS

    id: Mapped[int] = mapped_column(primary_key=True)
    invoice_id: Mapped[int] = mapped_column(ForeignKey("invoices.id", **LATE), index=True)
    day: Mapped[date]
    at: Mapped[datetime]
    kind: Mapped[str] = mapped_column(String(10))  # sent, asked, promised, disputed, settled
    how: Mapped[str] = mapped_column(String(10), default="")  # mail, letter, phone, paper, ""
    until: Mapped[date | None]  # the day that they promised
    text: Mapped[str] = mapped_column(Text, default="")  # of a letter, as it was written
    note: Mapped[str] = mapped_column(String(300), default="")


PRINTED: dict[str, tuple[str, ...]] = {
    "invoices": (
        "kind", "year", "number", "issued_on", "at", "payer_name", "payer_address", "credits_id",
        "reason", "order_number", "terms_days", "due_on", "currency", "tax_rule", "tax_text",
        "net", "tax", "gross",
    ),
    "invoice_lines": (
        "invoice_id", "position", "credits_line_id", "text", "amount", "tax_rate", "tax_letter",
        "minutes", "hour_rate", "tax",
    ),
    "invoice_taxes": ("invoice_id", "letter", "rate", "words", "net", "tax"),
}  # fmt: skip
STAYS = "an issued invoice never changes"


def triggers(dialect: str) -> list[tuple[str, str, str]]:
    """(table, name, statement) of what holds the printed columns and refuses to delete.

    On SQLite, and its twin for PostgreSQL, where a second desk would come; of PostgreSQL only the
    words were looked at, no server ran them yet.
    """
    found = []
    if dialect == "postgresql":
        body = f"BEGIN RAISE EXCEPTION '{STAYS}'; END"
        refuse = (
            "CREATE OR REPLACE FUNCTION invoices_stay() RETURNS trigger LANGUAGE plpgsql "
            f"AS $$ {body} $$"
        )
        found.append(("invoices", "invoices_stay", refuse))
    for table, columns in PRINTED.items():
        for what, when in (("stays", f"UPDATE OF {', '.join(columns)}"), ("is_kept", "DELETE")):
            name = f"{table}_{what}"
            does = f"BEGIN SELECT RAISE(ABORT, '{STAYS}'); END"
            if dialect == "postgresql":
                does = "FOR EACH ROW EXECUTE FUNCTION invoices_stay()"
            found.append((table, name, f"CREATE TRIGGER {name} BEFORE {when} ON {table} {does}"))
    return found


@contextmanager
def lifted(connection: Connection) -> Iterator[None]:
    """Without these triggers, for the one written exception: what a paper says of a person who is
    erased. They stand again before the transaction ends; where it fails, they never were away."""
    dialect = connection.dialect.name
    held = [one for one in triggers(dialect) if one[2].startswith("CREATE TRIGGER")]
    for table, name, _ in held:
        on = f" ON {table}" if dialect == "postgresql" else ""
        connection.execute(DDL(f"DROP TRIGGER {name}{on}"))
    yield
    for _, _, statement in held:
        connection.execute(DDL(statement.replace("%", "%%")))


def _hold(table: Table, connection: object, **_: object) -> None:
    dialect = connection.dialect.name  # type: ignore[attr-defined]
    for of, _name, statement in triggers(dialect):
        if of == table.name:
            connection.execute(DDL(statement.replace("%", "%%")))  # type: ignore[attr-defined]


for _name in PRINTED:
    event.listen(Record.metadata.tables[_name], "after_create", _hold)
