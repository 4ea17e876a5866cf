"""A supplier's page: terms, lead times really seen, orders so far; finding one by name."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.actions.finding import find
from app.actions.orders.rule_facts import offers
from app.actions.orders.supplier_page import (
    lead_sentence,
    lead_times,
    supplier_lines,
    supplier_page,
)
from app.actions.orders.suppliers import add_supplier, edit_supplier
from app.actions.shelf.pack_page import pack_page
from app.actions.stock.supply_facts import add_pack, edit_supply
from app.errors import Mendable
from app.records.models import Order, OrderLine
from tests.shop import TODAY


def ordered(desk, shop, day: date, took: int | None, number: int, state: str = "received") -> None:
    with desk.book.load() as session:
        order = Order(
            number=number,
            supplier_id=shop.suppliers["van"],
            day=day,
            state=state,
            received_on=None if took is None else day + timedelta(days=took),
        )
        session.add(order)
        session.flush()
        session.add(
            OrderLine(
                order_id=order.id,
                supply_id=shop.supplies["soap"],
                pack_label="1 L",
                pack_size=1_000_000,
                packs=2,
                price=1200,
            )
        )


def test_lead_times_are_those_seen_from_order_to_shelf(desk, shop):
    for at, took in enumerate([3, 4, 4, 5, 5, 5, 6, 7, 9, 14]):
        ordered(desk, shop, TODAY - timedelta(days=20 + at), took, 100 + at)
    ordered(desk, shop, TODAY, None, 200, "sent")
    ordered(desk, shop, TODAY, None, 201, "cancelled")
    page = supplier_page(desk, shop.suppliers["van"])
    assert (page.leads.n, page.leads.middle, page.leads.nine_in_ten) == (10, 5, 9)
    assert (
        lead_sentence(page.leads) == "5 days in the middle of ten deliveries, nine in ten within 9."
    )
    assert page.orders_count == 11, "one was called off"
    assert len(page.orders) == 12
    assert page.orders[0].state == "cancelled"
    first = page.orders[-1]
    assert first.received_on == first.day + timedelta(days=3)
    assert "Wash soap" in {name for _, name in page.supplies}


def test_few_deliveries_give_no_ninth_decile(desk, shop):
    ordered(desk, shop, TODAY - timedelta(days=9), 4, 1)
    page = supplier_page(desk, shop.suppliers["van"])
    assert page.leads.nine_in_ten is None
    assert "ten are needed" in lead_sentence(page.leads)
    parcel = supplier_page(desk, shop.suppliers["parcel"])
    assert lead_sentence(parcel.leads) == "No delivery was seen yet."
    assert [line.text for line in supplier_lines(desk)] == [
        "8 days promised",
        "about 4 days, 1 seen",
    ]


@given(st.lists(st.integers(0, 60), min_size=10, max_size=60))
def test_the_ninth_decile_is_numpys_inverted_distribution(days):
    """Checked against numpy's quantile, method `inverted_cdf`."""
    expected = np.quantile(days, 0.9, method="inverted_cdf")
    assert lead_times(days).nine_in_ten == expected


def test_terms_are_typed_as_people_write_them_and_undone(desk, shop):
    van = shop.suppliers["van"]
    edit_supplier(desk, van, order_weekdays="Monday, Thursday", hazard_fee="25", minimum_order="")
    terms = supplier_page(desk, van).supplier
    assert (terms.order_weekdays, terms.hazard_fee) == ((0, 3), 2500)
    assert (terms.free_freight_from, terms.minimum_order) == (15_000, 0)
    edit_supplier(desk, van, free_freight_from="")
    assert supplier_page(desk, van).supplier.free_freight_from is None
    assert desk.book.undo(today=TODAY).name == "Changed supplier Tuesday van"
    assert desk.book.undo(today=TODAY).name == "Changed supplier Tuesday van"
    assert supplier_page(desk, van).supplier.order_weekdays == ()


def test_two_suppliers_of_one_name_are_refused(desk, shop):
    with pytest.raises(Mendable, match="already"):
        add_supplier(desk, " tuesday VAN ")
    edit_supplier(desk, shop.suppliers["van"], name="Tuesday Van")
    with pytest.raises(Mendable, match="no whole number for the days promised"):
        edit_supplier(desk, shop.suppliers["van"], promised_days="soon")


def test_a_supplier_is_found_by_part_of_its_name(desk, shop):
    hit = next(one for one in find(desk, "friday") if one.kind == "supplier")
    assert hit.id == shop.suppliers["parcel"]


def test_a_supply_gets_its_supplier_and_a_pack_from_another(desk, shop):
    _, corner = add_supplier(desk, "Corner store")
    soap = shop.supplies["soap"]
    edit_supply(desk, soap, supplier_id=corner)
    add_pack(desk, soap, "3 x 32 oz", "41.40", supplier_id=shop.suppliers["parcel"], code="S-3")
    packs = {one.pack.label: one for one in pack_page(desk, TODAY, soap).packs}
    assert packs["1 L"].supplier == "Corner store"
    assert packs["3 x 32 oz"].supplier == "Friday parcel"
    # 96 US fluid ounces of 29.5735295625 mL (NIST Handbook 44, appendix C)
    size = next(one.size for one in offers(desk).packs.values() if one.label == "3 x 32 oz")
    assert size == pytest.approx(96 * 29_573.5295625, abs=3)
