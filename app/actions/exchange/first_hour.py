"""A new book in three steps: bring in what you have, say what you sell, book a job.

They are shown until each is done or passed, at most until the first day is closed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from app.actions.desk.desk import Changed, Desk
from app.actions.jobs.services import list_services
from app.calculations.numbers.wording import count_of
from app.records.queries import days as queries
from app.records.queries import settings

if TYPE_CHECKING:
    from app.actions.exchange.preview_lines import Preview

STEPS = ("bring", "sell", "book")
TITLES = {"bring": "Bring in what you have", "sell": "Say what you sell", "book": "Book a job"}
# Where each begins: the place, and its item.
BEGIN: dict[str, tuple[str, object]] = {
    "bring": ("bringing in", "choose"),
    "sell": ("services", None),
    "book": ("jobs", ("new", None)),
}
TOGETHER = "Together"
# What files may hold: the name it has on the page, and the kinds of their lines.
SORTS = {
    "Customers": ("customer",),
    "Vehicles": ("vehicle",),
    "Suppliers": ("supplier",),
    "Supplies and stock": ("supply",),
    "Past jobs": ("job", "receipt"),
    "Protection on vehicles": ("layer",),
}
KINDS = frozenset({"settings"})


@dataclass(frozen=True, kw_only=True)
class Sort:
    """How far one sort of thing is: lines of files read, in the book, and not in it yet.

    `waits` come in when you say so; `unread` could not be read.
    """

    name: str
    files: tuple[str, ...] = ()
    read: int = 0
    brought: int = 0
    waits: int = 0
    unread: int = 0
    asks: int = 0

    @property
    def all_in(self) -> bool:
        """Whether every line of its files is in the book."""
        return self.read > 0 and self.brought == self.read

    @property
    def share(self) -> float:
        """The part of its lines that is in the book, 0 to 1."""
        return self.brought / self.read if self.read else 0.0


@dataclass(frozen=True, kw_only=True)
class FirstHour:
    """How far the three steps are."""

    sorts: tuple[Sort, ...]
    services: int
    ready: int  # of them, with a time and a price
    begun: bool  # a job is booked, or a day is written on
    passed: frozenset[str]

    @property
    def whole(self) -> Sort:
        """All sorts together."""
        return together(TOGETHER, self.sorts)

    def is_done(self, step: str) -> bool:
        """Whether a step has nothing left to do."""
        if step == "bring":
            whole = self.whole
            return whole.brought > 0 and not whole.waits
        if step == "sell":
            return self.services > 0 and self.ready == self.services
        return self.begun

    @property
    def left(self) -> tuple[str, ...]:
        """The steps that are neither done nor passed."""
        return tuple(one for one in STEPS if one not in self.passed and not self.is_done(one))

    def result(self, step: str) -> str:
        """How far a step is, in words."""
        if step in self.passed and not self.is_done(step):
            return "nothing to bring in" if step == "bring" else "left for later"
        if step == "bring":
            whole = self.whole
            if not whole.read:
                return "no file yet"
            return f"{whole.brought:,} of {whole.read:,} lines brought in"
        if step == "sell":
            if not self.services:
                return "no service yet"
            return f"{self.ready} of {count_of(self.services, 'service')} with time and price"
        return f"{int(self.begun)} of 1 booked"

    def share(self, step: str) -> float:
        """How far a step is, 0 to 1."""
        if step == "bring":
            return self.whole.share
        if step == "sell":
            return self.ready / self.services if self.services else 0.0
        return float(self.begun)


def first_hour(desk: Desk, waiting: Preview | None = None) -> FirstHour | None:
    """How far a new book is; None once a day was closed. `waiting` is looked at, not brought in."""
    with desk.book.reading() as session:
        if queries.any_closed(session):
            return None
        begun = queries.begun(session)
    sold = list_services(desk, stopped=False)
    return FirstHour(
        sorts=tuple(_sort(name, desk.settings.brought_in, waiting) for name in SORTS),
        services=len(sold),
        ready=sum(bool(one.minutes and one.price) for one in sold),
        begun=begun,
        passed=frozenset(desk.settings.passed_steps),
    )


def together(name: str, sorts: Iterable[Sort]) -> Sort:
    """Several sorts as one."""
    all_of = tuple(sorts)
    return Sort(
        name=name,
        files=tuple(dict.fromkeys(file for one in all_of for file in one.files)),
        read=sum(one.read for one in all_of),
        brought=sum(one.brought for one in all_of),
        waits=sum(one.waits for one in all_of),
        unread=sum(one.unread for one in all_of),
        asks=sum(one.asks for one in all_of),
    )


def _sort(name: str, kept: Mapping[str, Any], waiting: Preview | None) -> Sort:
    """A sort by its files; of one that is looked at anew counts what is seen now."""
    files = {
        file: Sort(name=name, files=(file,), read=read, brought=read - unread, unread=unread)
        for file, (read, unread) in kept.get(name, {}).items()
    }
    return together(name, (files | (_seen(name, waiting) if waiting else {})).values())


def _seen(name: str, plan: Preview) -> dict[str, Sort]:
    """What a preview holds of a sort, file by file; lines that were left out do not count."""
    outcomes: dict[str, Counter[str]] = {}
    for line in plan.lines:
        if line.kind in SORTS[name] and line.outcome != "left":
            count = outcomes.setdefault(line.file, Counter())
            count[line.outcome] += 1
            count["asks"] += line.asks is not None and not line.asks.answered
    return {
        file: Sort(
            name=name,
            files=(file,),
            read=count["new"] + count["changed"] + count["same"] + count["cannot"],
            brought=count["same"],
            waits=count["new"] + count["changed"],
            unread=count["cannot"],
            asks=count["asks"],
        )
        for file, count in outcomes.items()
    }


def noted_brought(desk: Desk, plan: Preview) -> dict[str, Any]:
    """The setting that remembers what is brought in with this preview, as it is stored."""
    kept: dict[str, Any] = dict(desk.settings.brought_in)
    for name in SORTS:
        found = {file: [one.read, one.unread] for file, one in _seen(name, plan).items()}
        if found:
            kept[name] = kept.get(name, {}) | found
    return {"brought_in": kept} if kept else {}


def pass_steps(desk: Desk, *steps: str) -> Changed:
    """Say that steps are left out, or take those in again that were."""
    passed = frozenset(desk.settings.passed_steps) ^ frozenset(steps)
    words = ", ".join(TITLES[one].lower() for one in steps)
    name = f"{'Passed' if passed & set(steps) else 'Taken up again'}: {words}"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        settings.write(session, {"passed_steps": [one for one in STEPS if one in passed]})
    desk.reload()
    return Changed(name, KINDS)
