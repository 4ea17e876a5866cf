"""Announced days and price breaks: written, changed, removed, undone, and read by the rule."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.desk.settings import Settings
from app.actions.orders.order_proposal import what_to_order
from app.actions.orders.order_writing import orders_written, set_packs, write_orders
from app.actions.orders.receiving import receive
from app.actions.orders.rule_facts import containers_in
from app.actions.orders.shelf_state import shelf_state
from app.actions.orders.supplier_terms import (
    add_days,
    announced_days,
    breaks_text,
    change_days,
    remove_days,
    set_breaks,
    shown_day,
)
from app.actions.orders.suppliers import add_supplier, edit_supplier
from app.actions.shelf.pack_page import pack_page
from app.actions.shelf.shelf import shelf
from app.actions.shelf.supplies import supply_note, supply_page
from app.actions.shop.shop_settings import set_typed, shelf_money_text
from app.actions.stock.stock import count
from app.actions.stock.supply_facts import add_pack, edit_supply, set_price
from app.calculations.orders.announced import occurrences
from app.calculations.orders.shelf_state import OrderSettings
from app.errors import Mendable
from app.records.contents import contents
from app.records.queries import orders as order_queries
from app.records.queries import terms
from tests.shop import TODAY


def days_of(desk, shop, key: str = "van"):
    return announced_days(desk, shop.suppliers[key])


def breaks_of(desk, shop, key: str):
    with desk.book.reading() as session:
        return terms.breaks(session).get(shop.packs[key], ())


def test_a_cold_stop_is_typed_as_people_say_it_and_crosses_the_new_year(desk, shop):
    changed, _ = add_days(desk, shop.suppliers["van"], "cold", "1 Dec", "28 Feb", yearly=True)
    (one,) = days_of(desk, shop)
    assert (one.first_day, one.last_day) == (date(2025, 12, 1), date(2026, 2, 28))
    assert (one.kind, shown_day(one, one.first_day), shown_day(one, one.last_day)) == (
        "cold", "1 December", "28 February",
    )  # fmt: skip
    assert changed.name == "Noted a cold stop of Tuesday van"


def test_the_rule_reads_what_was_announced(desk, shop):
    van = shop.suppliers["van"]
    add_days(desk, van, "cold", "1 Dec", "28 Feb", yearly=True)
    add_days(desk, van, "sale", "20 Aug", "24 Aug")
    desk.reload()
    found = next(one for one in shelf_state(desk, TODAY).suppliers if one.supplier == van)
    assert (date(2025, 12, 1).toordinal(), date(2026, 2, 28).toordinal()) in found.cold_spans
    assert (date(2026, 12, 1).toordinal(), date(2027, 2, 28).toordinal()) in found.cold_spans
    assert found.sale_spans == ((date(2025, 8, 20).toordinal(), date(2025, 8, 24).toordinal()),)


def test_days_are_changed_removed_and_brought_back(desk, shop):
    before = contents(desk.book)
    _, one = add_days(desk, shop.suppliers["van"], "sale", "20 Aug", "24 Aug", note="fifteen off")
    change_days(desk, one, first_day="22 Aug", last_day="29 Aug", yearly=True)
    (shown,) = days_of(desk, shop)
    assert (shown.first_day, shown.last_day, shown.yearly, shown.note) == (
        date(2025, 8, 22), date(2025, 8, 29), True, "fifteen off",
    )  # fmt: skip
    remove_days(desk, one)
    assert not days_of(desk, shop)
    for _ in range(3):
        desk.book.undo(today=TODAY)
    assert contents(desk.book) == before


def test_a_first_day_moved_behind_the_last_moves_it_along(desk, shop):
    _, one = add_days(desk, shop.suppliers["van"], "sale", "20 Aug", "24 Aug")
    change_days(desk, one, first_day="1 Sep")
    (shown,) = days_of(desk, shop)
    assert (shown.first_day, shown.last_day) == (date(2025, 9, 1), date(2025, 9, 5))


def test_what_changes_nothing_is_no_action(desk, shop):
    _, one = add_days(desk, shop.suppliers["van"], "sale", "20 Aug", "24 Aug")
    assert change_days(desk, one, last_day="24 Aug").name == ""


@pytest.mark.parametrize(
    ("kind", "first", "last", "said"),
    [
        ("warm", "1 Dec", "", "a sale or a cold stop"),
        ("cold", "", "", "first day"),
        ("cold", "someday", "", "is no day"),
        ("sale", "20 Aug 2025", "1 Aug 2025", "before they begin"),
        ("sale", "20 Aug 2025", "1 Sep 2026", "over a year"),
        ("sale", "10 Mar 2028", "29 Feb", "over a year"),
    ],
)
def test_days_that_cannot_be_are_refused_in_a_sentence(desk, shop, kind, first, last, said):
    with pytest.raises(Mendable, match=said):
        add_days(desk, shop.suppliers["van"], kind, first, last)
    assert not days_of(desk, shop)


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.integers(0, 300),
       st.dates(date(1990, 1, 1), date(2090, 1, 1)))  # fmt: skip
def test_yearly_days_come_back_on_the_same_days_of_the_year(first, length, around):
    last = date.fromordinal(first.toordinal() + length)
    spans = occurrences(first, last, True, around)
    begins = [date.fromordinal(one) for one, _ in spans]
    assert [one.year for one in begins] == sorted({one.year for one in begins})
    assert {around.year - 1, around.year, around.year + 1} <= {one.year for one in begins}
    assert all((one.month, one.day) in {(first.month, first.day), (2, 28)} for one in begins)
    assert all(abs((end - start) - length) <= 1 for start, end in spans)


def test_breaks_are_set_changed_and_taken_away(desk, shop):
    before = contents(desk.book)
    pack = shop.packs["soap"]
    set_breaks(desk, pack, "4 at 10.50; 12 at 9")
    assert breaks_of(desk, shop, "soap") == ((4, 1050), (12, 900))
    assert breaks_text(desk, breaks_of(desk, shop, "soap")) == "4 at 10.50; 12 at 9.00"
    assert set_breaks(desk, pack, "from 12: 9.00, 4: 10.50").name == ""
    set_breaks(desk, pack, "6 at 10; 12 at 9")
    assert breaks_of(desk, shop, "soap") == ((6, 1000), (12, 900))
    set_breaks(desk, pack, "")
    assert breaks_of(desk, shop, "soap") == ()
    desk.book.undo(today=TODAY)
    assert breaks_of(desk, shop, "soap") == ((6, 1000), (12, 900))
    for _ in range(2):
        desk.book.undo(today=TODAY)
    assert contents(desk.book) == before


def test_breaks_reach_the_rule(desk, shop):
    set_breaks(desk, shop.packs["soap"], "4 at 10.50")
    supplies = {one.supply: one for one in shelf_state(desk, TODAY).supplies}
    assert supplies[shop.supplies["soap"]].packs[0].breaks == ((4, 1050),)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.sampled_from(["", "2 at 9", "4 at 11; 6 at 10", "4 at 10", "3 at 11.99"]),
                min_size=1, max_size=5))  # fmt: skip
def test_every_change_of_breaks_can_be_undone(desk, shop, typed):
    start = contents(desk.book)
    seen = [start]
    for one in typed:
        if set_breaks(desk, shop.packs["soap"], one).name:
            seen.append(contents(desk.book))
    for expected in reversed(seen[:-1]):
        desk.book.undo(today=TODAY)
        assert contents(desk.book) == expected


def test_settings_and_the_rule_start_from_the_same_numbers(desk, shop):

    shop_wide, rule = Settings(), OrderSettings()
    assert (
        shop_wide.service_quantile,
        shop_wide.freight_days,
        shop_wide.longest_days,
    ) == (rule.quantile, rule.freight_days, rule.longest_days)
    assert shelf_state(desk, TODAY).settings == rule


def test_how_long_money_may_lie_for_freight_is_the_shops_to_set(desk, shop):

    set_typed(desk, "freight_days", "30 days")
    assert shelf_state(desk, TODAY).settings.freight_days == 30
    assert shelf_state(desk, TODAY).settings.money_per_year == pytest.approx(365 / 30 / 12)
    with pytest.raises(Mendable, match="cost as much again"):
        set_typed(desk, "freight_days", "0")


def test_the_price_of_money_on_the_shelf_is_told_in_money(desk, shop):
    assert shelf_money_text(desk) == (
        "Goods that lie on the shelf tie up money. 100.00 of them bought a month early is reckoned "
        "24.33 dearer, so more than that must be saved in freight. In a larger pack it is 24.33 "
        "for each year, to be saved in its price."
    )


def soap_line(desk, shop):

    return next(
        line
        for one in what_to_order(desk, TODAY).suppliers
        for line in one.lines
        if line.supply_id == shop.supplies["soap"]
    )


def test_a_line_costs_what_its_number_of_packs_costs(desk, shop):

    pack = shop.packs["soap"]
    set_breaks(desk, pack, "4 at 10.50; 12 at 9")
    for packs, price, cost in (
        (3, 1200, 3600),
        (4, 1050, 4200),
        (11, 1050, 11550),
        (12, 900, 10800),
    ):
        set_packs(desk, TODAY, shop.supplies["soap"], pack, packs)
        line = soap_line(desk, shop)
        assert (line.price, line.cost) == (price, cost)
    assert line.break_text == "Twelve or more at 9.00 instead of 12.00 save 36.00."
    set_packs(desk, TODAY, shop.supplies["soap"], pack, 3)
    assert soap_line(desk, shop).break_text == "From four on one costs 10.50."


def test_a_delivery_at_the_broken_price_leaves_the_price_of_one_alone(desk, shop):

    pack = shop.packs["soap"]
    set_breaks(desk, pack, "4 at 10.50")
    set_packs(desk, TODAY, shop.supplies["soap"], pack, 4)
    write_orders(desk, TODAY, [shop.suppliers["van"]])
    (order_id,) = orders_written(desk, TODAY)
    with desk.book.reading() as session:
        (order,) = order_queries.orders_by_id(session, [order_id])
    line = next(one for one in order.lines if one.supply_id == shop.supplies["soap"])
    assert line.price == 1050
    receive(desk, TODAY, order_id, {line.line_id: 2}, freight=0)
    assert supply_page(desk, TODAY, shop.supplies["soap"]).packs[0].price == 1200
    receive(desk, TODAY, order_id, {line.line_id: 2}, freight=0, prices={line.line_id: 1100})
    assert supply_page(desk, TODAY, shop.supplies["soap"]).packs[0].price == 1200
    assert breaks_of(desk, shop, "soap") == ((4, 1100),)


def test_prices_paid_are_listed_with_their_freight(desk, shop):

    soap = shop.supplies["soap"]
    set_packs(desk, TODAY, soap, shop.packs["soap"], 2)
    write_orders(desk, TODAY, [shop.suppliers["van"]])
    (order_id,) = orders_written(desk, TODAY)
    with desk.book.reading() as session:
        (order,) = order_queries.orders_by_id(session, [order_id])
    others = {one.line_id: 0 for one in order.lines}
    line = next(one for one in order.lines if one.supply_id == soap)
    receive(desk, TODAY, order_id, others | {line.line_id: 2}, freight=600)
    (paid,) = pack_page(desk, TODAY, soap).paid
    # two for 12.00 each and 6.00 of freight: 15.00 each
    assert (paid.paid.pack_label, paid.paid.price, paid.landed_text) == ("1 L", 1200, "15.00")
    assert (paid.paid.day, paid.paid.supplier) == (TODAY, "Tuesday van")


def test_a_card_says_why_the_pack_is_the_one_that_is_taken(desk, shop):
    """The soap is used by bookings alone; opened it would have to be used up within nine weeks."""
    soap = shop.supplies["soap"]
    edit_supply(desk, soap, opened_life_days=60)
    add_pack(desk, soap, "50 L", "300.00")
    page = pack_page(desk, TODAY, soap)
    assert [one.pack.label for one in page.packs if one.taken] == ["1 L"]
    (why,) = page.why
    assert why.startswith("50 L would last ")
    assert why.endswith(", opened it keeps 9 weeks: 1 L.")


@pytest.mark.parametrize(
    ("label", "number"), [("3 x 32 oz", 3), ("12×1 L", 12), ("1 gal", 1), ("50 pairs", 1), ("x", 1)]
)
def test_containers_are_counted_by_the_label(label, number):
    assert containers_in(label) == number


def test_what_is_due_on_another_weekday_is_said_on_the_shelf_and_the_day_sheet(desk, shop):

    van, soap = shop.suppliers["van"], shop.supplies["soap"]
    count(desk, TODAY, soap, "0 ml")
    edit_supplier(desk, van, order_weekdays="mon")  # it is a Thursday
    view = shelf(desk, TODAY)
    group = next(one for one in view.groups if one.supplier_id == van)
    assert "orders go out on Monday" in group.waits_text
    row = next(one for one in group.rows if one.supply_id == soap)
    assert row.why_not == "Due, but orders to Tuesday van go out on Monday."
    assert row.why_not in supply_note(desk, TODAY, soap).voice
    assert ("Tuesday van", group.waits_text) in what_to_order(desk, TODAY).waits
    edit_supplier(desk, van, order_weekdays="")
    view = shelf(desk, TODAY)
    group = next(one for one in view.groups if one.supplier_id == van)
    assert group.waits_text == ""


def test_in_a_cold_stop_what_freezes_is_said_to_wait(desk, shop):

    van, soap = shop.suppliers["van"], shop.supplies["soap"]
    edit_supply(desk, soap, no_frost=True)
    count(desk, TODAY, soap, "0 ml")
    add_days(desk, van, "cold", "1 Aug 2025", "20 Aug 2025")
    lines = {line.supply_id for one in what_to_order(desk, TODAY).suppliers for line in one.lines}
    assert soap not in lines
    (said,) = [one for one in supply_note(desk, TODAY, soap).voice if "freezes" in one]
    assert said.startswith("Due, but Tuesday van sends nothing that freezes until 20 August")


def test_who_would_be_in_time_is_said_with_what_it_costs_more(desk, shop):

    soap = shop.supplies["soap"]
    count(desk, TODAY, soap, "1 ml")
    _, store = add_supplier(desk, "Pell Street", promised_days=1)
    _, near_by = add_pack(desk, soap, "0.5 L", "9.00", supplier_id=store)
    view = what_to_order(desk, TODAY)
    found = [line.sooner for one in view.suppliers for line in one.lines if line.sooner]
    found += list(view.sooner)
    (other,) = [one for one in found if one.supply_id == soap]
    assert (other.pack_id, other.supplier) == (near_by, "Pell Street")
    assert other.text.startswith("Pell Street has it by tomorrow: ")
    assert "dearer" in other.text


@pytest.mark.parametrize(
    ("label", "size"),
    [
        ("30 mL bottle", 30_000),
        ("2 x 1 L jugs", 2_000_000),
        ("500 ml can", 500_000),
        ("5 L", 5_000_000),
    ],
)
def test_a_pack_may_say_what_it_comes_in(desk, shop, label, size):
    _, pack = add_pack(desk, shop.supplies["soap"], label, "10.00")
    packs = supply_page(desk, TODAY, shop.supplies["soap"]).packs
    assert next(one for one in packs if one.pack_id == pack).size == size


def test_a_price_under_its_own_break_is_kept_and_asked_about(desk, shop):
    set_breaks(desk, shop.packs["soap"], "4 at 10.50")
    assert set_price(desk, shop.packs["soap"], "11.00").question == ""
    changed = set_price(desk, shop.packs["soap"], "10.00")
    assert changed.question.startswith("From 4 packs on one costs 10.50, no less than alone now.")
    assert supply_page(desk, TODAY, shop.supplies["soap"]).packs[0].price == 1000
