"""A person or a vehicle typed in one line, as the importer reads it."""

from __future__ import annotations

from app.actions.desk.desk import Desk
from app.actions.people.as_typed import (
    add_person,
    add_typed_vehicle,
    reached_words,
    read_person,
    read_vehicle,
    vehicle_said,
    who_it_may_be,
)
from app.actions.people.customers import customer_page
from app.actions.people.vehicles import vehicle_page
from tests.shop import SmallShop


def test_a_telephone_and_a_mail_beside_the_name_are_fields(desk: Desk, shop: SmallShop) -> None:
    line = "ilse varga 312 555 0177, ilse@example.org, 0199"
    assert reached_words(desk, read_person(desk, line)) == "(312) 555-0177, ilse@example.org"
    fields = customer_page(desk, add_person(desk, "ilse varga 312 555 0177, ilse@example.org")[1])
    assert fields.title == "Ilse Varga"
    assert fields.fields["phone"] == "+13125550177"
    assert fields.fields["email"] == "ilse@example.org"
    local = customer_page(desk, add_person(desk, "Ida Mott 555 0142")[1]).fields
    assert (local["name"], local["phone"]) == ("Ida Mott", "")
    assert "555 0142" in local["notes"]  # nothing that was typed is lost


def test_who_it_may_be_is_told_by_name_else_by_number(desk: Desk, shop: SmallShop) -> None:
    def found(typed: str) -> list[str]:
        return [row.name for row in who_it_may_be(desk, read_person(desk, typed))]

    assert found("tolk mara") == ["Mara Tolk"]
    assert found("Mara Tolk 312 555 9999") == ["Mara Tolk"]
    assert found("312 555 0142") == ["Jonas Quell", "Mara Tolk"]
    assert found("mara.tolk@lindmoor.example") == ["Mara Tolk"]
    assert found("Mara") == []


def test_each_word_of_a_vehicle_gets_its_field(desk: Desk, shop: SmallShop) -> None:
    line = "2019 Norvane Skiff, silver hatch, OH GHT 4412"
    number = add_typed_vehicle(desk, shop.customers["tolk"], line)[1]
    fields = vehicle_page(desk, number).fields
    assert vehicle_said(fields) == (
        ("Year", "2019"), ("Make", "Norvane"), ("Model", "Skiff"), ("Color", "silver"),
        ("Plate", "GHT 4412"),
    )  # fmt: skip
    assert (fields["plate_region"], fields["size_outside"]) == ("OH", "M")
    assert fields["description"] == "Norvane Skiff, silver hatch"


def test_a_maker_in_the_book_is_known_in_small_letters_too(desk: Desk, shop: SmallShop) -> None:
    assert "make" not in read_vehicle(desk, "2020 norvane skiff, blue")
    add_typed_vehicle(desk, shop.customers["tolk"], "2019 Norvane Skiff")
    read = read_vehicle(desk, "2020 norvane skiff, blue")
    assert (read["make"], read["model"], read["color"]) == ("Norvane", "skiff", "blue")
    beside = read_vehicle(desk, "2014 blue wagon, 7KLM 204, 0123 456")
    assert (beside["description"], beside["plate"]) == ("blue wagon", "7KLM 204")
    assert beside["notes"] == "Telephone, as it was said: 0123 456"
    assert read_vehicle(desk, "green van") == {
        "description": "green van", "color": "green", "size_outside": "XL", "size_inside": "XL",
    }  # fmt: skip
