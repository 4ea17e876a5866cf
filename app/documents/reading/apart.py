"""Work in a process of its own, which can be ended whatever it is doing.

A stranger's file may keep its reader busy for as long as it likes, or ask for all the memory there
is. Read apart, it is stopped from outside. The process is begun anew (never forked: the window has
threads), so it also works on Windows and from a frozen program.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
import traceback
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import Any

from app.documents.reading.options import Progress, ReadingStopped
from app.errors import Mendable, reason_of

_LOOK = 0.1  # seconds between two looks at whether to stop, and between two words of progress


class EndedApart(Exception):
    """The work failed in its own process by our mistake; the text is where."""


def work_apart(
    work: Callable[..., Iterable[Any]],
    arguments: tuple[Any, ...],
    *,
    name: str,
    seconds: float,
    memory: int,
    progress: Progress | None = None,
) -> Iterator[Any]:
    """The pieces that `work(*arguments, progress)` yields, worked out in another process.

    `work` is a function of a module; pieces and arguments can be pickled, each piece small, since
    the window waits while one is unpacked. `name` is the file's, for sentences. `memory` is in
    bytes beyond what the bare process takes, where the system can limit it (Windows cannot).
    Raises Mendable where `work` does, and when it takes too long or too much; ReadingStopped when
    `progress` says so.
    """
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(
        target=_work, args=(theirs, work, arguments, seconds, memory), daemon=True
    )
    try:
        try:
            process.start()
        except OSError as error:
            raise Mendable(f"{name} cannot be read now: {reason_of(error)}.") from error
        finally:
            theirs.close()
        for what, told in _messages(ours, name, time.monotonic() + seconds, progress):
            if what == "piece":
                yield told
            elif what == "mendable":
                raise Mendable(told)
            elif what == "memory":
                raise _too_large(name)
            elif what == "bug":
                raise EndedApart(told)
    finally:
        if process.pid is not None:
            process.kill()
            process.join()
            process.close()
        ours.close()


def _too_large(name: str) -> Mendable:
    return Mendable(f"{name} needs more memory than may be used for one file; split it.")


def _messages(
    pipe: Connection, name: str, until: float, progress: Progress | None
) -> Iterator[tuple[str, Any]]:
    """What the process says until it is done; meanwhile whether to stop is asked."""
    at = (0, 1)
    while True:
        if progress is not None and not progress(*at):
            raise ReadingStopped("Stopped; nothing was brought in and nothing was changed.")
        if time.monotonic() > until:
            raise Mendable(
                f"{name} takes too long to read; keep only the list in it, or split it, and try "
                "again."
            )
        if not pipe.poll(_LOOK):
            continue
        try:
            what, told = pipe.recv()
        except (EOFError, OSError) as error:
            # Ended from outside or by a limit of the system, which says nothing more.
            raise _too_large(name) from error
        if what == "done":
            return
        if what == "at":
            at = told
        else:
            yield what, told


def _work(
    pipe: Connection,
    work: Callable[..., Iterable[Any]],
    arguments: tuple[Any, ...],
    seconds: float,
    memory: int,
) -> None:
    """What the other process does: hold itself to the limits, work, and tell."""
    # The stop key of a terminal reaches this process too; the one that began it decides.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _end_with_the_window()
    _limit(seconds, memory)
    last = 0.0

    def told(done: int, total: int) -> bool:
        nonlocal last
        now = time.monotonic()
        if now - last > _LOOK or done >= total:
            last = now
            pipe.send(("at", (done, total)))
        return True

    try:
        for piece in work(*arguments, told):
            pipe.send(("piece", piece))
        end: tuple[str, Any] = ("done", None)
    except Mendable as trouble:
        end = ("mendable", trouble.sentence)
    except MemoryError:
        end = ("memory", None)
    except Exception:
        end = ("bug", traceback.format_exc())
    with suppress(OSError):
        pipe.send(end)


def _end_with_the_window() -> None:
    """End this process when the one that began it is gone, however it ended."""
    parent = multiprocessing.parent_process()
    assert parent is not None

    def watch(sentinel: int) -> None:
        wait([sentinel])
        os._exit(1)

    threading.Thread(target=watch, args=(parent.sentinel,), daemon=True).start()


def _limit(seconds: float, memory: int) -> None:
    """Limits of the system itself, where it has them; processor time outlasts the waiting."""
    try:
        import resource
    except ImportError:  # Windows: the limits on cells, text and unpacked size hold there
        return
    mine = int(seconds) + 5
    with suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_CPU, (mine, mine))
    with suppress(ValueError, OSError):
        room = _taken() + memory
        resource.setrlimit(resource.RLIMIT_AS, (room, room))


def _taken() -> int:
    """The address space of this process so far, in bytes; what it loads counts little."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[0])
    except (OSError, ValueError):
        return 0
    return pages * os.sysconf("SC_PAGE_SIZE")
