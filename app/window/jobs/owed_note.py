"""What the margin says of an invoice that is owed: how late it is, and how they paid before."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from app.actions.jobs.asking import ASKED_BY
from app.actions.jobs.jobs import OwedInvoice
from app.actions.jobs.owed import Habit
from app.calculations.numbers.dates import day_short, near
from app.calculations.numbers.wording import count_of
from app.window.paper.notes import (
    Alert,
    Block,
    DotStrip,
    Facts,
    Keys,
    Note,
    Offer,
    Rule,
    StripLine,
    Voice,
    known,
)

FEW = 5  # paid invoices; fewer are a list, no span


def owed_note(
    one: OwedInvoice,
    found: Habit | None,
    today: date,
    keys: Keys,
    remind: Callable[[], object],
) -> Note:
    """An invoice in short; `found` is what is read of who pays, once it is there."""
    blocks: list[Block] = []
    terms = one.days - one.past
    if one.disputed:
        blocks.append(Alert("Disputed: it is not asked for"))
    elif one.past > 0:
        level = "wrong" if one.days > 90 else "look"
        blocks.append(Alert(f"{count_of(one.past, 'day')} past their {terms}", level))
    else:
        blocks.append(Voice(f"Due in {count_of(-one.past, 'day')}." if one.past else "Due today."))
    if found is None:
        return Note(one.payer, tuple(blocks), keys)
    blocks += _paid(one, found, terms)
    blocks += [Rule(), _facts(found, today)]
    said = [word.note for word in found.invoice.words if word.kind == "disputed" and word.note]
    if one.disputed and said:
        blocks.append(Voice(f"They say: {said[-1]}."))
    if found.deceased:
        blocks += [
            Rule(),
            Voice("They have died: nobody writes to them. F3 says whom to write to."),
        ]
    elif not one.disputed:
        blocks += [Rule(), Offer("F3", "A friendly reminder", remind)]
    return Note(one.payer, tuple(blocks), keys)


def _paid(one: OwedInvoice, found: Habit, terms: int) -> list[Block]:
    """Days to pay of those paid last against this one."""
    after = sorted(found.paid_after)
    if not after:
        return [Voice("No invoice of theirs was paid before.")]
    if len(after) < FEW:
        days = ", ".join(f"{day}" for day in found.paid_after)
        return [Voice(f"Paid before after {days} days.")]
    past = " This one is past them all." if one.days > after[-1] else ""
    lines = (
        StripLine(terms, f"terms {terms}"),
        StripLine(one.days, f"{one.days}", "alarm" if one.past > 0 else "ink", strong=True),
    )
    return [
        Voice(f"Their last {len(after)} came after {after[0]} to {after[-1]} days.{past}"),
        DotStrip(
            tuple(float(day) for day in after), float(after[0]), float(after[-1]), lines,
            f"days to pay, the last {len(after)}",
        ),
    ]  # fmt: skip


def _facts(found: Habit, today: date) -> Facts:
    said = [("Telephone", found.phone), ("Invoiced", near(found.invoice.invoice.issued_on, today))]
    for word in found.invoice.words[-4:]:
        if word.kind == "asked":
            said.append(("Asked", f"{day_short(word.day)}, {ASKED_BY.get(word.how, '')}"))
        elif word.kind == "promised" and word.until:
            said.append(("Named", day_short(word.until)))
        elif word.kind == "disputed":
            said.append(("Disputed", day_short(word.day)))
        elif word.kind == "settled":
            said.append(("Settled", day_short(word.day)))
    return known(*said)
