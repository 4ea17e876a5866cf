"""Everything out of the book and back: what comes into a new book is what went out."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.exporting import export, template
from app.actions.jobs.asking import dispute
from app.actions.jobs.invoices import credit, issue, papers_of
from app.actions.jobs.job_changes import edit_job
from app.actions.jobs.services import edit_service
from app.actions.people.customers import add_customer, edit_customer
from app.actions.stock.stock import count
from app.demo.story import build_demo
from app.documents.export.layout import ABOUT, SHEETS
from app.documents.reading.options import ReadingStopped
from app.errors import Mendable
from app.records.book import Book
from app.records.contents import contents
from app.records.queries import everything
from tests.actions.jobs.test_invoice_standing import charged
from tests.shop import TODAY, Clock, SmallShop, new_desk


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The made-up shop over one year."""
    path = tmp_path_factory.mktemp("demo") / "demo.bayledger"
    build_demo(path, years=1, jobs_per_week=3)
    with Book.open(path) as book:
        yield Desk(book, clock=Clock())


@pytest.fixture(scope="module")
def out(demo: Desk, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All of that shop in one workbook, which the tests only read."""
    return export(demo, tmp_path_factory.mktemp("out") / "all.xlsx")


@pytest.mark.slow
def test_a_year_of_the_made_up_shop_goes_out_and_comes_into_a_new_book_whole(
    demo: Desk, out: Path, tmp_path: Path
) -> None:
    other = new_desk(tmp_path / "other.bayledger")
    plan = preview(other, [read(other, out)])
    assert plan.total("cannot") == 0
    assert plan.notes == ()
    bring_in(other, plan)
    assert contents(other.book) == contents(demo.book)
    assert other.settings == demo.settings
    assert other.book.check() == []
    # The same file once more changes nothing: every row of every kind is found again.
    assert not preview(other, [read(other, out)]).changes_something()
    # And out again: the same sheets, word for word.
    again = export(other, tmp_path / "again.xlsx")
    first, second = (load_workbook(path, read_only=True) for path in (out, again))
    assert first.sheetnames == second.sheetnames
    for name in first.sheetnames:
        told = [list(book[name].iter_rows(values_only=True)) for book in (first, second)]
        assert told[0] == told[1], name
    other.book.close()


def test_an_export_of_version_1_comes_in_with_the_columns_of_today(
    desk: Desk, shop: SmallShop, tmp_path: Path
) -> None:
    """It had no state of a receipt and no mark of a physical count, but remarks; and one rate of
    tax among the settings, with services taxed or not."""
    edit_service(desk, shop.services["wash"], tax_kind="no")
    count(desk, TODAY, shop.supplies["wheel"], "1400 mL")
    close_day(desk, TODAY)
    out = export(desk, tmp_path / "all.xlsx")
    book = load_workbook(out)
    receipts, ledger = book["Receipts"], book["Stock ledger"]
    state, note = (_column(receipts, heading) for heading in ("State", "Note"))
    for row in range(2, receipts.max_row + 1):
        if receipts.cell(row, state).value == "expected":
            receipts.cell(row, note).value = "expected, unconfirmed"
    receipts.delete_cols(state)
    ledger.delete_cols(_column(ledger, "Physical count"))
    services, kind = book["Services"], _column(book["Services"], "Kind of line for tax")
    services.cell(1, kind).value = "Taxed"
    for row in range(2, services.max_row + 1):
        services.cell(row, kind).value = "yes" if services.cell(row, kind).value else "no"
    del book["Tax rates"]
    book["Settings"].append(["tax_rate", "7250"])
    for cells in book[ABOUT].iter_rows(max_row=12):
        if cells[0].value == "Version":
            cells[1].value = 1
    book.save(out)
    other = new_desk(tmp_path / "other.bayledger")
    bring_in(other, preview(other, [read(other, out)]))
    assert contents(other.book) == contents(desk.book)
    other.book.close()


def _column(sheet: Any, heading: str) -> int:
    (found,) = [cell.column for cell in sheet[1] if cell.value == heading]
    return int(found)


@pytest.mark.slow
def test_who_pays_what_they_were_asked_and_an_invoice_of_many_jobs_come_back(
    desk: Desk, shop: SmallShop, tmp_path: Path
) -> None:
    tolk = shop.customers["tolk"]
    firm = add_customer(desk, name="Weir Street Vans")[1]  # told of after those it pays for
    edit_customer(desk, tolk, payer_id=firm, terms_days="45")
    jobs = charged(desk, tolk, "0.99", "0.99")
    issue(desk, *jobs)
    (paper,) = papers_of(desk, jobs[0]).issued
    dispute(desk, paper.invoice.invoice_id, "a spot on the roof")
    credit(desk, paper.invoice.invoice_id, "not washed", paper.lines[1].line_id)
    edit_job(desk, shop.jobs["0411"], payer_id=firm)
    other = new_desk(tmp_path / "other.bayledger")
    bring_in(other, preview(other, [read(other, export(desk, tmp_path / "all.xlsx"))]))
    assert contents(other.book) == contents(desk.book)
    assert other.book.check() == []
    other.book.close()


def test_an_export_of_a_newer_version_is_refused_with_what_to_do(
    desk: Desk, tmp_path: Path
) -> None:
    path = export(desk, tmp_path / "newer.xlsx")
    book = load_workbook(path)
    book[ABOUT]["B2"] = 9
    book.save(path)
    with pytest.raises(Mendable, match=r"export of version 9, and this one .* Update Bayledger"):
        read(desk, path)


def test_a_large_export_comes_in_at_once_and_says_that_it_is_not_undone(
    demo: Desk, out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.actions.exchange.restoring.MOST_UNDONE", 10)
    other = new_desk(tmp_path / "other.bayledger")
    changed = bring_in(other, preview(other, [read(other, out)]))
    assert "not undone" in changed.sentence
    assert contents(other.book) == contents(demo.book)
    assert other.book.check() == []
    other.book.close()


def test_a_restore_that_is_stopped_leaves_the_new_book_empty(out: Path, tmp_path: Path) -> None:
    other = new_desk(tmp_path / "other.bayledger")
    plan = preview(other, [read(other, out)])
    with pytest.raises(ReadingStopped):
        bring_in(other, plan, lambda done, total: False)
    with other.book.reading() as session:
        assert everything.holds_nothing(session)
    other.book.close()


def test_there_is_one_sheet_for_each_kind_with_names_beside_the_keys(
    desk: Desk, shop: SmallShop, tmp_path: Path
) -> None:
    book = load_workbook(export(desk, tmp_path / "all.xlsx"))
    assert book.sheetnames == [ABOUT, *(layout.title for layout in SHEETS)]
    headings = [cell.value for cell in book["Jobs"][1]]
    assert headings[:6] == [
        "Key",
        "Job no.",
        "Vehicle key",
        "(Vehicle)",
        "Customer key",
        "(Customer)",
    ]
    assert book["Jobs"]["F2"].value in ("Mara Tolk", "Jonas Quell")
    assert book["Supplies"]["A1"].value == "Key"
    note = next(cell.comment for cell in book["Vehicles"][1] if cell.value == "Size outside")
    assert note is not None


def test_an_ending_is_added_and_another_one_is_refused(desk: Desk, tmp_path: Path) -> None:
    assert export(desk, tmp_path / "all").name == "all.xlsx"
    with pytest.raises(Mendable, match=r"should end in \.xlsx"):
        export(desk, tmp_path / "all.csv")
    with pytest.raises(Mendable, match="no folder"):
        export(desk, tmp_path / "gone" / "all.xlsx")


def test_a_stopped_export_leaves_the_old_file_as_it_was(desk: Desk, tmp_path: Path) -> None:
    out = export(desk, tmp_path / "all.xlsx")
    before = out.read_bytes()
    with pytest.raises(ReadingStopped):
        export(desk, out, lambda done, total: False)
    assert out.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".part"] == []


def test_the_template_is_written_where_it_is_asked_for(tmp_path: Path) -> None:
    assert template(tmp_path / "empty.xlsx").is_file()


_TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=60)


def test_a_text_longer_than_a_cell_holds_comes_back_whole(tmp_path: Path) -> None:
    text = "".join(chr(65 + i % 26) for i in range(70_000))
    _there_and_back(tmp_path, {"customers": [{"name": "Ann Marlow", "notes": text}],
                               "settings": [{"name": "letter_text", "value": text}]})  # fmt: skip


@pytest.mark.slow
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    names=st.lists(_TEXTS.filter(str.strip), min_size=1, max_size=4),
    notes=_TEXTS,
    hazards=st.lists(_TEXTS, max_size=3),
    exposure=st.dictionaries(
        _TEXTS, st.none() | st.booleans() | st.integers() | _TEXTS, max_size=3
    ),
    days=st.lists(st.dates(date(1950, 1, 1), date(2099, 1, 1)), min_size=1, max_size=3),
    moment=st.datetimes(datetime(2000, 1, 1), datetime(2099, 1, 1), timezones=st.just(UTC)),
    quantity=st.integers(-(10**12), 10**12),
    value=st.integers(-(10**9), 10**9),
)
def test_whatever_a_book_says_comes_back(
    names: list[str],
    notes: str,
    hazards: list[str],
    exposure: dict[str, Any],
    days: list[date],
    moment: datetime,
    quantity: int,
    value: int,
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        _there_and_back(
            Path(folder),
            {
                "customers": [
                    {"name": name[:200], "notes": notes, "since": days[0]} for name in names
                ],
                "vehicles": [{"description": names[0][:200], "exposure": exposure, "year": 2014}],
                "supplies": [
                    {"name": names[-1][:120], "kind": "liquid", "hazard_statements": hazards}
                ],
                "movements": [
                    {"supply_id": 1, "day": day, "at": moment, "kind": "counted",
                     "quantity": quantity, "value": value, "note": notes}
                    for day in days
                ],
                "settings": [{"name": "letter_text", "value": notes}],
            },
        )  # fmt: skip


def _there_and_back(folder: Path, rows: dict[str, list[dict[str, Any]]]) -> None:
    desk = new_desk(folder / "one.bayledger")
    with desk.book.load() as session:
        for kind, told in rows.items():
            everything.add(session, kind, told)
    desk.reload()
    out = export(desk, folder / "all.xlsx")
    other = new_desk(folder / "two.bayledger")
    plan = preview(other, [read(other, out)])
    assert plan.total("cannot") == 0, plan.lines
    bring_in(other, plan)
    assert contents(other.book) == contents(desk.book)
    for one in (desk, other):
        one.book.close()
