"""Putting a full export into a book that holds nothing yet: every row with its own number."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import islice
from pathlib import Path
from typing import Any

from app.actions.exchange.entry_values import entry_values, missing, no_such_row
from app.actions.exchange.older_exports import first_rate
from app.documents.export.layout import BY_KIND, SHEETS
from app.documents.reading.lines import EntryLine
from app.documents.reading.options import Step
from app.records import stock
from app.records.queries import everything, settings
from app.records.queries.settings import Session

# Above so many rows the images that undo needs would double the work; the book was empty before.
MOST_UNDONE = 20_000
_OWN_KEY = ("days", "settings")


@dataclass(slots=True)
class Restoring:
    """The lines of a full export, checked against each other before anything is written."""

    refused: list[tuple[EntryLine, str]] = field(default_factory=list)
    good: dict[str, list[tuple[EntryLine, dict[str, Any]]]] = field(default_factory=dict)
    folders: tuple[Path, ...] = ()  # of the files, beside which photos lie

    def counts(self) -> Counter[str]:
        """How many rows of each kind will be written."""
        return Counter({kind: len(rows) for kind, rows in self.good.items()})

    def total(self) -> int:
        """How many rows in all."""
        return sum(self.counts().values())

    def write(self, session: Session, step: Step, *, in_bulk: bool) -> None:
        """Write the rows, in bulk within `Book.load` or one by one within `Book.change`."""
        for kind in (layout.kind for layout in SHEETS):
            rows = (values for _, values in self.good.get(kind, ()))
            if kind == "settings":
                told = {row["name"]: row["value"] for row in _counted(rows, step)}
                rate = first_rate(told)
                if rate is not None and "tax_rates" not in self.good:
                    everything.add(session, "tax_rates", [rate])
                if told:  # the zone of a new book gives way to that of the shop whose book this was
                    settings.replace(session, told)
                continue
            if in_bulk:
                everything.insert_rows(session, kind, _counted(rows, step))
                continue
            counted = _counted(rows, step)
            while part := list(islice(counted, 500)):
                everything.add(session, kind, part)
        session.flush()
        for day in self._days_to_sum_up():
            stock.snapshot(session, day)

    def _days_to_sum_up(self) -> list[date]:
        """The last closed day of every month: the shelf is summed up there, not since ever."""
        last: dict[tuple[int, int], date] = {}
        for _, values in self.good.get("days", ()):
            if values.get("state") == "closed":
                day = values["day"]
                last[day.year, day.month] = max(day, last.get((day.year, day.month), day))
        return sorted(last.values())


def _counted(rows: Iterator[dict[str, Any]], step: Step) -> Iterator[dict[str, Any]]:
    for row in rows:
        step.on()
        yield row


def check(lines: Sequence[EntryLine], step: Step) -> Restoring:
    """Check every line and every reference; a line without what it must point to is refused."""
    by_kind: dict[str, list[EntryLine]] = defaultdict(list)
    for line in lines:
        by_kind[line.record].append(line)
    restoring = Restoring()
    numbers: dict[str, set[int]] = {
        one.kind: {line.number for line in by_kind.get(one.kind, ()) if line.number is not None}
        for one in SHEETS
    }
    gone: dict[str, set[int]] = defaultdict(set)
    # In the order of the sheets, so that what points to a refused row is seen to be refused too.
    for layout in SHEETS:
        kind = layout.kind
        seen: set[Any] = set()
        once: dict[str, set[Any]] = {name: set() for name in everything.unique(kind)}
        highest = max(numbers[kind], default=0)
        for line in by_kind.get(kind, ()):
            step.on()
            read = entry_values(line)
            values, why = read.values, read.refused
            row_id: Any = line.number
            if kind in _OWN_KEY:
                row_id = values.get(layout.fields[0].name)
            elif row_id is None:
                highest += 1
                row_id = highest
            if not why and row_id in seen:
                why = f"Sheet {layout.title}, row {line.source.row}: its key is there twice."
            if not why:
                why = _resolve(line, values, numbers, gone) or missing(line, values)
            if not why:
                why = _told_twice(line, values, once)
            if why:
                restoring.refused.append((line, why))
                if isinstance(row_id, int):
                    gone[kind].add(row_id)
                continue
            seen.add(row_id)
            if kind not in _OWN_KEY:
                values["id"] = row_id
            restoring.good.setdefault(kind, []).append((line, values))
    _settle_own(restoring)
    return restoring


def _resolve(
    line: EntryLine,
    values: dict[str, Any],
    numbers: dict[str, set[int]],
    gone: dict[str, set[int]],
) -> str:
    """Blank what points to nowhere; why the line cannot be kept, or ""."""
    layout = BY_KIND[line.record]
    bound = everything.bound(line.record)
    for field_ in layout.fields:
        kind = field_.points_to
        key = values.get(field_.name)
        if not kind or key is None:
            continue
        if key in numbers[kind] and key not in gone[kind]:
            continue
        if field_.name not in bound:
            continue  # a ledger's line may name what has gone since
        if field_.name in everything.empty_allowed(line.record):
            values[field_.name] = None
        else:
            return no_such_row(line, field_, key)
    return ""


def _told_twice(line: EntryLine, values: dict[str, Any], once: dict[str, set[Any]]) -> str:
    """Why a row says again what only one may say (a job's number), or ""."""
    layout = BY_KIND[line.record]
    for name, seen in once.items():
        value = values.get(name)
        if value is None or name not in {field_.name for field_ in layout.fields}:
            continue
        if value in seen:
            heading = layout.field(name).heading
            where = f"Sheet {layout.title}, row {line.source.row}, column {heading}"
            return f"{where}: {str(value)[:40]} is there twice."
        seen.add(value)
    return ""


def _settle_own(restoring: Restoring) -> None:
    """Rows that point to a later row of their own kind which was refused point nowhere."""
    for kind, rows in restoring.good.items():
        own = [f.name for f in BY_KIND[kind].fields if f.points_to == kind]
        if not own:
            continue
        there = {values["id"] for _, values in rows}
        for _, values in rows:
            for name in own:
                if values.get(name) is not None and values[name] not in there:
                    values[name] = None
