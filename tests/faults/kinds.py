"""The kinds of fault: each takes a copy of an evening and a chance, and says what came of it."""

from __future__ import annotations

import os
import random
import resource
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from app.actions.desk.desk import Desk
from app.actions.people.customers import add_customer
from app.errors import Mendable
from app.records.book import Book
from app.records.storage.backup import restore
from tests.faults import disk
from tests.faults.disk import Failing
from tests.faults.evening import STEPS, Evening, Said, digest, live
from tests.faults.trial import Verdict, apart, evening_with, verdict

# About so many calls of a sort are made in one evening, more of them early; later ones never come.
CALLS = {Failing.SYNC: 90, Failing.READ: 60, Failing.NAMES: 25}
OTHER_CALLS = 350


@dataclass(frozen=True)
class Case:
    """One trial to be made."""

    evening: Evening
    expected: Sequence[Said]
    chance: random.Random


Kind = Callable[[Case], Verdict]


def _early(chance: random.Random, size: int) -> int:
    return int(size * chance.random() ** 2)


def _disk(failing: Failing, case: Case) -> Verdict:
    at = _early(case.chance, CALLS.get(failing, OTHER_CALLS))
    trial = evening_with(case.evening, case.expected, failing=failing, at=at)
    return verdict(case.evening, trial, case.expected)


def _killed_some_time(case: Case) -> Verdict:
    trial = evening_with(
        case.evening, case.expected, kill_after=0.001 + 0.6 * case.chance.random() ** 2
    )
    return verdict(case.evening, trial, case.expected)


def _file_too_large(case: Case) -> Verdict:
    """The disk's share of this person is used up."""
    size = case.evening.book.stat().st_size
    limit = size + _early(case.chance, 100_000)

    def work(tell: Callable[[object], None]) -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
        live(case.evening, tell, expected=case.expected)

    return verdict(case.evening, apart(work), case.expected)


def _swapped(how: str, case: Case) -> Verdict:
    """Before one of the steps the file is replaced, deleted, renamed, or loses its log."""
    when = case.chance.randrange(STEPS)
    kept = case.evening.book.with_name("kept")

    def swap(number: int, path: Path) -> None:
        if number != when:
            return
        if how == "replaced":
            shutil.copyfile(path, kept)
            os.replace(kept, path)
        elif how == "deleted":
            path.unlink()
        elif how == "renamed":
            path.rename(kept)
        else:
            path.with_name(path.name + "-wal").unlink()

    trial = evening_with(case.evening, case.expected, before=swap)
    if trial.bug:
        return Verdict("refused", f"not plain: {trial.bug}")
    # What was told to be done before the swap is none of the file's that lies there now; but from
    # then on nothing may be told that changed the book.
    later = [
        number
        for number in range(when + 1, len(trial.told))
        if trial.told[number].digest != trial.told[number - 1].digest
    ]
    if later:
        return Verdict("to its end", f"step {later[0]} was told to be done, after {when}")
    return Verdict("refused" if trial.sentence else "to its end")


def _clock_jumps(case: Case) -> Verdict:
    days = case.chance.choice((-4000, -400, -40, -1, 1, 40, 4000))
    evening = replace(case.evening, jump=days)

    def work(tell: Callable[[object], None]) -> None:
        live(evening, tell)

    trial = apart(work)
    if trial.bug or trial.sentence:
        return Verdict("refused", f"not plain: {trial.bug or trial.sentence}")
    wanted = [trial.told[-1]]
    return verdict(evening, replace(trial, told=tuple(trial.told[-1:])), wanted)


def _two_programs(case: Case) -> Verdict:
    """Another program opens the book while this one writes: it may read, and not write."""
    when = case.chance.randrange(STEPS)

    def other(number: int, path: Path) -> None:
        if number != when:
            return
        found = apart(lambda tell: Book.open(path).close())
        reads = apart(lambda tell: tell(Said(_read(path))))
        if "is open in another window" not in found.sentence or not reads.told:
            raise AssertionError(f"the other was not told plainly: {found} {reads}")

    trial = evening_with(case.evening, case.expected, before=other)
    return verdict(case.evening, trial, case.expected)


def _read(path: Path) -> str:
    with Book.open(path, write=False) as book:
        return digest(book)


def _damaged(how: str, case: Case) -> Verdict:
    """Bytes of the closed book are changed: it is said plainly, and the backup is put back."""
    path, chance = case.evening.book, case.chance
    whole = path.with_name("whole.bayledger")
    shutil.copyfile(path, whole)
    before = _read(whole)
    with path.open("rb+") as file:
        size = path.stat().st_size
        if how == "truncated":
            file.truncate(chance.randrange(size))
        for _ in range(0 if how == "truncated" else chance.choice((1, 1, 3, 40))):
            page = 4096 * chance.randrange(size // 4096)
            within = chance.choice((chance.randrange(100), chance.randrange(4096)))
            file.seek(page if how == "zeroed" else page + within)
            file.write(bytes(4096) if how == "zeroed" else chance.randbytes(1))

    def work(tell: Callable[[object], None]) -> None:
        with Book.open(path) as book:
            for complaint in book.check():
                raise Mendable(complaint)
        live(case.evening, tell)

    trial = apart(work)
    if trial.bug:
        return Verdict("refused", f"not plain: {trial.bug}")
    put_back = apart(lambda tell: (restore(whole, path), tell(Said(_read(path)))))
    if [one.digest for one in put_back.told] != [before]:
        return Verdict("refused", f"the backup was not put back: {put_back}")
    return Verdict("refused" if trial.sentence else "to its end")


def _killed_restoring(case: Case) -> Verdict:
    """Killed while a backup is put back: the book is as it was, or as the backup."""
    path = case.evening.book
    saved = path.with_name("saved.bayledger")

    def make(tell: Callable[[object], None]) -> None:
        with Book.open(path) as book:
            book.backup(saved)
        live(case.evening, tell)

    trial = apart(make)
    at = _early(case.chance, 80)

    def put_back(_tell: Callable[[object], None]) -> None:
        disk.arm(case.chance.choice((Failing.KILL, Failing.TORN, Failing.SYNC)), at, path.parent)
        restore(saved, path)

    end = apart(put_back)
    if end.bug:
        return Verdict("refused", f"not plain: {end.bug}")
    if not path.exists():
        return Verdict("killed", "no book is left at its place")
    found = apart(lambda tell: tell(Said(_read(path))))
    may_be = {trial.told[-1].digest, case.expected[0].digest}
    if not found.told or found.told[0].digest not in may_be:
        return Verdict("killed", f"the book is neither the one nor the other: {found}")
    return Verdict("killed" if end.killed else "refused" if end.sentence else "to its end")


def _killed_bringing_forward(case: Case) -> Verdict:
    """Killed while an old book is brought to this version's tables: old or new, it is whole."""
    path = case.evening.book.with_name("old.bayledger")
    old = Path(__file__).parents[1] / "records" / "books" / "0001.db"
    shutil.copyfile(old, path)
    at = _early(case.chance, 300)

    def bring(_tell: Callable[[object], None]) -> None:
        disk.arm(case.chance.choice((Failing.KILL, Failing.TORN, Failing.WRITE)), at, path.parent)
        Book.open(path).close()

    end = apart(bring)
    if end.bug:
        return Verdict("refused", f"not plain: {end.bug}")

    def look(tell: Callable[[object], None]) -> None:
        with Book.open(path) as book:
            tell(Said(digest(book), " ".join(book.check())))

    found = apart(look)
    if not found.told or found.told[0].refusal:
        return Verdict("killed", f"the old book does not open whole: {found}")
    return Verdict("killed" if end.killed else "refused" if end.sentence else "to its end")


def _killed_and_replaced(case: Case) -> Verdict:
    """Killed, and an older copy put in its place: that is what it says then, without the log."""
    path = case.evening.book
    older = path.with_name("older")
    shutil.copyfile(path, older)

    def other(tell: Callable[[object], None]) -> None:
        with Book.open(older) as book:
            add_customer(Desk(book), name=f"Of the second PC {case.chance.random()}")
            tell(Said(digest(book)))

    (wanted,) = apart(other).told
    trial = evening_with(case.evening, case.expected, kill_after=0.05 + 0.5 * case.chance.random())
    os.replace(older, path)
    log = path.with_name(path.name + "-wal")
    left = log.exists() and log.stat().st_size > 0

    def look(tell: Callable[[object], None]) -> None:
        with Book.open(path) as book:
            tell(Said(digest(book), " ".join(book.check())))

    found = apart(look)
    ended = "killed" if trial.killed else "to its end"
    if [*found.told] != [wanted]:
        return Verdict(ended, f"another book's log is mixed in, or it does not open: {found}")
    if left and not list(path.parent.glob("* log of another book.bayledger-wal")):
        return Verdict(ended, "the log of the book that was replaced is gone")
    return Verdict(ended)


KILLS: dict[str, Kind] = {
    "killed before a call": partial(_disk, Failing.KILL),
    "killed in the middle of a write": partial(_disk, Failing.TORN),
    "killed while a backup is put back": _killed_restoring,
    "killed while an old book is brought forward": _killed_bringing_forward,
}
DISK: dict[str, Kind] = {
    "a write fails": partial(_disk, Failing.WRITE),
    "a sync fails": partial(_disk, Failing.SYNC),
    "a read fails": partial(_disk, Failing.READ),
    "a name or size cannot be changed": partial(_disk, Failing.NAMES),
    "the disk is full once": partial(_disk, Failing.FULL_ONCE),
    "the disk is full and stays so": partial(_disk, Failing.FULL),
}
# These need no disk that fails on purpose.
ANYWHERE: dict[str, Kind] = {
    "killed after some time": _killed_some_time,
    "killed, and an older copy put there": _killed_and_replaced,
    "a share of the disk is used up": _file_too_large,
    "the file is replaced": partial(_swapped, "replaced"),
    "the file is deleted": partial(_swapped, "deleted"),
    "the file is renamed": partial(_swapped, "renamed"),
    "the log is deleted": partial(_swapped, "log deleted"),
    "the clock jumps": _clock_jumps,
    "another program opens it": _two_programs,
    "bytes are flipped": partial(_damaged, "flipped"),
    "the file is cut off": partial(_damaged, "truncated"),
    "pages are zeroed": partial(_damaged, "zeroed"),
}
