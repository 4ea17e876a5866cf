"""Three shops' own files in the habits of three programs, and the address cards of a telephone.

All people, vehicles, firms and supplies are made up. Telephone numbers are of the range 555-01xx,
which the North American Numbering Plan keeps for fiction.
"""

from __future__ import annotations

import re
import shutil
import zipfile
from datetime import date, datetime
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet


def fill(sheet: Worksheet, rows: list[list[Any]]) -> None:
    """Rows as they stand; an empty list is a blank line."""
    for row in rows:
        sheet.append(row)


def with_formula(path: Path, sheet: int, cell: str, formula: str) -> None:
    """Put a formula before a cell's saved result, as a spreadsheet saves it."""
    member = f"xl/worksheets/sheet{sheet}.xml"
    beside = path.with_suffix(".part")
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(beside, "w", zipfile.ZIP_DEFLATED) as new:
        for item in old.infolist():
            data = old.read(item.filename)
            if item.filename == member:
                text = data.decode()
                told, times = re.subn(
                    rf'(<c r="{cell}"[^>]*>)(?:<v ?/>)?(<v>)', rf"\1<f>{formula}</f>\2", text
                )
                assert times == 1, f"no saved number in {cell}"
                data = told.encode()
            new.writestr(item, data)
    shutil.move(beside, path)


def address_workbook(path: Path) -> Path:
    """A customer list kept by hand: title, headings over two rows, merged cells, a total, notes."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Clients"
    fill(sheet, [
        ["Harrow Lane Paint Care - our people (updated 3/1/2025)"],
        [],
        ["", "Client", None, "Contact", None, None, "Vehicle", None, None, "Remarks"],
        ["No.", "Last", "First", "Phone", "Mobile", "Mail", "Yr", "Description", "Tag", ""],
        [1, "Marlow", "Ann", "(212) 555-0142", "", "ann@marlow.example", 2014, "blue wagon",
         "7KLM 204", "likes mornings"],
        [2, "Hillcrest", "Bob & Kim", 2125550143, "212.555.0144",
         "bob@hillcrest.example; kim@hillcrest.example", 2018, "grey van", "GHT 4412", "n/a"],
        [3, None, None, None, None, None, 2009, "red coupe", "?", None],
        [],
        [4, "O'Neil", "Mary Jane", "212/555-0145 x12", "-", "", "'21", "small SUV, white", "",
         "came through Ann Marlow"],
        [5, "Dunmore", "Zoe", "+1 212 555 0146", "", "zoe(at)dunmore.example", "", "", "",
         "2016 green sedan, plate QRS 118; do not call before 10"],
        [],
        ["", "Total clients", 5],
        ["", "Printed 3/1/2025"],
    ])  # fmt: skip
    sheet.merge_cells("A1:J1")
    sheet.merge_cells("B3:C3")
    sheet.merge_cells("D3:F3")
    sheet.merge_cells("G3:I3")
    sheet.merge_cells("B6:B7")
    old = book.create_sheet("old list")
    old.sheet_state = "hidden"
    fill(old, [["Name", "Phone"], ["Somebody Gone", "212-555-0199"]])
    book.save(path)
    return path


def accounts_csv(path: Path) -> Path:
    """A job log out of an accounting program: semicolons, Windows-1252, decimal commas, ids."""
    text = """sep=;
Invoice No.;Date;Customer;Vehicle;Work done;Hrs;Net;Tax;Total;Paid;How;Remark
1021;14/03/2025;Marlow, Ann;2014 blue wagon;Wash, one-step polish;6,5;400,00;29,00;429,00;429,00;Card;Café finish
1022;20/03/2025 - 22/03/2025;Hillcrest, Bob & Kim;grey van;Ceramic coating;14:30;1.200,00;87,00;1.287,00;yes;check;
1023;02/04/2025;Dunmore, Zoe;green sedan;Interior;3h 15m;180,00;13,05;193,05;;;owes
1024;02/04/2025;Teller's Bakery LLC;van no. 3;Fleet wash;;45,00;3,26;48,26;48,26;cash;
1025;02/04/2025;Teller's Bakery LLC;van no. 4;Fleet wash;;45,00;3,26;48,26;48,26;cash;
1026;11/04/2025;marlow ann;;Maintenance wash;90 min;60,00;4,35;64,35;deposit 20;;
;;;;;;;;;;;
Total;;;;;;1.930,00;139,92;2.069,92;;;
"""
    path.write_bytes(text.replace("\n", "\r\n").encode("cp1252"))
    return path


def shelf_workbook(path: Path) -> Path:
    """A shelf count: two tables on one sheet beside each other, units anywhere, saved formulas."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Stock 2025"
    fill(sheet, [
        ["SHELF COUNT", None, None, None, None, None, None, None, "WHERE WE BUY"],
        [],
        ["Product", "Size", "Qty", "Cost each", "Value", "From", "Min", None, "Supplier", "Phone",
         "Order mail", "Ships in", "Free freight over"],
        ["Rinseless wash", "1 gal", 2, "$79.00", 158, "Northgate Supply", 1, None,
         "Northgate Supply", "212 555 0150", "orders@northgate.example", "3-5 days", "$150"],
        ["Glass cleaner", "3 x 32oz", "1 1/2", "$12.50", 18.75, "Northgate Supply", "", None,
         "Tarn & Sons", "2125550151", "", "1 week", "1.234,50"],
        ["Carnauba paste", "8 oz tin", "1/2", 45, 22.5, "Tarn & Sons", "", None],
        ["WEARING PARTS"],
        ["Paint towels", "box of 50", "3 boxes", "$1,234.50", 3703.5, "", "", None],
        ["Nitrile gloves", "100 ct", 2, "18.99", 37.98, "", 1, None],
        ["LIQUIDS IN SMALL"],
        ["Iron remover 500ml", None, "300 ml", "22", "", "Tarn & Sons", "", None],
        ["Synthetic sealant", "16 fl oz", "half", "29.95", "", "", "", None],
        ["Tire dressing", "2 x 1 gal jugs", "~0.75 gal", "40", "", "", "", None],
        ["TOTAL", None, None, None, 3940.73],
    ])  # fmt: skip
    sheet.merge_cells("A1:G1")
    second = book.create_sheet("Coatings put on")
    fill(second, [
        ["Date", "Whose", "Car", "What", "Where"],
        [datetime(2025, 3, 22), "Hillcrest", "grey van", "Ceramic coating 2 year", "all paint"],
        [date(2025, 3, 14), "Ann Marlow", "wagon", "Synthetic sealant", "roof, hood, doors"],
        [45812, "Zoe Dunmore", "green sedan", "Carnauba paste", "paint + wheels"],
    ])  # fmt: skip
    book.save(path)
    for row, formula in ((4, "C4*79"), (5, "C5"), (14, "SUM(E4:E13)")):
        with_formula(path, 1, f"E{row}", formula)
    return path


def telephone_cards(path: Path) -> Path:
    """Address cards of three versions of the format, one of them broken in the middle."""
    path.write_bytes(
        b"BEGIN:VCARD\r\nVERSION:3.0\r\nN:Marlow;Ann;;;\r\nFN:Ann Marlow\r\n"
        b"TEL;TYPE=CELL:(212) 555-0142\r\nEMAIL:ANN@marlow.example\r\n"
        b"ADR;TYPE=HOME:;;12 Harrow Lane;Millbrook;OH;43001;USA\r\n"
        b"NOTE:Drives a 2014 blue wagon\\, plate 7KLM 204\\nlikes mornings\r\nEND:VCARD\r\n"
        b"BEGIN:VCARD\r\nVERSION:2.1\r\n"
        b"N;CHARSET=UTF-8;ENCODING=QUOTED-PRINTABLE:M=C3=BCller;J=C3=B6rg\r\n"
        b"TEL;CELL:2125550147\r\nEND:VCARD\r\n"
        b"BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Broken\r\nTEL;;;=\x00\xff:\r\nPHOTO;ENCODING=b:!!!\r\n"
        b"END:VCARD\r\n"
        b"BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Teller's Bakery LLC\r\nORG:Teller's Bakery LLC\r\n"
        b"TEL;VALUE=uri:tel:+1-212-555-0148\r\nitem1.EMAIL:vans@tellers.example\r\nEND:VCARD\r\n"
    )
    return path
