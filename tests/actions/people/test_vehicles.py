"""Vehicles: what they are, where they live, and that their history outlives an owner."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.finding import find
from app.actions.people import vehicles
from app.errors import Mendable
from tests.shop import TODAY, SmallShop


def test_a_vehicle_sold_stays_with_its_history_and_goes_to_its_new_owner(
    desk: Desk, shop: SmallShop
) -> None:
    wagon = shop.vehicles["wagon"]
    before = vehicles.vehicle_page(desk, wagon)
    vehicles.sold(desk, wagon, TODAY, shop.customers["quell"])
    after = vehicles.vehicle_page(desk, wagon)
    assert [name for _, name, _, _ in after.owners] == ["Mara Tolk", "Jonas Quell"]
    assert after.owners[0][3] == TODAY
    assert after.history == before.history
    desk.book.undo(today=TODAY)
    assert [name for _, name, _, _ in vehicles.vehicle_page(desk, wagon).owners] == ["Mara Tolk"]


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("year", "nineteen", "no year"),
        ("year", "1799", "cannot be"),
        ("size_outside", "huge", "no size"),
        ("exposure", {"stands": "under water"}, "under water"),
        ("description", " ", "few words"),
    ],
)
def test_what_cannot_be_is_said_in_one_sentence(
    desk: Desk, shop: SmallShop, field: str, typed: object, says: str
) -> None:
    with pytest.raises(Mendable, match=says):
        vehicles.edit_vehicle(desk, shop.vehicles["wagon"], **{field: typed})
    assert desk.book.next_undo() is None


def test_where_it_stands_is_kept_and_explained(desk: Desk, shop: SmallShop) -> None:
    wagon = shop.vehicles["wagon"]
    vehicles.edit_vehicle(desk, wagon, exposure={"stands": "street"})
    assert "street" in vehicles.vehicle_page(desk, wagon).exposure_sentence


def test_anything_is_found_by_what_is_remembered_of_it(desk: Desk) -> None:
    assert {hit.text for hit in find(desk, "tolk") if hit.kind == "customer"} == {"Mara Tolk"}
    assert [hit.kind for hit in find(desk, "red coupe")] == ["vehicle", "customer"]
    assert [hit.text for hit in find(desk, "0412")] == ["Job 0412"]
    # A service is found by the name of a step too.
    assert [hit.kind for hit in find(desk, "polish")] == ["supply", "service"]
    assert find(desk, "  ") == []
