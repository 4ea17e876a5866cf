"""Bringing a full export into a book that is in use: the same rows, changed ones, new ones."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from app.actions.exchange.alike import plain_name
from app.actions.exchange.drafts import Draft, Drafts, row_of
from app.actions.exchange.entry_values import entry_values, missing, no_such_row
from app.actions.exchange.outcomes import LineOutcome
from app.documents.export.layout import BY_KIND, SHEETS
from app.documents.reading.lines import EntryLine
from app.documents.reading.options import Step
from app.records.queries import everything

# What makes two rows of a kind the same thing, wherever they stand; references by what they mean.
_IDENTITY: dict[str, tuple[str, ...]] = {
    "customers": ("name", "phone", "email"),
    "consents": ("customer_id", "channel", "purpose", "day"),
    "vehicles": ("description", "year", "plate", "vin"),
    "owner_links": ("vehicle_id", "customer_id", "from_day"),
    "suppliers": ("name",),
    "supplies": ("name",),
    "packs": ("supply_id", "supplier_id", "label", "size"),
    "lots": ("supply_id", "code", "received_on"),
    "services": ("name",),
    "service_steps": ("service_id", "position", "name"),
    "supplier_dates": ("supplier_id", "kind", "first_day"),
    "pack_breaks": ("pack_id", "packs"),
    "recipe_lines": ("service_id", "supply_id", "scaling"),
    "jobs": ("first_day", "customer_id", "vehicle_id", "title"),
    "job_services": ("job_id", "service_id"),
    "job_steps": ("job_id", "position", "name"),
    "job_moves": ("job_id", "day", "at", "kind"),
    "hours": ("day", "job_id", "what", "minutes"),
    "uses": ("day", "job_id", "supply_id", "quantity"),
    "charges": ("job_id", "position", "text"),
    "tax_rates": ("kind", "place", "from_day"),
    "receipts": ("job_id", "customer_id", "day", "at", "amount", "kind"),
    "expenses": ("day", "at", "kind", "text", "amount"),
    "photos": ("sha256", "expense_id"),
    "repeats": ("kind", "text", "amount", "every", "from_day"),
    "estimates": ("job_id", "version", "at"),
    "estimate_lines": ("estimate_id", "position", "text"),
    "hold_points": ("estimate_id", "position", "text"),
    "estimate_calls": ("estimate_id", "day", "at"),
    "orders": ("supplier_id", "day", "number"),
    "order_lines": ("order_id", "supply_id", "pack_label", "packs"),
    "order_choices": ("day", "supply_id"),
    "movements": ("supply_id", "day", "at", "kind", "quantity", "value"),
    "pool_events": ("supply_id", "day", "at", "kind", "source", "target", "pieces"),
    "layer_events": ("vehicle_id", "day", "at", "kind", "surface_group", "supply_id"),
    "judgements": ("vehicle_id", "day", "surface_group"),
    "reminders": ("uid",),
    "reminder_items": ("reminder_id", "vehicle_id", "layer_event_id"),
    "reminder_events": ("reminder_id", "day", "at", "kind"),
}
# A row with the same number is the same one when one of these agrees, else when all above do.
_MARKS: dict[str, tuple[str, ...]] = {
    "customers": ("name", "phone", "email"),
    "consents": ("customer_id",),
    "vehicles": ("description", "plate", "vin"),
    "packs": ("label", "size"),
    "jobs": ("number",),
    "charges": ("job_id",),
    "hours": ("job_id", "day"),
    "lots": ("supply_id",),
    "service_steps": ("service_id",),
    "recipe_lines": ("service_id",),
    "job_steps": ("job_id",),
    "job_moves": ("job_id", "at"),
    "suppliers": ("name", "email", "phone"),
    "supplier_dates": ("supplier_id", "kind"),
    "pack_breaks": ("pack_id", "packs"),
    "supplies": ("name",),
    "services": ("name",),
    "judgements": ("vehicle_id",),
    "owner_links": ("vehicle_id",),
}
# What a file may change in a row that stands; ledgers and what they rest on only grow.
_OPEN = frozenset(_MARKS)
# What belongs to one book alone and is not carried into another that has its own.
# An invoice's number is this book's, without a gap; another's invoices stay with the other.
_INVOICES = frozenset({"invoices", "invoice_lines", "invoice_taxes", "invoice_words"})
# What was filed was this book’s.
_OWN = frozenset({"settings", "days", "weather", "order_choices", "filings"}) | _INVOICES
# Whoever asked for silence keeps it, whatever an older file says.
_SILENCE = frozenset(
    {("customers", "stopped_on"), ("customers", "deceased"), ("consents", "withdrawn_on")}
)
_UNIQUE = {"jobs": "number", "orders": "number"}


class EntriesMerging:
    """Finds the rows of an export in a book, or drafts them."""

    LEFT_OUT = _OWN

    def __init__(self, drafts: Drafts) -> None:
        self._drafts = drafts
        self._known: dict[tuple[str, int], Draft] = {}
        self._index: dict[str, dict[tuple[Any, ...], list[Draft]]] = {}
        self._used: set[int] = set()
        self.left_out: Counter[str] = Counter()

    def gather(self, lines: Sequence[EntryLine], step: Step) -> Iterator[LineOutcome]:
        """The outcome of each line, kind after kind in the order of the sheets."""
        by_kind: dict[str, list[EntryLine]] = defaultdict(list)
        for line in lines:
            by_kind[line.record].append(line)
        for layout in SHEETS:
            found = by_kind.get(layout.kind, ())
            if layout.kind in _OWN:
                self.left_out[layout.kind] += len(found)
                step.on(len(found))
                continue
            later: list[tuple[LineOutcome, EntryLine]] = []
            outcomes = []
            for line in found:
                outcome = self._one(line)
                outcomes.append(outcome)
                if outcome.draft is not None:
                    later.append((outcome, line))
                step.on()
            self._settle_own(layout.kind, later)
            yield from outcomes

    def _one(self, line: EntryLine) -> LineOutcome:
        outcome = LineOutcome(line)
        read = entry_values(line)
        values = read.values
        outcome.refused = read.refused or self._resolve(line, values)
        if outcome.refused:
            return outcome
        found = self._find(line, values)
        if found is None:
            outcome.refused = missing(line, values)
            if outcome.refused:
                return outcome
            outcome.made = True
            self._make_unique(outcome, line.record, values)
            found = self._drafts.new(line.record, line.source.whole(), **values)
            self._indexed(found.kind)[_identity(found.kind, found.values)].append(found)
        outcome.draft = found
        self._used.add(id(found))
        if line.number is not None:
            self._known[line.record, line.number] = found
        if not outcome.made:
            self._change(outcome, found, values)
        return outcome

    def _resolve(self, line: EntryLine, values: dict[str, Any]) -> str:
        """Turn keys into rows; own-kind references wait until their kind is done."""
        layout = BY_KIND[line.record]
        for field in layout.fields:
            kind, key = field.points_to, values.get(field.name)
            if not kind or key is None:
                continue
            if kind == line.record:
                values.pop(field.name)
                continue
            target = self._known.get((kind, key)) or self._by_number(kind, key)
            if target is not None:
                values[field.name] = target
            elif field.name in everything.empty_allowed(line.record):
                values[field.name] = None
            else:
                return no_such_row(line, field, key)
        return ""

    def _by_number(self, kind: str, number: int) -> Draft | None:
        """A row of the book by its number, for a file that lacks the sheet it stands in."""
        if any(known == kind for known, _ in self._known):
            return None
        return self._drafts.standing(kind, number)

    def _find(self, line: EntryLine, values: dict[str, Any]) -> Draft | None:
        kind = line.record
        if line.number is not None:
            same = self._drafts.standing(kind, line.number)
            if same is not None and id(same) not in self._used and self._is_it(kind, same, values):
                return same
        told = _identity(kind, values)
        for draft in self._indexed(kind).get(told, ()):
            if id(draft) not in self._used:
                return draft
        return None

    def _is_it(self, kind: str, draft: Draft, values: dict[str, Any]) -> bool:
        marks = _MARKS.get(kind)
        if marks is None:
            return _identity(kind, {**draft.values, **values}) == _identity(kind, draft.values)
        return any(
            values.get(name) not in (None, "")
            and _plain(values.get(name)) == _plain(draft.get(name))
            for name in marks
        )

    def _indexed(self, kind: str) -> dict[tuple[Any, ...], list[Draft]]:
        if kind not in self._index:
            index: dict[tuple[Any, ...], list[Draft]] = defaultdict(list)
            for draft in self._drafts.all(kind):
                index[_identity(kind, draft.values)].append(draft)
            self._index[kind] = index
        return self._index[kind]

    def _make_unique(self, outcome: LineOutcome, kind: str, values: dict[str, Any]) -> None:
        """A job or order of another book gets the next free number; its own goes to the notes."""
        name = _UNIQUE.get(kind)
        if name is None or values.get(name) is None:
            return
        taken = {draft.get(name) for draft in self._drafts.all(kind)}
        if values[name] in taken:
            outcome.remarks.append(f"number {values[name]} is taken; it gets the next free one")
            values[name] = max(taken) + 1

    def _change(self, outcome: LineOutcome, found: Draft, values: dict[str, Any]) -> None:
        layout = BY_KIND[found.kind]
        for name, value in values.items():
            if row_of(value) == row_of(found.get(name)):
                continue
            heading = layout.field(name).heading
            if found.kind not in _OPEN:
                outcome.remarks.append(
                    f"{heading} differs; what is booked is not changed by a file"
                )
                continue
            if name == _UNIQUE.get(found.kind):
                continue
            if (found.kind, name) in _SILENCE and not value:
                outcome.remarks.append(f"{heading} stands; no file lifts it")
                continue
            found.values[name] = value
            outcome.changes.append(
                f"{heading}: {_said((found.stood or {}).get(name))} → {_said(value)}"
            )

    def _settle_own(self, kind: str, lines: Sequence[tuple[LineOutcome, EntryLine]]) -> None:
        """References to rows of the same kind, once all of them are known."""
        names = [field.name for field in BY_KIND[kind].fields if field.points_to == kind]
        for name in names:
            for outcome, line in lines:
                draft = outcome.draft
                key = line.values.get(name)
                if draft is None or key is None:
                    continue
                target = self._known.get((kind, key))
                if target is None or row_of(draft.points_to(name)) == row_of(target):
                    continue
                if draft.is_new or kind in _OPEN:
                    draft.values[name] = target
                    if not outcome.made:
                        outcome.changes.append(BY_KIND[kind].field(name).heading)


def _identity(kind: str, values: dict[str, Any]) -> tuple[Any, ...]:
    return tuple(_plain(values.get(name)) for name in _IDENTITY[kind])


def _plain(value: Any) -> Any:
    if isinstance(value, Draft):
        return row_of(value)
    if isinstance(value, str):
        return plain_name(value) or value
    return value


def _said(value: Any) -> str:
    if isinstance(value, Draft):
        return str(value.get("name") or value.get("description") or value.get("number") or "row")
    return "nothing" if value in (None, "") else str(value)[:60]
