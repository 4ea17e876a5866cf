"""Bringing in what the shop has: read files, show what each line will do, do all of it or nothing.

readings = [read(desk, path) for path in paths]
plan = preview(desk, readings)        # changes nothing
changed = bring_in(desk, plan)        # one action, undone by name
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import moment_on
from app.actions.exchange import restoring
from app.actions.exchange.drafts import Draft, Drafts
from app.actions.exchange.entries_merging import EntriesMerging
from app.actions.exchange.gathering import People
from app.actions.exchange.gathering_shelf import ShelfGathering
from app.actions.exchange.gathering_work import WorkGathering
from app.actions.exchange.line_words import KIND_WORDS, words_of
from app.actions.exchange.outcomes import Outcome
from app.calculations.numbers.wording import capital, count_of
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
from app.records.queries import everything

OUTCOMES = {"new": "new", "same": "the same", "changed": "changed", "cannot": "cannot be read"}
# Which kinds of thing the window shows anew, and the kinds of record that they show.
_SHOWN = {
    "customers": "customers consents",
    "vehicles": "vehicles owner_links",
    "supplies": "suppliers supplier_dates supplies packs pack_breaks",
    "stock": "lots movements pool_events balances",
    "services": "services service_steps recipe_lines",
    "jobs": "jobs job_services job_steps",
    "hours": "hours",
    "uses": "uses",
    "money": "charges receipts",
    "layers": "layer_events judgements",
    "orders": "orders order_lines order_choices",
    "reminders": "reminders reminder_items reminder_events",
    "days": "days",
    "settings": "settings",
}
_KINDS = {record: shown for shown, records in _SHOWN.items() for record in records.split()}


@dataclass(frozen=True, slots=True)
class LinePreview:
    """What a line of a file will do.

    `outcome` is new, same, changed or cannot; `details` say what changes or what to know,
    `problems` what could not be read.
    """

    kind: str
    file: str
    place: str
    what: str
    outcome: str
    details: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()

    def sentence(self) -> str:
        """The line in one row of text: "list.csv, row 4: Ann Marlow: changed (city: Tarn)"."""
        word = OUTCOMES[self.outcome]
        more = f" ({'; '.join(self.details)})" if self.details else ""
        return f"{self.file}, {self.place}: {self.what}: {word}{more}"


@dataclass(frozen=True, slots=True)
class Preview:
    """What a bringing-in will do, line by line; nothing is written yet.

    `counts` gives for each kind of line how many are new, same, changed and cannot be read. The
    lines of a large export that are the same are only counted.
    """

    files: tuple[str, ...]
    lines: tuple[LinePreview, ...]
    counts: dict[str, Counter[str]]
    notes: tuple[str, ...]
    version: object  # of the book, when it was looked at
    drafts: Drafts | None = field(default=None, repr=False, compare=False)
    restoring: restoring.Restoring | None = field(default=None, repr=False, compare=False)

    def total(self, outcome: str) -> int:
        """How many lines have this outcome."""
        return sum(count[outcome] for count in self.counts.values())

    def changes_something(self) -> bool:
        """True when bringing in would write anything."""
        if self.restoring is not None:
            return self.restoring.total() > 0
        return self.drafts is not None and self.drafts.work() > 0

    def sentences(self) -> tuple[str, ...]:
        """One sentence for each kind of line."""
        said = []
        for kind, count in self.counts.items():
            one, many = KIND_WORDS.get(kind, (kind, kind))
            parts = [
                f"{count[outcome]:,} {word}" for outcome, word in OUTCOMES.items() if count[outcome]
            ]
            said.append(f"{count_of(count.total(), one, many)}: {', '.join(parts)}.")
        return tuple(said)


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
    desk: Desk, readings: Sequence[FileReading], progress: Progress | None = None
) -> Preview:
    """What bringing these files in will do, line by line; nothing is written.

    Raises Mendable when an export is in another currency than the book.
    """
    lines = [line for reading in readings for line in reading.lines]
    notes = [note for reading in readings for note in reading.notes]
    entries = [line for line in lines if isinstance(line, EntryLine)]
    people = [line for line in lines if not isinstance(line, EntryLine)]
    step = Step(progress, 2 * len(lines) + 1)
    with desk.book.reading() as session:
        empty = everything.holds_nothing(session)
        if entries and empty and not people:
            return _restore_preview(desk, readings, entries, notes, step)
        _same_currency(desk, readings)
        drafts = Drafts(session)
        outcomes: list[Outcome] = []
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
        if people:
            outcomes.extend(_gather(desk, drafts, people, balances, step))
        version = desk.book.version
        drafts.changed_kinds()
    return _as_preview(readings, outcomes, notes, version, drafts)


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
) -> list[Outcome]:
    """The outcomes of people's own lines: who first, then what, then the work."""
    found: dict[int, Outcome] = {}
    who = People(drafts)
    now = desk.clock()
    shelf = ShelfGathering(drafts, balances, desk.settings.currency, desk.today, now)

    def note(line: Line, outcome: Outcome | None) -> None:
        found[id(line)] = outcome or Outcome(line, refused=_why(line))
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
    return [found[id(line)] for line in lines]


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
    outcomes: Iterable[Outcome],
    notes: Sequence[str],
    version: object,
    drafts: Drafts,
) -> Preview:
    lines = []
    counts: dict[str, Counter[str]] = {}
    for outcome in outcomes:
        line = outcome.line
        kind = line.record if isinstance(line, EntryLine) else line.kind
        word, details = _said(outcome)
        counts.setdefault(kind, Counter())[word] += 1
        if isinstance(line, EntryLine) and word == "same" and not details:
            continue
        problems = list(line.problems)
        if outcome.refused and outcome.refused not in problems:
            problems.append(_sentence(line, outcome.refused))
        lines.append(_line_preview(line, kind, word, details, problems))
    files = tuple(reading.path.name for reading in readings)
    return Preview(files, tuple(lines), counts, tuple(dict.fromkeys(notes)), version, drafts)


def _line_preview(
    line: Line, kind: str, word: str, details: Iterable[str], problems: Iterable[str]
) -> LinePreview:
    source = line.source
    return LinePreview(
        kind, source.file, source.place(), words_of(line), word, tuple(details), tuple(problems)
    )


def _sentence(line: Line, what: str) -> str:
    if what[:1].isupper():
        return what if what.endswith(".") else f"{what}."
    return f"{capital(line.source.place())}: {what}."


def _said(outcome: Outcome) -> tuple[str, list[str]]:
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
    counts = {kind: Counter({"new": count}) for kind, count in plan.counts().items()}
    lines = []
    for line, why in plan.refused:
        counts.setdefault(line.record, Counter())["cannot"] += 1
        lines.append(_line_preview(line, line.record, "cannot", (), (why,)))
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
    name = f"Bring in {', '.join(plan.files)}"[:200]
    sentence = f"Brought in {', '.join(plan.files)}. {' '.join(plan.sentences())}"
    if plan.restoring is not None:
        kinds = _restore(desk, plan.restoring, name, progress)
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
