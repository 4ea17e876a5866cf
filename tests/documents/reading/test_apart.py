"""Work in a process of its own: what comes back, and all the ways in which it is ended."""

from __future__ import annotations

import multiprocessing
import os
import sys
from collections.abc import Iterator

import pytest

from app.documents.reading.apart import EndedApart, work_apart
from app.documents.reading.options import Progress, ReadingStopped
from app.errors import Mendable

PLENTY = 1_000_000_000


def counting(up_to: int, progress: Progress) -> Iterator[int]:
    for number in range(up_to):
        progress(number + 1, up_to)
        yield number


def endless(progress: Progress) -> Iterator[int]:
    while True:
        pass


def greedy(progress: Progress) -> Iterator[int]:
    yield len(bytearray(2 * PLENTY))


def refusing(progress: Progress) -> Iterator[int]:
    yield 1
    raise Mendable("The list is upside down; turn it round.")


def mistaken(progress: Progress) -> Iterator[float]:
    yield 1 / 0


def dropping(progress: Progress) -> Iterator[int]:
    yield 1
    os._exit(1)


def test_pieces_come_back_in_their_order_and_how_far_it_is() -> None:
    told: list[tuple[int, int]] = []

    def progress(done: int, total: int) -> bool:
        told.append((done, total))
        return True

    pieces = work_apart(counting, (5,), name="a.csv", seconds=60, memory=PLENTY, progress=progress)
    assert list(pieces) == [0, 1, 2, 3, 4]
    assert told[-1] == (5, 5)
    assert multiprocessing.active_children() == []


def test_what_never_ends_is_stopped_by_the_person() -> None:
    asked = iter([True, True, False])
    pieces = work_apart(
        endless, (), name="a.csv", seconds=60, memory=PLENTY, progress=lambda *_: next(asked)
    )
    with pytest.raises(ReadingStopped, match="nothing was changed"):
        list(pieces)
    assert multiprocessing.active_children() == []


def test_what_takes_too_long_is_ended_with_a_sentence() -> None:
    with pytest.raises(Mendable, match=r"^a\.csv takes too long to read; keep only the list"):
        list(work_apart(endless, (), name="a.csv", seconds=0.5, memory=PLENTY))
    assert multiprocessing.active_children() == []


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux holds a process to such a limit")
def test_what_asks_for_too_much_memory_is_ended_with_a_sentence() -> None:
    with pytest.raises(Mendable, match=r"^a\.csv needs more memory .*; split it\.$"):
        list(work_apart(greedy, (), name="a.csv", seconds=60, memory=PLENTY))


def test_a_refusal_comes_back_as_it_was_said() -> None:
    with pytest.raises(Mendable, match=r"^The list is upside down; turn it round\.$"):
        list(work_apart(refusing, (), name="a.csv", seconds=60, memory=PLENTY))


def test_our_own_mistake_comes_back_with_its_place() -> None:
    with pytest.raises(EndedApart, match="in mistaken"):
        list(work_apart(mistaken, (), name="a.csv", seconds=60, memory=PLENTY))


def test_a_process_that_is_gone_without_a_word_gets_a_sentence() -> None:
    with pytest.raises(Mendable, match="split it"):
        list(work_apart(dropping, (), name="a.csv", seconds=60, memory=PLENTY))


def test_the_process_ends_when_nobody_waits_for_it_any_more() -> None:
    pieces = work_apart(counting, (1_000_000,), name="a.csv", seconds=60, memory=PLENTY)
    assert next(pieces) == 0
    assert multiprocessing.active_children()
    pieces.close()  # type: ignore[attr-defined]
    assert multiprocessing.active_children() == []
