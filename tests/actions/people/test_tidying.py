"""Customers and vehicles removed, archived, put together and split again."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.people import customers, tidying, vehicles
from app.errors import Mendable
from app.records.contents import contents
from app.records.models import Customer, Job, OwnerLink, Vehicle
from app.records.queries import protection
from tests.shop import TODAY, SmallShop


def listed(desk: Desk, text: str = "") -> list[str]:
    return [row.name for row in customers.list_customers(desk, text)[0]]


def test_a_customer_without_history_goes_with_vehicles_that_have_none(desk: Desk) -> None:
    before = contents(desk.book)
    _, number = customers.add_customer(desk, name="Total 43 customers")
    vehicles.add_vehicle(desk, number, description="grey van")
    changed = tidying.remove_customer(desk, number)
    assert changed.name == "Removed Total 43 customers"
    assert contents(desk.book) == before
    desk.book.undo(today=TODAY)
    assert "Total 43 customers" in listed(desk)


def test_a_customer_with_history_is_archived_and_found_by_name(desk: Desk, shop: SmallShop) -> None:
    number = shop.customers["tolk"]
    with desk.book.reading() as session:
        name = session.get_one(Customer, number).name
    assert tidying.remove_customer(desk, number).name.startswith(f"Archived {name}")
    assert name not in listed(desk)
    assert listed(desk, name) == [name]
    assert customers.customer_page(desk, number).archived
    with desk.book.reading() as session:
        (person,) = protection.people(session, {number})
    assert not person.may_remind, "nobody writes to them"
    tidying.archive_customer(desk, number, on=False)
    assert name in listed(desk)


def test_a_vehicle_without_history_is_removed_and_one_with_it_archived(
    desk: Desk, shop: SmallShop
) -> None:
    owner = shop.customers["tolk"]
    _, fresh = vehicles.add_vehicle(desk, owner, description="grey van")
    tidying.remove_vehicle(desk, fresh)
    with desk.book.reading() as session:
        assert session.get(Vehicle, fresh) is None
        worked = session.query(Job).filter(Job.vehicle_id.is_not(None)).first()
        assert worked is not None
        number = worked.vehicle_id
    assert number is not None
    assert tidying.remove_vehicle(desk, number).name.startswith("Archived the")
    with desk.book.reading() as session:
        assert session.get_one(Vehicle, number).archived_on == TODAY
        held = protection.holders(session, TODAY)
    assert number not in {one.vehicle_id for one in held}


def test_two_entries_of_one_vehicle_are_put_together_and_split_by_undo(
    desk: Desk, shop: SmallShop
) -> None:
    with desk.book.reading() as session:
        job = session.query(Job).filter(Job.vehicle_id.is_not(None)).first()
        assert job is not None
        other, owner = job.vehicle_id, job.customer_id
        old_name = session.get_one(Vehicle, other).description
    assert other is not None
    _, kept = vehicles.add_vehicle(desk, owner, description="the wagon", plate="Q100 KT")
    before = contents(desk.book)
    tidying.merge_vehicles(desk, kept, other)
    with desk.book.reading() as session:
        one = session.get_one(Vehicle, kept)
        assert one.plate == "Q100 KT"
        assert f"Also called: {old_name}" in one.notes
        assert session.get(Vehicle, other) is None
        assert session.query(Job).filter_by(vehicle_id=kept).count() >= 1
        assert session.query(OwnerLink).filter_by(vehicle_id=kept).count() == 1
    assert desk.book.check() == []
    desk.book.undo(today=TODAY)
    assert contents(desk.book) == before


def test_a_vehicle_is_not_put_together_with_itself(desk: Desk, shop: SmallShop) -> None:
    _, number = vehicles.add_vehicle(desk, None, description="grey van")
    with pytest.raises(Mendable, match="same vehicle"):
        tidying.merge_vehicles(desk, number, number)
