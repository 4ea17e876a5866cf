"""The world moves between the order that a close writes and the mail that takes it out."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.desk.undoing import undo
from app.actions.jobs.job_changes import cancel_job
from app.actions.orders.order_doubts import order_doubts
from app.actions.orders.order_writing import orders_written, write_orders
from app.actions.orders.receiving import mark_order_sent, order_of
from app.actions.orders.suppliers import add_supplier
from app.actions.shelf.tidying import archive_supply
from app.actions.stock.stock import count
from app.actions.stock.supply_facts import edit_supply
from tests.actions.orders.test_ordering import ordered
from tests.shop import TODAY, add_job


def elsewhere(desk, shop):
    _, other = add_supplier(desk, "Corner Depot")
    edit_supply(desk, shop.supplies["soap"], supplier_id=other)


CHANGES = {
    "stopped": (
        lambda desk, shop: edit_supply(desk, shop.supplies["soap"], stopped=True),
        "Wash soap is to be used up, not reordered",
    ),
    "archived": (
        lambda desk, shop: archive_supply(desk, shop.supplies["soap"]),
        "Wash soap is archived",
    ),
    "bought elsewhere": (elsewhere, "Wash soap is bought elsewhere"),
}


@pytest.mark.parametrize("kind", CHANGES)
def test_what_is_not_wanted_any_more_is_said_before_and_when_it_is_sent(desk, shop, kind):
    order_id, _ = ordered(desk, shop, ("soap", 2))
    assert order_doubts(desk, order_of(desk, order_id)) == ""
    change, words = CHANGES[kind]
    change(desk, shop)
    assert words in order_doubts(desk, order_of(desk, order_id))
    said = mark_order_sent(desk, TODAY, order_id).sentence
    assert words in said
    assert "Sent order 0001" in said


def test_what_went_is_not_doubted_afterwards(desk, shop):
    order_id, _ = ordered(desk, shop, ("soap", 2))
    assert mark_order_sent(desk, TODAY, order_id).sentence == ""
    edit_supply(desk, shop.supplies["soap"], stopped=True)
    assert order_doubts(desk, order_of(desk, order_id)) == ""


def test_an_order_whose_jobs_were_all_called_off_says_so_in_a_sentence(desk, shop):
    coating = shop.supplies["coating"]
    count(desk, TODAY, coating, "10 mL")
    with desk.book.load() as session:
        soon = TODAY + timedelta(days=9)
        job = add_job(session, shop, "0430", "quell", "sedan", "ceramic", soon, soon)
    write_orders(desk, TODAY, {shop.suppliers["parcel"]})
    order = order_of(desk, orders_written(desk, TODAY)[-1])
    assert [line.supply_id for line in order.lines] == [coating]
    assert "booked job" in order.lines[0].reason
    assert order_doubts(desk, order) == ""
    for one in (job, shop.jobs["0412"]):
        cancel_job(desk, one)
    name = order.lines[0].supply
    assert order_doubts(desk, order) == (
        f"Since it was written: nothing asks for {name} any more. Take it back, or send it as it "
        "is."
    )
    undo(desk)
    undo(desk)
    assert order_doubts(desk, order) == "", "booked again, it is wanted again"
