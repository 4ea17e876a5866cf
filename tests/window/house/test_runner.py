"""Background work: results come back, progress is told, stopping stops."""

from __future__ import annotations

import threading
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from app.errors import Mendable, check_stop
from app.records.models import Customer
from app.window.house.runner import BUG_SENTENCE, Lock, Runner, Task, left_running
from tests import WAIT
from tests.shop import empty_book


def test_a_result_comes_back_in_the_windows_thread(runner: Runner, qtbot: QtBot):
    here, seen = threading.get_ident(), []

    def work(_task: Task) -> int:
        assert threading.get_ident() != here
        return 6 * 7

    runner.run("sum", work, done=lambda result: seen.append((result, threading.get_ident())))
    qtbot.waitUntil(lambda: bool(seen))
    assert seen == [(42, here)]
    assert not runner.busy


def test_a_held_runner_takes_work_and_begins_none_before_it_is_told_to_go(qtbot: QtBot):
    held, seen = Runner(held=True), []
    for number in range(3):
        held.run("n", lambda _task, number=number: number, done=seen.append)
    qtbot.wait(30)
    assert held.busy
    assert seen == []
    held.go()
    qtbot.waitUntil(lambda: not held.busy)
    held.run("n", lambda _task: 3, done=seen.append)
    qtbot.waitUntil(lambda: not held.busy)
    assert seen == [0, 1, 2, 3]
    assert held.close()


def test_tasks_run_one_after_the_other_in_order(runner: Runner, qtbot: QtBot):
    seen: list[int] = []
    for number in range(5):
        runner.run("n", lambda _task, number=number: number, done=seen.append)
    qtbot.waitUntil(lambda: len(seen) == 5)
    assert seen == [0, 1, 2, 3, 4]


def test_progress_is_told_and_stopping_drops_the_result(runner: Runner, qtbot: QtBot):
    shares: list[float] = []
    ends: list[str] = []
    done: list[object] = []
    runner.told.connect(lambda _task, share, _words: shares.append(share))
    runner.ended.connect(lambda _task, how: ends.append(how))
    going = threading.Event()

    def work(task: Task) -> str:
        steps = 200 * WAIT
        for step in range(steps):
            task.say(step / steps, "reading")
            going.set()
            threading.Event().wait(0.005)
        return "finished"

    runner.run("long", work, done=done.append)
    qtbot.waitUntil(going.is_set)
    runner.stop()
    qtbot.waitUntil(lambda: bool(ends))
    assert ends == ["stopped"]
    assert done == []
    assert shares
    assert shares == sorted(shares)


def test_what_a_person_can_mend_comes_as_a_sentence(runner: Runner, qtbot: QtBot):
    said: list[str] = []

    def work(_task: Task) -> None:
        raise Mendable("The file shop.xlsx is open elsewhere: close it and try again.")

    runner.run("read", work, failed=said.append)
    qtbot.waitUntil(lambda: bool(said))
    assert said == ["The file shop.xlsx is open elsewhere: close it and try again."]


@pytest.mark.logs_an_error
def test_our_own_bug_is_logged_and_the_window_stays(
    runner: Runner, qtbot: QtBot, caplog: pytest.LogCaptureFixture
):
    said: list[str] = []
    after: list[str] = []
    runner.run("fit", lambda _task: 1 // 0, failed=said.append)
    runner.run("next", lambda _task: "still here", done=after.append)
    qtbot.waitUntil(lambda: bool(after))
    assert said == [BUG_SENTENCE]
    assert "ZeroDivisionError" in caplog.text


def test_nothing_comes_back_to_an_owner_that_is_gone(runner: Runner, qtbot: QtBot):
    owner, seen, ends = QObject(), [], []
    runner.ended.connect(lambda _task, how: ends.append(how))
    wait = threading.Event()
    runner.run("slow", lambda _task: wait.wait(WAIT), done=seen.append, owner=owner)
    owner.deleteLater()
    qtbot.waitUntil(lambda: not _alive(owner))
    wait.set()
    qtbot.waitUntil(lambda: bool(ends))
    assert seen == []


def _alive(thing: QObject) -> bool:
    try:
        thing.objectName()
    except RuntimeError:
        return False
    return True


def test_what_may_come_later_waits_for_everything_else(runner: Runner, qtbot: QtBot) -> None:
    order: list[str] = []
    gate = threading.Event()
    runner.run("first", lambda _task: gate.wait(WAIT))
    runner.run("status", lambda _task: order.append("status"), later=True)
    runner.run("page", lambda _task: order.append("page"))
    gate.set()
    qtbot.waitUntil(lambda: not runner.busy)
    assert order == ["page", "status"]


def test_no_result_is_lost_however_many_owners_came_and_went(runner: Runner, qtbot: QtBot) -> None:
    # A new task often gets the place in memory, and so the id(), of one that ended.
    seen: list[int] = []
    for number in range(300):
        owner = QObject()
        runner.run("n", lambda _task, number=number: number, done=seen.append, owner=owner)
        qtbot.waitUntil(lambda: not runner.busy)
        owner.deleteLater()
        qtbot.waitUntil(lambda owner=owner: not _alive(owner))
    assert seen == list(range(300))


def test_what_the_window_does_itself_waits_its_turn_in_the_one_queue(
    runner: Runner, qtbot: QtBot
) -> None:
    here = threading.get_ident()
    order: list[object] = []
    gate = threading.Event()

    def long(_task: Task) -> None:
        gate.wait(60)
        order.append("long")

    def short(_task: Task) -> bool:
        order.append(("short", threading.get_ident() == here, runner.writing))
        return True

    runner.run("long", long, writes=True)
    assert runner.writing is not None
    runner.run_here("short", short, lambda: order.append("ready"))
    runner.run("after", lambda _task: order.append("after"))
    assert runner.waiting_here == 1
    gate.set()
    qtbot.waitUntil(lambda: not runner.busy)
    # At its own turn nothing comes before it, so it may write.
    assert order == ["long", "ready", ("short", True, None), "after"]
    assert runner.waiting_here == 0


def test_it_may_ask_for_another_turn(runner: Runner, qtbot: QtBot) -> None:
    tries: list[int] = []

    def work(_task: Task) -> bool:
        tries.append(1)
        return len(tries) == 3

    runner.run_here("typed", work, lambda: None)
    qtbot.waitUntil(lambda: not runner.busy)
    assert len(tries) == 3


def test_stopping_and_leaving_drop_nothing_that_was_typed(qtbot: QtBot) -> None:
    runner, written = Runner(), []
    going = threading.Event()

    def long(task: Task) -> None:
        going.set()
        while not task.stopping:
            threading.Event().wait(0.002)
        task.check()

    runner.run("long", long, writes=True)
    for number in range(5):
        runner.run_here(
            str(number), lambda _task, number=number: not written.append(number), lambda: None
        )
    qtbot.waitUntil(going.is_set)
    assert runner.close()
    assert written == [0, 1, 2, 3, 4]
    qtbot.wait(20)  # what the worker still had to say changes nothing
    assert written == [0, 1, 2, 3, 4]


def test_a_lock_holds_from_the_asking_to_the_end_for_its_day_only(
    runner: Runner, qtbot: QtBot
) -> None:
    gate, day = threading.Event(), date(2025, 8, 14)
    runner.run("close", lambda _task: gate.wait(60), writes=True, lock=Lock("Being closed.", day))
    assert runner.locked(day) == "Being closed."
    assert runner.locked(date(2025, 8, 15)) == ""
    gate.set()
    qtbot.waitUntil(lambda: not runner.busy)
    assert runner.locked(day) == ""


ENDLESS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT max(i) FROM n"


def test_a_query_without_end_is_broken_off_when_the_window_is_left(
    tmp_path: Path, qtbot: QtBot
) -> None:
    with empty_book(tmp_path / "shop.bayledger") as book:
        runner, going = Runner(), threading.Event()

        def read(_task: Task) -> None:
            with book.reading() as session:
                going.set()
                session.connection().exec_driver_sql(ENDLESS)

        runner.run("a long read", read)
        qtbot.waitUntil(going.is_set)
        assert runner.close(WAIT * 1000)
        assert book.check() == []


def test_stopping_a_query_says_that_it_was_stopped_and_the_next_runs(
    runner: Runner, tmp_path: Path, qtbot: QtBot
) -> None:
    with empty_book(tmp_path / "shop.bayledger") as book:
        ended: list[tuple[str, str]] = []
        runner.ended.connect(lambda task, how: ended.append((task.name, how)))
        going = threading.Event()

        def read(_task: Task) -> None:
            with book.reading() as session:
                going.set()
                session.connection().exec_driver_sql(ENDLESS)

        task = runner.run("a long read", read)
        qtbot.waitUntil(going.is_set)
        task.stop()
        runner.run("the next", lambda _task: book.check())
        qtbot.waitUntil(lambda: not runner.busy)
        assert ended == [("a long read", "stopped"), ("the next", "done")]


def test_writing_is_never_broken_off_in_the_middle(tmp_path: Path, qtbot: QtBot) -> None:
    with empty_book(tmp_path / "shop.bayledger") as book:
        runner, going = Runner(), threading.Event()

        def write(task: Task) -> None:
            with book.change("Add") as session:
                going.set()
                while not task.stopping:
                    threading.Event().wait(0.002)
                check_stop()
                session.add(Customer(name="Bram Tock"))

        runner.run("writing", write, writes=True)
        qtbot.waitUntil(going.is_set)
        assert runner.close()
        with book.reading() as session:
            assert [one.name for one in session.query(Customer)] == ["Bram Tock"]


def test_reading_that_cannot_be_ended_is_left_and_never_killed(qtbot: QtBot) -> None:
    runner, going, go = Runner(), threading.Event(), threading.Event()

    def stuck(_task: Task) -> None:
        going.set()
        go.wait(WAIT)

    runner.run("stuck", stuck)
    qtbot.waitUntil(going.is_set)
    assert not runner.close(10)
    assert left_running()
    go.set()
    qtbot.waitUntil(lambda: not left_running())
