"""Expenses beside the supplies: written, changed while their day is open, taken back after."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from app.actions.costs.repeating import next_days
from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk, there
from app.actions.desk.open_day import is_closed
from app.actions.desk.typed_days import read_typed_day
from app.calculations.numbers.dates import day_month, day_year
from app.calculations.numbers.money import read_money
from app.calculations.numbers.tax_rates import read_rate
from app.errors import Mendable
from app.records.models import NO_COST, Expense, Repeat
from app.records.queries import expenses as queries
from app.records.queries import tax as tax_queries
from app.records.queries.days import Session
from app.records.queries.expenses import ExpenseRow, PhotoRow, RepeatRow
from app.records.undo.ledgers import countering

KINDS = frozenset({"expenses", "days"})
# By what the form says: the kind as it is kept, its words, and -1 where the money comes in.
WORDS: dict[str, tuple[str, str, int]] = {
    "rent": ("rent", "Rent and power", 1),
    "insurance": ("insurance", "Insurance", 1),
    "fuel": ("fuel", "Fuel", 1),
    "card fees": ("card fees", "Card fees", 1),
    "tools": ("tools", "Tools and machines", 1),
    "phone": ("phone", "Telephone and net", 1),
    "advertising": ("advertising", "Advertising", 1),
    "repairs": ("repairs", "Repairs", 1),
    "other": ("other", "Something else", 1),
    "tips": ("tips", "Tips paid out", 1),
    "tax": ("tax", "Tax paid over", 1),
    "till out": ("till", "Cash taken out of the till", 1),
    "till in": ("till", "Cash put into the till", -1),
}
METHODS = ("cash", "check", "card", "transfer")
EVERY = {"": "once", "month": "every month", "year": "every year"}
_LATEST = 366  # days ahead
_EARLIEST = 5 * 366
_SOON = 60  # days; a day typed without its year is not later than that


def word_of(kind: str, amount: int = 0) -> str:
    """The word by which the form knows a kind."""
    return ("till in" if amount < 0 else "till out") if kind == "till" else kind


def words_of_kind(kind: str, amount: int = 0) -> str:
    """A kind in words: `Rent and power`."""
    return WORDS.get(word_of(kind, amount), (kind, kind.capitalize(), 1))[1]


@dataclass(frozen=True, kw_only=True)
class Typed:
    """An expense as it was typed; `kind` a key of `WORDS`."""

    kind: str
    text: str = ""
    day: str = ""  # today where nothing is typed
    amount: str = ""
    tax: str = ""
    use_tax: str = ""  # of what was bought without tax: the rate of use tax on it
    method: str = ""
    every: str = ""  # "", month, year
    until: str = ""


@dataclass(frozen=True, kw_only=True)
class Spent:
    """What the expenses page shows of a span: lines, the newest first, rules with their next day,
    (words, sum) by kind of cost, and of what is no cost."""

    first: date
    last: date
    lines: tuple[ExpenseRow, ...]
    repeats: tuple[tuple[RepeatRow, date | None], ...]
    costs: tuple[tuple[str, int], ...]
    beside: tuple[tuple[str, int], ...]
    photos: Mapping[int, list[PhotoRow]] = field(default_factory=dict)  # by expense

    @property
    def total(self) -> int:
        """All costs."""
        return sum(amount for _words, amount in self.costs)


def spent(desk: Desk, first: date, last: date) -> Spent:
    """The expenses of these days."""
    with desk.book.reading() as session:
        lines = queries.expenses(session, first, last)
        kinds = queries.by_kind(session, first, last)
        rules = queries.repeats(session)
        days = next_days(session, rules)
        photos = queries.photos_of(session, [one.expense_id for one in lines])
    beside = ((words_of_kind(kind), kinds[kind]) for kind in NO_COST if kinds.get(kind))
    return Spent(
        first=first,
        last=last,
        lines=tuple(lines),
        repeats=tuple((rule, days[rule.repeat_id]) for rule in rules),
        costs=tuple((words_of_kind(kind), sum_) for kind, sum_ in queries.costs_of(kinds)),
        beside=tuple(beside),
        photos=photos,
    )


def write_expense(desk: Desk, typed: Typed) -> Changed:
    """Write what was typed: once, or a rule by which the close writes it every month or year."""
    values = _read(desk, typed)
    _not_filed(desk, values)
    name = f"{_called(values)}: {money(desk, abs(values['amount']))}"
    if typed.every:
        rule = _rule(desk, typed, values)
        with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
            session.add(Repeat(**rule))
        when = day_year(rule["from_day"])
        say = f"{name}, {EVERY[typed.every]} from {when}. Closing a day writes what is due."
        return Changed(name, KINDS, say)
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        session.add(Expense(**values, at=desk.clock()))
        too_much = _tips_above(session) if values["kind"] == "tips" else 0
    say = f"{name}, {day_month(values['day'])}"
    if too_much > 0:
        say += f". So far {money(desk, too_much)} more was handed on than came as tips."
    return Changed(name, KINDS, say)


def _tips_above(session: Session) -> int:
    """By how much more tips were handed on than ever came."""
    session.flush()
    out, came = queries.went_of(session, "tips"), queries.tips(session)
    return sum(out.values()) - sum(came.values())


def change_expense(desk: Desk, expense_id: int, typed: Typed) -> Changed:
    """Write an expense anew in its place, while its day is open; a final line is only taken back.

    What a rule wrote stays its rule's.
    """
    with desk.book.reading() as session:
        row = there(queries.expense(session, expense_id), "This expense")
    if stays := why_it_stays(desk, row):
        raise Mendable(stays)
    values = _read(desk, typed)
    _not_filed(desk, values, {"day": row.day, "use_tax_rate": row.use_tax_rate})
    name = f"{_called(values)} changed"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        line = session.get_one(Expense, expense_id)
        for column, value in values.items():
            setattr(line, column, value)
    return Changed(name, KINDS)


def why_it_stays(desk: Desk, row: ExpenseRow) -> str:
    """Why a line cannot be written over any more, in a sentence; nothing while it can."""
    if row.counters_id is not None or row.taken_back_on is not None:
        return "This line was taken back already; write it anew instead."
    if is_closed(desk, row.day):
        return (
            f"{day_year(row.day)} is closed, so this line stays; Del takes it back, then write it "
            "anew."
        )
    return ""


def change_repeat(desk: Desk, repeat_id: int, typed: Typed) -> Changed:
    """Change a rule for what it writes from now on; what it wrote stays."""
    with desk.book.reading() as session:
        there(session.get(Repeat, repeat_id), "This rule")
    values = _read(desk, typed)
    rule = _rule(desk, typed, values)
    name = f"{_called(values)}, {EVERY[rule['every']]}: changed"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        row = session.get_one(Repeat, repeat_id)
        if row.every != rule["every"]:
            raise Mendable(
                "What comes every month does not become yearly, nor the reverse: end this one by "
                "its last day, and write another."
            )
        for column, value in rule.items():
            setattr(row, column, value)
    return Changed(name, KINDS, "It holds for what is due from now on.")


def take_back_expense(desk: Desk, expense_id: int) -> Changed:
    """Take an expense back: gone while its day is open, by a counter-line of today after that.

    What a rule wrote is always countered, and the rule does not write it again.
    """
    with desk.book.reading() as session:
        row = there(queries.expense(session, expense_id), "This expense")
    if row.counters_id is not None or row.taken_back_on is not None:
        raise Mendable("This line was taken back already; write it anew instead.")
    name = f"{words_of_kind(row.kind, row.amount)} of {day_month(row.day)} taken back"
    shut = is_closed(desk, row.day) or bool(row.use_tax_rate and _filed(desk, row.day))
    final = row.repeat_id is not None or shut
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        line = session.get_one(Expense, expense_id)
        if final:
            day = desk.today if shut else line.day
            counter = countering(line, day=day, at=desk.clock(), note="Taken back")
            counter.repeat_id, counter.period = line.repeat_id, line.period
            session.add(counter)
        else:
            session.delete(line)
    return Changed(name, KINDS, "Taken back by a counter-line." if final else "")


def take_back_repeat(desk: Desk, repeat_id: int) -> Changed:
    """Take a rule out; what it wrote stays."""
    with desk.book.reading() as session:
        row = there(session.get(Repeat, repeat_id), "This rule")
        what = ", ".join(filter(None, (words_of_kind(row.kind), row.text[:60])))
        name = f"{what}, {EVERY[row.every]}: no more"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        session.delete(session.get_one(Repeat, repeat_id))
    return Changed(name, KINDS, f"{name}. What it wrote stays.")


def as_typed(desk: Desk, row: ExpenseRow | RepeatRow) -> Typed:
    """A line or a rule as it could have been typed."""
    day, every, until = (
        (row.from_day, row.every, row.until) if isinstance(row, RepeatRow) else (row.day, "", None)
    )
    return Typed(
        kind=word_of(row.kind, row.amount),
        text=row.text,
        day=day.isoformat(),
        amount=money(desk, row.amount if row.kind != "till" else abs(row.amount)),
        tax=money(desk, row.tax) if row.tax else "",
        use_tax=f"{row.use_tax_rate / 1000:g}"
        if isinstance(row, ExpenseRow) and row.use_tax_rate
        else "",
        method=row.method,
        every=every,
        until=until.isoformat() if until else "",
    )


def _filed(desk: Desk, day: date) -> bool:
    with desk.book.reading() as session:
        return tax_queries.locked(session, day, day) is not None


def _not_filed(desk: Desk, *some: dict[str, Any]) -> None:
    """`Mendable` where use tax would change on a day whose tax was filed."""
    for one in some:
        if one["use_tax_rate"] and _filed(desk, one["day"]):
            raise Mendable(
                f"{day_year(one['day'])} was filed; write what was bought without tax on a later "
                "day, or unlock the days on the slip (U)."
            )


def _called(values: dict[str, Any]) -> str:
    words = words_of_kind(values["kind"], values["amount"])
    return f"{words}, {values['text'][:60]}" if values["text"] else words


def _read(desk: Desk, typed: Typed) -> dict[str, Any]:
    """The columns of an expense from what was typed; `Mendable` says what cannot be read."""
    if typed.kind not in WORDS:
        raise Mendable(f"“{typed.kind}” is no kind of expense; choose one of the list.")
    kind, words, sign = WORDS[typed.kind]
    text = " ".join(typed.text.split())
    if len(text) > 200:
        raise Mendable("What it was for is too long; 200 letters fit.")
    if kind == "tips" and not text:
        raise Mendable("Say to whom the tips were paid out.")
    amount = read_money(typed.amount, desk.settings.currency)
    if not amount:
        raise Mendable("An expense of nothing is none; type its amount.")
    if kind == "till" and amount < 0:
        raise Mendable(f"{words}: type it without a minus.")
    tax = read_money(typed.tax, desk.settings.currency) if typed.tax.strip() else 0
    if tax and (kind in NO_COST or abs(tax) > abs(amount) or (tax < 0) != (amount < 0)):
        raise Mendable("The tax in it is a part of the amount, and of an expense only.")
    use_tax = read_rate(typed.use_tax) if typed.use_tax.strip() else 0
    if use_tax and (kind in NO_COST or tax or typed.every):
        raise Mendable(
            "Use tax is due on goods that were bought once and without any tax in the amount."
        )
    if typed.method not in ("", *METHODS):
        raise Mendable(f"“{typed.method}” is no way of paying here; say {', '.join(METHODS)}.")
    day = _day(desk, typed.day)
    return {
        "day": day,
        "kind": kind,
        "text": text,
        "amount": sign * amount,
        "tax": tax,
        "use_tax_rate": use_tax,
        "method": "cash" if kind == "till" else typed.method,
    }


def _rule(desk: Desk, typed: Typed, values: dict[str, Any]) -> dict[str, Any]:
    """The columns of a rule."""
    if typed.every not in ("month", "year"):
        raise Mendable("An expense comes again every month or every year; choose one.")
    if values["kind"] in NO_COST:
        raise Mendable("Tips, tax paid over and cash of the till do not come again by a rule.")
    values = dict(values)
    first = values.pop("day")
    values.pop("use_tax_rate")
    until = _day(desk, typed.until, ahead=100 * 366) if typed.until.strip() else None
    if until is not None and until < first:
        raise Mendable(f"It ends on {day_year(until)}, before it begins; type a later last day.")
    return values | {"every": typed.every, "from_day": first, "until": until}


def _day(desk: Desk, typed: str, ahead: int = _LATEST) -> date:
    """A day not far from today; today where nothing is typed."""
    day = read_typed_day(desk, typed) if typed.strip() else None
    day = day or desk.today
    if ahead == _LATEST and (day - desk.today).days > _SOON and str(day.year) not in typed:
        day = read_typed_day(desk, f"{day.day} {day:%b} {day.year - 1}") or day  # spent: it is past
    apart = (day - desk.today).days
    if not -_EARLIEST <= apart <= ahead:
        raise Mendable(f"{day_year(day)} is far from today; check the year.")
    return day
