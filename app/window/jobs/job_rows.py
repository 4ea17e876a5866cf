"""The columns and rows of each part of the list of jobs."""

from __future__ import annotations

from dataclasses import replace

from app.actions.desk.amounts import money
from app.actions.desk.telephones import shown_phone
from app.actions.jobs.jobs import JobList, OwedInvoice, ShownJob
from app.calculations.figures.owed_ages import band_of
from app.calculations.numbers.dates import near_short
from app.window.house.office import Office
from app.window.paper.cells import Cell, Column, GroupRow, State, TableRow, quiet, row_of

_NUMBER = Column("number", "Job", width=62, least=62, pad=10)
_CUSTOMER = Column("customer", "Customer", width=146, least=110)
_USUAL = (
    _NUMBER,
    _CUSTOMER,
    Column("vehicle", "Vehicle", width=116, least=80, dense=True, yields=6, aside=1),
    Column("services", "Services", width=0, least=100, dense=True),
    Column("when", "When", width=108, least=84, dense=True),
    Column("hours", "Hours", width=164, least=96, right=True, dense=True, aside=2),
    Column("money", "Total", width=80, least=66, right=True),
)
_ALL = (
    _NUMBER,
    replace(_CUSTOMER, least=100, yields=9),
    Column("vehicle", "Vehicle", width=116, least=80, dense=True, yields=6, aside=1),
    Column("services", "Services", width=0, least=70, dense=True),
    Column("state", "State", width=72, least=60, dense=True),
    Column("when", "When", width=96, least=84, dense=True),
    Column("hours", "Hours", width=96, least=70, right=True, dense=True, aside=2),
    Column("money", "Total", width=80, least=66, right=True),
)
_ENQUIRIES = (
    _NUMBER,
    Column("customer", "Customer", width=190, least=110),
    Column("services", "What for", width=0, least=110, dense=True),
    Column("when", "Wanted", width=170, least=90, dense=True),
    Column("asked", "Asked", width=84, least=70, dense=True, aside=2),
    Column("phone", "Telephone", width=128, least=100, dense=True, aside=1),
)
_OWED = (
    Column("customer", "Customer", width=0, least=130),
    Column("vehicle", "For", width=132, least=80, dense=True, yields=6, aside=1),
    Column("number", "Invoice", width=126, least=116, dense=True),
    Column("days", "Days", width=84, least=78, right=True),
    Column("total", "Total", width=80, least=66, right=True, aside=2),
    Column("paid", "Paid", width=80, least=60, right=True, aside=3),
    Column("money", "Owed", width=84, least=66, right=True),
    Column("word", "Last word", width=104, least=84, dense=True, aside=4),
)
ENDED = GroupRow("ended", "Came to nothing", "and why, the newest first")
NOT_INVOICED = GroupRow("not invoiced", "Not invoiced yet", "done, and on no invoice; F2 issues it")


def columns_of(which: str) -> tuple[Column, ...]:
    """The columns of a part."""
    return {"enquiries": _ENQUIRIES, "owed": _OWED, "all": _ALL}.get(which, _USUAL)


def rows_of(office: Office, found: JobList) -> list[TableRow | GroupRow]:
    """The rows of a part; enquiries that came to nothing stand under a line of their own."""
    if found.which == "owed":
        invoices = [_invoice(office, one) for one in found.invoices]
        jobs = [_owed(line) for line in found.rows]
        return [*invoices, *([NOT_INVOICED] if jobs else []), *jobs]
    if found.which != "enquiries":
        return [_usual(line, found.which) for line in found.rows]
    waiting = [_enquiry(office, line) for line in found.rows if line.state == "enquiry"]
    ended = [_enquiry(office, line) for line in found.rows if line.state != "enquiry"]
    return [*waiting, *([ENDED] if ended else []), *ended]


def _who(line: ShownJob, *, bold: bool = True) -> Cell:
    return Cell(line.customer or "no customer yet", bold=bold, tip=line.customer)


def _enquiry(office: Office, line: ShownJob) -> TableRow:
    desk, waits = office.desk, line.state == "enquiry"
    what = ", ".join(part for part in (line.services, line.vehicle) if part)
    when = line.when_text if waits else line.because or "no reason was noted"
    return row_of(
        line.job_id,
        line.number,
        _who(line, bold=waits),
        quiet(what, tip=what),
        Cell(when, State.PLAIN if waits else State.QUIET, tip=when, order=line.day),
        quiet(near_short(line.asked, desk.today) if line.asked else "", order=line.asked),
        quiet(shown_phone(line.phone, desk.settings.region)),
    )


def _days(days: int) -> Cell:
    """Days since it was issued or done, marked from 61 on."""
    state, mark = {2: (State.LOOK, "look"), 3: (State.ALARM, "wrong")}.get(
        band_of(days), (State.PLAIN, "")
    )
    return Cell(f"{days:,}", state, mark=mark, order=days)


def _invoice(office: Office, one: OwedInvoice) -> TableRow:
    desk = office.desk
    issued = near_short(one.issued_on, desk.today)
    late = State.ALARM if band_of(one.days) == 3 else State.LOOK
    return row_of(
        ("invoice", one.invoice_id),
        Cell(one.payer or "nobody named", bold=True, tip=one.payer),
        quiet(one.what, tip=one.what),
        Cell(one.number, detail=issued, order=one.issued_on),
        _days(one.days),
        quiet(money(desk, one.gross)),
        quiet(money(desk, one.came)) if one.came else Cell("", State.UNUSED),
        Cell(money(desk, one.due), bold=True),
        Cell(one.word, late if one.alert else State.QUIET, tip=one.word),
    )


def _owed(line: ShownJob) -> TableRow:
    return row_of(
        line.job_id,
        _who(line),
        quiet(line.vehicle, tip=line.vehicle),
        Cell(f"job {line.number}", State.QUIET, detail=line.when_text, order=line.day),
        _days(line.days),
        quiet(line.worth_text),
        quiet(line.paid_text) if line.paid_text else Cell("", State.UNUSED),
        Cell(line.due_text, bold=True),
        Cell("", State.UNUSED),
    )


def _usual(line: ShownJob, which: str) -> TableRow:
    when = quiet(line.when_text, tip=line.when_text, order=line.day)
    if line.alert:
        when = Cell(
            line.when_text, State.LOOK, mark="look", tip="Its last day has gone by", order=line.day
        )
    worth = Cell(line.worth_text)
    if which in ("done", "all") and line.due_text:
        worth = Cell(line.due_text, State.LOOK, tip=f"{line.due_text} of {line.worth_text} owed")
    among_all = which == "all"
    hours = quiet(line.hours_short, tip=line.hours_text) if among_all else quiet(line.hours_text)
    return row_of(
        line.job_id,
        line.number,
        _who(line),
        quiet(line.vehicle, tip=line.vehicle),
        quiet(line.services, tip=line.services),
        *([quiet(line.state, tip=line.state)] if among_all else []),
        when,
        hours,
        worth,
    )
