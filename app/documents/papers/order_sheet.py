"""The order sheet: what one supplier is asked for, as plain data and as a workbook."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

from app.calculations.numbers.dates import day_year
from app.calculations.numbers.money import minor_digits
from app.documents.export.exact import escaped
from app.documents.export.workbook import format_of_money, mark_text

_FORMULA = re.compile(rb'(<c r="([A-Z]+[0-9]+)"[^>]*><f>[^<]*</f>)<v\s*(?:/>|></v>)')


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
    shop_phone: str = ""
    shop_mail: str = ""

    @property
    def answer_to(self) -> str:
        """Where a question about it goes: the shop's telephone and mail, as far as it has them."""
        return ", ".join(filter(None, (self.shop_phone, self.shop_mail)))

    @property
    def goods(self) -> int:
        return sum(line.cost for line in self.lines)

    @property
    def total(self) -> int:
        """Goods with freight, before any tax of the supplier's."""
        return self.goods + self.freight


def write_workbook(sheet: OrderSheet, path: Path) -> Path:
    """The order as a workbook with real numbers and sums that follow when a count is changed.

    The sums stand beside their formulas, for what reads a workbook without reckoning. No text runs
    as a formula.
    """
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

    def words(row: int, column: int, text: str) -> None:
        mark_text(page.cell(row, column, escaped(text)))

    results: dict[str, float] = {}
    words(1, 1, sheet.shop_name or "Order")
    page["A1"].font = Font(size=16, bold=True)
    words(2, 1, sheet.shop_address)
    words(3, 1, sheet.answer_to)
    page["A4"] = f"Order {sheet.number:04d}"
    page["A4"].font = Font(size=13, bold=True)
    page["C4"] = day_year(sheet.day)
    words(5, 1, "to " + sheet.supplier)
    words(6, 1, sheet.supplier_address or sheet.supplier_mail)
    for row, text in ((2, sheet.shop_address), (6, sheet.supplier_address)):
        page.merge_cells(start_row=row, end_row=row, start_column=1, end_column=6)
        page.cell(row, 1).alignment = wrapped
        page.row_dimensions[row].height = 15 * max(len(text.splitlines()), 1)
    if sheet.account_no:
        words(5, 3, "account " + sheet.account_no)
    top = 8
    for column, head in enumerate(("Code", "Supply", "Pack", "Packs", "Price", "Cost"), start=1):
        cell = page.cell(top, column, head)
        cell.font, cell.border = strong, Border(bottom=Side(style="thin"))
        if column >= 4:
            cell.alignment = right
    for row, line in enumerate(sheet.lines, start=top + 1):
        for column, text in enumerate((line.code, line.supply, line.pack), start=1):
            words(row, column, text)
            page.cell(row, column).alignment = wrapped
        page.cell(row, 4, line.packs)
        page.cell(row, 5, value(line.price)).number_format = money
        page.cell(row, 6, f"=D{row}*E{row}").number_format = money
        results[f"F{row}"] = value(line.cost)
    last = top + max(len(sheet.lines), 1)
    sums: tuple[tuple[str, str | float, int], ...] = (
        ("Goods", f"=SUM(F{top + 1}:F{last})", sheet.goods),
        ("Freight", value(sheet.freight), sheet.freight),
        ("Together", f"=F{last + 2}+F{last + 3}", sheet.total),
    )
    for row, (name, formula, result) in enumerate(sums, start=last + 2):
        page.cell(row, 5, name).alignment = right
        page.cell(row, 6, formula).number_format = money
        results[f"F{row}"] = value(result)
    page.cell(last + 4, 5).font = page.cell(last + 4, 6).font = strong
    page.cell(last + 2, 4, sheet.currency)
    if sheet.note:
        words(last + 6, 1, sheet.note)
    for letter, width in zip("ABCDEF", (14, 40, 18, 8, 12, 12), strict=True):
        page.column_dimensions[letter].width = width
    page.print_options.horizontalCentered = True
    page.page_setup.fitToWidth = 1
    written = BytesIO()
    book.save(written)
    _save_with_results(written, results, path)
    return path


def _save_with_results(written: BytesIO, results: Mapping[str, float], path: Path) -> None:
    """The workbook with its formulas' results beside them, which openpyxl does not write.

    A result is the `v` after the `f` of its cell (ECMA-376 part 1, 18.3.1.4 and 18.3.1.96).
    """
    with ZipFile(written) as parts, ZipFile(path, "w", ZIP_DEFLATED) as out:
        for part in parts.infolist():
            content = parts.read(part)
            if part.filename == "xl/worksheets/sheet1.xml":
                content = _FORMULA.sub(
                    lambda found: found[1] + f"<v>{results[found[2].decode()]!r}</v>".encode(),
                    content,
                )
            out.writestr(part, content)
