"""Whole files: what each table is, what its columns mean, what its lines say."""

from __future__ import annotations

import base64
import multiprocessing
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from app.documents import incoming
from app.documents.incoming import FileReading, read_file, reread
from app.documents.reading.lines import (
    ChargeLine,
    CustomerLine,
    JobLine,
    LayerLine,
    PackLine,
    PaidLine,
    ReceiptLine,
    SupplierLine,
    SupplyLine,
    VehicleLine,
)
from app.documents.reading.options import Options, ReadingStopped
from app.errors import Mendable
from tests.files import messy

TODAY = date(2025, 8, 14)
Reader = Callable[..., FileReading]


@pytest.fixture
def reading(tmp_path: Path) -> Reader:
    """Read rows as if they stood in a text table of that name."""

    def read(rows: str, name: str = "list.csv", **options: Any) -> FileReading:
        path = tmp_path / name
        path.write_text(rows, encoding="utf-8")
        return read_file(path, Options(today=TODAY, **options))

    return read


def lines(reading: FileReading, kind: type) -> list[Any]:
    return [line for line in reading.lines if isinstance(line, kind)]


# Customers and vehicles


def test_an_address_list_kept_by_hand_is_understood(tmp_path: Path) -> None:
    reading = read_file(messy.address_workbook(tmp_path / "a.xlsx"), Options(today=TODAY))
    people = {(line.name, line.phones) for line in lines(reading, CustomerLine)}
    assert ("Ann Marlow", ("+12125550142",)) in people
    assert ("Bob & Kim Hillcrest", ("+12125550143", "+12125550144")) in people
    assert ("Mary Jane O'Neil", ("+12125550145",)) in people
    cars = {
        (line.owner.name, line.year, line.description, line.plate)
        for line in lines(reading, VehicleLine)
    }
    assert cars == {
        ("Ann Marlow", 2014, "blue wagon", "7KLM 204"),
        ("Bob & Kim Hillcrest", 2018, "grey van", "GHT 4412"),
        ("Bob & Kim Hillcrest", 2009, "red coupe", ""),
        ("Mary Jane O'Neil", 2021, "small SUV, white", ""),
        ("Zoe Dunmore", 2016, "green sedan", "QRS 118"),
    }
    assert any("hidden" in note for note in reading.notes)
    assert "Somebody Gone" not in {name for name, _ in people}


def test_columns_nobody_knows_are_kept_in_the_notes_with_their_heading(reading: Reader) -> None:
    told = reading("Name,Phone,Shoe size,No.\nAnn Marlow,212-555-0142,38,1\nBob Hill,,44,2\n")
    assert [line.notes for line in lines(told, CustomerLine)] == ["Shoe size: 38", "Shoe size: 44"]


def test_a_column_gets_another_meaning_by_hand(reading: Reader) -> None:
    told = reading("Name,Phone,Kin\nAnn Marlow,212-555-0142,Marlow house\n")
    table = told.tables[0]
    assert (table.columns[2].meaning, table.columns[2].how) == ("customer.notes", "kept")
    again = reread(table, {2: "customer.household", 1: ""})
    (line,) = again.lines
    assert isinstance(line, CustomerLine)
    assert (line.household, line.notes, line.phones) == ("Marlow house", "", ())
    assert (again.columns[1].how, again.columns[2].how) == ("left out", "by hand")
    assert told.with_table(0, again).lines == (line,)


def test_a_meaning_that_does_not_exist_and_a_column_that_is_not_there_are_refused(
    reading: Reader,
) -> None:
    table = reading("Name,Phone\nAnn Marlow,212-555-0142\n").tables[0]
    with pytest.raises(Mendable, match="can mean"):
        reread(table, {1: "customer.shoe"})
    with pytest.raises(Mendable, match="no column 9"):
        reread(table, {8: "customer.name"})


def test_a_table_nobody_understood_can_be_given_meanings_by_hand(reading: Reader) -> None:
    told = reading("Alpha,Beta\nAnn Marlow,xx-1\nBob Hill,xx-2\n")
    assert not told.lines
    assert any("not understood" in note or "no table" in note for note in told.notes)


def test_a_line_without_a_name_cannot_be_read_and_says_where(reading: Reader) -> None:
    told = reading(
        "Name,Phone,City,Zip\nAnn Marlow,212-555-0142,Millbrook,43001\n,212-555-0143,Tarn,43002\n"
    )
    bad = lines(told, CustomerLine)[1]
    assert bad.unreadable
    assert "Row 3" in bad.problems[0]


def test_what_cannot_be_read_in_a_cell_is_said_and_the_rest_is_kept(reading: Reader) -> None:
    told = reading("Name,Phone,Email,Since,Yr\nAnn Marlow,555-0142,ann@mill,soon,old\n")
    (line,) = lines(told, CustomerLine)
    assert line.name == "Ann Marlow"
    assert line.phones == ("555-0142",)
    places = "".join(line.problems)
    for place in ("column B (Phone)", "column C (Email)", "column D (Since)"):
        assert place in places
    assert all(problem.startswith("Row 2, ") for problem in line.problems)


def test_a_list_that_names_the_owner_only_once_goes_on_below(reading: Reader) -> None:
    told = reading(
        "Customer,Vehicle,Plate\nAnn Marlow,blue wagon,7KLM 204\n,red coupe,QRS 118\n"
        "Bob Hill,van,\n"
    )
    assert [(line.owner.name, line.description) for line in lines(told, VehicleLine)] == [
        ("Ann Marlow", "blue wagon"), ("Ann Marlow", "red coupe"), ("Bob Hill", "van"),
    ]  # fmt: skip


def test_do_not_write_and_deceased_are_understood(reading: Reader) -> None:
    told = reading(
        "Name,Phone,Marketing ok,Do not contact,Deceased\n"
        "Ann A,1,no,,\nBob B,2,yes,,\nCy C,3,,x,\nDi D,4,,,yes\n"
    )
    people = lines(told, CustomerLine)
    assert [line.do_not_write for line in people] == [True, False, True, None]
    assert [line.deceased for line in people] == [None, None, None, True]


def test_a_firm_in_its_own_column_is_the_customer_and_the_person_its_contact(
    reading: Reader,
) -> None:
    (line,) = lines(
        reading("Client company,Contact name,Phone\nTeller's Bakery LLC,Ann Marlow,2125550142\n"),
        CustomerLine,
    )
    assert (line.name, line.is_firm, line.contact) == ("Teller's Bakery LLC", True, "Ann Marlow")


# Supplies and suppliers


def test_a_shelf_count_is_understood(tmp_path: Path) -> None:
    reading = read_file(messy.shelf_workbook(tmp_path / "c.xlsx"), Options(today=TODAY))
    told = {line.name: line for line in lines(reading, SupplyLine)}
    gallon = 3_785_412
    assert told["Rinseless wash"].packs == (
        PackLine("1 gal", gallon, 7900, "", "Northgate Supply"),
    )
    assert told["Rinseless wash"].stock == 7_570_824
    assert (told["Glass cleaner"].packs[0].label, told["Glass cleaner"].packs[0].size) == (
        "3 x 32oz",
        2_839_059,
    )
    assert (told["Carnauba paste"].supply_kind, told["Carnauba paste"].stock) == ("paste", 113_398)
    assert (told["Paint towels"].supply_kind, told["Paint towels"].stock) == ("piece", 150_000)
    assert told["Paint towels"].packs[0].price == 123_450
    assert (told["Iron remover"].packs[0].size, told["Iron remover"].stock) == (500_000, 300_000)
    assert "TOTAL" not in told
    suppliers = {line.name: line for line in lines(reading, SupplierLine)}
    north = suppliers["Northgate Supply"]
    assert (north.phone, north.email) == ("+12125550150", "orders@northgate.example")
    assert (north.promised_days, north.free_freight_from) == (5, 15000)
    assert suppliers["Tarn & Sons"].free_freight_from == 123_450


@pytest.mark.parametrize(
    ("row", "stock", "pack"),
    [
        ("Glass cleaner,oz,32,3,12.50", 2_839_059, 946_353),
        ("Rinseless wash,gal,1,2,79", 7_570_824, 3_785_412),
        ("Gloves,box,100,2,18", 200_000, 100_000),
        ("Towels,each,,40,2", 40_000, 1000),
        ("Polish,32 oz bottle,,2.5,40", 2_365_882, 946_353),
        ("Cleaner,gallon,,1.5,25", 5_678_118, 3_785_412),
    ],
)
def test_a_unit_in_its_own_column_counts_for_size_or_stock(
    reading: Reader, row: str, stock: int, pack: int
) -> None:
    (line,) = lines(reading(f"Product,Unit,Size,Qty,Price\n{row}\n"), SupplyLine)
    assert abs(line.stock - stock) <= 1
    assert line.packs[0].size == pack


def test_a_unit_in_the_heading_counts_for_bare_numbers(reading: Reader) -> None:
    (line,) = lines(reading("Product,On hand (oz),Size (gal),Price $\nWash,96,1,79\n"), SupplyLine)
    assert (line.stock, line.packs[0].size, line.packs[0].price) == (2_839_059, 3_785_412, 7900)


def test_stock_without_unit_or_pack_stays_open_with_a_sentence(reading: Reader) -> None:
    (line,) = lines(reading("Product,Qty,Vendor\nGlass cleaner,3,Northgate\n"), SupplyLine)
    assert line.stock is None
    assert "without a unit" in line.problems[0]


@pytest.mark.parametrize(
    ("setting", "text", "thousandths"),
    [("ask", "1 to 10", 10_000), ("ask", "neat", 0), ("ask", "1/2 oz per gal", 256_000),
     ("water_first", "10:1", 10_000), ("product_first", "1:10", 10_000), ("ask", "10:1", None)],
)  # fmt: skip
def test_a_bare_ratio_is_read_as_the_shop_s_setting_says(
    reading: Reader, setting: str, text: str, thousandths: int | None
) -> None:
    told = reading(f"Product,Size,Dilution\nCleaner,1 gal,{text}\n", dilution=setting)
    (line,) = lines(told, SupplyLine)
    assert line.dilution == thousandths
    assert bool(line.problems) == (thousandths is None)


def test_hazards_lives_and_protection_are_understood(reading: Reader) -> None:
    (line,) = lines(
        reading(
            "Product,Pack,Shelf life,Opened life,Lasts,Protection class,Signal word,"
            "Hazard statements,Pictograms\n"
            "Ceramic coating,50 ml,24 months,6 weeks,1-2 years,ceramic 2 year,Danger,"
            '"H225; H319, EUH066","GHS02, GHS07"\n'
        ),
        SupplyLine,
    )  # fmt: skip
    assert (line.shelf_life_days, line.opened_life_days) == (730, 42)
    assert (line.life_low_days, line.life_high_days) == (365, 730)
    assert (line.protection, line.signal_word) == ("ceramic 2 year", "danger")
    assert line.hazard_statements == ("H225", "H319", "EUH066")
    assert line.pictograms == ("GHS02", "GHS07")


# Jobs, layers, receipts


def test_a_job_log_of_an_accounting_program_is_understood(tmp_path: Path) -> None:
    reading = read_file(messy.accounts_csv(tmp_path / "b.csv"), Options(today=TODAY))
    jobs = {line.number: line for line in lines(reading, JobLine)}
    wash = jobs["1021"]
    assert (wash.day, wash.customer.name, wash.minutes) == (date(2025, 3, 14), "Ann Marlow", 390)
    assert wash.charges == (ChargeLine("Wash, one-step polish", 40_000, 7250),)
    assert wash.paid == (PaidLine(42_900, date(2025, 3, 14), "card"),)
    assert wash.notes == "Café finish"
    coating = jobs["1022"]
    assert (coating.day, coating.last_day) == (date(2025, 3, 20), date(2025, 3, 22))
    assert (coating.minutes, coating.paid[0].amount, coating.paid[0].method) == (
        870,
        128_700,
        "check",
    )
    assert jobs["1023"].paid == ()
    assert jobs["1026"].paid == (PaidLine(2000, date(2025, 4, 11), "", "deposit"),)
    assert len(jobs) == 6


@pytest.mark.parametrize(
    ("columns", "cells", "charges"),
    [
        ("Net,Tax,Total", "100,7.25,107.25", (("Wash", 10_000, 7250),)),
        ("Subtotal,Tax rate", "100,7.25%", (("Wash", 10_000, 7250),)),
        ("Total,Tax", "107.25,7.25", (("Wash", 10_000, 7250),)),
        ("Price", "107.25", (("Wash", 10_725, 0),)),
        ("Total,Tax rate", "107.25,7.25", (("Wash", 10_000, 7250),)),
        ("Net,Discount,Total", "100,-10,90", (("Wash", 10_000, 0), ("discount", -1000, 0))),
        ("Price", "$1,200", (("Wash", 120_000, 0),)),
    ],
)
def test_charges_come_with_their_tax_from_whatever_columns_there_are(
    reading: Reader, columns: str, cells: str, charges: tuple[tuple[str, int, int], ...]
) -> None:
    cells = cells if "$" not in cells else f'"{cells}"'
    (job,) = lines(
        reading(f"Date,Customer,Service,{columns}\n3/14/2025,Ann A,Wash,{cells}\n"), JobLine
    )
    assert tuple((c.text, c.amount, c.tax_rate) for c in job.charges) == charges
    assert not job.problems


@pytest.mark.parametrize(
    ("cell", "amount"),
    [("Y", 12_000), ("120", 12_000), ("$120 cash", 12_000), ("check", 12_000),
     ("3/20/2025", 12_000), ("no", None),
     ("unpaid", None), ("owes 120", None), ("", None), ("Paid in full", 12_000)],
)  # fmt: skip
def test_a_paid_column_may_hold_an_amount_a_word_a_way_or_a_day(
    reading: Reader, cell: str, amount: int | None
) -> None:
    (job,) = lines(
        reading(f"Date,Customer,Service,Price,Paid\n3/14/2025,Ann A,Wash,120,{cell}\n"), JobLine
    )
    assert [paid.amount for paid in job.paid] == ([] if amount is None else [amount])


@pytest.mark.parametrize(
    ("cell", "minutes"),
    [("2.5", 150), ("2:30", 150), ("2h 30m", 150), ("150 min", 150), ('"2,5"', 150),
     ("2 1/2", 150), ("half a day", 240)],
)  # fmt: skip
def test_hours_in_every_writing(reading: Reader, cell: str, minutes: int) -> None:
    (job,) = lines(reading(f"Date,Customer,Service,Hours\n3/14/2025,Ann A,Wash,{cell}\n"), JobLine)
    assert job.minutes == minutes


def test_days_that_could_be_read_two_ways_are_asked_about_and_can_be_set(reading: Reader) -> None:
    told = reading("Date,Customer,Service\n3/4/2025,Ann A,Wash\n5/6/2025,Bob B,Wax\n")
    assert any("does not prove its order of day and month" in note for note in told.notes)
    assert [job.day for job in lines(told, JobLine)] == [date(2025, 3, 4), date(2025, 5, 6)]
    again = reread(told.tables[0], date_order="DMY")
    assert [line.day for line in again.lines if isinstance(line, JobLine)] == [
        date(2025, 4, 3), date(2025, 6, 5),
    ]  # fmt: skip
    assert not again.date_question()


def test_days_without_a_year_take_it_from_the_sheet_s_name(tmp_path: Path) -> None:
    book = Workbook()
    assert book.active is not None
    book.active.title = "Jobs 2024"
    for row in (["Date", "Customer", "Service"], ["3/14", "Ann A", "Wash"]):
        book.active.append(row)
    book.save(tmp_path / "jobs.xlsx")
    (job,) = lines(read_file(tmp_path / "jobs.xlsx", Options(today=TODAY)), JobLine)
    assert job.day == date(2024, 3, 14)


def test_applied_layers_are_understood(tmp_path: Path) -> None:
    reading = read_file(messy.shelf_workbook(tmp_path / "c.xlsx"), Options(today=TODAY))
    layers = [
        (line.day, line.customer.name, line.supply, line.surface_groups)
        for line in lines(reading, LayerLine)
    ]
    paint = ("upper horizontals", "upper sides", "lowers")
    assert layers == [
        (date(2025, 3, 22), "Hillcrest", "Ceramic coating 2 year", paint),
        (
            date(2025, 3, 14),
            "Ann Marlow",
            "Synthetic sealant",
            ("upper horizontals", "upper sides"),
        ),
        (date(2025, 6, 4), "Zoe Dunmore", "Carnauba paste", (*paint, "wheels")),
    ]


def test_a_list_of_payments_is_understood(reading: Reader) -> None:
    told = reading(
        'Date,From,Amount,Method,Invoice #\n3/14/2025,Ann Marlow,"$1,200.00",Check,1021\n'
        "4/13/2025,Bob,-45,cash,\n"
    )
    first, second = lines(told, ReceiptLine)
    assert (first.customer.name, first.amount, first.method, first.job_number) == (
        "Ann Marlow",
        120_000,
        "check",
        "1021",
    )
    assert (second.amount, second.receipt_kind) == (-4500, "refund")


def test_a_day_written_once_counts_for_the_rows_below_it(reading: Reader) -> None:
    told = reading(
        "Date,Customer,Job,Price\n3/14/2025,Ann A,Wash,60\n,Bob B,Wax,90\n,Cy C,Wash,60\n"
        "3/15/2025,Di D,Wash,70\n,Ann A,Glass,40\n"
    )
    assert [(job.customer.name, job.day) for job in lines(told, JobLine)] == [
        ("Ann A", date(2025, 3, 14)), ("Bob B", date(2025, 3, 14)), ("Cy C", date(2025, 3, 14)),
        ("Di D", date(2025, 3, 15)), ("Ann A", date(2025, 3, 15)),
    ]  # fmt: skip


def test_a_day_as_title_of_a_section_counts_for_its_rows(reading: Reader) -> None:
    told = reading(
        "Job,Customer,Car,Price\nMarch 14 2025,,,\nWash,Ann A,wagon,60\nMarch 15 2025,,,\n"
        "Wax,Bob B,van,90\n"
    )
    assert [job.day for job in lines(told, JobLine)] == [date(2025, 3, 14), date(2025, 3, 15)]


def test_a_second_vehicle_in_columns_of_its_own_is_a_second_vehicle(reading: Reader) -> None:
    told = reading(
        "Name,Phone,Year 1,Make 1,Plate 1,Year 2,Make 2,Plate 2\n"
        "Ann Marlow,2125550142,2014,Norvane,AB123,2018,Tarn,CD456\nBob Hill,,2009,Norvane,,,,\n"
    )
    assert [(car.owner.name, car.year, car.plate) for car in lines(told, VehicleLine)] == [
        ("Ann Marlow", 2014, "AB123"), ("Ann Marlow", 2018, "CD456"), ("Bob Hill", 2009, ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "rows",
    [
        "Date,Vendor,Description,Category,Amount\n3/14/2025,Northgate,Gas,Car,54.20\n"
        "3/15/2025,Tarn,Ads,Ads,40\n",
        "Date,From,To,Miles,Purpose\n3/14/2025,Shop,Mill Lane,12,delivery\n"
        "3/15/2025,Shop,Tarn,30,pickup\n",
        "Service,Small,Medium,Large,XL\nWash,40,50,60,80\nWax,80,90,100,120\n",
        "Month,Jobs,Revenue\nJanuary,12,3400\nFebruary,10,2900\n",
    ],
)
def test_expenses_miles_price_lists_and_summaries_are_taken_for_nothing_else(
    reading: Reader, rows: str
) -> None:
    told = reading(rows)
    assert told.lines == ()
    assert told.notes


# Languages, cards, files


def test_a_german_list_is_understood(tmp_path: Path) -> None:
    path = tmp_path / "kunden.csv"
    path.write_bytes(
        "Kundenliste\nName;Vorname;Telefon;Straße;PLZ;Ort;Fahrzeug;Kennzeichen\n"
        "Müller;Anna;0711/123456;Mühlweg 3;70173;Tannstadt;blauer Kombi;TT-AB 123\n".encode(
            "cp1252"
        )
    )
    reading = read_file(path, Options(region="DE", currency="EUR", today=TODAY))
    (person,) = lines(reading, CustomerLine)
    (car,) = lines(reading, VehicleLine)
    assert (person.name, person.phones, person.city) == (
        "Anna Müller",
        ("+49711123456",),
        "Tannstadt",
    )
    assert (car.description, car.plate) == ("blauer Kombi", "TT-AB 123")


def test_address_cards_of_three_versions_are_understood(tmp_path: Path) -> None:
    reading = read_file(messy.telephone_cards(tmp_path / "d.vcf"), Options(today=TODAY))
    people = {line.name: line for line in lines(reading, CustomerLine)}
    assert people["Ann Marlow"].postal_code == "43001"
    assert people["Jörg Müller"].phones == ("+12125550147",)
    assert (people["Teller's Bakery LLC"].is_firm, people["Teller's Bakery LLC"].phones) == (
        True,
        ("+12125550148",),
    )
    (car,) = lines(reading, VehicleLine)
    assert (car.owner.name, car.plate) == ("Ann Marlow", "7KLM 204")


def test_the_example_card_of_the_vcard_standard_is_understood(tmp_path: Path) -> None:
    # RFC 6350, section 8: names, suffixes, a birthday without its year, the work address with its
    # folded line; the numbers and addresses to reach its author by are replaced by made-up ones.
    path = tmp_path / "author.vcf"
    path.write_bytes(
        b"BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Simon Perreault\r\nN:Perreault;Simon;;;ing. jr,M.Sc.\r\n"
        b"BDAY:--0203\r\nANNIVERSARY:20090808T1430-0500\r\nGENDER:M\r\nLANG;PREF=1:fr\r\n"
        b"ORG;TYPE=work:Viagenie\r\nADR;TYPE=work:;Suite D2-630;2875 Laurier;\r\n"
        b" Quebec;QC;G1V 2M2;Canada\r\n"
        b'TEL;VALUE=uri;TYPE="work,voice";PREF=1:tel:+1-418-555-0142;ext=102\r\n'
        b'TEL;VALUE=uri;TYPE="work,cell,voice,video,text":tel:+1-418-555-0143\r\n'
        b"EMAIL;TYPE=work:author@card.example\r\nEND:VCARD\r\n"
    )
    (line,) = lines(read_file(path, Options(region="CA", today=TODAY)), CustomerLine)
    assert (line.name, line.contact) == ("Viagenie", "Simon Perreault")
    assert line.phones == ("+14185550142", "+14185550143")
    assert (line.city, line.region, line.postal_code) == ("Quebec", "QC", "G1V 2M2")
    assert (line.country, line.street) == ("Canada", "2875 Laurier, Suite D2-630")
    assert "Birthday: --0203" in line.notes


@pytest.mark.parametrize("fold", [74, 10**9])
def test_a_card_with_a_large_picture_is_read(tmp_path: Path, fold: int) -> None:
    # RFC 2426, 3.1.4: a picture stands in the card itself, in base64, its lines folded or not.
    picture = base64.b64encode(bytes(range(256)) * 12_000).decode()
    folded = "\r\n ".join(picture[at : at + fold] for at in range(0, len(picture), fold))
    path = tmp_path / "phone.vcf"
    path.write_text(
        "BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Pia Fold\r\n"
        f"PHOTO;ENCODING=b;TYPE=JPEG:{folded}\r\n"
        "TEL:303 555 0177\r\nEND:VCARD\r\n"
        "BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Otto Next\r\nEND:VCARD\r\n",
        newline="",
    )
    pia, otto = lines(read_file(path, Options(region="US", today=TODAY)), CustomerLine)
    assert (pia.name, pia.phones, pia.problems) == ("Pia Fold", ("+13035550177",), ())
    assert otto.name == "Otto Next"


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("a.xlsx", b"", "is empty"),
        ("a.xlsx", b"just text", "no workbook"),
        ("a.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "old format"),
        ("a.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "protected by a password"),
        ("a.pdf", b"%PDF-1.7", "is a PDF"),
        ("a.csv", b"\x89PNG\r\n\x1a\n", "is no table"),
        ("a.csv", b"<!DOCTYPE html><html></html>", "no table of text"),
        ("a.vcf", b"hello", "no address card"),
    ],
)
def test_a_file_that_is_something_else_gets_one_sentence(
    tmp_path: Path, name: str, data: bytes, sentence: str
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(Mendable, match=sentence) as caught:
        read_file(path)
    assert str(caught.value).count("\n") == 0


def test_a_missing_file_and_a_folder_get_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(Mendable, match="cannot be opened"):
        read_file(tmp_path / "gone.csv")
    with pytest.raises(Mendable):
        read_file(tmp_path)


def test_a_wrong_ending_does_not_matter(tmp_path: Path) -> None:
    real = messy.address_workbook(tmp_path / "a.xlsx")
    renamed = tmp_path / "a.csv"
    renamed.write_bytes(real.read_bytes())
    assert lines(read_file(renamed, Options(today=TODAY)), CustomerLine)


def test_reading_tells_how_far_it_is_and_can_be_stopped(reading: Reader, tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    path.write_text("Name,Phone\n" + "".join(f"Ann M{i},2125550142\n" for i in range(5000)))
    told: list[tuple[int, int]] = []

    def progress(done: int, total: int) -> bool:
        told.append((done, total))
        return True

    read_file(path, Options(today=TODAY), progress)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1][0] == told[-1][1]
    with pytest.raises(ReadingStopped):
        read_file(path, Options(today=TODAY), lambda done, total: done < total // 2)


def test_what_is_not_small_is_read_in_a_process_of_its_own_to_the_same_lines(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = messy.address_workbook(tmp_path / "people.xlsx")
    here = read_file(path, Options(today=TODAY))
    monkeypatch.setattr(incoming, "_SMALL_CELLS", 10)
    apart = read_file(path, Options(today=TODAY))
    assert apart == here
    raws = zip(apart.tables, here.tables, strict=True)
    assert all(one.raw == other.raw for one, other in raws)
    assert here.lines


def test_a_file_that_keeps_its_reader_busy_is_given_up_with_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    path.write_text("Name,Phone\n" + "".join(f"Ann M{i},2125550142\n" for i in range(20_000)))
    with pytest.raises(Mendable, match=r"long\.csv takes too long to read"):
        read_file(path, Options(today=TODAY, most_seconds=0.5))
    assert multiprocessing.active_children() == []


def test_what_is_no_plain_file_is_not_waited_for(tmp_path: Path) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("no such thing on this system")
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(Mendable, match="is no file"):
        read_file(tmp_path / "pipe.csv")


# What is little certain, and what is left out


@pytest.mark.parametrize(
    ("heading", "prices"),
    [
        ("Paid per pack", "$24.00 $9.50 $41.00"),
        ("Paid per pack", "24 9.5 41"),
        ("What we paid", "24 9.5 41"),
        ("Cost a bottle", "24 9.5 41"),
        ("Bottle price", "24 9.5 41"),
        ("Last paid", "24.00 9.50 41.00"),
        ("Money per bottle", "$24 $9.50 $41"),
        ("Trade price ex VAT", "24 9.5 41"),
        ("Preis je Flasche", "24 9.5 41"),
        ("Unit", "$24.00 $9.50 $41.00"),
    ],
)
def test_a_column_of_money_is_a_price_however_it_is_headed(
    reading: Reader, heading: str, prices: str
) -> None:
    first, second, third = prices.split()
    found = reading(
        f"Product,On hand,Pack size,{heading},From\nWash soap,1 gal,1 gal,{first},North Supply\n"
        f"Glass cleaner,32 oz,32 oz,{second},North Supply\n"
        f"Spray wax,1 gal,1 gal,{third},North Supply\n"
    )
    told = [line.packs[0].price for line in lines(found, SupplyLine)]
    assert told == [2400, 950, 4100]


def test_a_column_that_is_little_certain_is_named_with_its_reason(reading: Reader) -> None:
    rows = "Wash soap,1 gal,1 gal,{}\nGlass cleaner,32 oz,32 oz,{}\nSpray wax,1 gal,1 gal,{}\n"
    head = "Product,On hand,Pack size,"
    part = reading(f"{head}What it came to when paid\n" + rows.format("24", "9.5", "41"))
    values = reading(f"{head}Unit\n" + rows.format("$24", "$9.50", "$41"))
    unlike = reading(f"{head}Price\n" + rows.format("see list", "ask", "see list"))
    assert [table.columns[3].how for one in (part, values, unlike) for table in one.tables] == [
        "part", "values", "unlike",
    ]  # fmt: skip
    for one, why in (
        (part, "by a part of its heading"),
        (values, "by its values alone"),
        (unlike, "but its values do not look like it"),
    ):
        assert any("Column D" in note and why in note for note in one.notes), one.notes


def test_money_under_a_heading_that_nobody_knows_is_named(reading: Reader) -> None:
    found = reading(
        "Name,Phone,Zorp\nAnn Marlow,2125550142,$12.00\nBob Hill,2125550143,$9.00\n"
        "Zoe Tarn,2125550144,$7.00\n"
    )
    assert any("Column C (Zorp) holds money" in note for note in found.notes), found.notes


def test_a_column_said_by_hand_is_named_no_more(reading: Reader) -> None:
    found = reading("Product,Pack size,Unit\nSoap,1 gal,$24\nWax,1 gal,$9\nTar,1 gal,$3\n")
    assert any("Column C" in note for note in found.notes)
    mended = found.with_table(0, reread(found.tables[0], {2: "supply.price"}))
    assert not any("Column C" in note for note in mended.notes)


def test_totals_and_rows_that_no_table_holds_are_named(reading: Reader) -> None:
    found = reading("Name,Phone,City\nAnn Marlow,2125550142,Tarn\nTotal: 1 customer,,\n")
    assert [line.name for line in lines(found, CustomerLine)] == ["Ann Marlow"]
    assert "list.csv: row 3 was left out as a total." in found.notes
    stray = reading("old,12,x\n\nName,Phone,City\nAnn Marlow,2125550142,Tarn\n")
    assert "list.csv: row 1 was not read: outside every table that was understood." in stray.notes


def test_totals_under_days_are_no_jobs_though_hours_and_sums_are_typed(reading: Reader) -> None:
    found = reading(
        "When,For,Did what,Took,They paid\n3/14,Ann Marlow,Full detail,4h 30m,$220.00\n"
        "3/15,Hale & Sons,Wash,2:00,$90 check\nMarch sum,,,6.5,$310.00\n"
        "4/2,Dan Frost,Interior,3,$150 cash\nApril sum,,,3,$150.00\n",
        name="log 2025.csv",
    )
    jobs = lines(found, JobLine)
    assert [(job.services, job.minutes) for job in jobs] == [
        ("Full detail", 270), ("Wash", 120), ("Interior", 180),
    ]  # fmt: skip
    assert "log 2025.csv: rows 4 and 6 were left out as a total." in found.notes


def test_names_under_a_heading_that_nobody_knows_are_names_and_named_as_a_guess(
    reading: Reader,
) -> None:
    found = reading(
        'Who they are,Best number,Ride\n"Marlow, Ann",212-555-0142,2014 blue wagon\n'
        "Ben Hale,212-555-0143,red pickup\nCara Dunn,212-555-0144,grey van\n"
    )
    assert [line.name for line in lines(found, CustomerLine)] == [
        "Ann Marlow", "Ben Hale", "Cara Dunn",
    ]  # fmt: skip
    assert any("Column A (Who they are)" in note for note in found.notes)


def test_what_the_shop_pays_counts_before_a_list_price(reading: Reader) -> None:
    found = reading(
        "Code,Article,Content,List price per unit,Trade price\nN1,Snow foam,1 L,21.00,18.50\n"
        "N2,Wheel cleaner,1 L,25.00,22.00\nN3,Iron remover,1 L,14.00,11.75\n"
    )
    assert [line.packs[0].price for line in lines(found, SupplyLine)] == [1850, 2200, 1175]
    assert "List price per unit: 21.00" in lines(found, SupplyLine)[0].notes


def test_how_wide_a_thing_is_is_no_size_of_its_pack(reading: Reader) -> None:
    found = reading(
        "Product,Size,Pack of,Price\nFoam applicator,4 in,10,12.50\n"
        "Drying towel,60 x 90 cm,1,9.99\nClay bar,each,,4.00\n"
    )
    told = [(line.packs[0].size, line.notes, line.problems) for line in lines(found, SupplyLine)]
    assert told == [(10000, "Size: 4 in", ()), (1000, "Size: 60 x 90 cm", ()), (1000, "", ())]


def test_a_column_that_only_sounds_like_one_to_skip_is_kept_in_the_notes(reading: Reader) -> None:
    found = reading(
        "Product,Pack size,Price,Bought where last\nSoap,1 gal,20,North\nWax,1 gal,30,East\n"
    )
    assert [line.notes or line.supplier for line in lines(found, SupplyLine)] != ["", ""]


def test_a_german_list_is_read_with_its_plates_and_sums(reading: Reader) -> None:
    found = reading(
        "Datum;Kunde;Kfz;Kennzeichen;Arbeit;Std;Netto;MwSt;Brutto;bezahlt\n"
        "03.03.2025;Anna Kern;Kombi blau;M-AB 1234;Handwäsche;1,5;50,00;9,50;59,50;bar\n"
        "04.03.2025;Bäckerei Ott & Söhne;Transporter;M AB 77 E;Innen;3;120,00;22,80;142,80;ja\n"
        "Summe März 2025;;;;;4,5;170,00;32,30;202,30;\n",
        region="DE",
        currency="EUR",
    )
    assert [(job.minutes, job.paid[0].amount) for job in lines(found, JobLine)] == [
        (90, 5950), (180, 14280),
    ]  # fmt: skip
    assert [(car.description, car.plate) for car in lines(found, VehicleLine)] == [
        ("Kombi blau", "M-AB 1234"), ("Transporter", "M AB 77 E"),
    ]  # fmt: skip
    assert [line.is_firm for line in lines(found, CustomerLine)] == [False, True]
