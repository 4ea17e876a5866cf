"""Bringing in what the shop has: the preview, all or nothing, twice changes nothing, undo."""

from __future__ import annotations

import os
import tempfile
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from app.actions.desk.desk import Changed, Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.exporting import export
from app.actions.exchange.preview_lines import Preview
from app.documents.reading.options import ReadingStopped
from app.errors import Mendable
from app.records.contents import contents
from tests.actions.exchange.conftest import Bring, rows
from tests.files import messy
from tests.shop import TODAY, SmallShop, new_desk

# More with BAYLEDGER_LISTS=2000 in the environment.
EXAMPLES = int(os.environ.get("BAYLEDGER_LISTS", "60"))


@pytest.fixture
def messy_files(tmp_path: Path) -> list[Path]:
    return [
        messy.address_workbook(tmp_path / "a.xlsx"),
        messy.accounts_csv(tmp_path / "b.csv"),
        messy.shelf_workbook(tmp_path / "c.xlsx"),
        messy.telephone_cards(tmp_path / "d.vcf"),
    ]


def bring_all(desk: Desk, paths: list[Path]) -> tuple[Preview, Changed]:
    plan = preview(desk, [read(desk, path) for path in paths])
    return plan, bring_in(desk, plan)


# The main job


def test_four_messy_files_come_in_go_out_and_come_into_a_new_book_with_equal_content(
    empty: Desk, messy_files: list[Path], tmp_path: Path
) -> None:
    plan, changed = bring_all(empty, messy_files)
    assert plan.total("cannot") == 0
    assert changed.name.startswith("Bring in a.xlsx, b.csv")
    assert {
        "customers",
        "vehicles",
        "supplies",
        "stock",
        "jobs",
        "money",
        "layers",
    } <= changed.kinds
    other = new_desk(tmp_path / "other.bayledger")
    out = export(empty, tmp_path / "all.xlsx")
    bring_all(other, [out])
    assert contents(other.book) == contents(empty.book)
    assert other.book.check() == []
    other.book.close()


def test_what_stands_in_the_book_is_what_the_files_say(
    empty: Desk, messy_files: list[Path]
) -> None:
    bring_all(empty, messy_files)
    people = {row["name"]: row for row in rows(empty, "customers")}
    assert set(people) == {
        "Ann Marlow", "Bob & Kim Hillcrest", "Mary Jane O'Neil", "Zoe Dunmore", "Jörg Müller",
        "Teller's Bakery LLC", "Broken",
    }  # fmt: skip
    assert people["Ann Marlow"]["city"] == "Millbrook"
    assert people["Bob & Kim Hillcrest"]["second_phone"] == "+12125550144"
    cars = {row["description"]: row for row in rows(empty, "vehicles")}
    assert (cars["blue wagon"]["plate"], cars["blue wagon"]["year"]) == ("7KLM 204", 2014)
    assert {"van no. 3", "van no. 4"} <= set(cars)
    jobs = {row["number"]: row for row in rows(empty, "jobs")}
    assert set(jobs) == {1021, 1022, 1023, 1024, 1025, 1026}
    assert jobs[1022]["first_day"] == date(2025, 3, 20)
    assert jobs[1022]["last_day"] == date(2025, 3, 22)
    assert jobs[1022]["vehicle_id"] == cars["grey van"]["id"]
    received = sum(row["amount"] for row in rows(empty, "receipts"))
    assert received == 42_900 + 128_700 + 2 * 4826 + 2000
    assert all(row["job_id"] for row in rows(empty, "receipts"))
    supplies = {row["name"]: row["id"] for row in rows(empty, "supplies")}
    stock = {row["supply_id"]: (row["quantity"], row["value"]) for row in rows(empty, "movements")}
    assert stock[supplies["Rinseless wash"]] == (7_570_824, 15_800)
    assert stock[supplies["Paint towels"]] == (150_000, 370_350)
    assert all(row["kind"] == "counted" for row in rows(empty, "movements"))
    layers = {(row["day"], row["surface_group"]) for row in rows(empty, "layer_events")}
    assert (date(2025, 6, 4), "wheels") in layers
    assert len(layers) == 9


def test_bringing_the_same_files_in_twice_changes_nothing(
    empty: Desk, messy_files: list[Path]
) -> None:
    bring_all(empty, messy_files)
    before = contents(empty.book)
    plan, changed = bring_all(empty, messy_files)
    assert (plan.total("new"), plan.total("changed")) == (0, 0)
    assert not plan.changes_something()
    assert changed.name == ""
    assert "Nothing to bring in" in changed.sentence
    assert contents(empty.book) == before


def test_a_bringing_in_is_undone_by_its_name_in_one_step(
    desk: Desk, shop: SmallShop, messy_files: list[Path]
) -> None:
    before = contents(desk.book)
    _, changed = bring_all(desk, messy_files)
    assert contents(desk.book) != before
    assert desk.book.next_undo() == changed.name
    desk.book.undo(today=TODAY)
    assert contents(desk.book) == before
    desk.book.redo(today=TODAY)
    assert contents(desk.book) != before


def test_a_preview_changes_nothing(desk: Desk, messy_files: list[Path]) -> None:
    before = contents(desk.book)
    plan = preview(desk, [read(desk, path) for path in messy_files])
    assert plan.total("new") > 20
    assert contents(desk.book) == before


def test_a_bringing_in_that_is_stopped_leaves_the_book_as_it_was(
    desk: Desk, messy_files: list[Path]
) -> None:
    before = contents(desk.book)
    plan = preview(desk, [read(desk, path) for path in messy_files])
    with pytest.raises(ReadingStopped):
        bring_in(desk, plan, lambda done, total: False)
    assert contents(desk.book) == before
    assert desk.book.next_undo() is None


def test_a_preview_that_is_older_than_the_book_is_refused(
    empty: Desk, bring: Bring, messy_files: list[Path]
) -> None:
    plan = preview(empty, [read(empty, messy_files[0])])
    bring(empty, "Name,Phone\nTom Tarn,2125550190\n")
    with pytest.raises(Mendable, match="changed since the preview"):
        bring_in(empty, plan)


# People


def test_the_same_person_in_two_spellings_with_one_number_is_one(empty: Desk, bring: Bring) -> None:
    plan, _ = bring(
        empty,
        "Name,Phone\nAnn Marlow,212-555-0142\nMarlow Anne,(212) 555 0142\nA. Marlow,2125550142\n",
    )
    assert [line.outcome for line in plan.lines] == ["new", "same", "same"]
    (one,) = rows(empty, "customers")
    assert one["name"] == "Ann Marlow"
    assert "Also called: A. Marlow" in one["notes"]


def test_two_people_of_one_name_with_other_numbers_stay_two(empty: Desk, bring: Bring) -> None:
    plan, _ = bring(empty, "Name,Phone\nAnn Marlow,212-555-0142\nAnn Marlow,212-555-0143\n")
    assert [line.outcome for line in plan.lines] == ["new", "new"]
    assert "another Ann Marlow" in plan.lines[1].details[0]


def test_a_household_that_shares_a_number_is_not_one_person(empty: Desk, bring: Bring) -> None:
    bring(empty, "Name,Phone\nAnn Marlow,212-555-0142\nTom Marlow,212-555-0142\n")
    assert len(rows(empty, "customers")) == 2


def test_a_changed_line_says_what_it_changes_and_the_rest_stays(empty: Desk, bring: Bring) -> None:
    bring(empty, "Name,Phone,City,Notes\nAnn Marlow,212-555-0142,Millbrook,likes mornings\n")
    plan, _ = bring(
        empty, "Name,Phone,City,Email\nAnn Marlow,212-555-0142,Tarn,ann@marlow.example\n"
    )
    (line,) = plan.lines
    assert line.outcome == "changed"
    assert line.details == ("email: ann@marlow.example", "city: Millbrook → Tarn")
    (one,) = rows(empty, "customers")
    assert (one["city"], one["email"], one["notes"]) == (
        "Tarn",
        "ann@marlow.example",
        "likes mornings",
    )


def test_a_stop_is_kept_and_no_file_lifts_it(empty: Desk, bring: Bring) -> None:
    bring(empty, "Name,Phone,Do not contact\nAnn Marlow,212-555-0142,yes\n")
    assert rows(empty, "customers")[0]["may_remind"] is False
    plan, _ = bring(empty, "Name,Phone,Marketing ok\nAnn Marlow,212-555-0142,yes\n")
    assert rows(empty, "customers")[0]["may_remind"] is False
    assert "a file does not lift that" in plan.lines[0].details[0]


def test_a_third_number_and_a_second_address_go_to_the_notes(empty: Desk, bring: Bring) -> None:
    bring(
        empty,
        "Name,Phone,Mobile,Work,Email\n"
        "Ann Marlow,2125550142,2125550143,2125550144,a@x.example; b@x.example\n",
    )
    (one,) = rows(empty, "customers")
    assert one["notes"].splitlines() == ["Other phone: +12125550144", "Other email: b@x.example"]


def test_who_referred_whom_is_linked_whatever_the_order(empty: Desk, bring: Bring) -> None:
    bring(empty, "Name,Phone,Referred by\nAnn Marlow,2125550142,Bob Hill\nBob Hill,2125550143,\n")
    people = {row["name"]: row for row in rows(empty, "customers")}
    assert people["Ann Marlow"]["referred_by_id"] == people["Bob Hill"]["id"]


def test_a_log_that_names_people_shortly_means_those_it_can_only_mean(
    empty: Desk, bring: Bring
) -> None:
    bring(
        empty, "Name,Phone\nAnn & Bob Hill,2125550143\nTom Tarn,2125550144\nZoe Tarn,2125550145\n"
    )
    text = "Date,Customer,Service,Price\n3/14/2025,Hill,Wash,80\n3/15/2025,Tarn,Wash,80\n"
    plan, _ = bring(empty, text)
    people = {row["name"]: row["id"] for row in rows(empty, "customers")}
    jobs = {row["first_day"]: row["customer_id"] for row in rows(empty, "jobs")}
    assert jobs[date(2025, 3, 14)] == people["Ann & Bob Hill"]
    assert jobs[date(2025, 3, 15)] == people["Tarn"], "two Tarns: neither is guessed"
    again, _ = bring(empty, text)
    assert not again.changes_something()
    assert any("the only one so called" in detail for line in plan.lines for detail in line.details)


# Vehicles


def test_a_vehicle_is_found_by_plate_vin_unit_or_words(empty: Desk, bring: Bring) -> None:
    bring(
        empty,
        "Owner,Vehicle,Year,Plate,VIN\nAnn Marlow,blue wagon,2014,7KLM 204,\n"
        "Ann Marlow,red coupe,2009,,1HGCM82633A004352\n",
    )
    plan, _ = bring(
        empty,
        "Owner,Vehicle,Year,Plate,VIN\nAnn Marlow,Wagon,,7klm-204,\nAnn Marlow,coupe,,,\n"
                ",x,,,1HGCM82633A004352\nAnn Marlow,blue wagon,2016,,\n",
    )  # fmt: skip
    assert [line.outcome for line in plan.lines if line.kind == "vehicle"] == [
        "same",
        "same",
        "changed",
        "new",
    ]
    assert len(rows(empty, "vehicles")) == 3


def test_a_vehicle_that_another_holds_is_not_taken_away(empty: Desk, bring: Bring) -> None:
    bring(empty, "Owner,Vehicle,Plate\nAnn Marlow,blue wagon,7KLM 204\n")
    plan, _ = bring(empty, "Owner,Vehicle,Plate\nTom Tarn,blue wagon,7KLM 204\n")
    car = next(line for line in plan.lines if line.kind == "vehicle")
    assert "held by Ann Marlow" in car.details[0]
    assert len(rows(empty, "owner_links")) == 1


# Supplies


def test_stock_opens_once_and_a_later_list_does_not_undo_the_uses_since(
    empty: Desk, bring: Bring
) -> None:
    bring(empty, "Product,Size,Qty,Price\nGlass cleaner,32 oz,2,10\n")
    plan, _ = bring(empty, "Product,Size,Qty,Price\nGlass cleaner,32 oz,5,12\n")
    (line,) = plan.lines
    assert line.outcome == "changed"
    assert line.details[0] == "price: 10.00 → 12.00"
    assert "count the shelf" in line.details[1]
    assert [row["quantity"] for row in rows(empty, "movements")] == [1_892_706]


def test_two_sizes_of_one_supply_are_two_packs_and_their_stock_adds_up(
    empty: Desk, bring: Bring
) -> None:
    bring(empty, "Product,Size,Qty,Price\nPolish,32 oz,1,35\nPolish,8 oz,2,15\n")
    assert len(rows(empty, "supplies")) == 1
    assert sorted(row["label"] for row in rows(empty, "packs")) == ["32 oz", "8 oz"]
    (movement,) = rows(empty, "movements")
    assert (movement["quantity"], movement["value"]) == (946_353 + 473_176, 3500 + 3000)


def test_a_product_put_on_that_is_not_on_the_shelf_is_added_with_its_class(
    empty: Desk, bring: Bring
) -> None:
    bring(
        empty,
        "Date,Customer,Vehicle,Product,Surfaces\n3/14/2025,Ann Marlow,wagon,Carnauba wax,paint\n",
    )
    (supply,) = rows(empty, "supplies")
    assert (supply["name"], supply["protection"]) == ("Carnauba wax", "carnauba wax")
    assert rows(empty, "movements") == []


# Jobs and money


def test_rows_with_one_invoice_number_are_one_job_with_several_charges(
    empty: Desk, bring: Bring
) -> None:
    text = (
        "Invoice,Date,Customer,Service,Hours,Price\n"
        "7,3/14/2025,Ann Marlow,Wash,1,60\n7,3/14/2025,Ann Marlow,Wax,2,120\n"
    )
    bring(empty, text)
    (job,) = rows(empty, "jobs")
    assert (job["title"], job["number"]) == ("Wash, Wax", 7)
    assert [row["amount"] for row in rows(empty, "charges")] == [6000, 12_000]
    assert sum(row["minutes"] for row in rows(empty, "hours")) == 180
    again, _ = bring(empty, text)
    assert not again.changes_something()


def test_two_alike_rows_of_one_log_are_two_jobs(empty: Desk, bring: Bring) -> None:
    text = "Date,Customer,Service,Price\n" + "3/14/2025,Teller's Bakery LLC,Fleet wash,45\n" * 2
    bring(empty, text)
    assert len(rows(empty, "jobs")) == 2
    again, _ = bring(empty, text)
    assert not again.changes_something()


def test_a_payment_told_by_the_log_and_by_a_list_of_payments_counts_once(
    empty: Desk, bring: Bring
) -> None:
    bring(
        empty,
        "Invoice,Date,Customer,Service,Total,Paid\n7,3/14/2025,Ann Marlow,Wash,60,60\n"
        "8,3/15/2025,Ann Marlow,Wax,90,\n",
    )
    plan, _ = bring(
        empty,
        "Date,From,Amount,Method,For invoice\n3/16/2025,Ann Marlow,60,check,7\n"
        "3/17/2025,Ann Marlow,90,cash,8\n",
    )
    assert [line.outcome for line in plan.lines if line.kind == "receipt"] == ["same", "new"]
    assert sorted(row["amount"] for row in rows(empty, "receipts")) == [6000, 9000]
    jobs = {row["number"]: row["id"] for row in rows(empty, "jobs")}
    assert {row["job_id"] for row in rows(empty, "receipts")} == set(jobs.values())


def test_a_job_on_a_day_to_come_is_booked_and_one_of_the_past_is_done(
    empty: Desk, bring: Bring
) -> None:
    bring(empty, "Date,Customer,Service\n2025-03-14,Ann Marlow,Wash\n2025-09-01,Ann Marlow,Wax\n")
    states = {row["first_day"]: (row["state"], row["done_on"]) for row in rows(empty, "jobs")}
    assert states == {
        date(2025, 3, 14): ("done", date(2025, 3, 14)),
        date(2025, 9, 1): ("booked", None),
    }


def test_numbers_that_are_taken_are_kept_in_the_notes(
    desk: Desk, shop: SmallShop, bring: Bring
) -> None:
    taken = min(row["number"] for row in rows(desk, "jobs"))
    bring(desk, f"Invoice,Date,Customer,Service\n{taken},2024-03-14,Tom Tarn,Wash\n")
    job = next(row for row in rows(desk, "jobs") if row["first_day"] == date(2024, 3, 14))
    assert job["number"] != taken
    assert job["notes"] == f"No. {taken}"


def test_lines_that_cannot_be_read_are_shown_and_left_out(empty: Desk, bring: Bring) -> None:
    plan, _ = bring(
        empty, "Date,Customer,Service,Price\nsoon,Ann Marlow,Wash,60\n3/14/2025,Bob Hill,Wash,60\n"
    )
    bad = [line for line in plan.lines if line.outcome == "cannot"]
    assert [line.what for line in bad] == ["no date, Ann Marlow: Wash"]
    assert all(problem.endswith(".") for problem in bad[0].problems)
    assert len(rows(empty, "jobs")) == 1


# A full export


def test_the_small_shop_goes_out_and_comes_into_a_new_book_whole(
    desk: Desk, tmp_path: Path
) -> None:
    out = export(desk, tmp_path / "all.xlsx")
    other = new_desk(tmp_path / "other.bayledger")
    plan, _ = bring_all(other, [out])
    assert plan.total("cannot") == 0
    assert contents(other.book) == contents(desk.book)
    assert other.book.check() == []
    other.book.undo(today=TODAY)
    assert rows(other, "customers") == []
    other.book.close()


def test_an_export_brought_into_its_own_book_changes_nothing(desk: Desk, tmp_path: Path) -> None:
    out = export(desk, tmp_path / "all.xlsx")
    plan, changed = bring_all(desk, [out])
    assert (plan.total("new"), plan.total("changed"), plan.total("cannot")) == (0, 0, 0)
    assert changed.name == ""


def test_what_a_person_changed_in_an_export_is_changed_in_the_book(
    desk: Desk, tmp_path: Path
) -> None:
    out = export(desk, tmp_path / "all.xlsx")
    book = load_workbook(out)
    sheet = book["Customers"]
    names = {cell.value: cell.column for cell in sheet[1]}
    sheet.cell(2, names["City"], "Tarn")
    sheet.append([None, "Tom Tarn"])
    supplies = book["Supplies"]
    place = {cell.value: cell.column for cell in supplies[1]}["Shelf place"]
    supplies.cell(2, place, "B4")
    ledger = book["Stock ledger"]
    ledger.cell(2, {cell.value: cell.column for cell in ledger[1]}["Note"], "changed by hand")
    book.save(out)
    plan, _ = bring_all(desk, [out])
    told = {(line.kind, line.outcome): line for line in plan.lines if line.outcome != "same"}
    assert set(told) == {("customers", "changed"), ("customers", "new"), ("supplies", "changed")}
    assert rows(desk, "customers")[0]["city"] == "Tarn"
    assert rows(desk, "customers")[-1]["name"] == "Tom Tarn"
    assert rows(desk, "supplies")[0]["shelf_place"] == "B4"
    kept = next(line for line in plan.lines if line.kind == "movements")
    assert "what is booked is not changed by a file" in kept.details[0]


def test_an_export_of_another_book_joins_what_is_there(
    desk: Desk, shop: SmallShop, tmp_path: Path, messy_files: list[Path]
) -> None:
    other = new_desk(tmp_path / "other.bayledger")
    bring_all(other, messy_files)
    out = export(other, tmp_path / "all.xlsx")
    before = len(rows(desk, "customers"))
    plan, _ = bring_all(desk, [out])
    assert plan.total("cannot") == 0
    assert len(rows(desk, "customers")) == before + len(rows(other, "customers"))
    assert desk.book.check() == []
    again, _ = bring_all(desk, [out])
    assert not again.changes_something()
    other.book.close()


def test_an_export_in_another_currency_is_not_mixed_in(desk: Desk, tmp_path: Path) -> None:
    euros = new_desk(tmp_path / "euros.bayledger", currency="EUR")
    out = export(euros, tmp_path / "all.xlsx")
    with pytest.raises(Mendable, match="is in EUR and this book in USD"):
        preview(desk, [read(desk, out)])
    euros.book.close()


def test_a_damaged_row_of_an_export_takes_along_only_what_rests_on_it(
    desk: Desk, tmp_path: Path
) -> None:
    out = export(desk, tmp_path / "all.xlsx")
    book = load_workbook(out)
    sheet = book["Supplies"]
    sheet.cell(2, {cell.value: cell.column for cell in sheet[1]}["Measured as"], "jelly")
    book.save(out)
    other = new_desk(tmp_path / "other.bayledger")
    plan, _ = bring_all(other, [out])
    bad = {line.kind for line in plan.lines if line.outcome == "cannot"}
    assert "supplies" in bad
    assert "movements" in bad
    assert len(rows(other, "supplies")) == len(rows(desk, "supplies")) - 1
    assert other.book.check() == []
    other.book.close()


# Any list


_NAMES = st.sampled_from(["Ann Marlow", "Marlow, Ann", "A. Marlow", "Bob Hill", "Robert Hill",
"Hill", "Zoe Dunmore",
                          "Ann & Bob Hill", "Teller's Bakery LLC", "Tellers Bakery", "Tom Tarn",
                          ""])  # fmt: skip
_PHONES = st.sampled_from(["", "212-555-0142", "(212) 555 0143", "2125550144", "555-0199"])
_MAILS = st.sampled_from(["", "ann@marlow.example", "hill@hill.example", "not a mail"])
_CARS = st.sampled_from(
    ["", "blue wagon", "2014 blue wagon", "wagon", "red coupe", "van no. 3", "plate QRS 118"]
)
_WORK = st.sampled_from(["", "Wash", "Wax", "Wash + wax"])
_DAYS = st.sampled_from(["2025-03-14", "2025-03-15", "3/14/2025", "soon"])
_MONEY = st.sampled_from(["", "60", "$120.00", "-5", "lots"])


def _twice_and_back(files: dict[str, str]) -> None:
    """Bring files in, again, and undo: the second time changes nothing, undo leaves nothing."""
    with tempfile.TemporaryDirectory() as folder:
        desk = new_desk(Path(folder) / "shop.bayledger")
        paths = []
        for name, text in files.items():
            paths.append(Path(folder) / name)
            paths[-1].write_text(text, encoding="utf-8")
        before = contents(desk.book)
        _, changed = bring_all(desk, paths)
        told = contents(desk.book)
        again, _ = bring_all(desk, paths)
        moved = [line for line in again.lines if line.outcome in ("new", "changed")]
        assert not again.changes_something(), moved
        assert contents(desk.book) == told
        assert desk.book.check() == []
        if changed.name:
            desk.book.undo(today=TODAY)
        assert contents(desk.book) == before
        desk.book.close()


def _table(headings: str, rows: list[tuple[str, ...]]) -> str:
    return headings + "\n" + "".join("|".join(row) + "\n" for row in rows)


@pytest.mark.slow
@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    people=st.lists(st.tuples(_NAMES, _PHONES, _MAILS, _CARS), max_size=7),
    work=st.lists(st.tuples(_DAYS, _NAMES, _CARS, _WORK, _MONEY, _MONEY), max_size=7),
)
def test_any_list_brought_in_twice_changes_nothing_the_second_time_and_is_undone_whole(
    people: list[tuple[str, ...]], work: list[tuple[str, ...]]
) -> None:
    _twice_and_back(
        {
            "people.csv": _table("Name|Phone|Email|Vehicle", people),
            "work.csv": _table("Date|Customer|Vehicle|Service|Price|Paid", work),
        }
    )


_SUPPLIES = st.sampled_from(
    ["Glass cleaner", "glass cleaner", "Carnauba paste", "Towels", "Polish 32 oz", "Wax", "",
     "Ceramic coating 2 year"]
)  # fmt: skip
_SIZES = st.sampled_from(["", "32 oz", "1 gal", "box of 50", "8 oz tin", "30 ml", "some"])
_STOCKS = st.sampled_from(["", "2", "1/2", "16 oz", "3 boxes", "empty", "lots", "-1"])
_FROM = st.sampled_from(["", "Northgate", "northgate", "Tarn & Sons", "orders@tarn.example"])
_WAYS = st.sampled_from(["", "cash"])
_WHERE = st.sampled_from(["", "roof", "glass"])
_NUMBERS = st.sampled_from(["", "7", "8", "INV-9"])


@pytest.mark.slow
@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    shelf=st.lists(st.tuples(_SUPPLIES, _SIZES, _STOCKS, _MONEY, _FROM), max_size=6),
    layers=st.lists(
        st.tuples(_DAYS, _NAMES, _CARS, _SUPPLIES, st.sampled_from(["", "roof", "glass"])),
        max_size=5,
    ),
    jobs=st.lists(st.tuples(_NUMBERS, _DAYS, _NAMES, _WORK, _MONEY, _MONEY), max_size=5),
    payments=st.lists(st.tuples(_DAYS, _NAMES, _MONEY, _WAYS, _NUMBERS), max_size=5),
)
def test_any_shelf_layers_jobs_and_payments_twice_change_nothing_the_second_time(
    shelf: list[tuple[str, ...]],
    layers: list[tuple[str, ...]],
    jobs: list[tuple[str, ...]],
    payments: list[tuple[str, ...]],
) -> None:
    _twice_and_back(
        {
            "shelf.csv": _table("Product|Size|Qty|Price|Supplier", shelf),
            "layers.csv": _table("Applied on|Customer|Vehicle|Protection applied|Surfaces", layers),
            "jobs.csv": _table("Invoice|Date|Customer|Service|Total|Paid", jobs),
            "payments.csv": _table("Date|Customer|Amount|Method|For invoice", payments),
        }
    )
