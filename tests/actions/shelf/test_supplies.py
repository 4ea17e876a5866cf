"""The Shelf and a supply's page: what stands there, how long it lasts, and its facts."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.day.closing import close_day
from app.actions.day.supplies_used import set_use, supplies_used
from app.actions.orders.order_writing import set_packs, write_orders
from app.actions.orders.suppliers import add_supplier, edit_supplier, list_suppliers
from app.actions.shelf.pack_page import pack_page
from app.actions.shelf.shelf import shelf
from app.actions.shelf.supplies import supply_note, supply_page
from app.actions.shelf.supply_uses import supply_uses
from app.actions.stock.stock import count, waste
from app.actions.stock.supply_facts import add_pack, add_supply, edit_supply, set_price, use_up
from app.errors import Mendable
from app.records.models import Pack, Supplier, Supply
from tests.shop import TODAY

ML = 1000


def row(desk, shop, supply, day=TODAY):
    return next(
        one
        for group in shelf(desk, day).groups
        for one in group.rows
        if one.supply_id == shop.supplies[supply]
    )


def test_the_shelf_groups_by_supplier_and_says_when_each_delivers(desk, shop):
    groups = shelf(desk, TODAY).groups
    assert [group.name for group in groups] == ["Friday parcel", "Tuesday van"]
    assert groups[1].deliveries_text.startswith("next ")
    assert {one.name for one in groups[1].rows} == {
        "Wash soap", "Wheel cleaner", "Finishing polish", "Cloths"
    }  # fmt: skip
    covers = [one.cover_days for one in groups[1].rows if one.cover_days is not None]
    assert covers == sorted(covers)


def test_the_shelf_is_worth_what_was_paid_for_what_stands_there(desk, shop):
    place = shelf(desk, TODAY)
    assert (place.count, place.worth_text) == (6, "264.00")
    assert place.counted_text == "Never counted"
    count(desk, TODAY, shop.supplies["wax"], "180 g")
    assert shelf(desk, TODAY).counted_text == "Counted last on Thursday 14 August"


def test_the_day_sheet_and_the_shelf_say_the_same_of_a_supply(desk, shop):
    for used in supplies_used(desk, TODAY).rows:
        on_shelf = next(
            one
            for group in shelf(desk, TODAY).groups
            for one in group.rows
            if one.supply_id == used.supply_id
        )
        assert (on_shelf.on_hand, on_shelf.cover_days, on_shelf.alert) == (
            used.left,
            used.cover_days,
            used.alert,
        )


def test_what_is_ordered_now_and_on_its_way_stands_in_its_row(desk, shop):
    set_packs(desk, TODAY, shop.supplies["wax"], shop.packs["wax"], 2)
    now = row(desk, shop, "wax")
    assert (now.packs, now.cost_text, now.folded) == (2, "66.00", False)
    write_orders(desk, TODAY, [shop.suppliers["parcel"]])
    after = row(desk, shop, "wax")
    assert (after.packs, after.on_order_text) == (0, "400")
    assert after.on_order_day is not None


def test_below_zero_is_an_alarm(desk, shop):
    waste(desk, TODAY, shop.supplies["wax"], "200 g")
    assert row(desk, shop, "wax").alert == "wrong"
    assert supply_note(desk, TODAY, shop.supplies["wax"]).alert_text == "Below zero: count it"


def test_what_is_being_used_up_raises_no_alarm_and_is_not_ordered(desk, shop):
    count(desk, TODAY, shop.supplies["coating"], "10 mL")
    assert row(desk, shop, "coating").alert == "wrong"
    changed = use_up(desk, shop.supplies["coating"])
    assert changed.name == "Use up Ceramic layer, don't reorder"
    after = row(desk, shop, "coating")
    assert (after.alert, after.packs) == ("", 0)
    use_up(desk, shop.supplies["coating"], False)
    assert row(desk, shop, "coating").packs >= 1


def test_the_margin_names_the_jobs_that_need_it(desk, shop):
    note = supply_note(desk, TODAY, shop.supplies["coating"])
    assert ("Job 0412, Friday 15", "−18.2 mL", "") in note.facts
    assert any("one booked job needs 18.2 mL" in said for said in note.voice)
    assert note.voice[-1] == "Bought last for 2.63 a mL, 31 July."


def test_a_supplys_page_has_its_ledger_packs_lots_and_hazards(desk, shop):
    close_day(desk, TODAY)
    page = supply_page(desk, TODAY, shop.supplies["wheel"])
    assert [line.kind for line in page.ledger] == ["used", "received"]
    assert page.ledger[0].job_number == 411
    pack = pack_page(desk, TODAY, shop.supplies["wheel"]).packs[0]
    assert (pack.pack.label, pack.each_text) == ("5 L", "0.01 a mL")
    (kind,) = supply_uses(desk, shop.supplies["wheel"]).kinds
    (used,) = kind.lines
    assert (used.use.job_number, used.use.quantity, used.use.state) == (411, 120_000, "recipe")
    assert page.hazards[0] == "Danger: Causes severe skin burns"
    assert page.lead_text == "No delivery was seen yet."
    coating = supply_page(desk, TODAY, shop.supplies["coating"])
    assert [one.lot.code for one in coating.lots] == ["L1"]


def test_a_supply_needs_nothing_but_a_name_of_its_own(desk, shop):
    changed, supply_id = add_supply(desk, "Trim coating")
    assert changed.name == "Added supply Trim coating"
    assert supply_id not in shop.supplies.values()
    with pytest.raises(Mendable, match="already"):
        add_supply(desk, "wash SOAP")
    with pytest.raises(Mendable, match="needs a name"):
        add_supply(desk, "  ")


def test_facts_come_as_people_type_them(desk, shop):
    soap = shop.supplies["soap"]
    edit_supply(
        desk,
        soap,
        bottle="32 oz",
        tare="58 g",
        dilution="1/2 oz per gal",
        shelf_life_days="730",
        hazard_statements="Causes eye irritation; Keep from frost",
        stopped=True,
    )
    with desk.book.reading() as session:
        supply = session.get_one(Supply, soap)
        assert supply.bottle == 946_353  # 32 US fluid ounces
        assert (supply.tare, supply.dilution, supply.shelf_life_days) == (58_000, 256_000, 730)
        assert supply.hazard_statements == ["Causes eye irritation", "Keep from frost"]


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("density", "20", "between 500 and 3,000"),
        ("protection", "everlasting", "class of protection"),
        ("costing", "guess", "average or by lot"),
        ("shelf_life_days", "soon", "whole number"),
        ("shelf_life_days", -1, "below zero"),
        ("kind", "gas", "liquid, a paste or pieces"),
        ("kind", "paste", "stays a liquid"),
        ("colour", "red", "has no"),
    ],
)
def test_a_fact_that_cannot_be_says_why_and_changes_nothing(desk, shop, field, value, says):
    with pytest.raises(Mendable, match=says):
        edit_supply(desk, shop.supplies["soap"], **{field: value})
    assert desk.book.next_undo() is None


@pytest.mark.parametrize(
    ("label", "size"),
    [("1 gal", 3_785_412), ("3 x 32 oz", 2_839_059), ("500 mL", 500_000), ("2x1 L", 2_000_000)],
)
def test_a_packs_size_is_read_from_its_label(desk, shop, label, size):
    _, pack_id = add_pack(desk, shop.supplies["soap"], label, "$19.90", code="S-1")
    with desk.book.reading() as session:
        pack = session.get_one(Pack, pack_id)
        assert (pack.size, pack.price, pack.code) == (size, 1990, "S-1")


def test_a_price_is_set_from_today(desk, shop):
    set_price(desk, shop.packs["soap"], "12.75")
    with desk.book.reading() as session:
        pack = session.get_one(Pack, shop.packs["soap"])
        assert (pack.price, pack.priced_on) == (1275, TODAY)


def test_suppliers_are_added_and_changed(desk, shop):
    _, supplier = add_supplier(desk, "Corner store", freight="0", order_weekdays=[0, 3])
    edit_supplier(desk, supplier, free_freight_from="99.00", promised_days="2", notes="Same day")
    with desk.book.reading() as session:
        row_ = session.get_one(Supplier, supplier)
        assert (row_.free_freight_from, row_.promised_days, row_.order_weekdays) == (9900, 2, "0,3")
    assert "Corner store" in [one.name for one in list_suppliers(desk)]
    with pytest.raises(Mendable, match="below zero"):
        edit_supplier(desk, supplier, freight="-3")


def test_a_closed_day_shows_the_shelf_as_it_stood_then(desk, shop, clock):
    close_day(desk, TODAY)
    later = TODAY + timedelta(days=6)
    clock.go_to(later)
    waste(desk, later, shop.supplies["soap"], "1 L")
    assert row(desk, shop, "soap").on_hand == 1921 * ML
    assert row(desk, shop, "soap", later).on_hand < 1000 * ML


def test_the_head_says_what_is_left_and_until_when(desk, shop):
    def said(supply):
        return supply_page(desk, TODAY, shop.supplies[supply]).left_text

    # As the shelf's own row says it: one source for both.
    out = TODAY + timedelta(days=row(desk, shop, "coating").cover_days)
    assert said("coating") == f"60 mL, lasts to {out.day} {out:%B}"
    assert said("wax") == "180 g, lasts over a year"
    count(desk, TODAY, shop.supplies["wax"], "0")
    assert said("wax") == "none left"
    set_use(desk, TODAY, shop.jobs["0411"], shop.supplies["wax"], "20 g")
    assert said("wax").endswith(", count it")
    edit_supply(desk, shop.supplies["cloths"], pool="paint", pool_load=25)
    assert "lasts" not in said("cloths"), "what is taken of a pool comes back"
