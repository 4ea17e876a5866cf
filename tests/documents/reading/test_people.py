"""Names, telephone numbers, mail addresses and postal addresses as lists have them."""

from __future__ import annotations

import pytest

from app.documents.reading.people import (
    Address,
    people_of,
    read_address,
    read_channel,
    read_city_line,
    read_mails,
    read_name,
    read_phones,
    read_postal_code,
    read_yes,
)


@pytest.mark.parametrize(
    "written",
    [
        "(212) 555-0142", "212-555-0142", "212.555.0142", "2125550142", 2125550142, 2125550142.0,
        "+1 212 555 0142", "1-212-555-0142", "212/555-0142", "001 212 555 0142",
        "tel:+12125550142", "cell: 212 555 0142", "(212)5550142", "212 555 0142 (wife Kim)",
    ],
)  # fmt: skip
def test_one_number_in_ten_writings_and_more_is_the_same_in_e164(written: object) -> None:
    # E.164 as the library phonenumbers forms it; 555-01xx is kept for fiction (NANPA).
    assert read_phones(written, "US").numbers == ("+12125550142",)  # type: ignore[arg-type]


def test_several_numbers_in_one_cell_are_taken_apart() -> None:
    assert read_phones("cell: 212 555 0142 / home: 212 555 0143", "US").numbers == (
        "+12125550142",
        "+12125550143",
    )


def test_a_number_of_another_region_is_read_by_the_setting() -> None:
    assert read_phones("0711/123456", "DE").numbers == ("+49711123456",)
    assert read_phones("+49 711 123456", "US").numbers == ("+49711123456",)


def test_an_extension_and_words_beside_a_number_are_kept() -> None:
    read = read_phones("(212) 555-0142 x12", "US")
    assert (read.numbers, read.extra) == (("+12125550142",), "ext. 12")
    assert read_phones("212 555 0142 (wife Kim)", "US").extra == "wife Kim"


def test_a_number_without_its_area_code_is_kept_as_typed_and_said_to_be_so() -> None:
    read = read_phones("555-0142", "US")
    assert (read.numbers, read.typed) == ((), ("555-0142",))
    assert "555-0142" in read.trouble


@pytest.mark.parametrize(
    ("written", "name", "firm"),
    [
        ("Miller, Ann", "Ann Miller", False),
        ("Miller, Ann & Bob", "Ann & Bob Miller", False),
        ("Ann & Bob Miller", "Ann & Bob Miller", False),
        ("O'Neil, Mary Jane", "Mary Jane O'Neil", False),
        ("van der Berg, Jan", "Jan van der Berg", False),
        ("Miller Jr, Tom", "Tom Miller Jr", False),
        ("Ann Miller, Jr.", "Ann Miller, Jr.", False),
        ("Hill Bakery, Inc.", "Hill Bakery, Inc.", True),
        ("Teller's Bakery LLC", "Teller's Bakery LLC", True),
    ],
)
def test_names_come_into_their_natural_order_and_firms_are_known(
    written: str, name: str, firm: bool
) -> None:
    assert read_name(written) == (name, firm)


def test_a_couple_is_two_persons_of_one_last_name() -> None:
    assert people_of("Ann & Bob Miller") == ("ann miller", "bob miller")


@pytest.mark.parametrize(
    ("written", "addresses"),
    [
        ("ann@mill.example; bob@mill.example", ("ann@mill.example", "bob@mill.example")),
        ("Ann <ann@mill.example>", ("ann@mill.example",)),
        ("mailto:ann@mill.example", ("ann@mill.example",)),
        ("ann (at) mill.example", ("ann@mill.example",)),
        ("ann@Mill.example, ann@mill.example", ("ann@mill.example",)),
    ],
)
def test_mail_addresses_are_found_in_a_cell(written: str, addresses: tuple[str, ...]) -> None:
    assert read_mails(written).addresses == addresses


@pytest.mark.parametrize(
    "written", ["ann@mill", "none given", "ann@@mill.example", "a.@mill.example"]
)
def test_what_cannot_be_a_mail_address_is_said(written: str) -> None:
    read = read_mails(written)
    assert not read.addresses
    assert read.trouble


@pytest.mark.parametrize(
    ("written", "address"),
    [
        ("12 Mill Lane, Millbrook, OH 43001", Address("12 Mill Lane", "Millbrook", "OH", "43001")),
        ("12 Mill Lane\nMillbrook, OH 43001-1234",
         Address("12 Mill Lane", "Millbrook", "OH", "43001-1234")),
        ("PO Box 3, Millbrook OH 43001, USA",
         Address("PO Box 3", "Millbrook", "OH", "43001", "USA")),
        ("Mühlweg 3, 70173 Tannstadt", Address("Mühlweg 3", "Tannstadt", "", "70173")),
        ("12 Mill Lane", Address("12 Mill Lane")),
        ("12 Mill Lane, Millbrook", Address("12 Mill Lane", "Millbrook")),
    ],
)  # fmt: skip
def test_a_whole_address_in_one_cell_is_taken_apart(written: str, address: Address) -> None:
    assert read_address(written) == address


def test_city_state_and_zip_in_one_cell_are_taken_apart() -> None:
    assert read_city_line("Millbrook, OH 43001") == Address("", "Millbrook", "OH", "43001")
    assert read_city_line("43001 Millbrook") == Address("", "Millbrook", "", "43001")


def test_a_zip_that_lost_its_zero_as_a_number_gets_it_back() -> None:
    assert read_postal_code(7008, "US") == "07008"
    assert read_postal_code("07008", "US") == "07008"
    assert read_postal_code(70173, "DE") == "70173"


@pytest.mark.parametrize(
    "word", ["yes", "Y", "x", "✓", "TRUE", True, 1, "ja", "Sí", "ok", "opted in"]
)
def test_yes_in_words_and_signs(word: object) -> None:
    assert read_yes(word) is True  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "word", ["no", "N", "FALSE", False, 0, "nein", "don't email", "opted out", "never"]
)
def test_no_in_words_and_signs(word: object) -> None:
    assert read_yes(word) is False  # type: ignore[arg-type]


@pytest.mark.parametrize("word", [None, "maybe", "ask Kim"])
def test_what_is_neither_stays_open(word: object) -> None:
    assert read_yes(word) is None  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("words", "channel"),
    [("Email", "mail"), ("e-mail", "mail"), ("Text", "text"), ("SMS please", "text"),
     ("US mail", "letter"),
     ("post", "letter"), ("phone call", "phone"), ("smoke signals", "")],
)  # fmt: skip
def test_how_they_want_to_be_reached(words: str, channel: str) -> None:
    assert read_channel(words) == channel


@pytest.mark.parametrize(
    "name",
    [
        "Marlow & Sons", "Hale and Daughters", "Kern & Söhne", "Ruiz e Hijos", "Tarn Bros",
        "Gebrüder Ott", "Hill Builders", "Frost Haulage", "Bäckerei Ott", "Taller Ruiz",
        "Hale & Partners", "Tarn Law Office", "Ott GbR",
    ],
)  # fmt: skip
def test_a_firm_is_known_by_its_words(name: str) -> None:
    assert read_name(name) == (name, True)


@pytest.mark.parametrize("name", ["Ann & Bob Hill", "Ann Sonsby", "Bob Copeland", "Eva Kern"])
def test_people_are_no_firm(name: str) -> None:
    assert read_name(name) == (name, False)
