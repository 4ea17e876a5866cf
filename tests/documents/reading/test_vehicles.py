"""Vehicles in a few words, in columns of their own and in running notes."""

from __future__ import annotations

import pytest

from app.documents.reading.vehicles import (
    VehicleWords,
    make_and_model,
    read_plate,
    read_size,
    read_stands,
    read_vehicles,
    read_year,
)


def test_year_color_body_and_plate_stand_in_one_cell() -> None:
    assert read_vehicles("2014 blue wagon, plate 7KLM 204") == (
        VehicleWords(description="blue wagon", year=2014, color="blue", plate="7KLM 204", size="M"),
    )


def test_two_vehicles_in_one_cell_are_two() -> None:
    first, second = read_vehicles("2014 blue wagon (7KLM204) & 2018 grey van")
    assert (first.description, first.year, first.plate) == ("blue wagon", 2014, "7KLM204")
    assert (second.description, second.year, second.size) == ("grey van", 2018, "XL")


def test_a_maker_s_name_stays_in_the_description() -> None:
    (one,) = read_vehicles("2019 Norvane Skiff, silver, OH GHT 4412")
    assert one == VehicleWords(
        description="Norvane Skiff, silver",
        year=2019,
        color="silver",
        plate="GHT 4412",
        plate_region="OH",
    )


def test_a_vin_is_known_by_its_seventeen_signs() -> None:
    # The shape of ISO 3779: seventeen letters and digits, without I, O and Q.
    (one,) = read_vehicles("VIN 1HGCM82633A004352 2003 white sedan")
    assert (one.vin, one.year, one.description) == ("1HGCM82633A004352", 2003, "white sedan")


@pytest.mark.parametrize(
    ("note", "description", "plate"),
    [
        ("Drives a 2014 blue wagon, plate 7KLM 204. Likes mornings", "blue wagon", "7KLM 204"),
        ("2016 green sedan, plate QRS 118; do not call before 10", "green sedan", "QRS 118"),
        ("Blue wagon, leaks at sunroof", "Blue wagon", ""),
        ("plate ABC 1234", "", "ABC 1234"),
    ],
)
def test_a_vehicle_is_found_in_running_notes(note: str, description: str, plate: str) -> None:
    (one,) = read_vehicles(note, loose=False)
    assert (one.description, one.plate) == (description, plate)


@pytest.mark.parametrize(
    "note",
    ["since 2014 customer", "call before 9", "has a black dog", "no vans please",
     "paid 2019 by card",
     "Gate code 1234", "wants it by 10/2024", "left 20 off"],
)  # fmt: skip
def test_notes_without_a_vehicle_stay_without_one(note: str) -> None:
    assert read_vehicles(note, loose=False) == ()


@pytest.mark.parametrize(
    ("value", "year"), [(2014, 2014), ("'14", 2014), ("2014.0", 2014), ("98", 1998)]
)
def test_model_years(value: object, year: int) -> None:
    assert read_year(value) == year  # type: ignore[arg-type]


@pytest.mark.parametrize("value", ["", "old", 14000, True, "1814"])
def test_what_is_no_model_year(value: object) -> None:
    assert read_year(value) is None  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("words", "size"),
    [("Small", "S"), ("M", "M"), ("Full size", "L"), ("Extra large", "XL"), ("XL", "XL"),
     ("sedan", "M"),
     ("SUV", "L"), ("three-row SUV", "XL"), ("high roof van", "XL"), ("spaceship", "")],
)  # fmt: skip
def test_sizes_from_class_and_body_words(words: str, size: str) -> None:
    # Which body is which size: common practice, no source.
    assert read_size(words) == size


def test_a_plate_s_state_is_told_from_the_plate() -> None:
    assert read_plate("OH 7KLM 204") == ("7KLM 204", "OH")
    assert read_plate("7KLM204 (OH)") == ("7KLM204", "OH")
    assert read_plate("TT-AB 123") == ("TT-AB 123", "")


@pytest.mark.parametrize(
    ("words", "where"),
    [("Garage", "garage"), ("outside, street", "street"), ("Carport", "carport"),
     ("under trees", "trees"), ("moon", "")],
)  # fmt: skip
def test_where_it_stands(words: str, where: str) -> None:
    assert read_stands(words) == where


@pytest.mark.parametrize(
    ("text", "plate", "region", "description"),
    [
        ("2014 blue wagon, plate Q100 KT", "Q100 KT", "", "blue wagon"),
        ("red pickup lic. 123 ABC", "123 ABC", "", "red pickup"),
        ("black saloon (plate XY 12 Z)", "XY 12 Z", "", "black saloon"),
        ("green van reg AB12 CDE", "AB12 CDE", "", "green van"),
        ("silver estate, Kennzeichen M AB 1234", "M AB 1234", "", "silver estate"),
        ("white van reg. no. 191-D-12345", "191-D-12345", "", "white van"),
        ("tan sedan plate number 4 ABC 123", "4 ABC 123", "", "tan sedan"),
        ("blue van plate ABC 123 has dent", "ABC 123", "", "blue van has dent"),
        ("plate ABC 123 XL van", "ABC 123", "", "XL van"),
        ("blue van, plate q100 kt, old", "Q100 KT", "", "blue van, old"),
        ("white van, plate OH 7KLM 204", "7KLM 204", "OH", "white van"),
        ("plate 7KLM204 2014 blue wagon", "7KLM204", "", "blue wagon"),
        ("plates on order, blue van", "", "", "plates on order, blue van"),
    ],
)
def test_plates_of_several_parts_stay_whole(
    text: str, plate: str, region: str, description: str
) -> None:
    (one,) = read_vehicles(text)
    assert (one.plate, one.plate_region, one.description) == (plate, region, description)


@pytest.mark.parametrize("plate", ["AZ 1234", "PA CK 123", "MA 12 Z", "IN AB 123", "XY 12 Z"])
def test_letters_that_are_also_a_state_stay_with_a_plate_that_is_none_without_them(
    plate: str,
) -> None:
    assert read_plate(plate) == (plate, "")


@pytest.mark.parametrize(
    ("text", "make", "model"),
    [
        ("2019 Norvane Skiff, silver, OH GHT 4412", "Norvane", "Skiff"),
        ("'14 Renwick Tarn LE wagon, grey", "Renwick", "Tarn LE"),
        ("2021 Tarn V8 SUV plate ABC 123", "Tarn", "V8"),
        ("2014 Blue Wagon", "", ""),
        ("silver Norvane Skiff", "", ""),  # neither year nor plate beside it
        ("2018 company Van 3", "", ""),
        ("2016 Old Farm truck", "", ""),
        ("2014 wagon, leaks at sunroof", "", ""),
    ],
)
def test_a_maker_and_a_model_are_taken_only_where_they_are_sure(
    text: str, make: str, model: str
) -> None:
    (one,) = read_vehicles(text)
    assert make_and_model(one) == (make, model)


def test_a_maker_that_is_known_is_found_in_any_writing() -> None:
    (one,) = read_vehicles("my old norvane skiff")
    assert make_and_model(one, ("Norvane",)) == ("Norvane", "skiff")
