"""One background runner for whatever takes longer than a frame.

Work is a function of a `Task`; it may call `task.say(share, words)` and must now and then call
`task.check()`, which raises `Stopped` when the person asked to stop. Results come back in the
window's thread. One piece of work runs at a time, in the order given.

This is also the one queue of what is written. Long writing runs in the background as all else does;
a short one that has to wait for it stands in the same queue and is done in the window's thread when
its turn comes: then the background waits for the window, never the window for the background.
"""

from __future__ import annotations

import logging
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import KW_ONLY, dataclass, field
from datetime import date
from typing import Any

from PySide6.QtCore import QObject, Qt, QThread, Signal
from shiboken6 import isValid

from app.errors import Mendable, Stopped, stoppable

log = logging.getLogger("bayledger.runner")


@dataclass(frozen=True)
class Lock:
    """What is not written in while a piece of work waits or runs, and the sentence that says why.

    `day` is the day whose sheet is locked; None locks every day's.
    """

    sentence: str
    day: date | None = None


@dataclass(eq=False)
class Task:
    """One piece of work: what it is called, and whether it should stop."""

    name: str
    work: Callable[[Task], Any]
    _: KW_ONLY
    done: Callable[[Any], object] | None = None
    failed: Callable[[str], object] | None = None
    owner: QObject | None = None  # results are dropped when it is gone
    quiet: bool = False  # mere reading for the window: nothing is said of it
    later: bool = False  # done when nothing else waits
    writes: bool = False  # it changes the book
    lock: Lock | None = None
    ready: Callable[[], object] | None = None  # waited for before the window does the work itself
    _stop: threading.Event = field(default_factory=threading.Event)
    _told: Callable[[Task, float, str], object] | None = None

    @property
    def here(self) -> bool:
        """Whether it is done in the window's thread, and never dropped."""
        return self.ready is not None

    def stop(self) -> None:
        """Ask the work to stop at its next check."""
        self._stop.set()

    def drop(self) -> None:
        """Ask the work to stop, and want nothing of it any more."""
        self.done = self.failed = None
        self.stop()

    @property
    def stopping(self) -> bool:
        """Whether it was asked to stop."""
        return self._stop.is_set()

    def check(self) -> None:
        """Raise `Stopped` if the person asked to stop."""
        if self._stop.is_set():
            raise Stopped

    def say(self, share: float, words: str = "") -> None:
        """Tell how far the work is, 0 to 1; also checks whether to stop."""
        self.check()
        if self._told is not None:
            self._told(self, share, words)


class _Worker(QThread):
    told = Signal(object, float, str)
    ended = Signal(object, str, object)  # task, "done", "stopped", "mendable" or "bug", result
    turn = Signal(object)  # a task that the window is to do now

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._asked: Task | None = None  # the window is doing it
        self._again = False
        self.waiting: deque[Task] = deque()
        self.later: deque[Task] = deque()
        self._ready = threading.Condition()
        self._leaving = False

    def put(self, task: Task) -> None:
        task._told = self.told.emit
        with self._ready:
            (self.later if task.later else self.waiting).append(task)
            self._ready.notify()

    def leave(self) -> None:
        with self._ready:
            self._leaving = True
            self.waiting.clear()
            self.later.clear()
            self._ready.notify()

    def run(self) -> None:
        while True:
            with self._ready:
                while not self.waiting and not self.later and not self._leaving:
                    self._ready.wait()
                if self._leaving:
                    return
                task = (self.waiting or self.later).popleft()
            if task.ready is not None:
                self._let_the_window(task, task.ready)
            else:
                self._do(task)

    def _let_the_window(self, task: Task, ready: Callable[[], object]) -> None:
        """Have a task done in the window's thread, and wait for it; it may ask for another try."""
        while True:
            ready()
            with self._ready:
                self._asked, self._again = task, False
                self.turn.emit(task)
                while self._asked is not None and not self._leaving:
                    self._ready.wait()
                if self._leaving or not self._again:
                    return

    def hand_back(self, task: Task, *, again: bool) -> None:
        """The window has done the task, or must try again."""
        with self._ready:
            if self._asked is task:
                self._asked, self._again = None, again
                self._ready.notify()

    def _do(self, task: Task) -> None:
        try:
            task.check()
            with stoppable(lambda: task.stopping and not task.writes):
                result = task.work(task)
        except Stopped:
            self.ended.emit(task, "stopped", None)
        except Mendable as trouble:
            self.ended.emit(task, "mendable", trouble.sentence)
        except Exception:
            log.exception("work failed in the background")
            self.ended.emit(task, "bug", None)
        else:
            self.ended.emit(task, "done", result)


LEAVING = 1000  # ms in which what only reads ends, once it was asked to
LEAVING_A_WRITER = 60_000
_left: list[_Worker] = []


def left_running() -> bool:
    """Whether reading goes on that did not end when its window was left."""
    return any(worker.isRunning() for worker in _left)


BUG_SENTENCE = (
    "Something in Bayledger went wrong; nothing was half done. The log says more, without what "
    "you typed."
)


@dataclass(eq=False)
class Asked:
    """What was asked for while the book was being written; an undo asked for then means it."""

    came_to: str = ""  # "written", "nothing", "refused"; not known yet
    taken: bool = False  # an undo has come to it


class Runner(QObject):
    """Runs tasks one after the other in one thread and brings their results back.

    A runner that is `held` takes tasks and begins none before `go`: the first picture of a window
    does not share the processor with what it does not show yet.
    """

    began = Signal(object)  # the task
    told = Signal(object, float, str)  # task, share, words
    ended = Signal(object, str)  # task, "done", "stopped", "mendable" or "bug"

    def __init__(self, parent: QObject | None = None, *, held: bool = False) -> None:
        super().__init__(parent)
        self._held = held
        self._worker = _Worker(self)
        self._worker.told.connect(self._tell, Qt.ConnectionType.QueuedConnection)
        self._worker.ended.connect(self._end, Qt.ConnectionType.QueuedConnection)
        self._worker.turn.connect(self._do_here, Qt.ConnectionType.QueuedConnection)
        self._open: list[Task] = []
        self._at_hand: Task | None = None
        self._closed = False

    def run(
        self,
        name: str,
        work: Callable[[Task], Any],
        done: Callable[[Any], object] | None = None,
        failed: Callable[[str], object] | None = None,
        owner: QObject | None = None,
        *,
        quiet: bool = False,
        later: bool = False,
        writes: bool = False,
        lock: Lock | None = None,
    ) -> Task:
        """Queue a piece of work; `done(result)` or `failed(sentence)` follows in this thread.

        With an `owner`, neither is called once that object has been destroyed. `quiet` work is
        reading for the window itself, of which the foot says nothing. What may come `later` waits
        for everything else: nobody looks at it at this moment. What `writes` comes before whatever
        is written after it was asked for, and may `lock` the sheet that it is going to change.
        """
        return self._take(
            Task(
                name,
                work,
                done=done,
                failed=failed,
                owner=owner,
                quiet=quiet,
                later=later,
                writes=writes,
                lock=lock,
            )
        )

    def run_here(
        self, name: str, work: Callable[[Task], bool], ready: Callable[[], object]
    ) -> Task:
        """Queue a short piece of writing that the window's thread does itself when it is its turn.

        `ready()` is waited for in the background first; `work` returns False to be asked again. It
        is never stopped and never dropped: it holds what a person typed.
        """
        return self._take(Task(name, work, writes=True, ready=ready))

    def _take(self, task: Task) -> Task:
        self._open.append(task)
        if not self._held:
            self._put(task)
        self.began.emit(task)
        return task

    @property
    def held(self) -> bool:
        """Whether the first picture is still to come."""
        return self._held

    def go(self) -> None:
        """Begin with what was held back."""
        if self._held:
            self._held = False
            for task in self._open:
                self._put(task)

    def _put(self, task: Task) -> None:
        if not self._worker.isRunning():
            self._worker.start()
        self._worker.put(task)

    @property
    def busy(self) -> bool:
        """Whether anything runs or waits."""
        return bool(self._open)

    @property
    def busy_now(self) -> bool:
        """Whether anything runs or waits that is not left until later."""
        return any(not task.later for task in self._open)

    @property
    def at_work(self) -> Task | None:
        """The first task that is more than reading for the window, if one runs or waits."""
        return next((task for task in self._open if not task.quiet), None)

    @property
    def current(self) -> Task | None:
        """The task that runs, or runs next."""
        return self._open[0] if self._open else None

    @property
    def writing(self) -> Task | None:
        """The first task that writes, runs or waits, and comes before what is done now."""
        if self._at_hand is not None:
            return None
        return next((task for task in self._open if task.writes), None)

    @property
    def waiting_here(self) -> int:
        """How many short pieces of writing wait for their turn."""
        return sum(task.here for task in self._open)

    def locked(self, day: date) -> str:
        """Why a day's sheet is not written in now; nothing where it may be."""
        for task in self._open:
            if task.lock is not None and task.lock.day in (None, day):
                return task.lock.sentence
        return ""

    def stop(self, *, reading_only: bool = False) -> None:
        """Ask all work to stop that the foot tells of.

        What was typed and waits is written all the same, and what the window reads for itself goes
        on: whoever asked for that still waits for it.
        """
        for task in self._open:
            if not task.here and not task.quiet and not (reading_only and task.writes):
                task.stop()

    def close(self, milliseconds: int = LEAVING) -> bool:
        """Stop all work and end the thread; False when it did not end in time.

        What is being written ends first. What was typed and still waits is written now; of the
        rest nothing comes back any more. Reading that does not end in time is left to end by
        itself, see `left_running`: a thread is never killed.
        """
        self._closed = True
        for task in self._open:
            if not task.here:
                task.stop()
        self._worker.leave()
        at_work = self._open[0] if self._open else None
        if at_work is not None and at_work.writes and not at_work.here:
            milliseconds = max(milliseconds, LEAVING_A_WRITER)
        ended = not self._worker.isRunning() or self._worker.wait(milliseconds)
        if not ended:
            self._worker.setParent(None)  # not destroyed with the window, while it runs
            _left.append(self._worker)
        for task in [task for task in self._open if task.here]:
            self._do_here(task)
        for task in self._open:
            if task.here:
                log.error("an entry could not be written before leaving")
        return ended

    def _do_here(self, task: Task) -> None:
        if task not in self._open:
            return
        self._at_hand = task
        again = True
        try:
            again = not task.work(task)
        except Exception:
            again = False
            log.exception("an entry that had waited failed")
        finally:
            self._at_hand = None
            if not again:
                self._open.remove(task)
            self._worker.hand_back(task, again=again)
        if not again:
            self.ended.emit(task, "done")

    def _tell(self, task: Task, share: float, words: str) -> None:
        if task in self._open:
            self.told.emit(task, share, words)

    def _end(self, task: Task, how: str, result: object) -> None:
        if task in self._open:
            self._open.remove(task)
        if self._closed:
            return
        if task.owner is None or isValid(task.owner):
            if how == "done" and task.done is not None:
                task.done(result)
            elif how == "mendable" and task.failed is not None:
                task.failed(str(result))
            elif how == "bug" and task.failed is not None:
                task.failed(BUG_SENTENCE)
        self.ended.emit(task, how)
