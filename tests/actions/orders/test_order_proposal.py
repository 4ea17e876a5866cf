"""What to order, as the station of the day sheet has it."""

from __future__ import annotations

from app.actions.day.supplies_used import set_use
from app.actions.desk.amounts import all_supplies
from app.actions.orders.order_proposal import what_to_order
from app.records.models import Supply
from tests.shop import TODAY


def test_what_runs_out_and_has_no_supplier_is_named(desk, shop):
    cloths = shop.supplies["cloths"]
    set_use(desk, TODAY, shop.jobs["0411"], cloths, "9000")
    assert what_to_order(desk, TODAY).unsold == ()
    with desk.book.change("No supplier", kinds=frozenset({"supplies"}), at=desk.clock()) as session:
        session.get_one(Supply, cloths).supplier_id = None
    assert what_to_order(desk, TODAY).unsold == (all_supplies(desk)[cloths].name,)
