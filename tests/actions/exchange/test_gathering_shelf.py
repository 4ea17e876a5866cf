"""Supplies and their stock from people's lists; the pack says the bottle."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.actions.day.supplies_used import set_use, supplies_used
from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.preview_lines import Choices
from app.records.queries import everything
from tests.actions.exchange.conftest import Bring, rows
from tests.shop import TODAY

HEAD = "Supply,Kind,On hand,Pack,Price\n"


@pytest.fixture
def desk(empty: Desk) -> Desk:
    """A new book."""
    return empty


def brought(desk: Desk, folder: Path, **tables: str) -> None:
    paths = []
    for name, text in tables.items():
        paths.append(folder / f"{name}.csv")
        paths[-1].write_text(text, encoding="utf-8")
    readings = [read(desk, path) for path in paths]
    bring_in(desk, preview(desk, readings, choices=Choices(accepts=True)))


def bottles(desk: Desk) -> dict[str, int | None]:
    return {one.name: one.bottle for one in all_supplies(desk).values()}


def test_a_quarter_bottle_works_on_the_first_evening(desk: Desk, tmp_path: Path) -> None:
    brought(
        desk, tmp_path,
        shelf=HEAD + "Tar remover,liquid,2000 ml,500 ml,$12\n",
        jobs="Date,Customer,Vehicle,Services,Status\n8/14/2025,Ann Marlow,wagon,Wash,booked\n",
    )  # fmt: skip
    with desk.book.reading() as session:
        (job,) = everything.rows(session, "jobs")
        (supply,) = everything.rows(session, "supplies")
    set_use(desk, TODAY, job["id"], supply["id"], "1/4 bottle")
    (row,) = supplies_used(desk, TODAY).rows
    assert row.today == 125_000  # µL, a quarter of 500 mL


@pytest.mark.parametrize(
    ("kind", "pack", "bottle"),
    [
        ("liquid", "500 ml", 500_000),
        ("liquid", "3 x 500 ml", 500_000),
        ("liquid", "5 L", 5_000_000),
        ("liquid", "20 L", None),  # a drum is no bottle
        ("paste", "200 g", 200_000),
        ("piece", "100 pcs", None),
    ],
)
def test_the_bottle_is_what_the_pack_holds(
    desk: Desk, tmp_path: Path, kind: str, pack: str, bottle: int | None
) -> None:
    brought(desk, tmp_path, shelf=HEAD + f"Goods,{kind},,{pack},$12\n")
    assert bottles(desk) == {"Goods": bottle}


def test_a_bottle_that_the_book_knows_stays(desk: Desk, tmp_path: Path) -> None:
    brought(desk, tmp_path, shelf=HEAD + "Goods,liquid,,500 ml,$12\n")
    brought(desk, tmp_path, shelf=HEAD + "Goods,liquid,,1 L,$20\n")
    assert bottles(desk) == {"Goods": 500_000}


def test_a_bottle_of_a_case_and_loose_pieces_are_counted_as_they_are(
    empty: Desk, bring: Bring
) -> None:
    bring(
        empty,
        "Supply,Kind,Pack,On hand\nGlass cleaner,liquid,12 x 500 ml,1 case + 3 bottles\n"
        "Cloths,piece,box of 50,2 boxes + 7\n",
    )
    stock = {row["supply_id"]: row["quantity"] for row in rows(empty, "movements")}
    names = {row["name"]: row["id"] for row in rows(empty, "supplies")}
    assert stock[names["Glass cleaner"]] == 7_500_000
    assert stock[names["Cloths"]] == 107_000


def stock_of(desk: Desk, folder: Path, line: str, head: str = HEAD) -> tuple[object, str]:
    """What stands of the supply of a line (base units), and what is said of the line."""
    (folder / "list.csv").write_text(head + line + "\n", encoding="utf-8")
    (told,) = read(desk, folder / "list.csv").lines
    return told.stock, " ".join(told.problems)


@pytest.mark.parametrize(
    ("line", "stock"),
    [
        ("Soap,liquid,99,1 L,$9", 99_000_000),
        ("Soap,liquid,1500 mL,1 L,$9", 1_500_000),
        ("Gloves,piece,3,box of 100,$9", 300_000),
        ("Gloves,piece,30 packs,10,$9", 300_000),
        ("Towels,piece,2 bundles,bundle of 12,$9", 24_000),
        ("Gloves,piece,3 pkt,1 pkt = 50 pcs,$9", 150_000),
    ],
)
def test_what_is_plain_beside_a_pack_is_taken_without_a_word(
    desk: Desk, tmp_path: Path, line: str, stock: int
) -> None:
    assert stock_of(desk, tmp_path, line) == (stock, "")


@pytest.mark.parametrize("line", ["Soap,liquid,1500,1 L,$9", "Wax,paste,250,200 g,$9"])
def test_a_bare_number_too_large_for_bottles_is_asked_about_and_left_open(
    desk: Desk, tmp_path: Path, line: str
) -> None:
    stock, said = stock_of(desk, tmp_path, line)
    assert stock is None
    assert "which may be packs of" in said
    assert "the stock is left open until it is counted" in said


def test_a_column_from_whom_is_the_supplier_of_a_supply(desk: Desk, tmp_path: Path) -> None:
    brought(desk, tmp_path, shelf="Supply,From whom,On hand,Pack\nSoap,Acme Care,3,1 L\n")
    assert [one["name"] for one in rows(desk, "suppliers")] == ["Acme Care"]


@pytest.mark.parametrize(
    ("name", "leaves"),
    [
        ("Spray wax", ""), ("Quick wax", ""), ("Carnauba spray wax", "carnauba wax"),
        ("Ceramic spray wax", "spray sealant"), ("Spray sealant", "spray sealant"),
    ],
)  # fmt: skip
def test_a_spray_wax_may_be_either_and_is_asked_about(
    desk: Desk, tmp_path: Path, name: str, leaves: str
) -> None:
    _, said = stock_of(desk, tmp_path, f"{name},liquid,1 L,1 L,$9")
    assert ("may leave a wax or a sealant" in said) == (leaves == "")
    brought(desk, tmp_path, shelf=HEAD + f"{name},liquid,1 L,1 L,$9\n")
    assert [one["protection"] for one in rows(desk, "supplies")] == [leaves]
