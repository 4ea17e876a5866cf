"""What is kept of one person, written out for them: all of theirs, and nothing of others."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from openpyxl import load_workbook

from app.actions.desk.desk import Desk
from app.actions.exchange.person_export import export_person, find_person
from app.actions.people import consents, customers
from app.documents.export.full_export import read_export
from app.documents.reading.options import Options
from app.errors import Mendable
from app.records.models import (
    Job,
    Judgement,
    LayerEvent,
    OwnerLink,
    Receipt,
    Reminder,
    ReminderEvent,
    Vehicle,
)
from tests.shop import TODAY, SmallShop


@pytest.fixture
def mara(desk: Desk, shop: SmallShop) -> int:
    """Mara Tolk with something of every kind."""
    number, car = shop.customers["tolk"], shop.vehicles["wagon"]
    at = datetime(2025, 8, 1, tzinfo=UTC)
    consents.give(desk, number, "mail", "reminders", wording="You may write to me.")
    with desk.book.load() as session:
        job = shop.jobs["0412"]
        session.add(Receipt(job_id=job, customer_id=number, day=TODAY, at=at, amount=12345))
        layer = LayerEvent(vehicle_id=car, day=TODAY, at=at, kind="applied", surface_group="trim")
        layer.supply_id = shop.supplies["coating"]
        session.add(layer)
        session.add(Judgement(vehicle_id=car, day=TODAY, surface_group="trim", before="holding"))
        letter = Reminder(customer_id=number, day=TODAY, subject="Due", text="Dear Mara", uid="r-1")
        session.add(letter)
        session.flush()
        session.add(ReminderEvent(reminder_id=letter.id, day=TODAY, at=at, kind="prepared"))
    return number


def sheets_of(path: Path) -> dict[str, list[dict[str, object]]]:
    book = load_workbook(path)
    found = {}
    for sheet in book.worksheets:
        head, *rows = sheet.iter_rows(values_only=True)
        found[sheet.title] = [dict(zip(head, row, strict=False)) for row in rows]
    return found


def test_the_workbook_holds_every_kind_of_theirs_and_nobody_elses(
    desk: Desk, mara: int, tmp_path: Path
) -> None:
    path, _ = export_person(desk, mara, tmp_path / "mara")
    sheets = sheets_of(path)
    counts = {title: len(rows) for title, rows in sheets.items() if title != "About" and rows}
    assert counts == {
        "Customers": 1, "Consents": 1, "Vehicles": 2, "Owners": 2, "Jobs": 1, "Job services": 1,
        "Job steps": 4, "Charges": 1, "Receipts": 1, "Layers": 1, "Judgements": 1, "Reminders": 1,
        "Reminder events": 1,
    }  # fmt: skip
    assert [row["Name"] for row in sheets["Customers"]] == ["Mara Tolk"]
    assert {row["Vehicle"] for row in sheets["Vehicles"]} == {"grey wagon", "red coupe"}
    assert [row["Amount"] for row in sheets["Receipts"]] == [123.45]
    assert b"Quell" not in path.with_suffix(".txt").read_bytes()


def test_the_text_says_the_same_in_words(desk: Desk, mara: int, tmp_path: Path) -> None:
    _, text = export_person(desk, mara, tmp_path / "mara.xlsx")
    said = text.read_text(encoding="utf-8")
    for words in (
        "What the book of Lindmoor Finish Care holds of Mara Tolk", "mara.tolk@lindmoor.example",
        "You may write to me.", "grey wagon", "red coupe", "123.45", "Dear Mara", "holding",
    ):  # fmt: skip
        assert words in said


def test_it_is_not_taken_for_an_export_of_the_whole_book(
    desk: Desk, mara: int, tmp_path: Path
) -> None:
    path, _ = export_person(desk, mara, tmp_path / "mara.xlsx")
    assert read_export(path, Options()) is None


def test_of_a_vehicle_that_was_sold_the_new_holders_words_stay_out(
    desk: Desk, shop: SmallShop, mara: int, tmp_path: Path
) -> None:
    with desk.book.load() as session:
        wagon = session.get_one(Vehicle, shop.vehicles["wagon"])
        wagon.plate, wagon.notes = "QLL-0001", "Jonas wants it quiet"
        for link in session.query(OwnerLink).filter_by(vehicle_id=wagon.id):
            link.to_day = TODAY
        session.add(OwnerLink(vehicle_id=wagon.id, customer_id=shop.customers["quell"]))
        session.get_one(Job, shop.jobs["0412"]).notes = "hers"
    path, text = export_person(desk, mara, tmp_path / "mara.xlsx")
    said = text.read_text(encoding="utf-8")
    assert "grey wagon" in said
    assert "hers" in said
    assert "QLL-0001" not in said
    assert "Jonas" not in said
    assert b"QLL-0001" not in path.read_bytes()


def test_what_stood_there_is_moved_aside_and_named(desk: Desk, mara: int, tmp_path: Path) -> None:
    for name in ("mara.xlsx", "mara.txt"):
        (tmp_path / name).write_text("typed by somebody")
    moved: list[Path] = []
    export_person(desk, mara, tmp_path / "mara.xlsx", moved.append)
    assert [path.suffix for path in moved] == [".xlsx", ".txt"]
    assert all(path.read_text() == "typed by somebody" for path in moved)


def test_a_place_that_cannot_be_written_is_one_sentence(
    desk: Desk, mara: int, tmp_path: Path
) -> None:
    with pytest.raises(Mendable, match="There is no folder"):
        export_person(desk, mara, tmp_path / "nowhere" / "mara.xlsx")
    (tmp_path / "mara.txt").mkdir()
    with pytest.raises(Mendable, match="is a folder"):
        export_person(desk, mara, tmp_path / "mara.xlsx")
    assert not (tmp_path / "mara.xlsx").exists()


def test_a_customer_is_found_by_name_by_a_part_of_it_or_by_number(
    desk: Desk, shop: SmallShop
) -> None:
    tolk = shop.customers["tolk"]
    for who in ("Mara Tolk", "mara tolk", "tolk", str(tolk)):
        assert find_person(desk, who) == tolk
    customers.add_customer(desk, name="Mara Tolkien")
    assert find_person(desk, "Mara Tolk") == tolk, "the whole name before a part of one"
    with pytest.raises(Mendable, match=r"fits several customers; give the number: 1 \(Mara Tolk\)"):
        find_person(desk, "mara")
    with pytest.raises(Mendable, match="There is no customer “Ida”"):
        find_person(desk, "Ida")
