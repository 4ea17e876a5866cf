"""Customers: reading what is typed, putting two together, and silence where it is asked for."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.desk.desk import Desk
from app.actions.people import customers
from app.errors import Mendable
from app.records.models import Customer, Job, OwnerLink, Receipt
from tests.shop import TODAY, SmallShop


def row(desk: Desk, customer_id: int) -> Customer:
    with desk.book.reading() as session:
        return session.get_one(Customer, customer_id)


def test_a_name_is_enough_and_a_telephone_number_is_read_in_any_writing(desk: Desk) -> None:
    """The number's form by the E.164 recommendation, read by the phonenumbers library."""
    for typed in ("312-555-0187", "(312) 555 0187", "+1 312.555.0187", "1-312-555-0187"):
        _, number = customers.add_customer(desk, name="Ida Morrow", phone=typed)
        assert row(desk, number).phone == "+13125550187"
        assert row(desk, number).phone_as_typed == typed


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("phone", "call me", "no telephone number"),
        ("email", "ida at home", "no mail address"),
        ("asks_by", "pigeon", "no way to reach"),
        ("name", "", "needs a name"),
        ("name", "x" * 201, "longer than 200"),
    ],
)
def test_what_cannot_be_read_is_one_sentence_and_changes_nothing(
    desk: Desk, shop: SmallShop, field: str, typed: str, says: str
) -> None:
    before = row(desk, shop.customers["tolk"]).name
    with pytest.raises(Mendable, match=says):
        customers.edit_customer(desk, shop.customers["tolk"], **{field: typed})
    assert row(desk, shop.customers["tolk"]).name == before
    assert desk.book.next_undo() is None


def test_changing_nothing_notes_nothing(desk: Desk, shop: SmallShop) -> None:
    assert customers.edit_customer(desk, shop.customers["tolk"], name="Mara Tolk").name == ""
    assert desk.book.next_undo() is None


def test_a_new_mail_address_is_good_until_it_bounces_again(desk: Desk, shop: SmallShop) -> None:
    number = shop.customers["tolk"]
    with desk.book.change("Bounced") as session:
        session.get_one(Customer, number).email_bad_since = TODAY
    customers.edit_customer(desk, number, email="mara@lindmoor.example")
    assert row(desk, number).email_bad_since is None
    desk.book.undo(today=TODAY)
    assert row(desk, number).email_bad_since == TODAY


def test_the_page_says_what_is_owed_with_tax(desk: Desk, shop: SmallShop) -> None:
    """90.00 at 7.25 % is 96.525, half away from zero 96.53 (EN 16931, per rate on the total)."""
    with desk.book.change("Done") as session:
        job = session.get_one(Job, shop.jobs["0411"])
        job.state, job.done_on = "done", TODAY
    page = customers.customer_page(desk, shop.customers["quell"])
    assert dict(page.facts)["Owes"] == "96.53"
    assert page.due[page.history[0].job_id] == 9653
    assert [car.title for car in page.vehicles] == ["blue sedan"]


def test_the_list_is_narrowed_by_name_number_or_vehicle(desk: Desk) -> None:
    assert [row.name for row in customers.list_customers(desk, "quell")[0]] == ["Jonas Quell"]
    assert [row.name for row in customers.list_customers(desk, "red cou")[0]] == ["Mara Tolk"]
    assert customers.list_customers(desk, "0142")[1] == 2
    assert customers.list_customers(desk, "100%")[1] == 0, "a wildcard is a letter like any"


def test_two_entries_of_one_person_become_one_and_can_be_parted_again(
    desk: Desk, shop: SmallShop
) -> None:
    _, twin = customers.add_customer(
        desk, name="Tolk, M.", city="Lindmoor", notes="rings on Fridays"
    )
    kept = shop.customers["tolk"]
    with desk.book.change("A deposit") as session:
        session.add(
            Receipt(customer_id=twin, day=TODAY, at=desk.clock(), amount=15000, kind="deposit")
        )
        session.get_one(Customer, twin).stopped_on = TODAY - timedelta(days=3)
        session.add(OwnerLink(vehicle_id=shop.vehicles["sedan"], customer_id=twin))
    customers.merge_customers(desk, kept, twin)
    one = row(desk, kept)
    assert (one.name, one.city, one.notes) == ("Mara Tolk", "Lindmoor", "rings on Fridays")
    assert one.stopped_on == TODAY - timedelta(days=3), "a stop holds for whoever is left"
    with desk.book.reading() as session:
        assert session.get(Customer, twin) is None
        held = session.query(Receipt).filter_by(customer_id=kept, kind="deposit").one()
        assert held.amount == 15000
        assert sum(r.amount for r in session.query(Receipt)) == 15000
    desk.book.undo(today=TODAY)
    assert row(desk, twin).city == "Lindmoor"
    assert row(desk, kept).stopped_on is None


def test_nobody_is_put_together_with_themselves(desk: Desk, shop: SmallShop) -> None:
    with pytest.raises(Mendable, match="same customer"):
        customers.merge_customers(desk, shop.customers["tolk"], shop.customers["tolk"])
