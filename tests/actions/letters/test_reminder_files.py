"""The folder of drafts says what the list says: nobody who is off the list stands in it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.actions.desk.undoing import undo
from app.actions.letters import reminder_files, reminders
from app.actions.letters.reminder_files import draft_files
from app.actions.people import consents, customers
from app.records.models import Reminder
from tests.shop import Clock, new_desk
from tests.waxed import waxed

DAY = date(2025, 8, 14)
ADDRESS = {"street": "7 High Street", "city": "Lindmoor", "may_remind": True}
WAYS = {1: "mail", 2: "letter", 3: "phone", 4: "text"}

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def clock() -> Clock:
    found = Clock()
    found.go_to(DAY)
    return found


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    """Four people, each reached in another way."""
    found = new_desk(tmp_path / "shop.bayledger", clock, shop_email="shop@lindmoor.example")
    with found.book.load() as session:
        for number, way in WAYS.items():
            phone = f"+1312555010{number}"
            waxed(session, number, DAY, asks_by=way, phone=phone, **ADDRESS)
    consents.give(found, 4, "text", "reminders")
    yield found
    found.book.close()


def drafted(desk: Desk, out: Path) -> tuple[int, ...]:
    _, ids = reminders.prepare_all(desk, DAY)
    draft_files(desk, DAY, ids, out)
    return ids


def naming(out: Path, number: int) -> set[str]:
    """The files in the folder itself that tell of an owner."""
    who = f"Owner {number}"
    found = set()
    for path in out.iterdir():
        if path.is_file() and (
            who in path.name or (path.suffix in (".txt", ".ics") and who in path.read_text())
        ):
            found.add(path.name)
    return found


@pytest.mark.parametrize("number", WAYS)
def test_whoever_said_stop_stands_in_no_file_of_the_folder(
    desk: Desk, tmp_path: Path, number: int
) -> None:
    out = tmp_path / "out"
    ids = drafted(desk, out)
    assert naming(out, number)
    customers.stop(desk, number, DAY)
    draft_files(desk, DAY, ids, out)
    assert naming(out, number) == set()
    for list_of, way in (("letters.pdf", 2), ("calls.txt", 3), ("calls.pdf", 3)):
        assert (out / list_of).exists() == (way != number), "a list with nobody left is no list"
    aside = out / reminder_files.ASIDE
    assert any(f"Owner {number}" in path.name for path in aside.iterdir()), "nothing is lost"
    for other in set(WAYS) - {number}:
        assert naming(out, other), "what others are sent stands as before"


def test_what_else_lies_in_the_folder_stays_where_it_is(desk: Desk, tmp_path: Path) -> None:
    ids = drafted(desk, tmp_path)
    others = [tmp_path / name for name in ("reminder of the tax.txt", "reminder 99999 Ida.txt")]
    for path in others:
        path.write_text("mine")
    customers.stop(desk, 1, DAY)
    draft_files(desk, DAY, ids, tmp_path)
    assert all(path.read_text() == "mine" for path in others)


def test_closing_again_looks_through_what_waits_and_clears_the_folder(
    desk: Desk, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    close_day(desk, DAY, out=out)
    assert naming(out, 3)
    customers.deceased(desk, 3)
    again = close_day(desk, DAY, out=out)
    assert any("Owner 3" in line and "has died" in line for line in again.lines)
    assert naming(out, 3) == set()
    third = close_day(desk, DAY, out=out)
    assert (third.files, len(third.lines)) == ((), 1)
    assert "nothing to do" in third.lines[0]


def test_what_is_put_back_by_undo_is_drafted_again(desk: Desk, tmp_path: Path) -> None:
    out = tmp_path / "out"
    ids = drafted(desk, out)
    customers.stop(desk, 1, DAY)
    draft_files(desk, DAY, ids, out)
    undo(desk)
    undo(desk)
    draft_files(desk, DAY, ids, out)
    assert any(name.endswith(".eml") for name in naming(out, 1))


def test_a_text_and_a_call_are_written_with_their_number(desk: Desk, tmp_path: Path) -> None:
    drafted(desk, tmp_path)
    first = {
        number: next(tmp_path.glob(f"reminder * Owner {number}.txt")).read_text().splitlines()[0]
        for number in WAYS
    }
    assert first[4] == "To: Owner 4, (312) 555-0104"
    assert first[3] == "To: Owner 3, (312) 555-0103"
    assert first[1] == "To: Owner 1"


def test_drafts_from_an_old_page_are_judged_as_of_today(
    desk: Desk, clock: Clock, tmp_path: Path
) -> None:
    _, ids = reminders.prepare_all(desk, DAY)
    customers.edit_customer(desk, 1, later_until=DAY + timedelta(days=40))
    clock.go_to(DAY + timedelta(days=50))
    drafts = draft_files(desk, DAY, ids[:1], tmp_path / "out")
    assert drafts.changed.sentence == "", "the day until which to wait has passed"
    assert reminders.mark_sent(desk, DAY, ids[:1]).name
    with desk.book.reading() as session:
        assert session.get_one(Reminder, ids[0]).sent_on == DAY + timedelta(days=50)


def test_words_to_copy_are_judged_and_are_those_of_the_day(desk: Desk) -> None:
    letters = {one.name: one for one in reminders.whom_to_remind(desk, DAY).letters}
    _, number = reminders.prepare(desk, DAY, letters["Owner 4"])
    letters = {one.name: one for one in reminders.whom_to_remind(desk, DAY).letters}
    customers.edit_customer(desk, 4, name="Ida Lund")
    assert "Hello Ida Lund" in reminders.words_to_copy(desk, DAY, letters["Owner 4"])[1]
    customers.stop(desk, 4, DAY)
    changed, text = reminders.words_to_copy(desk, DAY, letters["Owner 4"])
    assert text == ""
    assert "taken off the list" in changed.sentence
    with desk.book.reading() as session:
        assert session.get_one(Reminder, number).state == "withheld"
