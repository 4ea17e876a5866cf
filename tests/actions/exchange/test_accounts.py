"""The workbook for an accountant: live sums, their saved results, and both reckoned anew.

Where LibreOffice is on the machine it recalculates the workbook headless; everywhere the formulas
are reckoned here from the cells alone, by another way than that which wrote them.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from app.actions.desk.desk import Desk
from app.actions.exchange.accounts import write_span
from app.actions.figures.slips import slip
from app.actions.jobs import job_changes
from app.actions.jobs.invoice_payments import take_for_invoice
from app.actions.jobs.invoices import credit, issue, papers_of
from app.actions.people.customers import edit_customer
from app.actions.shop.shop_settings import change_settings
from app.errors import Mendable
from tests.actions.jobs.test_invoice_standing import charged
from tests.shop import TODAY, SmallShop

_RANGE = re.compile(r"(?:(\w+)!)?\$?([A-Z])\$?(\d+):\$?([A-Z])\$?(\d+)")


class Reckoned:
    """A workbook whose formulas are worked out from its cells: SUM, SUMIF, + and -."""

    def __init__(self, path: Path) -> None:
        self._book = load_workbook(path)

    def cell(self, sheet: str, ref: str) -> Any:
        value = self._book[sheet][ref].value
        if isinstance(value, str) and value.startswith("=") and value[1:2].isalpha():
            return self._formula(sheet, value[1:])
        return value

    def _formula(self, sheet: str, text: str) -> Decimal:
        found = Decimal(0)
        for sign, term in re.findall(r"([+-]?)((?:SUM|SUMIF)\([^)]*\)|[A-Z]\d+)", text):
            found += self._term(sheet, term) * (-1 if sign == "-" else 1)
        return found

    def _term(self, sheet: str, term: str) -> Decimal:
        if "(" not in term:
            return _number(self.cell(sheet, term))
        name, inside = term.rstrip(")").split("(", 1)
        if name == "SUM":
            return sum((_number(one) for one in self._range(sheet, inside)), Decimal(0))
        where, wanted, what = inside.split(",")
        key: Any = wanted.strip('"') if wanted.startswith('"') else None
        if key is None:
            is_cell = re.fullmatch(r"[A-Z]\d+", wanted)
            key = self.cell(sheet, wanted) if is_cell else Decimal(wanted)
        pairs = zip(self._range(sheet, where), self._range(sheet, what), strict=True)
        return sum((_number(two) for one, two in pairs if _same(one, key)), Decimal(0))

    def _range(self, sheet: str, text: str) -> list[Any]:
        found = _RANGE.fullmatch(text)
        assert found is not None, text
        of, first, top, last, foot = found.groups()
        letters = [chr(one) for one in range(ord(first), ord(last) + 1)]
        return [
            self.cell(of or sheet, f"{letter}{row}")
            for row in range(int(top), int(foot) + 1)
            for letter in letters
        ]

    def formulas(self) -> list[tuple[str, str]]:
        return [
            (sheet.title, cell.coordinate)
            for sheet in self._book.worksheets
            for row in sheet.iter_rows()
            for cell in row
            if cell.data_type == "f"
        ]


def _number(value: Any) -> Decimal:
    return Decimal(str(value)) if isinstance(value, int | float | Decimal) else Decimal(0)


def _same(one: Any, key: Any) -> bool:
    if isinstance(key, Decimal):
        return _number(one) == key
    return (one or "") == key


@pytest.fixture
def used(desk: Desk, shop: SmallShop) -> Desk:
    """Two invoices, one of two jobs, at two rates; a credit note, a part payment with a tip."""
    tolk = shop.customers["tolk"]
    edit_customer(desk, tolk, name="=Mara Tolk")  # no formula, whoever is called so
    jobs = charged(desk, tolk, "0.99", "150.70")
    job_changes.add_charge(desk, jobs[0], "Bag", "36", 7375)
    issue(desk, *jobs)
    issue(desk, *charged(desk, tolk, "20"))
    (paper,) = papers_of(desk, jobs[0]).issued
    take_for_invoice(desk, paper.invoice.invoice_id, "105 check tip 5")
    credit(desk, paper.invoice.invoice_id, "a spot", paper.lines[-1].line_id, "10")
    charged(desk, tolk, "33.33")  # done, and paid without an invoice as most are
    return desk


def test_every_saved_result_is_what_its_formula_comes_to(used: Desk, tmp_path: Path) -> None:
    path = write_span(used, TODAY, TODAY, tmp_path / "accounts.xlsx")
    reckoned, saved = Reckoned(path), load_workbook(path, data_only=True)
    formulas = reckoned.formulas()
    assert len(formulas) > 20
    for sheet, ref in formulas:
        assert _number(saved[sheet][ref].value) == reckoned.cell(sheet, ref), (sheet, ref)
    apart = [row for row in saved["Summary"].iter_rows(values_only=True) if "differ" in str(row[0])]
    assert [row[3] for row in apart] == [0]
    payers = {row[4] for row in saved["Invoices"].iter_rows(min_row=2, values_only=True)}
    assert "=Mara Tolk" in payers
    found = slip(used, TODAY, TODAY)
    assert found.adds_up  # also with an invoice of many jobs, and a credit note to it
    done = next(row for row in saved["Summary"].values if row[0] == "Work done, invoiced or not")
    assert [round(one * 100) for one in done[1:]] == [
        found.earned, found.tax, found.earned + found.tax
    ]  # fmt: skip
    came = next(row for row in saved["Summary"].values if row[0] == "All that came")
    assert round(came[3] * 100) == found.came_in


def test_libreoffice_comes_to_the_same_where_it_is_on_the_machine(
    used: Desk, tmp_path: Path
) -> None:
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None:
        pytest.skip("LibreOffice is not on this machine")
    path = write_span(used, TODAY, TODAY, tmp_path / "accounts.xlsx")
    out = tmp_path / "again"
    run = [office, "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir"]
    subprocess.run([*run, str(out), str(path)], check=True, capture_output=True)
    again, saved = (load_workbook(one, data_only=True) for one in (out / path.name, path))
    for sheet, ref in Reckoned(path).formulas():
        assert _number(again[sheet][ref].value) == _number(saved[sheet][ref].value), (sheet, ref)


@pytest.mark.parametrize("currency", ["JPY", "KWD"])
def test_sums_are_whole_in_money_of_no_or_three_decimals(
    desk: Desk, shop: SmallShop, tmp_path: Path, currency: str
) -> None:
    change_settings(desk, currency=currency)
    issue(desk, *charged(desk, shop.customers["tolk"], "105"))
    path = write_span(desk, TODAY, TODAY, tmp_path / "accounts.xlsx")
    reckoned = Reckoned(path)
    tax = {"JPY": "8", "KWD": "7.613"}[currency]  # 7.25 % of 105 is 7.6125
    assert reckoned.cell("Invoices", "H2") == Decimal(105) + Decimal(tax)


def test_a_span_that_ends_before_it_begins_is_refused_and_an_empty_one_is_written(
    desk: Desk, tmp_path: Path
) -> None:
    with pytest.raises(Mendable, match="before it begins"):
        write_span(desk, TODAY, TODAY.replace(day=1), tmp_path / "none.xlsx")
    path = write_span(desk, TODAY.replace(year=1999), TODAY.replace(year=1999), tmp_path / "e.xlsx")
    assert Reckoned(path).cell("Summary", "D2") == 0
