"""The world moves between the order that a close writes and the mail that takes it out."""

from __future__ import annotations

import pytest

from app.actions.orders.order_doubts import order_doubts
from app.actions.orders.receiving import mark_order_sent, order_of
from app.actions.orders.suppliers import add_supplier
from app.actions.shelf.tidying import archive_supply
from app.actions.stock.supply_facts import edit_supply
from tests.actions.orders.test_ordering import ordered
from tests.shop import TODAY


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
