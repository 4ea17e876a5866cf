"""Lines of past and booked jobs, applied layers and receipts from the rows of a table."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from app.calculations.numbers.rounding import half_away
from app.documents.reading.dates import looks_dated, read_day
from app.documents.reading.grid import Cell, shown
from app.documents.reading.lines import (
    ChargeLine,
    CustomerLine,
    JobLine,
    LayerLine,
    PaidLine,
    ReceiptLine,
    VehicleLine,
    Who,
)
from app.documents.reading.payment_words import read_method, split_payment, tells_several
from app.documents.reading.people import read_yes
from app.documents.reading.row import Row, cell_money, first_filled, read_fraction
from app.documents.reading.shelf_words import read_surfaces
from app.errors import Mendable

_STATES = (
    ("cancelled", r"cancel|no[ -]?show|void|declined|lost|refus|storn|cancelad|anulad"),
    ("done",
        r"done|complete|finish|paid|prepaid|invoiced|closed|delivered|picked up|fertig|erledigt|"
        r"bezahlt|terminad|pagad|"
             r"hecho|entregad|overdue|unpaid|partial|^x$|✓|yes"),
    ("working", r"work|progress|started|in shop|in bay|ongoing|in arbeit|en curso|curing|drying"),
    ("booked",
        r"book|sched|confirm|upcoming|planned|open|approved|gebucht|geplant|offen|agendad|"
        r"reservad|deposit"),
    ("enquiry",
        r"enquir|inquir|estimate|quote|lead|pending|tentative|maybe|anfrage|angebot|"
        r"presupuesto|pendiente"),
)  # fmt: skip
_KINDS = (("deposit",
    r"deposit|anzahlung|down ?payment|anticipo|"
    r"advance|prepa"), ("refund", r"refund|returned|erstatt|devoluc"),
          ("tip", r"\btips?\b|gratuity|trinkgeld|propina"))  # fmt: skip
_UNPAID = re.compile(
    r"(?<!\w)(?:unpaid|overdue|not paid|owes|owing|due|outstanding|open|pending|invoice sent|offen|"
    r"pendiente|net ?30|later)\b",
    re.IGNORECASE,
)
_PAID = re.compile(
    r"\b(?:(?:pre)?paid|full|settled|yes|bezahlt|pagado|done|received|ok)\b", re.IGNORECASE
)
_MONEY_IN = re.compile(r"(?<![\d/])[$€£]?\s?-?\d[\d.,']*(?![\d/])(?:\s?[$€£])?")  # no 5/3/24


@dataclass(frozen=True, slots=True)
class _Paid:
    """What a "paid" cell said: an amount, a plain yes or no, a method, a day."""

    amount: int | None = None
    said: bool | None = None
    method: str = ""
    day: date | None = None
    kind: str = "payment"


def _says(pattern: str, text: str) -> bool:
    """Whether a word of the text is one of these, or begins with its stem."""
    return re.search(rf"(?<!\w)(?:{pattern})", text, re.IGNORECASE) is not None


def _kind_of_payment(text: str) -> str:
    return next((kind for kind, pattern in _KINDS if _says(pattern, text)), "payment")


def read_state(text: str) -> str:
    """enquiry, booked, working, done or cancelled; "" when the words say none."""
    for state, pattern in _STATES:
        if state == "done" and _UNPAID.search(text) and _says(r"(?:un)?paid|pay", text):
            return "done"
        if _says(pattern, text):
            return state
    return ""


def job_of(
    row: Row,
    customer: CustomerLine | None,
    vehicle: VehicleLine | None,
    day_above: date | None = None,
) -> JobLine:
    """The job that a row tells of, with its charges and what was paid.

    `day_above` counts for a row without a day of its own.
    """
    day, last = row.day("job.day")
    if day is None and not row.any("job.day"):
        day = day_above
    other, _ = row.day("job.last_day")
    if day is None and not row.layout.has("job.day"):
        day, other = other, None  # a log that knows one day only, called "Done on"
    last = other or last
    if day and last and last < day:
        row.say_row(f"the last day {last} lies before the first {day}; only the first was taken")
        last = None
    services = ", ".join(
        dict.fromkeys(" ".join(shown(v).split()) for _, v in row.cells("job.services"))
    )
    state_text = row.text("job.state")
    paid_cell = row.value("job.paid")
    charges, total = _charges(row, services)
    paid = _paid(row, day, total, state_text)
    today = row.layout.options.today
    state = read_state(state_text) or ("booked" if today and day and day > today else "done")
    if state == "done" and today and day and day > today:
        state = "booked"
    notes = [f"Status: {state_text}"] if state_text and not read_state(state_text) else []
    way = row.text("job.method")
    if way and not read_method(way) and not any(one.method for one in paid):
        notes.append(f"Paid by: {way}")
    if not paid and isinstance(paid_cell, str) and _UNPAID.search(paid_cell):
        notes.append(f"Paid: {paid_cell}")
    line = JobLine(
        source=row.source,
        number=row.text("job.number")[:40],
        day=day,
        last_day=last if last != day else None,
        customer=customer.who if customer else Who(),
        vehicle=vehicle,
        services=services[:200],
        state=state,
        minutes=row.minutes("job.hours"),
        charges=charges,
        paid=paid,
        notes=row.notes("job.notes", *notes),
    )
    if day is None:
        sentence = row.say_row("the day of the work could not be read; type a date or leave it out")
        return replace(line, problems=(*row.problems[-5:], sentence), unreadable=True)
    return line


def _charges(row: Row, services: str) -> tuple[tuple[ChargeLine, ...], int | None]:
    """The charges of a job, and its total with tax."""
    net, gross, tax = row.money("job.net"), row.money("job.gross"), row.money("job.tax")
    off = -abs(row.money("job.discount") or 0)
    extras = [
        (row.layout.headings[position].text or "extra", amount)
        for position, value in row.cells("job.charge")
        if (amount := row.money_in(position, value))
    ]
    extra = sum(amount for _, amount in extras)
    rate = _rate(row)
    if tax and any(told is not None and told * tax < 0 for told in (net, gross)):
        row.say_row(
            "of the amount and its tax one is below zero and one above; neither was taken, type "
            "both alike"
        )
        return (), None
    if net is not None:
        taxable, tax = _taxable_from_net(net, gross, tax, extra, off)
    elif gross is not None:
        taxable, tax = _taxable_from_total(gross, tax, rate)
    elif not extras:
        return (), None
    else:
        taxable, tax, rate = extra + off, 0, rate or 0
    if rate is None:
        rate = _rate_of(taxable, tax)
    told = _with_tax(taxable, rate)
    if gross is not None and gross != told:
        row.say_row(
            "net, tax and total do not add up by a plain tax rate; the charges were taken as near "
            "as they go, compare them with the paper"
        )
    parts = list(extras)
    if net is not None or gross is not None:
        parts.insert(0, (services or "work", taxable - extra - off))
    if off:
        parts.append(("discount", off))
    return _charge_lines(parts, rate), gross if gross is not None else told


def _taxable_from_net(
    net: int, gross: int | None, tax: int | None, extra: int, off: int
) -> tuple[int, int]:
    """What was charged before tax, and the tax, of a job whose net is told."""
    taxable = net + extra + off
    if gross is None:
        return taxable, tax or 0
    if tax is None:
        tax = max(gross - taxable, 0)
    if off and gross == net + tax:
        taxable = net  # the net, too, was told after the discount
    return taxable, tax


def _taxable_from_total(gross: int, tax: int | None, rate: int | None) -> tuple[int, int]:
    """What was charged before tax, and the tax; a total has the extras and the discount in it."""
    if tax is None:
        # The net is what with its tax gives the total.
        tax = gross - half_away(Fraction(gross) / (1 + Fraction(rate or 0, 100_000)))
    return gross - tax, tax


def _charge_lines(parts: list[tuple[str, int]], rate: int) -> tuple[ChargeLine, ...]:
    return tuple(ChargeLine(name[:200], amount, rate) for name, amount in parts)


def _with_tax(taxable: int, rate: int) -> int:
    return taxable + half_away(Fraction(taxable * rate, 100_000))


def _rate(row: Row) -> int | None:
    """A tax rate in thousandths of a percent: 7.25, "7.25 %", 0.0725."""
    for position, value in row.cells("job.tax_rate"):
        number = read_fraction(re.sub(r"[^\d.,]", "", shown(value)))
        if number is None or number > 60:
            row.refuse(position, value, "which is no tax rate", "type it like 7.25 %")
            return None
        if number < 1 and "%" not in shown(value):
            number *= 100
        return half_away(number * 1000)
    return None


def _rate_of(net: int, tax: int) -> int:
    """The plainest rate that gives this tax on this net, in thousandths of a percent.

    Fewest decimals first: 100.00 and 7.25 give 7.25 %. When no rate with three decimals gives the
    tax to the cent, the nearest one.
    """
    if net <= 0 or tax <= 0:
        return 0
    exact = Fraction(tax * 100_000, net)
    for step in (1000, 500, 250, 125, 100, 50, 25, 10, 5, 1):
        rate = half_away(exact / step) * step
        if half_away(Fraction(net * rate, 100_000)) == tax:
            return rate
    return half_away(exact)


def _paid(row: Row, day: date | None, total: int | None, state: str) -> tuple[PaidLine, ...]:
    """What was paid for the job: deposit, payment, tip."""
    way = row.text("job.method")
    method = read_method(way)
    on, _ = row.day("job.paid_on")
    found: list[PaidLine] = []
    deposit = row.money("job.deposit")
    if deposit:
        found.append(PaidLine(deposit, on or day, method, "deposit"))
    cells = row.cells("job.paid")
    parts = _in_parts(row, "job.paid", total)
    told = _Paid(sum(part for part, _ in parts)) if parts else _Paid()
    if cells and not parts:
        told = _read_paid(row, *cells[0])
    method = told.method or method
    on = told.day or on
    amount = told.amount
    if amount is None and total:
        said_paid = told.said is True or (told.said is None and bool(told.method or told.day))
        if told.said is None and not row.any("job.paid"):
            said_paid = bool(re.search(r"\bpaid\b|bezahlt|pagad", state, re.IGNORECASE)) and not (
                _UNPAID.search(state)
            )
            # A day or way of payment is only written when money came.
            said_paid = (
                said_paid
                or row.any("job.paid_on")
                or (bool(method) and not row.layout.has("job.paid", "job.state"))
            )
        if said_paid:
            amount = total - (deposit or 0)
    if not parts:
        parts = _in_parts(row, "job.method", total if amount is None else amount)
        if amount is not None and sum(part for part, _ in parts) != amount and parts:
            at, then = row.layout.positions("job.method")[0], "only the whole was taken"
            row.say(at, f"holds “{way[:40]}”, which is not what was paid in all", then)
            parts = ()
    found += [PaidLine(part, on or day, way, "payment") for part, way in parts]
    if amount and not parts:
        kind = told.kind if amount > 0 else "refund"
        found.append(PaidLine(amount, on or day, method, kind))
    tip = row.money("job.tip")
    if tip:
        found.append(PaidLine(tip, on or day, method, "tip"))
    return tuple(found)


def _in_parts(row: Row, key: str, whole: int | None) -> tuple[tuple[int, str], ...]:
    """The parts of a payment in several ways that a cell tells; nothing where it tells none."""
    options = row.layout.options

    def money(text: str) -> int:
        return cell_money(text, options.currency, options.decimal)

    for _, value in row.cells(key)[:1]:
        with suppress(Mendable):
            return split_payment(shown(value), whole, money)
    return ()


def _read_paid(row: Row, position: int, value: Cell) -> _Paid:
    """A "paid" cell: 120, "$120 cash", yes, "check 5/3/24", 2024-05-03, unpaid."""
    options = row.layout.options
    if isinstance(value, date) or (isinstance(value, str) and looks_dated(value)):
        order = row.layout.orders[position]
        return _Paid(
            said=True,
            day=read_day(value, order.order if order else options.usual_order(), options.today).day,
        )
    if isinstance(value, bool):
        return _Paid(said=value)
    try:
        return _Paid(amount=cell_money(value, options.currency, options.decimal))
    except Mendable:
        pass
    text = shown(value)
    if tells_several(text):
        row.refuse(position, value, "which tells more than one sum", "type what was paid in all")
        return _Paid(said=False)
    if _UNPAID.search(text) and not re.search(r"\bpaid in full\b", text, re.IGNORECASE):
        return _Paid(said=False)
    match = _MONEY_IN.search(text)
    method = read_method(text)
    kind = _kind_of_payment(text)
    if match and (method or kind != "payment" or re.search(r"[$€£]", match.group())):
        try:
            amount = cell_money(match.group().strip(), options.currency, options.decimal)
            return _Paid(amount, None, method, kind=kind)
        except Mendable:
            pass
    said = read_yes(text)
    if said is None and _PAID.search(text):
        said = True
    if said is None and not method:
        why = "which does not tell whether it was paid"
        row.refuse(position, value, why, "type an amount, yes or no")
    return _Paid(said=said if said is not None else (True if method else None), method=method)


def layers_of(
    row: Row, customer: CustomerLine | None, vehicle: VehicleLine | None, day: date | None
) -> list[LayerLine]:
    """The layers that a row says were put on; `day` is the job's where the row has no own."""
    own, _ = row.day("layer.day") if row.layout.has("layer.day") else (None, None)
    own = own or day
    surfaces_text = row.text("layer.surfaces")
    surfaces = read_surfaces(surfaces_text) if surfaces_text else ()
    notes = [f"Surfaces: {surfaces_text}"] if surfaces_text and not surfaces else []
    count = row.text("layer.count")
    if count and count not in ("1", "1.0"):
        notes.append(f"Layers: {count}")
    lines = []
    for position, value in row.cells("layer.supply"):
        text = " ".join(shown(value).split())
        if read_yes(text) is not None and len(text) < 6:
            continue
        heading = row.layout.headings[position]
        if read_yes(text) is True:
            text = heading.text
        for part in re.split(r"\s*(?:;|\n|\s\+\s|\bthen\b)\s*", text):
            if not part:
                continue
            line = LayerLine(
                source=row.source,
                customer=customer.who if customer else Who(),
                vehicle=vehicle,
                day=own,
                supply=part[:120],
                surface_groups=surfaces or read_surfaces(part)
                if row.layout.kind == "layer"
                else surfaces,
                notes=row.notes("layer.notes", *notes)[:300],
            )
            lines.append(_checked_layer(row, line))
    if not lines and row.layout.kind == "layer":
        sentence = row.say_row("no product is named that was put on; type it or leave the row out")
        lines.append(LayerLine(source=row.source, day=own, problems=(sentence,), unreadable=True))
    return lines


def _checked_layer(row: Row, line: LayerLine) -> LayerLine:
    """A layer needs a vehicle and a day to count from."""
    missing = ""
    if line.day is None:
        missing = "the day on which it was put on could not be read; type a date"
    elif line.vehicle is None and not line.customer.name:
        missing = "it is not said on which vehicle it was put; type the vehicle or its owner"
    if not missing:
        return line
    return replace(line, problems=(*line.problems, row.say_row(missing)), unreadable=True)


def receipt_of(row: Row, customer: CustomerLine | None) -> ReceiptLine:
    """Money that came, from a list of payments."""
    day, _ = row.day("receipt.day")
    amount = row.money("receipt.amount")
    method_text = row.text("receipt.method")
    kind_text = " ".join((row.text("receipt.kind"), method_text))
    kind = _kind_of_payment(kind_text)
    if kind == "payment" and amount is not None and amount < 0:
        kind = "refund"
    method = read_method(method_text)
    notes = [f"Method: {method_text}"] if method_text and not method else []
    line = ReceiptLine(
        source=row.source,
        customer=customer.who if customer else Who(),
        job_number=row.text("receipt.job")[:40],
        day=day,
        amount=amount,
        method=method,
        receipt_kind=kind,
        notes=row.notes("receipt.notes", *notes)[:300],
    )
    missing = first_filled(
        "" if day else "the day of the payment could not be read; type a date",
        "" if amount else "no amount of money could be read; type it like 120.00",
    )
    if missing:
        sentence = row.say_row(missing)
        return replace(line, problems=(*row.problems[-5:], sentence), unreadable=True)
    return line
