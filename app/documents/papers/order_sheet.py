"""The order sheet: what one supplier is asked for, as plain data and as a workbook."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from app.calculations.numbers.dates import day_year
from app.calculations.numbers.money import minor_digits
from app.documents.export.workbook import format_of_money, put_text


@dataclass(frozen=True)
class SheetLine:
    """So many packs of one supply; money in minor units."""

    code: str
    supply: str
    pack: str
    packs: int
    price: int

    @property
    def cost(self) -> int:
        return self.packs * self.price


@dataclass(frozen=True, kw_only=True)
class OrderSheet:
    """One order to one supplier."""

    number: int
    day: date
    shop_name: str
    shop_address: str
    supplier: str
    supplier_address: str
    supplier_mail: str
    account_no: str
    lines: tuple[SheetLine, ...]
    freight: int
    currency: str
    note: str = ""

    @property
    def goods(self) -> int:
        return sum(line.cost for line in self.lines)

    @property
    def total(self) -> int:
        """Goods with freight, before any tax of the supplier's."""
        return self.goods + self.freight


def write_workbook(sheet: OrderSheet, path: Path) -> Path:
    """The order as a workbook with real numbers and sums that follow when a count is changed."""
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Border, Font, Side

    book = Workbook()
    page = book.active
    assert page is not None
    page.title = f"Order {sheet.number:04d}"
    digits = minor_digits(sheet.currency)
    money = format_of_money(digits)
    strong, right = Font(bold=True), Alignment(horizontal="right")
    wrapped = Alignment(wrap_text=True, vertical="top")

    def value(minor: int) -> float:
        return minor / 10**digits

    put_text(page["A1"], sheet.shop_name or "Order")
    page["A1"].font = Font(size=16, bold=True)
    put_text(page["A2"], sheet.shop_address)
    page["A4"] = f"Order {sheet.number:04d}"
    page["A4"].font = Font(size=13, bold=True)
    page["C4"] = day_year(sheet.day)
    put_text(page["A5"], "to " + sheet.supplier)
    put_text(page["A6"], sheet.supplier_address or sheet.supplier_mail)
    page["A2"].alignment = page["A6"].alignment = wrapped
    if sheet.account_no:
        put_text(page["C5"], "account " + sheet.account_no)
    top = 8
    for column, head in enumerate(("Code", "Supply", "Pack", "Packs", "Price", "Cost"), start=1):
        cell = page.cell(top, column, head)
        cell.font, cell.border = strong, Border(bottom=Side(style="thin"))
        if column >= 4:
            cell.alignment = right
    for row, line in enumerate(sheet.lines, start=top + 1):
        for column, text in enumerate((line.code, line.supply, line.pack), start=1):
            put_text(page.cell(row, column), text)
        page.cell(row, 4, line.packs)
        page.cell(row, 5, value(line.price)).number_format = money
        page.cell(row, 6, f"=D{row}*E{row}").number_format = money
    last = top + max(len(sheet.lines), 1)
    sums: tuple[tuple[str, str | float], ...] = (
        ("Goods", f"=SUM(F{top + 1}:F{last})"),
        ("Freight", value(sheet.freight)),
        ("Together", f"=F{last + 2}+F{last + 3}"),
    )
    for row, (name, formula) in enumerate(sums, start=last + 2):
        page.cell(row, 5, name).alignment = right
        page.cell(row, 6, formula).number_format = money
    page.cell(last + 4, 5).font = page.cell(last + 4, 6).font = strong
    page.cell(last + 2, 4, sheet.currency)
    if sheet.note:
        put_text(page.cell(last + 6, 1), sheet.note)
    for letter, width in zip("ABCDEF", (14, 40, 18, 8, 12, 12), strict=True):
        page.column_dimensions[letter].width = width
    page.print_options.horizontalCentered = True
    page.page_setup.fitToWidth = 1
    book.save(path)
    return path
