"""The desk: an open book with the shop's settings and clock, which every action is given."""

from __future__ import annotations

import threading
from collections.abc import Callable, Collection, Hashable, Iterator, Sequence, Set
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from app.actions.desk.settings import Settings, read_settings
from app.calculations.numbers.instants import clock_of, day_of, instant
from app.errors import Mendable
from app.records.book import Book
from app.records.undo.touched import RowTouched

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True)
class Changed:
    """What an action did: its name, the kinds of thing it changed, and what to tell the person.

    `question` is asked beside the number and changes nothing by itself: what was typed is kept.
    """

    name: str
    kinds: frozenset[str]
    sentence: str = ""
    question: str = ""


NOTHING = Changed("", frozenset())


def changed_of(result: object) -> Changed | None:
    """What an action changed: its result, the first of that, or its attribute `changed`."""
    if isinstance(result, Changed):
        return result
    if isinstance(result, tuple) and result and isinstance(result[0], Changed):
        return result[0]
    inner = getattr(result, "changed", None)
    return inner if isinstance(inner, Changed) else None


def there(row: T | None, what: str) -> T:
    """The row that was looked for; `Mendable` where it is gone: `This customer is not ...`."""
    if row is None:
        raise Mendable(f"{what} is not in the book any more.")
    return row


def utc_now() -> datetime:
    """This moment."""
    return datetime.now(UTC)


@dataclass
class Desk:
    """An open book, its settings and a clock."""

    book: Book
    clock: Callable[[], datetime] = utc_now
    settings: Settings = field(init=False)
    meant: set[date] = field(default_factory=set)  # days that a person said are meant
    _kept: dict[Hashable, tuple[object, Any]] = field(default_factory=dict, repr=False)
    _mended: dict[str, tuple[object, Any]] = field(default_factory=dict, repr=False)
    _keeping: threading.Lock = field(default_factory=threading.Lock, repr=False)

    def __post_init__(self) -> None:
        self.reload()

    def reload(self) -> None:
        """Read the settings again, after they changed."""
        with self.book.reading() as session:
            self.settings = read_settings(session)
            clock_of(self.clock(), self.settings.zone)  # a zone that there is not is damage

    @property
    def today(self) -> date:
        """The shop's date, in its own time zone."""
        return self.day_of(self.clock())

    def day_of(self, at: datetime) -> date:
        """The shop's day on which an instant falls."""
        return day_of(at, self.settings.zone)

    def clock_of(self, at: datetime) -> str:
        """An instant on the shop's clock: `17:54`."""
        return clock_of(at, self.settings.zone)

    def instant(self, day: date, clock: time) -> datetime:
        """The instant at which the shop's clock shows this time of this day."""
        return instant(day, clock, self.settings.zone)

    def remembered(self, key: Hashable, compute: Callable[[], T]) -> T:
        """`compute()`, kept until the book changes; for what many views share."""
        version = self.book.version
        with self._keeping:
            kept = self._kept.get(key)
        if kept is not None and kept[0] == version:
            value: T = kept[1]
            return value
        value = compute()
        with self._keeping:
            # Where the book changed meanwhile the value is used once and kept for nobody.
            if self.book.version == version:
                self._kept = {k: v for k, v in self._kept.items() if v[0] == version}
                self._kept[key] = (version, value)
        return value

    def mended(self, word: str, mend: Callable[[T | None, Sequence[RowTouched] | None], T]) -> T:
        """`mend(last, touched)`: what it gave last, and the rows that were changed since.

        None for what it gave last the first time, and for the rows where they are not known. What
        `mend` reads it reads in sessions of its own: they see the book as it is then, or later.
        """
        version = self.book.version
        with self._keeping:
            then, last = self._mended.get(word, (None, None))
        value = mend(last, self.book.touched_since(then))
        with self._keeping:
            self._mended[word] = (version, value)
        return value

    def lasting(self, word: str, key: object, tables: Set[str], compute: Callable[[], T]) -> T:
        """`compute()`, kept until a row of these tables changes; for one key of each word."""

        def mend(
            last: tuple[object, T] | None, touched: Sequence[RowTouched] | None
        ) -> tuple[object, T]:
            stands = touched is not None and not any(row.table in tables for row in touched)
            if last is not None and last[0] == key and stands:
                return last
            return key, compute()

        return self.mended(word, mend)[1]

    @contextmanager
    def still_standing(self, words: Collection[str]) -> Iterator[None]:
        """Around a change that leaves some remembered things as they are.

        They are named by the first word of their keys. Without this, every typed number would
        throw away what took long to work out and does not depend on it. What was worked out before
        another thread's change is not taken for current: only this one change may lie between.
        """
        last = self.book.changed_here
        yield
        made = self.book.changed_here
        if made is None or made == last:
            return
        before, after = made
        with self._keeping:
            for key, (version, value) in self._kept.items():
                word = key[0] if isinstance(key, tuple) else key
                if version == before and word in words:
                    self._kept[key] = (after, value)


def kept(
    *words: str,
) -> Callable[[Callable[Concatenate[Desk, P], T]], Callable[Concatenate[Desk, P], T]]:
    """A question about the book, its answers kept until the book changes (`Desk.remembered`).

    `words` and what it is asked with are their key; by the first `still_standing` knows them.
    """

    def keeping(ask: Callable[Concatenate[Desk, P], T]) -> Callable[Concatenate[Desk, P], T]:
        @wraps(ask)
        def once(desk: Desk, *args: P.args, **named: P.kwargs) -> T:
            key = (*words, *args, *named.values())
            return desk.remembered(key, lambda: ask(desk, *args, **named))

        return once

    return keeping
