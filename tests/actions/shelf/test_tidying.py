"""Supplies removed, archived, put together and split again."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.actions.day.closing import close_day
from app.actions.day.supplies_used import set_use
from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.orders.deliveries import due_orders
from app.actions.orders.order_writing import set_packs, write_orders
from app.actions.orders.receiving import mark_order_sent, order_of, receive
from app.actions.shelf import tidying
from app.actions.shelf.shelf import shelf
from app.actions.stock.supply_facts import add_pack, add_supply
from app.errors import Mendable
from app.records.contents import contents
from app.records.models import Pack, RecipeLine, Supply, Use
from app.records.stock import balances
from tests.actions.orders.test_ordering import ordered
from tests.shop import TODAY, SmallShop


def stands(desk: Desk, supply_id: int) -> tuple[int, int]:
    with desk.book.reading() as session:
        return balances(session).get(supply_id, (0, 0))


def test_a_supply_that_was_never_used_goes_with_its_packs(desk: Desk) -> None:
    before = contents(desk.book)
    _, number = add_supply(desk, "liquids subtotal")
    add_pack(desk, number, "1 gal", "33.50")
    assert tidying.remove_supply(desk, number).name == "Removed liquids subtotal"
    assert contents(desk.book) == before


def test_a_supply_with_history_is_archived_not_ordered_and_folded(
    desk: Desk, shop: SmallShop
) -> None:
    with desk.book.reading() as session:
        number = session.query(RecipeLine.supply_id).first()
    assert number is not None
    (supply_id,) = number
    assert tidying.remove_supply(desk, supply_id).name.startswith("Archived ")
    rows = {row.supply_id: row for group in shelf(desk, TODAY).groups for row in group.rows}
    assert rows[supply_id].archived
    assert rows[supply_id].folded
    assert rows[supply_id].packs == 0
    tidying.archive_supply(desk, supply_id, on=False)
    with desk.book.reading() as session:
        assert not session.get_one(Supply, supply_id).stopped


def test_before_a_supply_is_archived_what_counts_on_it_is_said(desk: Desk, shop: SmallShop) -> None:
    wheel = shop.supplies["wheel"]
    set_packs(desk, TODAY, wheel, shop.packs["wheel"], 1)
    write_orders(desk, TODAY)
    asked = tidying.why_keep(desk, TODAY, wheel)
    assert asked.startswith("Wheel cleaner is on its way with order 0001, stands in the recipe of ")
    assert " and is needed for job 0411" in asked
    _, stray = add_supply(desk, "Ours in all")
    assert tidying.why_keep(desk, TODAY, stray) == ""


def test_what_is_archived_and_comes_in_is_on_the_shelf_again(desk: Desk, shop: SmallShop) -> None:
    wheel = shop.supplies["wheel"]
    set_packs(desk, TODAY, wheel, shop.packs["wheel"], 1)
    write_orders(desk, TODAY)
    count = shelf(desk, TODAY).count
    tidying.archive_supply(desk, wheel)
    assert shelf(desk, TODAY).count == count - 1
    (due,) = due_orders(desk, TODAY)
    (line,) = due.row.lines
    told = receive(desk, TODAY, due.row.order_id, {line.line_id: 1}).sentence
    assert told == "Wheel cleaner is back from the archive, to be used up."
    assert shelf(desk, TODAY).count == count
    with desk.book.reading() as session:
        assert session.get_one(Supply, wheel).stopped, "nobody asked for more of it"
    desk.book.undo(today=TODAY)
    assert shelf(desk, TODAY).count == count - 1


def test_two_supplies_become_one_and_are_split_by_undo(desk: Desk, shop: SmallShop) -> None:
    with desk.book.reading() as session:
        line = session.query(RecipeLine).first()
        assert line is not None
        other = line.supply_id
        kind = session.get_one(Supply, other).kind
    _, kept = add_supply(desk, "The same by another name", kind)
    before, was = contents(desk.book), stands(desk, other)
    assert was[0] > 0
    tidying.merge_supplies(desk, kept, other)
    assert stands(desk, kept) == was
    assert stands(desk, other) == (0, 0)
    with desk.book.reading() as session:
        assert session.query(RecipeLine).filter_by(supply_id=other).count() == 0
        assert session.query(Pack).filter_by(supply_id=other).count() == 0
        assert session.query(Use).filter_by(supply_id=other).count() == 0 or (
            session.get_one(Supply, other).archived_on == TODAY
        )
    assert desk.book.check() == []
    desk.book.undo(today=TODAY)
    assert contents(desk.book) == before


def test_what_is_still_to_come_of_one_comes_to_the_other(desk: Desk, shop: SmallShop) -> None:
    soap, day = shop.supplies["soap"], TODAY
    order_id, line = ordered(desk, shop, ("soap", 3))
    mark_order_sent(desk, day, order_id)
    receive(desk, day, order_id, {line[soap]: 1})
    set_use(desk, day, shop.jobs["0411"], soap, "140")
    _, kept = add_supply(desk, "Shampoo", "liquid")
    before, (stood, _) = contents(desk.book), stands(desk, soap)
    tidying.merge_supplies(desk, kept, soap)
    rest = {one.supply_id: one for one in order_of(desk, order_id).lines if one.supply_id == kept}
    assert [(one.packs, one.packs_received) for one in rest.values()] == [(2, 0)]
    receive(desk, day, order_id, {rest[kept].line_id: 2})
    close_day(desk, day)
    assert order_of(desk, order_id).state == "received"
    assert stands(desk, soap) == (0, 0)
    used = 140_000 + 39_000  # typed, and filled in for the other job of the day
    assert stands(desk, kept)[0] == stood + 2 * rest[kept].pack_size - used
    assert desk.book.check() == []
    for _ in range(3):
        desk.book.undo(today=day)
    assert contents(desk.book) == before


def test_what_is_measured_otherwise_is_not_put_together(desk: Desk) -> None:
    _, liquid = add_supply(desk, "Wash", "liquid")
    _, pieces = add_supply(desk, "Pads", "piece")
    with pytest.raises(Mendable, match="measured alike"):
        tidying.merge_supplies(desk, liquid, pieces)


def test_a_total_brought_in_with_a_stock_can_be_removed(desk: Desk, tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text("Supply,On hand,Pack size,Price\nOurs in all,3 gal,1 gal,20\n")
    bring_in(desk, preview(desk, [read(desk, path)]))
    rows = [row for group in shelf(desk, TODAY).groups for row in group.rows]
    (number,) = [row.supply_id for row in rows if row.name == "Ours in all"]
    assert stands(desk, number)[0] > 0
    assert tidying.remove_supply(desk, number).name == "Removed Ours in all"
    assert desk.book.check() == []
