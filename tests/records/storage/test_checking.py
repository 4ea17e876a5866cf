"""A check finds what is wrong and says it plainly; a whole book has nothing to say."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import delete, func, select, text

from app.actions.desk.settings import NAMES, Settings
from app.calculations.numbers.dilution import Reading
from app.documents.papers.post import Security
from app.errors import BookDamaged
from app.records.book import Book
from app.records.models import Balance, Movement, PoolEvent, Receipt, Use
from app.records.models.words import SETTINGS, is_foreign
from app.records.storage.checking import _booked_uses, _snapshots
from tests.records.shop import (
    DAYS,
    MONDAY,
    NOON,
    WASH,
    WAX,
    close_day,
    reopen_day,
    set_use,
    steps_of_sqlite,
    take_money,
)
from tests.steps import steps


@pytest.fixture
def worked(book: Book) -> Book:
    """A book with a closed day, one that was reopened and closed again, and money."""
    for day in DAYS[:2]:
        set_use(book, day, 50_000)
        set_use(book, day, 20_000, WAX)
        take_money(book, day, 9_000)
        close_day(book, day)
    reopen_day(book, DAYS[1], DAYS[2])
    close_day(book, DAYS[1])
    return book


def test_a_whole_book_has_nothing_to_say(worked: Book) -> None:
    assert worked.check() == []


@pytest.mark.parametrize(
    ("harm", "sentence"),
    [
        ("UPDATE movements SET quantity = quantity - 1 WHERE id = 3", "differs from the lines"),
        ("UPDATE balances SET value = value + 1 WHERE id = 1", "snapshot of rinseless wash on"),
        ("UPDATE uses SET quantity = quantity + 1 WHERE id = 1", "not what the shelf's ledger"),
        ("UPDATE uses SET cost = cost + 1 WHERE id = 1", "not what the shelf's ledger says"),
        ("UPDATE uses SET booked = 0 WHERE id = 1", "1 of its uses are not booked"),
        ("UPDATE movements SET value = 1 WHERE counters_id IS NOT NULL", "does not take back"),
        ("UPDATE receipts SET counters_id = 2, kind = 'reversed' WHERE id = 1", "not take back"),
        ("UPDATE layer_events SET surface_group = 'trim' WHERE kind = 'reversed'", "in layer_ev"),
        ("UPDATE customers SET since = 'in May'", "A line in customers cannot be read"),
        ("UPDATE supplies SET hazard_statements = '[H319'", "in supplies cannot be read"),
    ],
)
def test_what_is_wrong_is_found(worked: Book, harm: str, sentence: str) -> None:
    with worked.load() as session:
        session.execute(text(harm))
    found = worked.check()
    assert found
    assert any(sentence in line for line in found), found


def test_a_reference_that_leads_nowhere_is_found(worked: Book) -> None:
    with worked._engine.connect() as connection:
        raw = connection.connection.driver_connection
        assert raw is not None
        raw.execute("PRAGMA query_only = OFF")
        raw.execute("PRAGMA foreign_keys = OFF")
        raw.execute("DELETE FROM customers")
        raw.execute("PRAGMA foreign_keys = ON")
    assert "A line in jobs points to a line in customers that is not there." in worked.check()


def test_a_line_taken_back_twice_is_found_though_the_tables_forbid_it(worked: Book) -> None:
    with worked.load() as session:
        session.execute(text("DROP INDEX ix_receipts_counters_id"))
        line = session.get_one(Receipt, 1)
        for _ in (1, 2):
            session.add(Receipt(**line.counter(), day=line.day, at=line.at, counters_id=1))
    assert worked.check() == ["Line 1 in receipts is taken back twice."]


def test_a_snapshot_of_any_day_is_checked_not_only_the_last(worked: Book) -> None:
    with worked.load() as session:
        session.execute(text(f"UPDATE balances SET quantity = 1 WHERE day = '{MONDAY}'"))
    assert len(worked.check()) == 2


def pools(book: Book, count: int) -> None:
    """So many uses of a pool that took nothing off the shelf, with the pieces set out for each."""
    day = MONDAY + timedelta(days=400)
    with book.load() as session:
        for number in range(10_000, 10_000 + count):
            session.add(Use(id=number, day=day, supply_id=WASH, quantity=1000, booked=True))
            session.add(
                PoolEvent(supply_id=WASH, day=day, at=NOON, kind="set out", pieces=1, use_id=number)
            )


def test_a_check_takes_as_much_longer_as_the_book_is_larger(worked: Book) -> None:
    taken = []
    for count in (300, 900):
        with worked.load() as session:
            session.execute(delete(PoolEvent))
            session.execute(delete(Use).where(Use.id >= 10_000))
        pools(worked, count)
        with worked.reading() as session, steps_of_sqlite(session) as steps:
            assert _booked_uses(session) == []
        taken.append(sum(steps))
    assert taken[1] < 4 * taken[0]


@pytest.mark.parametrize(
    "harm",
    [
        "UPDATE customers SET name = CAST(x'4e6fc3' AS TEXT)",  # cut in the middle of a letter
        "UPDATE customers SET name = CAST(x'ff41' AS TEXT)",
        "UPDATE jobs SET number = 'first'",
        "UPDATE movements SET at = '2025-02-30 10:00:00.000000'",
        "UPDATE movements SET day = 20250505",
        "UPDATE movements SET physical = 2",
        "UPDATE customers SET since = '2025-02-30'",
        "UPDATE supplies SET name = x'41'",
    ],
)
def test_a_value_that_is_not_of_its_kind_is_found(worked: Book, harm: str) -> None:
    with worked.load() as session:
        session.execute(text(harm))
    table = harm.split()[1]
    (found,) = worked.check()
    assert found.startswith(f"A line in {table} cannot be read")
    if "CAST" not in harm:  # text that is no UTF-8 cannot be asked for
        assert f": its {harm.split()[3]}, line 1" in found


@pytest.mark.parametrize(
    ("harm", "where"),
    [
        ("UPDATE days SET state = 'ajar'", "days cannot be read: its state"),
        ("UPDATE jobs SET condition = 'sound' WHERE id = 1", "jobs cannot be read: its condition"),
        ("UPDATE supplies SET kind = 'gas' WHERE id = 2", "supplies cannot be read: its kind, li"),
        ("INSERT INTO settings VALUES ('system', '\"EUR\"')", "setting system says “EUR”"),
        (
            "INSERT INTO settings VALUES ('zone', '\"Mars/North\"')",
            "setting zone says “Mars/North”",
        ),
        (
            "INSERT INTO settings VALUES ('terms_days', '\"seven\"')",
            "setting terms_days says “seven”",
        ),
    ],
)
def test_a_word_that_is_none_of_its_column_or_setting_is_damage_said_with_where(
    worked: Book, harm: str, where: str
) -> None:
    with worked.load() as session:
        session.execute(text(harm))
    (found,) = worked.check()
    assert where in found
    assert where in worked.glance()
    with pytest.raises(BookDamaged) as told, worked.damage_told():
        raise ValueError("what was read")
    assert where in told.value.sentence


def test_the_words_of_settings_are_those_of_the_settings() -> None:
    usual = vars(Settings())
    assert set(SETTINGS) == set(NAMES)
    assert [name for name, value in usual.items() if is_foreign(name, value)] == []
    assert set(SETTINGS["dilution_reading"]) == {one.value for one in Reading}  # type: ignore[arg-type]
    assert set(SETTINGS["mail_security"]) == {one.value for one in Security}  # type: ignore[arg-type]


def test_letters_of_any_script_can_be_read(worked: Book) -> None:
    with worked.load() as session:
        session.execute(text("UPDATE customers SET name = 'Åse 久保 🚗', notes = ''"))
    assert worked.check() == []


def test_the_last_microsecond_of_a_second_can_be_read(worked: Book) -> None:
    with worked.load() as session:
        session.execute(text("UPDATE actions SET at = '2025-05-05 17:59:59.999900'"))
    assert worked.check() == []


def test_each_line_and_each_snapshot_is_handled_in_two_calls_and_no_more(worked: Book) -> None:
    taken = []
    for count in (200, 600):
        with worked.load() as session:
            session.execute(delete(Balance).where(Balance.supply_id == WAX))
            last = session.scalar(select(func.max(Movement.id))) or 0
            quantity, value = session.execute(
                select(func.sum(Movement.quantity), func.sum(Movement.value)).where(
                    Movement.supply_id == WAX
                )
            ).one()
            for number in range(count):
                day = MONDAY + timedelta(days=100 + number)
                session.add(
                    Balance(supply_id=WAX, day=day, up_to_movement=last, quantity=quantity,
                            value=value)
                )  # fmt: skip
        with worked.reading() as session:
            assert _snapshots(session) == []  # its statements are made once
            taken.append(steps(lambda session=session: _snapshots(session)))
    assert taken[1] - taken[0] <= 2 * 400
