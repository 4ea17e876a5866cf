"""What remarks said in books of the versions before stands in columns after version 0003."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import text

from app.records.book import Book
from app.records.models import (
    Customer,
    LayerEvent,
    Movement,
    Order,
    OrderLine,
    Receipt,
    Supply,
    Use,
)
from app.records.storage.engine import engine_for
from tests.records.books.make import make
from tests.records.shop import MONDAY

AT = "2025-05-05 23:30:00.000000"
RECEIPT = {
    "id": 2, "job_id": 1, "customer_id": 1, "day": "2025-05-06", "at": AT, "amount": 500,
    "method": "cash", "kind": "payment", "counters_id": None, "note": "expected, unconfirmed",
}  # fmt: skip


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A book of the second version with its remarks."""
    path = tmp_path / "old.bayledger"
    make("0002", path)
    return path


def write(path: Path, table: str, *rows: Mapping[str, object]) -> None:
    engine = engine_for(path, write=True)
    connection_of = engine.execution_options(bayledger_writing=True).connect
    with connection_of() as connection, connection.begin():
        for row in rows:
            names = ", ".join(f'"{name}"' for name in row)
            values = ", ".join(f":{name}" for name in row)
            connection.execute(text(f"INSERT INTO {table} ({names}) VALUES ({values})"), dict(row))
    engine.dispose()


def change(path: Path, said: str) -> None:
    engine = engine_for(path, write=True)
    connection_of = engine.execution_options(bayledger_writing=True).connect
    with connection_of() as connection, connection.begin():
        connection.execute(text(said))
    engine.dispose()


def movement(number: int, kind: str, note: str, **more: object) -> dict[str, object]:
    return {
        "id": number, "supply_id": 1, "day": "2025-05-05", "at": AT, "kind": kind, "quantity": 0,
        "value": 0, "note": note, **more,
    }  # fmt: skip


def test_money_that_was_noted_as_expected_has_that_state(old: Path) -> None:
    write(old, "receipts", RECEIPT)
    with Book.open(old) as book, book.reading() as session:
        assert [(r.id, r.state, r.note) for r in session.query(Receipt)] == [
            (1, "confirmed", ""), (2, "expected", ""),
        ]  # fmt: skip


def test_an_action_of_before_is_undone_and_done_again_with_its_state(old: Path) -> None:
    write(old, "receipts", RECEIPT)
    write(old, "actions", {
        "id": 2, "name": "Took money", "at": AT, "kinds": '["money"]', "state": "done",
    })  # fmt: skip
    image = {"action_id": 2, "position": 0, "table_name": "receipts", "row_key": "2"}
    told = {**RECEIPT, "at": "2025-05-05T23:30:00+00:00"}
    write(old, "images", {"id": 2, **image, "after": json.dumps(told)})
    with Book.open(old) as book:
        assert book.undo(today=MONDAY).name == "Took money"
        book.redo(today=MONDAY)
        with book.reading() as session:
            assert session.get_one(Receipt, 2).state == "expected"


def test_a_change_of_the_last_weight_is_undone_without_it(old: Path) -> None:
    write(old, "actions", {
        "id": 2, "name": "Weighed", "at": AT, "kinds": '["supplies"]', "state": "done",
    })  # fmt: skip
    change(old, "UPDATE supplies SET last_weight = 5000, shelf_place = 'B' WHERE id = 1")
    write(old, "images", {
        "id": 2, "action_id": 2, "position": 0, "table_name": "supplies", "row_key": "1",
        "before": '{"last_weight": null, "shelf_place": "A"}',
        "after": '{"last_weight": 5000, "shelf_place": "B"}',
    })  # fmt: skip
    with Book.open(old) as book:
        book.undo(today=MONDAY)
        with book.reading() as session:
            assert session.get_one(Supply, 1).shelf_place == "A"


def test_counts_of_a_person_are_told_from_lines_that_settle(old: Path) -> None:
    write(
        old, "movements", movement(11, "counted", "Counted, as in the book"),
        movement(12, "counted", "Settled: the shelf is empty"), movement(13, "counted", ""),
        movement(14, "wasted", "Counted wrong"),
    )  # fmt: skip
    with Book.open(old) as book, book.reading() as session:
        found = {one.id: one.physical for one in session.query(Movement)}
    assert [number for number, physical in found.items() if physical] == [11, 13]


def test_a_layer_finds_its_step_and_its_counter_line_the_same(old: Path) -> None:
    step = {
        "job_id": 1, "state": "done", "because": "", "effect": "applies", "supply_id": 1,
    }  # fmt: skip
    write(
        old, "job_steps",
        {"id": 4, **step, "position": 0, "name": "Seal", "surface_groups": '["upper sides"]'},
        {"id": 5, **step, "position": 1, "name": "Seal", "surface_groups": '["wheels"]'},
    )  # fmt: skip
    event = {
        "vehicle_id": 1, "job_id": 1, "day": "2025-05-05", "at": AT, "kind": "applied",
        "supply_id": 1, "note": "Seal",
    }  # fmt: skip
    write(
        old, "layer_events",
        {"id": 1, **event, "surface_group": "wheels"},
        {"id": 2, **event, "surface_group": "upper sides"},
        {"id": 3, **event, "surface_group": "wheels", "note": "Wax"},
    )  # fmt: skip
    write(old, "layer_events", {
        **event, "id": 4, "surface_group": "wheels", "kind": "reversed", "counters_id": 1,
        "note": "Reopened",
    })  # fmt: skip
    with Book.open(old) as book:
        assert book.check() == []
        with book.reading() as session:
            assert {e.id: e.step_id for e in session.query(LayerEvent)} == {
                1: 5, 2: 4, 3: None, 4: 5,
            }  # fmt: skip


def test_damaged_packs_go_from_the_orders_remark_to_its_line(old: Path) -> None:
    write(old, "orders", {
        "id": 1, "number": 1, "supplier_id": 1, "day": "2025-05-02", "state": "part",
        "freight": 0, "note": "Cheaper by 12.00. 2 x 1 gal of rinseless wash came damaged 3 May "
        "2025. 1 x 1 gal of rinseless wash came damaged 5 May 2025.",
    })  # fmt: skip
    write(old, "order_lines", {
        "id": 1, "order_id": 1, "supply_id": 1, "pack_id": 1, "pack_label": "1 gal",
        "pack_size": 3785412, "packs": 5, "packs_received": 2, "price": 7600, "reason": "",
    })  # fmt: skip
    with Book.open(old) as book, book.reading() as session:
        line = session.get_one(OrderLine, 1)
        assert (line.packs_damaged, str(line.damaged_on)) == (3, "2025-05-05")
        assert session.get_one(Order, 1).note == "Cheaper by 12.00."


def test_the_last_weight_goes_to_the_use_that_was_weighed(old: Path) -> None:
    change(old, "UPDATE supplies SET last_weight = 412000, density = 1200 WHERE id = 1")
    use = {
        "job_id": 1, "supply_id": 1, "expected": 0, "recipe": 0, "state": "confirmed",
        "booked": 0, "cost": 0,
    }  # fmt: skip
    write(
        old, "uses",
        {"id": 7, **use, "day": "2025-05-06", "quantity": 10_000, "typed": "412g left"},
        {"id": 8, **use, "day": "2025-05-07", "quantity": 59_147, "typed": "2oz"},
    )  # fmt: skip
    with Book.open(old) as book, book.reading() as session:
        use7 = session.get_one(Use, 7)
        # 10 mL of 1.2 g per mL weigh 12 g.
        assert (use7.weight_before, use7.weight_after) == (424_000, 412_000)
        assert session.get_one(Use, 8).weight_after is None
        assert {one.weight for one in session.query(Movement)} == {None}


def test_a_last_weight_that_no_use_shows_goes_to_the_newest_count(old: Path) -> None:
    change(old, "UPDATE supplies SET last_weight = 412000 WHERE id = 1")
    write(old, "movements", movement(11, "counted", "Counted"), movement(12, "wasted", "spilled"))
    with Book.open(old) as book, book.reading() as session:
        found = {one.id: one.weight for one in session.query(Movement)}
    assert {number: weight for number, weight in found.items() if weight} == {11: 412_000}


def not_now_said(number: int, before: str | None, after: str) -> tuple[dict[str, object], ...]:
    action = {
        "id": number, "name": "Not now; asked again from 1 July", "at": AT,
        "kinds": '["customers", "reminders"]', "state": "done",
    }  # fmt: skip
    image = {
        "id": number, "action_id": number, "position": 0, "table_name": "customers",
        "row_key": "1", "before": json.dumps({"later_until": before}),
        "after": json.dumps({"later_until": after}),
    }  # fmt: skip
    return action, image


def test_not_now_is_told_from_what_the_customer_asked_for_and_can_still_be_undone(
    old: Path,
) -> None:
    change(old, "UPDATE customers SET later_until = '2025-07-02'")
    for number, before, after in ((5, "2025-05-20", "2025-06-04"), (6, "2025-06-04", "2025-07-02")):
        action, image = not_now_said(number, before, after)
        write(old, "actions", action)
        write(old, "images", image)
    with Book.open(old) as book:
        for not_before in (date(2025, 7, 2), date(2025, 6, 4), None):
            with book.reading() as session:
                (row,) = session.query(Customer)
                assert (row.later_until, row.not_before) == (date(2025, 5, 20), not_before)
            book.undo(today=MONDAY)


def test_a_promise_made_after_not_now_stays_a_promise(old: Path) -> None:
    change(old, "UPDATE customers SET later_until = '2025-09-01'")
    action, image = not_now_said(5, None, "2025-06-04")
    write(old, "actions", action)
    write(old, "images", image)
    with Book.open(old) as book, book.reading() as session:
        (row,) = session.query(Customer)
        assert (row.later_until, row.not_before) == (date(2025, 9, 1), None)
