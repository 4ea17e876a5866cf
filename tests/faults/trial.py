"""One trial: an evening in a process of its own, something that goes wrong, and what is left."""

from __future__ import annotations

import json
import os
import shutil
import signal
import time
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from app.errors import Mendable
from app.records.book import Book
from tests.faults import disk
from tests.faults.evening import Evening, Said, digest, live

MENDABLE, BUG = 1, 3
PATIENCE = 300  # seconds until a process that does not end counts as hung


@dataclass(frozen=True)
class Trial:
    """How a process ended, and what it had told until then."""

    told: tuple[Said, ...]
    sentence: str = ""  # a plain sentence that it ended with
    bug: str = ""  # the end of a traceback
    killed: bool = False


@dataclass(frozen=True)
class Verdict:
    """What a trial came to: nothing may stand in `lost`, which says what was lost or not plain."""

    ended: str  # "to its end", "killed", "refused"
    lost: str = ""


def apart(work: Callable[[Callable[[object], None]], object], kill_after: float = 0.0) -> Trial:
    """Run *work* in a process of its own; it tells by its argument, and may be killed in between.

    The process is a fork: everything is loaded already, so a trial takes a tenth of a second.
    """
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        _child(work, write)
    os.close(write)
    if kill_after:
        time.sleep(kill_after)
        os.kill(child, signal.SIGKILL)
    with os.fdopen(read, encoding="utf-8") as lines:
        heard = lines.read().splitlines()
    status = os.waitpid(child, 0)[1]
    told, sentence, bug = [], "", ""
    for line in heard:
        try:
            kind, *rest = json.loads(line)
        except ValueError:
            continue  # broken off in the middle of a line
        if kind == "said":
            told.append(Said(*rest))
        elif kind == "plain":
            sentence = rest[0]
        else:
            bug = rest[0]
    killed = os.WIFSIGNALED(status)
    if killed and os.WTERMSIG(status) == signal.SIGALRM:
        bug = f"it did not end in {PATIENCE} seconds"
    return Trial(tuple(told), sentence, bug, killed)


def _child(work: Callable[[Callable[[object], None]], object], write: int) -> NoReturn:
    def tell(*line: object) -> None:
        os.write(write, (json.dumps(line) + "\n").encode())

    code = 0
    signal.alarm(PATIENCE)
    try:
        work(lambda said: tell("said", *vars(said).values()))
    except Mendable as trouble:
        tell("plain", trouble.sentence)
        code = MENDABLE
    except BaseException:
        tell("bug", "".join(traceback.format_exc().splitlines(keepends=True)[-6:]))
        code = BUG
    os._exit(code)


def copy_of(evening: Evening, folder: Path) -> Evening:
    """The evening on a copy of its book in an empty folder."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    path = folder / evening.book.name
    shutil.copyfile(evening.book, path)
    return Evening(path, evening.shop, evening.seed, evening.jump)


def verdict(evening: Evening, trial: Trial, expected: Sequence[Said]) -> Verdict:
    """Whether the book holds all that was told to be done, and nothing by halves."""
    ended = "killed" if trial.killed else "refused" if trial.sentence else "to its end"
    if trial.bug:
        return Verdict(ended, f"not plain: {trial.bug}")
    done = max(0, len(trial.told) - 1)
    may_be = {one.digest for one in expected[done : done + 2]}

    def look(tell: Callable[[object], None]) -> None:
        disk.disarm()
        with Book.open(evening.book) as book:
            tell(Said(digest(book), " ".join(book.check())))
        for copy in sorted((evening.book.parent / "backups").glob("*.bayledger")):
            with Book.open(copy, write=False) as backup:
                tell(Said("", " ".join(backup.check())))

    found = apart(look)
    if found.bug or found.sentence or not found.told:
        return Verdict(ended, f"does not open: {found.bug or found.sentence}")
    wrong = next((one.refusal for one in found.told if one.refusal), "")
    if wrong:
        return Verdict(ended, f"not whole: {wrong}")
    if found.told[0].digest not in may_be:
        return Verdict(ended, f"after {done} steps the book says something else")
    return Verdict(ended)


def evening_with(
    evening: Evening,
    expected: Sequence[Said],
    *,
    failing: disk.Failing | None = None,
    at: int = 0,
    kill_after: float = 0.0,
    before: Callable[[int, Path], object] = lambda _number, _path: None,
) -> Trial:
    """The evening lived apart: the disk fails at a call, a kill, or something before a step."""

    def work(tell: Callable[[object], None]) -> None:
        if failing is not None:
            disk.arm(failing, at, evening.book.parent)
        live(evening, tell, lambda number, _desk: before(number, evening.book), expected)

    return apart(work, kill_after)
