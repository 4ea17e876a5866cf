"""Dead stock with its worth, unrecorded use by quarter, and the count sheet in shelf order."""

from __future__ import annotations

from datetime import timedelta

import pytest
from pypdf import PdfReader

from app.actions.day.closing import close_day
from app.actions.day.supplies_used import set_use
from app.actions.shelf.shelf import count_lines
from app.actions.shelf.stock_worth import dead_stock
from app.actions.shelf.supplies import supply_page
from app.actions.stock.left import left_on
from app.actions.stock.stock import count, open_container
from app.actions.stock.supply_facts import edit_supply
from app.documents.papers.count_sheet import CountLine, count_sheet_pdf
from app.errors import Mendable
from app.records.models import Lot
from app.records.queries import stock as queries
from tests.shop import TODAY


def page_text(page) -> str:
    return " ".join(page.extract_text().split())


def names(desk, shop, day):
    ids = {number: key for key, number in shop.supplies.items()}
    return {ids[one.supply_id]: one for one in dead_stock(desk, day)}


def test_what_no_job_needs_and_nobody_used_for_half_a_year_is_dead_stock(desk, shop):
    assert names(desk, shop, TODAY) == {}
    later = TODAY + timedelta(days=200)
    found = names(desk, shop, later)
    assert "wax" in found
    assert found["wax"].value == 3000
    assert found["wax"].why == "never used, and no job needs it"
    values = [one.value for one in dead_stock(desk, later)]
    assert values == sorted(values, reverse=True)


def test_a_lot_that_expired_or_is_open_too_long_is_dead_stock_with_its_value(desk, shop):
    coating = shop.supplies["coating"]
    with desk.book.load() as session:
        lot = session.query(Lot).filter(Lot.supply_id == coating).first()
        lot.expires_on = TODAY - timedelta(days=1)
    found = names(desk, shop, TODAY)["coating"]
    assert found.why.startswith("expired")
    assert 0 < found.value <= 15800
    with desk.book.load() as session:
        session.query(Lot).filter(Lot.supply_id == coating).update({"expires_on": None})
    edit_supply(desk, coating, opened_life_days=10)
    open_container(desk, TODAY, coating)
    assert "coating" not in names(desk, shop, TODAY + timedelta(days=10))
    assert "kept to" in names(desk, shop, TODAY + timedelta(days=11))["coating"].why


def test_unrecorded_use_is_a_share_of_all_that_went_in_the_quarter(desk, shop):
    soap, job = shop.supplies["soap"], shop.jobs[next(iter(shop.jobs))]
    set_use(desk, TODAY, job, soap, "300 ml")
    close_day(desk, TODAY)
    next_day = TODAY + timedelta(days=1)
    desk.clock.go_to(next_day)
    before = supply_page(desk, next_day, soap)
    assert all(one.amount == 0 for one in before.unrecorded)
    assert before.unrecorded[0].label == "Third quarter 2025"
    standing = left_on(desk, next_day)[soap]
    count(desk, next_day, soap, f"{standing // 1000 - 100} ml")
    newest = supply_page(desk, next_day, soap).unrecorded[0]
    used = -sum(line.quantity for line in _ledger(desk, soap) if line.kind == "used")
    assert newest.share_text == f"{round(100 * newest.amount / (newest.amount + used))} %"
    assert newest.amount == pytest.approx(100_000, abs=1000)
    desk.book.undo(today=next_day)
    assert supply_page(desk, next_day, soap).unrecorded[0].amount == 0


def _ledger(desk, supply):
    with desk.book.reading() as session:
        return queries.ledger(session, supply)


def test_the_count_sheet_follows_the_shelf_and_hides_what_the_book_says(desk, shop, tmp_path):
    edit_supply(desk, shop.supplies["wax"], shelf_place="A2")
    edit_supply(desk, shop.supplies["soap"], shelf_place="A10")
    lines = count_lines(desk)
    assert [line[1] for line in lines[:2]] == ["Paste wax", "Wash soap"]
    path = count_sheet_pdf(
        [CountLine(*line) for line in lines], "Lindmoor", TODAY, tmp_path / "c.pdf"
    )
    text = page_text(PdfReader(path).pages[0])
    assert text.index("A2") < text.index("Paste wax") < text.index("Wash soap")
    assert "180" not in text
    with pytest.raises(Mendable, match="nothing on the shelf"):
        count_sheet_pdf([], "", TODAY, tmp_path / "d.pdf")


def test_a_long_shelf_goes_over_several_sheets(tmp_path):
    lines = [CountLine(f"A{at}", f"Supply {at}", "mL") for at in range(120)]
    path = count_sheet_pdf(lines, "", TODAY, tmp_path / "c.pdf")
    pages = PdfReader(path).pages
    assert len(pages) > 2
    assert "Supply 119" in page_text(pages[-1])
