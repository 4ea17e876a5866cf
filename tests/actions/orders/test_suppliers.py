"""Suppliers as they are typed."""

from __future__ import annotations

import pytest

from app.actions.orders.suppliers import edit_supplier, list_suppliers
from app.errors import Mendable


def test_a_mail_for_orders_that_is_none_is_refused(desk, shop):
    supplier = list_suppliers(desk)[0].supplier_id
    assert shop.supplies
    with pytest.raises(Mendable, match="no mail address"):
        edit_supplier(desk, supplier, email="ask at the counter")
    edit_supplier(desk, supplier, email=" orders@north.example ")
    assert list_suppliers(desk)[0].email == "orders@north.example"
