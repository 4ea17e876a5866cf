"""A close while another thread types: what was typed is booked or refused, never lost or doubled.

The other thread is let loose at the worst moment: what is booked has just been worked out.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from app.actions.day import closing
from app.actions.day.closing import close_day, reopen_day
from app.actions.day.money_taken import set_money
from app.actions.day.supplies_used import set_use
from app.actions.desk.desk import Desk
from app.actions.desk.undoing import undo
from app.actions.letters import reminders
from app.errors import Mendable
from app.records.models import Receipt, Reminder, Use
from tests.shop import TODAY, SmallShop
from tests.turns import watch_turn
from tests.waxed import wax_the_coupe

ML = 1000


class Typist(threading.Thread):
    """Types once, in its own thread; what was refused is kept."""

    def __init__(self, do: Callable[[], object]) -> None:
        super().__init__()
        self.do = do
        self.refused = ""
        self.moved = threading.Event()  # it has written, or stands waiting for its turn

    def run(self) -> None:
        try:
            self.do()
        except Mendable as trouble:
            self.refused = trouble.sentence
        finally:
            self.moved.set()


@pytest.fixture
def type_at_the_worst_moment(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[Callable[[], object]], Typist]]:
    """A typist who starts when the close has worked out what it books, and is given time to."""
    asked: list[Callable[[], object]] = []
    turn = watch_turn(desk.book, monkeypatch, lambda *_: [ask() for ask in asked if turn.held])
    work_of: Any = closing.work_of
    typists: list[Typist] = []

    def worked_out(*given: Any) -> Any:
        work = work_of(*given)
        for typist in [one for one in typists if one.ident is None]:
            asked[:] = [typist.moved.set]
            typist.start()
            assert typist.moved.wait(60)
        return work

    monkeypatch.setattr(closing, "work_of", worked_out)

    def hire(do: Callable[[], object]) -> Typist:
        typists.append(Typist(do))
        return typists[-1]

    yield hire
    for typist in typists:
        typist.join()


def test_an_amount_typed_while_the_day_is_closed_is_never_overwritten(
    desk: Desk, shop: SmallShop, type_at_the_worst_moment: Any
) -> None:
    job, soap = shop.jobs["0411"], shop.supplies["soap"]
    typist = type_at_the_worst_moment(lambda: set_use(desk, TODAY, job, soap, "77"))
    close_day(desk, TODAY)
    typist.join()
    with desk.book.reading() as session:
        use = session.query(Use).filter_by(job_id=job, supply_id=soap).one()
    if not typist.refused:
        assert (use.quantity, use.state) == (77 * ML, "confirmed")
    else:
        assert "closed" in typist.refused
        assert use.state == "recipe"
    assert desk.book.check() == []


def test_money_typed_while_the_day_is_closed_is_never_booked_beside_the_expected(
    desk: Desk, shop: SmallShop, type_at_the_worst_moment: Any
) -> None:
    job = shop.jobs["0411"]
    typist = type_at_the_worst_moment(lambda: set_money(desk, TODAY, job, "50.00"))
    close_day(desk, TODAY)
    typist.join()
    with desk.book.reading() as session:
        receipts = session.query(Receipt).filter_by(job_id=job, day=TODAY).all()
    assert len(receipts) == 1
    if not typist.refused:
        assert receipts[0].amount == 5000
    assert desk.book.check() == []


def test_two_who_close_at_once_book_the_day_once(desk: Desk, type_at_the_worst_moment: Any) -> None:
    before = desk.book.next_undo()
    typist = type_at_the_worst_moment(lambda: close_day(desk, TODAY))
    close_day(desk, TODAY)
    typist.join()
    assert "closed" in typist.refused
    undo(desk)
    assert desk.book.next_undo() == before
    assert desk.book.check() == []


def test_progress_that_stops_a_close_leaves_the_book_as_it_was(desk: Desk) -> None:
    class Stop(Exception):
        pass

    shares: list[float] = []

    def stop_at_the_last(share: float, _words: str) -> None:
        shares.append(share)
        if len(shares) == 4:
            raise Stop

    before = desk.book.next_undo()
    with pytest.raises(Stop):
        close_day(desk, TODAY, progress=stop_at_the_last)
    assert shares == sorted(shares)
    assert desk.book.next_undo() == before
    with desk.book.reading() as session:
        assert session.query(Use).count() == 0
    assert not close_day(desk, TODAY).already


@pytest.fixture
def waxed(desk: Desk, shop: SmallShop) -> Desk:
    wax_the_coupe(desk, shop)
    return desk


def test_who_gets_a_letter_is_named_before_the_day_is_closed(waxed: Desk) -> None:
    (letter,) = reminders.whom_to_remind(waxed, TODAY).letters
    assert letter.name
    (line,) = [one.text for one in closing.closing(waxed, TODAY).lines if "Reminder to" in one.text]
    assert line == f"Reminder to {letter.name}, by mail: {letter.vehicles[0]}; you send it"
    assert not any(
        "Reminder to" in one.text for one in closing.closing(waxed, TODAY, slow=False).lines
    )


def test_a_close_and_its_reminders_are_one_action_and_one_undo(waxed: Desk) -> None:
    before = waxed.book.next_undo()
    closed = close_day(waxed, TODAY)
    assert "1 reminder to send, by you" in closed.lines
    with waxed.book.reading() as session:
        assert [one.state for one in session.query(Reminder)] == ["prepared"]
    undo(waxed)
    with waxed.book.reading() as session:
        assert session.query(Reminder).count() == 0
    assert waxed.book.next_undo() == before
    assert waxed.book.check() == []


def test_what_a_close_that_broke_off_left_unwritten_is_written_by_the_next(
    waxed: Desk, tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.actions.shop.shop_settings import change_settings

    change_settings(waxed, shop_email="shop@lindmoor.example")
    out = tmp_path / "evening"

    class Cut(BaseException):
        pass

    def cut(*_: object) -> None:
        raise Cut

    with monkeypatch.context() as patch:
        patch.setattr(closing, "_files", cut)
        with pytest.raises(Cut):
            close_day(waxed, TODAY, out=out)
    assert list(out.iterdir()) == []
    assert closing.closing(waxed, TODAY).lacks_backup

    again = close_day(waxed, TODAY, out=out)
    assert again.already
    assert "what was missing is written" in again.lines[0]
    kinds = sorted({path.suffix for path in out.iterdir()})
    assert set(again.files) == set(out.iterdir())
    assert {".bayledger", ".ics", ".txt"} <= set(kinds)

    missing = next(path for path in out.iterdir() if path.suffix == ".ics")
    missing.unlink()
    third = close_day(waxed, TODAY, out=out)
    assert missing in third.files
    assert not any(path.suffix == ".bayledger" for path in third.files)

    last = close_day(waxed, TODAY, out=out)
    assert last.lines == ("Thursday 14 August is closed already; there is nothing to do.",)
    assert last.files == ()
    close_day(waxed, TODAY)
    assert not closing.closing(waxed, TODAY).lacks_backup


def test_a_backup_from_before_a_day_was_closed_again_does_not_count(desk: Desk) -> None:
    close_day(desk, TODAY)
    reopen_day(desk, TODAY, "wrong supply")
    newest = desk.book.newest_backup()
    again = close_day(desk, TODAY)
    assert again.made.path is not None
    again.made.path.unlink()
    assert desk.book.newest_backup() == newest
    assert closing.closing(desk, TODAY).lacks_backup
