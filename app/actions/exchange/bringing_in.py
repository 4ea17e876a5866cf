"""Bringing in what the shop has: read files, show what each line will do, do all of it or nothing.

readings = [read(desk, path) for path in paths]
plan = preview(desk, readings)        # changes nothing
changed = bring_in(desk, plan)        # one action, undone by name
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.meant_days import must_be_meant
from app.actions.desk.open_day import moment_on
from app.actions.exchange import restoring
from app.actions.exchange.drafts import Draft, Drafts
from app.actions.exchange.entries_merging import EntriesMerging
from app.actions.exchange.first_hour import noted_brought
from app.actions.exchange.gathering import People
from app.actions.exchange.gathering_shelf import ShelfGathering
from app.actions.exchange.gathering_work import WorkGathering
from app.actions.exchange.line_words import words_of
from app.actions.exchange.near_names import NearName, NearNames
from app.actions.exchange.outcomes import LineOutcome
from app.actions.exchange.pool_proposals import pool_proposals
from app.actions.exchange.preview_lines import (
    Choices,
    LineKey,
    LinePreview,
    Preview,
    all_left_out,
    keyed_lines,
)
from app.actions.exchange.title_gathering import TitleGathering
from app.actions.exchange.title_memory import remember_refused, with_refused
from app.actions.exchange.title_proposals import Proposal, sentences
from app.calculations.numbers.wording import capital
from app.documents.incoming import FileReading, read_file
from app.documents.reading.lines import (
    CustomerLine,
    EntryLine,
    JobLine,
    LayerLine,
    Line,
    ReceiptLine,
    SupplierLine,
    SupplyLine,
    VehicleLine,
)
from app.documents.reading.options import Options, Progress, Step
from app.errors import Mendable
from app.records import stock
from app.records.queries import everything, settings

# Which kinds of thing the window shows anew, and the kinds of record that they show.
_SHOWN = {
    "customers": "customers consents",
    "vehicles": "vehicles owner_links",
    "supplies": "suppliers supplier_dates supplies packs pack_breaks",
    "stock": "lots movements pool_events balances",
    "services": "services service_steps recipe_lines",
    "jobs": "jobs job_services job_steps job_moves",
    "hours": "hours",
    "uses": "uses",
    "money": "charges receipts estimates estimate_lines hold_points estimate_calls invoices "
    "invoice_lines invoice_taxes invoice_words",
    "layers": "layer_events judgements",
    "orders": "orders order_lines order_choices",
    "reminders": "reminders reminder_items reminder_events",
    "expenses": "repeats expenses photos",
    "days": "days weather",
    "settings": "settings tax_rates filings",
}
_KINDS = {record: shown for shown, records in _SHOWN.items() for record in records.split()}


def reading_options(desk: Desk) -> Options:
    """How files are read, by the shop's settings."""
    settings = desk.settings
    order = settings.date_order.upper()
    return Options(
        region=settings.region,
        currency=settings.currency,
        imperial=settings.imperial,
        date_order=order if order == "DMY" else "auto",
        dilution=settings.dilution_reading,
        today=desk.today,
    )


def read(desk: Desk, path: Path, progress: Progress | None = None, **otherwise: Any) -> FileReading:
    """Read a file as the shop's settings say; Mendable when it cannot be read at all.

    `otherwise` are options for this file alone, such as `date_order="DMY"`, `encoding="cp1250"`
    or `dilution="water_first"`.
    """
    return read_file(path, replace(reading_options(desk), **otherwise), progress)


def preview(
    desk: Desk,
    readings: Sequence[FileReading],
    progress: Progress | None = None,
    choices: Choices | None = None,
) -> Preview:
    """What bringing these files in will do, line by line; nothing is written.

    `choices` leave lines out and say which near names mean the same. What belongs to a customer's
    row that is left out (its vehicles, its jobs) stays out with it.

    Raises Mendable when an export is in another currency than the book.
    """
    choices = choices or Choices()
    keyed = keyed_lines(line for reading in readings for line in reading.lines)
    without = all_left_out(keyed, choices.left_out)
    lines = [line for key, line in keyed if key not in without]
    notes = [note for reading in readings for note in reading.notes]
    entries = [line for line in lines if isinstance(line, EntryLine)]
    people = [line for line in lines if not isinstance(line, EntryLine)]
    step = Step(progress, 2 * len(lines) + 1)
    near = NearNames(choices.same)
    with desk.book.reading() as session:
        empty = everything.holds_nothing(session)
        if entries and empty and not people and not without:
            return _restore_preview(desk, readings, entries, notes, step)
        _same_currency(desk, readings)
        drafts = Drafts(session)
        outcomes: list[LineOutcome] = []
        if entries:
            merging = EntriesMerging(drafts)
            outcomes.extend(merging.gather(entries, step))
            left = sum(merging.left_out.values())
            if left:
                notes.append(
                    "Settings, days and choices of packs of the export were left "
                    f"out ({left:,} rows): this book has its own."
                )
        balances = stock.balances(session) if people else {}
        proposals: tuple[Proposal, ...] = ()
        if people:
            told, proposals = _gather(desk, drafts, people, balances, step, near, choices)
            outcomes.extend(told)
        version = desk.book.version
        drafts.changed_kinds()
    notes.extend(asked.sentence() for asked in near.asked.values() if not asked.answered)
    notes.extend(sentences(proposals))
    found = {id(outcome.line): outcome for outcome in outcomes}
    in_order = [(key, line, found.get(id(line))) for key, line in keyed]
    return replace(_as_preview(readings, in_order, notes, version, drafts), proposals=proposals)


def _same_currency(desk: Desk, readings: Iterable[FileReading]) -> None:
    for reading in readings:
        theirs = reading.export_currency
        if theirs and theirs != desk.settings.currency:
            raise Mendable(
                f"{reading.path.name} is in {theirs} and this book in {desk.settings.currency}; "
                "bring it into a new book, or set the currency first."
            )


def _gather(
    desk: Desk,
    drafts: Drafts,
    lines: Sequence[Line],
    balances: dict[int, tuple[int, int]],
    step: Step,
    near: NearNames,
    choices: Choices,
) -> tuple[list[LineOutcome], tuple[Proposal, ...]]:
    """The outcomes of people's own lines: who first, then what, then the work; and what is
    proposed beside them."""
    found: dict[int, LineOutcome] = {}
    who = People(drafts, near)
    now = desk.clock()
    shelf = ShelfGathering(drafts, balances, desk.settings.currency, desk.today, now, near)

    def note(line: Line, outcome: LineOutcome | None) -> None:
        found[id(line)] = outcome or LineOutcome(line, refused=_why(line))
        step.on()

    customers = [line for line in lines if isinstance(line, CustomerLine)]
    for customer in sorted(customers, key=_vagueness):
        note(customer, None if customer.unreadable else who.customer(customer))
    who.settle_referrers()
    for line in lines:
        if isinstance(line, VehicleLine):
            note(line, None if line.unreadable else who.vehicle(line))
        elif isinstance(line, SupplierLine):
            note(line, None if line.unreadable else shelf.supplier(line))
    for line in lines:
        if isinstance(line, SupplyLine):
            note(line, None if line.unreadable else shelf.supply(line))
    shelf.settle_stock()

    def moment(day: date) -> datetime:
        return moment_on(desk, day)

    jobs = [line for line in lines if isinstance(line, JobLine)]
    work = WorkGathering(drafts, who, shelf, moment, (job.number for job in jobs))
    for line in lines:
        if isinstance(line, JobLine):
            note(line, None if line.unreadable else work.job(line))
    for line in lines:
        if isinstance(line, LayerLine):
            note(line, None if line.unreadable else work.layer(line))
        elif isinstance(line, ReceiptLine):
            note(line, None if line.unreadable else work.receipt(line))
    outcomes = [found[id(line)] for line in lines]
    refused, accepts = desk.settings.refused_proposals, choices.accepts
    said = with_refused(choices.answers, refused)
    proposals = pool_proposals(drafts, outcomes, balances, said, (desk.today, now), accepts=accepts)
    if jobs:
        titles = TitleGathering(drafts, shelf, moment, said, accepts=accepts)
        proposals = titles.settle(outcomes) + proposals
    remember_refused(drafts, refused, said, proposals)
    return outcomes, proposals


def _vagueness(line: CustomerLine) -> tuple[bool, bool, bool]:
    """Lines that say how to reach somebody come first, then whole names, then mere last names."""
    words = line.name.replace(".", "").split()
    return (
        not (line.phones or line.emails or line.street),
        len(words) < 2,
        any(len(word) < 2 for word in words),
    )


def _why(line: Line) -> str:
    return line.problems[-1] if line.problems else "its identity is missing"


def _as_preview(
    readings: Sequence[FileReading],
    told: Iterable[tuple[LineKey, Line, LineOutcome | None]],
    notes: Sequence[str],
    version: object,
    drafts: Drafts,
) -> Preview:
    lines = []
    counts: dict[str, Counter[str]] = {}
    for key, line, outcome in told:
        kind = key[3]
        if outcome is None:
            if kind not in EntriesMerging.LEFT_OUT:
                counts.setdefault(kind, Counter())["left"] += 1
                lines.append(_line_preview(key, line, "left"))
            continue
        word, details = _said(outcome)
        counts.setdefault(kind, Counter())[word] += 1
        if isinstance(line, EntryLine) and word == "same" and not details:
            continue
        problems = list(line.problems)
        if outcome.refused and outcome.refused not in problems:
            problems.append(_sentence(line, outcome.refused))
        lines.append(_line_preview(key, line, word, details, problems, outcome.asks))
    files = tuple(reading.path.name for reading in readings)
    return Preview(files, tuple(lines), counts, tuple(dict.fromkeys(notes)), version, drafts)


def _line_preview(
    key: LineKey,
    line: Line,
    word: str,
    details: Iterable[str] = (),
    problems: Iterable[str] = (),
    asks: NearName | None = None,
) -> LinePreview:
    return LinePreview(
        key=key,
        kind=key[3],
        file=line.source.file,
        place=line.source.place(),
        what=words_of(line),
        outcome=word,
        details=tuple(details),
        problems=tuple(problems),
        asks=asks,
    )


def _sentence(line: Line, what: str) -> str:
    if what[:1].isupper():
        return what if what.endswith(".") else f"{what}."
    return f"{capital(line.source.place())}: {what}."


def _said(outcome: LineOutcome) -> tuple[str, list[str]]:
    """The outcome in one word, and what to know of it."""
    if outcome.refused:
        return "cannot", list(outcome.remarks)
    draft: Draft | None = outcome.draft
    if outcome.made:
        return "new", list(outcome.remarks)
    if draft is not None and draft.is_new:
        added = [f"adds {change}" for change in outcome.changes]
        return "same", [f"the same as {draft.origin}", *added, *outcome.remarks]
    if outcome.changes:
        return "changed", [*outcome.changes, *outcome.remarks]
    return "same", list(outcome.remarks)


def _restore_preview(
    desk: Desk,
    readings: Sequence[FileReading],
    entries: Sequence[EntryLine],
    notes: list[str],
    step: Step,
) -> Preview:
    """A full export and an empty book: every row as it was, settings too."""
    if not any(line.record == "settings" for line in entries):
        _same_currency(desk, readings)
    plan = restoring.check(entries, step)
    plan.folders = tuple(dict.fromkeys(one.path.resolve().parent for one in readings))
    counts = {kind: Counter({"new": count}) for kind, count in plan.counts().items()}
    lines = []
    refused = {id(line): why for line, why in plan.refused}
    for key, line in keyed_lines(entries):
        if id(line) in refused:
            counts.setdefault(key[3], Counter())["cannot"] += 1
            lines.append(_line_preview(key, line, "cannot", (), (refused[id(line)],)))
    files = tuple(reading.path.name for reading in readings)
    return Preview(
        files, tuple(lines), counts, tuple(dict.fromkeys(notes)), desk.book.version, None, plan
    )


def bring_in(desk: Desk, plan: Preview, progress: Progress | None = None) -> Changed:
    """Write what the preview shows, all of it or nothing, as one action that can be undone.

    Raises Mendable when the book has changed since the preview; Stopped when `progress` says so,
    and then nothing was written.
    """
    _as_previewed(desk, plan)
    if not plan.changes_something():
        return Changed("", frozenset(), "Nothing to bring in: the book says all of it already.")
    must_be_meant(desk, desk.today)
    name = f"Bring in {', '.join(plan.files)}"[:200]
    sentence = f"Brought in {', '.join(plan.files)}. {' '.join(plan.sentences())}"
    if plan.restoring is not None:
        kinds = _restore(desk, plan.restoring, name, progress)
        for folder in plan.restoring.folders:
            desk.book.bring_back_photos(folder)
        if plan.restoring.total() > restoring.MOST_UNDONE:
            sentence += " The book was empty before; this is not undone step by step."
    else:
        kinds = _write(desk, plan, name, progress)
    desk.reload()
    return Changed(name, kinds, sentence)


def _as_previewed(desk: Desk, plan: Preview) -> None:
    if plan.version != desk.book.version:
        raise Mendable("The book has changed since the preview; look at the preview again.")


def _write(desk: Desk, plan: Preview, name: str, progress: Progress | None) -> frozenset[str]:
    drafts = plan.drafts
    assert drafts is not None
    step = Step(progress, drafts.work(), every=100)
    kinds = _kinds(drafts.changed_kinds())
    with desk.book.change(name, day=desk.today, kinds=sorted(kinds), at=desk.clock()) as session:
        _as_previewed(desk, plan)  # once more, now that nobody else can write
        drafts.write(session, step)
        settings.write(session, noted_brought(desk, plan))
        step.say()
    return kinds


def _restore(
    desk: Desk, plan: restoring.Restoring, name: str, progress: Progress | None
) -> frozenset[str]:
    step = Step(progress, plan.total(), every=100)
    kinds = _kinds(plan.counts())
    in_bulk = plan.total() > restoring.MOST_UNDONE
    book = desk.book
    change = book.change(name, day=desk.today, kinds=sorted(kinds), at=desk.clock())
    with book.load() if in_bulk else change as session:
        plan.write(session, step, in_bulk=in_bulk)
        step.say()
    return kinds


def _kinds(records: Iterable[str]) -> frozenset[str]:
    return frozenset(_KINDS[record] for record in records)
