"""Undo and redo by name: images put back, final lines countered, what changed since is said."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import insert, select, text
from sqlalchemy.exc import IntegrityError

from app.errors import Refused
from app.records.book import Book
from app.records.contents import contents
from app.records.models import (
    Customer,
    DaySheet,
    Job,
    Movement,
    Receipt,
    Reminder,
    ReminderEvent,
    Setting,
    Supply,
)
from app.records.stock import snapshot
from app.records.undo import ledgers
from tests.records.shop import (
    DAYS,
    MONDAY,
    NOON,
    WASH,
    WAX,
    add_customer,
    close_day,
    exchange_numbers,
    move,
    prepare_reminder,
    reopen_day,
    send_reminder,
    set_use,
    take_money,
)

TODAY = DAYS[2]


def lines(book: Book, kind: type = Movement) -> list:
    with book.reading() as session:
        return list(session.scalars(select(kind).order_by(kind.id)))


def test_an_action_is_undone_and_redone_by_its_name(book: Book) -> None:
    before = contents(book)
    add_customer(book, "Bram")
    after = contents(book)
    assert book.next_undo() == "Add Bram"
    undone = book.undo(today=TODAY)
    assert (undone.name, undone.kinds, undone.countered) == ("Add Bram", {"customers"}, 0)
    assert contents(book) == before
    assert book.next_redo() == "Add Bram"
    assert book.redo(today=TODAY).name == "Add Bram"
    assert contents(book) == after
    assert book.next_undo() == "Add Bram"
    assert book.next_redo() is None


def test_undo_and_redo_go_on_after_a_restart(path: Path) -> None:
    with Book.open(path) as book:
        before = contents(book)
        for name in ("Bram", "Cosmo", "Della"):
            add_customer(book, name)
        after = contents(book)
    for name in ("Della", "Cosmo", "Bram"):
        with Book.open(path) as book:
            assert book.undo(today=TODAY).name == f"Add {name}"
    with Book.open(path) as book:
        assert contents(book) == before
    for name in ("Bram", "Cosmo", "Della"):
        with Book.open(path) as book:
            assert book.redo(today=TODAY).name == f"Add {name}"
    with Book.open(path) as book:
        assert contents(book) == after


def test_there_is_nothing_to_undo_in_a_new_book(tmp_path: Path) -> None:
    with Book.create(tmp_path / "shop.bayledger") as book:
        with pytest.raises(Refused, match="nothing to undo"):
            book.undo(today=TODAY)
        with pytest.raises(Refused, match="nothing to do again"):
            book.redo(today=TODAY)


def test_something_new_ends_what_could_be_done_again(book: Book) -> None:
    add_customer(book, "Bram")
    book.undo(today=TODAY)
    add_customer(book, "Cosmo")
    assert book.next_redo() is None
    book.undo(today=TODAY)
    assert book.redo(today=TODAY).name == "Add Cosmo"


def test_a_remembered_view_stands_in_nobodys_way(book: Book) -> None:
    add_customer(book, "Bram")
    book.undo(today=TODAY)
    with book.change("View", undoable=False) as session:
        session.add(Setting(name="view", value={"day": "2025-05-05"}))
    assert book.next_undo() == "Found the shop"
    assert book.next_redo() == "Add Bram"
    book.redo(today=TODAY)
    with book.reading() as session:
        assert session.get_one(Setting, "view").value == {"day": "2025-05-05"}


def test_a_row_comes_back_with_its_own_number_and_every_value(book: Book) -> None:
    with book.change("Add") as session:
        session.add(Customer(id=41, name="Bram", notes="émigré\n\t\x00", since=MONDAY))
    before = contents(book)
    with book.change("Remove") as session:
        session.delete(session.get_one(Customer, 41))
    book.undo(today=TODAY)
    assert contents(book) == before
    with book.reading() as session:
        assert session.get_one(Customer, 41).since == MONDAY


def test_a_day_sheet_is_undone_by_its_date(book: Book) -> None:
    with book.change("Open the day") as session:
        session.add(DaySheet(day=date(1999, 12, 31), page=1, stations=["jobs"]))
    with book.change("Supplies are right") as session:
        sheet = session.get_one(DaySheet, date(1999, 12, 31))
        sheet.stations = [*sheet.stations, "supplies"]
    book.undo(today=TODAY)
    with book.reading() as session:
        assert session.get_one(DaySheet, date(1999, 12, 31)).stations == ["jobs"]
    book.undo(today=TODAY)
    with book.reading() as session:
        assert session.get(DaySheet, date(1999, 12, 31)) is None


def test_json_that_looks_like_our_own_comes_back_as_it_was(book: Book) -> None:
    for value in (
        {"day": "2025-05-05"},
        {"instant": "x"},
        None,
        [1, None, {"day": 1}],
        0.1,
        "2025",
    ):
        with book.change("Set") as session:
            session.merge(Setting(name="odd", value=value))
        before = contents(book)
        with book.change("Set again") as session:
            session.get_one(Setting, "odd").value = "else"
        book.undo(today=TODAY)
        assert contents(book) == before
        with book.reading() as session:
            assert session.get_one(Setting, "odd").value == value


def test_two_jobs_that_exchanged_numbers_exchange_them_back(book: Book) -> None:
    with book.change("Another job") as session:
        session.add(Job(number=2))
    before = contents(book)
    exchange_numbers(book)
    book.undo(today=TODAY)
    assert contents(book) == before


def test_undo_says_what_changed_since(book: Book) -> None:
    with book.change("Phone of Ada") as session:
        session.get_one(Customer, 1).phone = "+15550100"
    with book.load() as session:
        session.execute(text("UPDATE customers SET phone = '+15550199' WHERE id = 1"))
    before = contents(book)
    with pytest.raises(
        Refused,
        match=r"^“Phone of Ada” cannot be undone: the customer Ada Quillfeather has changed since "
        r"\(phone\)\.$",
    ):
        book.undo(today=TODAY)
    assert contents(book) == before
    assert book.next_undo() == "Phone of Ada"


def test_undo_says_what_was_removed_since_and_what_needs_a_row(book: Book) -> None:
    number = add_customer(book, "Bram")
    with book.load() as session:
        session.execute(insert(Job).values(number=9, customer_id=number))
    with pytest.raises(Refused, match=r"The customer Bram cannot be removed: job 9 still needs it"):
        book.undo(today=TODAY)
    with book.load() as session:
        session.execute(text("DELETE FROM jobs WHERE number = 9"))
        session.execute(text(f"DELETE FROM customers WHERE id = {number}"))
    with pytest.raises(Refused, match="the customer Bram was removed since"):
        book.undo(today=TODAY)


def test_another_change_of_another_column_does_not_stand_in_the_way(book: Book) -> None:
    with book.change("Phone") as session:
        session.get_one(Customer, 1).phone = "1"
    with book.change("Remember", undoable=False) as session:
        session.get_one(Customer, 1).notes = "likes tea"
    book.undo(today=TODAY)
    with book.reading() as session:
        ada = session.get_one(Customer, 1)
        assert (ada.phone, ada.notes) == ("", "likes tea")


# Final lines


def test_undoing_a_close_counters_its_lines_with_reason_and_day(book: Book) -> None:
    set_use(book, MONDAY, 50_000)
    before = contents(book)
    close_day(book, MONDAY)
    undone = book.undo(today=TODAY, reason="closed too early", at=NOON)
    assert undone.countered == 1
    assert contents(book) == before
    used, counter = lines(book)[-2:]
    assert (used.kind, used.quantity, used.day) == ("used", -50_000, MONDAY)
    assert (counter.kind, counter.quantity, counter.value) == ("reversed", 50_000, -used.value)
    assert (counter.day, counter.counters_id) == (TODAY, used.id)
    assert counter.note == "closed too early"
    assert book.check() == []


def test_without_a_reason_the_counter_line_names_the_action(book: Book) -> None:
    set_use(book, MONDAY, 50_000)
    close_day(book, MONDAY)
    book.undo(today=TODAY)
    assert lines(book)[-1].note == f"Undone: Close {MONDAY}"


def test_a_close_undone_is_done_again_and_undone_again(book: Book) -> None:
    set_use(book, MONDAY, 50_000, WAX)
    before = contents(book)
    close_day(book, MONDAY)
    after = contents(book)
    for _ in range(3):
        book.undo(today=TODAY)
        assert contents(book) == before
        book.redo(today=TODAY)
        assert contents(book) == after
        assert book.check() == []


def test_a_counter_line_on_a_closed_day_is_not_taken_out_either(book: Book) -> None:
    close_day(book, TODAY)
    set_use(book, MONDAY, 50_000)
    close_day(book, MONDAY)
    after = contents(book)
    book.undo(today=TODAY)
    count = len(lines(book))
    book.redo(today=TODAY)
    assert contents(book) == after
    assert len(lines(book)) == count + 1  # written again, beside the pair
    assert book.check() == []
    book.undo(today=TODAY)
    book.redo(today=TODAY)
    assert contents(book) == after
    assert book.check() == []


def test_a_reopened_and_closed_day_is_undone_step_by_step(book: Book) -> None:
    said = [contents(book)]
    set_use(book, MONDAY, 50_000, WAX)
    said.append(contents(book))
    close_day(book, MONDAY)
    said.append(contents(book))
    reopen_day(book, MONDAY, TODAY)
    said.append(contents(book))
    set_use(book, MONDAY, 60_000, WAX)
    said.append(contents(book))
    close_day(book, MONDAY)
    while len(said) > 0:
        book.undo(today=TODAY)
        assert contents(book) == said.pop()
        assert book.check() == []


def test_money_taken_on_an_open_day_is_taken_out_and_on_a_closed_one_countered(book: Book) -> None:
    take_money(book, MONDAY, 12_000)
    assert book.undo(today=TODAY).countered == 0
    assert lines(book, Receipt) == []
    close_day(book, MONDAY)
    before = contents(book)
    take_money(book, MONDAY, 12_000)
    assert book.undo(today=TODAY).countered == 1
    assert [line.amount for line in lines(book, Receipt)] == [12_000, -12_000]
    assert contents(book) == before


def test_a_line_counted_in_a_snapshot_is_countered_though_its_own_day_is_open(book: Book) -> None:
    with book.change("Receive") as session:
        move(session, WASH, MONDAY, "received", 1_000)
    with book.load() as session:
        snapshot(session, TODAY)
    assert book.undo(today=TODAY).countered == 1
    assert book.check() == []


def test_marking_as_sent_is_countered_and_the_letter_is_ready_again(book: Book) -> None:
    before = contents(book)
    prepare_reminder(book, MONDAY)
    prepared = contents(book)
    send_reminder(book, MONDAY)
    sent = contents(book)
    assert book.undo(today=TODAY).countered == 1
    assert contents(book) == prepared
    assert [line.kind for line in lines(book, ReminderEvent)] == ["prepared", "sent", "reversed"]
    # The letter itself goes: what was said about it and taken back goes with it.
    book.undo(today=TODAY)
    assert contents(book) == before
    assert lines(book, ReminderEvent) == lines(book, Reminder) == []
    book.redo(today=TODAY)
    book.redo(today=TODAY)
    assert contents(book) == sent
    assert book.check() == []


def test_a_supply_goes_with_its_settled_lines_but_not_with_standing_ones(book: Book) -> None:
    close_day(book, TODAY)
    before = contents(book)
    with book.change("Add glaze", day=TODAY) as session:
        glaze = Supply(name="glaze", kind="liquid")
        session.add(glaze)
        session.flush()
        move(session, glaze.id, TODAY, "counted", 5_000)
    after = contents(book)
    assert book.undo(today=TODAY).countered == 1
    assert contents(book) == before
    book.redo(today=TODAY)
    assert contents(book) == after
    with book.load() as session:
        move(session, glaze.id, TODAY, "received", 1_000)
    with pytest.raises(Refused, match=r"The supply glaze cannot be removed: a line of the stock"):
        book.undo(today=TODAY)
    assert book.check() == []


def test_no_line_can_be_taken_back_twice(book: Book) -> None:
    set_use(book, MONDAY, 50_000)
    close_day(book, MONDAY)
    number = lines(book)[-1].id
    with book.change("Take back") as session:
        line = session.get_one(Movement, number)
        session.add(ledgers.countering(line, day=TODAY, at=NOON, note="wrong job"))
    counter = {"supply_id": WASH, "kind": "reversed", "quantity": 0, "counters_id": number}
    with pytest.raises(IntegrityError), book.load() as session:
        session.add(Movement(**counter, day=TODAY, at=NOON))


def test_the_log_shows_what_took_back_what(book: Book) -> None:
    add_customer(book, "Bram")
    book.undo(today=TODAY)
    book.redo(today=TODAY)
    again, undo, first = book.history(3)
    assert [one.name for one in (first, undo, again)] == ["Add Bram"] * 3
    assert (first.undone, undo.undone, again.undone) == (True, True, False)
    assert (first.of_id, undo.of_id, again.of_id) == (None, first.id, undo.id)
