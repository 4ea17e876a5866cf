"""What a bringing-in wants of the book, kept beside it until all of it is written at once.

Every row that a file touches is a draft: a new row, or one that stands in the book with the values
that are to change. References between drafts are the drafts themselves until they are written.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from app.documents.export.layout import SHEETS
from app.documents.reading.options import Step
from app.records.queries import everything
from app.records.queries.settings import Session

# Columns in which a row of a kind points to a row of its own kind: written in a second step.
_OWN: dict[str, tuple[str, ...]] = {
    "customers": ("referred_by_id", "payer_id"),
    "receipts": ("counters_id",),
    "invoices": ("credits_id",),
    "invoice_lines": ("credits_line_id",),
    "movements": ("counters_id",),
    "pool_events": ("counters_id",),
    "layer_events": ("counters_id",),
    "reminder_events": ("counters_id",),
}


@dataclass(eq=False, slots=True)
class Draft:
    """One row: new, or as it stands with what is to change.

    `values` are by column; a reference to a row that is itself drafted is its Draft. `told` are
    the columns that the files have spoken of already: the first word counts. `origin` is where a
    new row was first told of.
    """

    kind: str
    values: dict[str, Any]
    row_id: Any = None
    stood: dict[str, Any] | None = None
    told: set[str] = field(default_factory=set)
    origin: str = ""

    @property
    def is_new(self) -> bool:
        """True for a row that is not in the book yet."""
        return self.stood is None

    def get(self, name: str) -> Any:
        """The value as it will be."""
        return self.values.get(name)

    def points_to(self, name: str) -> Draft | int | None:
        """What a reference leads to: a draft, the number of a row, or None."""
        found: Draft | int | None = self.values.get(name)
        return found

    def changes(self) -> dict[str, Any]:
        """The columns of a standing row that are to change."""
        if self.stood is None:
            return {}
        stood = self.stood
        return {
            name: value
            for name, value in self.values.items()
            if name in stood and not _same(value, stood[name])
        }


def _same(value: Any, stood: Any) -> bool:
    if isinstance(value, Draft):
        return not value.is_new and value.row_id == stood
    return bool(value == stood)


def row_of(reference: Draft | int | None) -> Any:
    """A thing to compare references by: a row's number, or the draft of a new row."""
    if isinstance(reference, Draft):
        return reference.row_id if not reference.is_new else reference
    return reference


def standing_lines(lines: Iterable[Draft]) -> list[Draft]:
    """The lines of a ledger, those that are new too, that nothing takes back."""
    lines = list(lines)
    back = {row_of(line.points_to("counters_id")) for line in lines} - {None}
    return [d for d in lines if d.get("counters_id") is None and row_of(d) not in back]


class Drafts:
    """All drafts of a bringing-in, over the rows that stand in the book."""

    def __init__(self, session: Session) -> None:
        """Nothing is loaded before it is asked for; `session` must live as long as that goes on."""
        self._session = session
        self._by_kind: dict[str, list[Draft]] = {}
        self._by_id: dict[str, dict[Any, Draft]] = defaultdict(dict)

    def all(self, kind: str) -> list[Draft]:
        """Every row of a kind, standing and new."""
        if kind not in self._by_kind:
            drafts = []
            columns = everything.columns(kind)
            for row in everything.rows(self._session, kind):
                stood = {name: row[name] for name in columns}
                draft = Draft(kind, dict(stood), row["id"], stood)
                self._by_id[kind][row["id"]] = draft
                drafts.append(draft)
            self._by_kind[kind] = drafts
        return self._by_kind[kind]

    def standing(self, kind: str, row_id: Any) -> Draft | None:
        """The row with that number as it stands in the book."""
        self.all(kind)
        return self._by_id[kind].get(row_id)

    def new(self, kind: str, origin: str, /, **values: Any) -> Draft:
        """A new row."""
        draft = Draft(kind, values, origin=origin, told=set(values))
        self.all(kind).append(draft)
        return draft

    def loaded(self) -> Iterator[tuple[str, list[Draft]]]:
        """The kinds that were looked at, with their rows, in the order in which to write them."""
        for layout in SHEETS:
            if layout.kind in self._by_kind:
                yield layout.kind, self._by_kind[layout.kind]

    def work(self) -> int:
        """How many rows are to be written or changed."""
        return sum(len(drafts) for drafts in self._to_write().values())

    def changed_kinds(self) -> frozenset[str]:
        """The kinds of record that will be written."""
        return frozenset(kind for kind, drafts in self._to_write().items() if drafts)

    def _to_write(self) -> dict[str, list[Draft]]:
        return {kind: [d for d in ds if d.is_new or d.changes()] for kind, ds in self.loaded()}

    def write(self, session: Session, step: Step) -> None:
        """Write every draft, one by one, as a change that can be undone."""
        for kind, drafts in self.loaded():
            own = _OWN.get(kind, ())
            new = [draft for draft in drafts if draft.is_new]
            for part in _parts(new, 500):
                keys = everything.add(session, kind, [_row(draft, own) for draft in part])
                for draft, key in zip(part, keys, strict=True):
                    draft.row_id = key
                step.on(len(part))
            for draft in new:
                points = {name: _key(draft.values[name]) for name in own if draft.values.get(name)}
                if points:
                    everything.change(session, kind, draft.row_id, points)
            for draft in drafts:
                changes = draft.changes()
                if changes:
                    told = {name: _key(value) for name, value in changes.items()}
                    everything.change(session, kind, draft.row_id, told)
                    step.on()


def _key(value: Any) -> Any:
    if not isinstance(value, Draft):
        return value
    if value.row_id is None:
        raise LookupError(f"a row of {value.kind} is pointed to before it is written")
    return value.row_id


def _row(draft: Draft, own: tuple[str, ...]) -> dict[str, Any]:
    """A new row's columns; what points to its own kind comes in a second step."""
    return {name: _key(value) for name, value in draft.values.items() if name not in own}


def _parts(drafts: list[Draft], size: int) -> Iterable[list[Draft]]:
    for start in range(0, len(drafts), size):
        yield drafts[start : start + size]
