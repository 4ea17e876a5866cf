"""What a shelf may be: the edge is taken, and a step beyond it is refused in a sentence."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from app.calculations.orders.shelf_state import (
    BookedNeed,
    OrderSettings,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
    check_shelf,
)
from app.errors import Mendable

PACK = PackOffer(1, 1000, 900)
SUPPLY = SupplyState(supply=1, supplier=1, on_hand=0, packs=(PACK,))
SUPPLIER = SupplierState(supplier=1)


def check(**changed: Any) -> None:
    supply = replace(
        SUPPLY, **{name: changed[name] for name in ("floor", "packs", "booked") if name in changed}
    )
    supplier = replace(
        SUPPLIER,
        **{name: changed[name] for name in ("cold_spans", "sale_spans") if name in changed},
    )
    chosen = {
        name: changed[name]
        for name in ("quantile", "freight_days", "longest_days", "window_days")
        if name in changed
    }
    check_shelf(ShelfState(1, (supply,), (supplier,), (), OrderSettings(**chosen)))


EDGES = [
    ({"quantile": 0.999}, {"quantile": 1.0}),
    ({"quantile": 0.001}, {"quantile": 0.0}),
    ({"freight_days": 0.1}, {"freight_days": 0.0}),
    ({"longest_days": 1}, {"longest_days": 0}),
    ({"window_days": 1}, {"window_days": 0}),
    ({"cold_spans": ((5, 5),)}, {"cold_spans": ((5, 4),)}),
    ({"sale_spans": ((5, 5),)}, {"sale_spans": ((5, 4),)}),
    ({"floor": 0}, {"floor": -1}),
    ({"packs": (PackOffer(1, 1, 900),)}, {"packs": (PackOffer(1, 0, 900),)}),
    ({"packs": (PackOffer(1, 9, 0),)}, {"packs": (PackOffer(1, 9, -1),)}),
    (
        {"packs": (PackOffer(1, 9, 9, containers=1),)},
        {"packs": (PackOffer(1, 9, 9, containers=0),)},
    ),
    (
        {"packs": (PackOffer(1, 9, 9, breaks=((2, 8),)),)},
        {"packs": (PackOffer(1, 9, 9, breaks=((1, 8),)),)},
    ),
    (
        {"packs": (PackOffer(1, 9, 9, breaks=((2, 0), (3, 0))),)},
        {"packs": (PackOffer(1, 9, 9, breaks=((2, 8), (2, 7))),)},
    ),
    (
        {"packs": (PackOffer(1, 9, 9, breaks=((2, 0),)),)},
        {"packs": (PackOffer(1, 9, 9, breaks=((2, -1),)),)},
    ),
    ({"booked": (BookedNeed(1, 0, 0.0),)}, {"booked": (BookedNeed(1, -1, 0.0),)}),
    ({"booked": (BookedNeed(1, 5, 4.99),)}, {"booked": (BookedNeed(1, 5, 5.0),)}),
    ({"booked": (BookedNeed(1, 5, 0.0),)}, {"booked": (BookedNeed(1, 5, -0.01),)}),
]


@pytest.mark.parametrize(("edge", "beyond"), EDGES)
def test_the_edge_is_taken_and_what_lies_beyond_is_refused(
    edge: dict[str, Any], beyond: dict[str, Any]
) -> None:
    check(**edge)
    with pytest.raises(Mendable) as refused:
        check(**beyond)
    assert refused.value.sentence.endswith(".")


def test_nothing_stands_on_the_shelf_twice() -> None:
    other = replace(SUPPLY, supply=2)
    check_shelf(ShelfState(1, (SUPPLY, other), (SUPPLIER, replace(SUPPLIER, supplier=2))))
    with pytest.raises(Mendable, match="Supply 1 stands on the shelf twice"):
        check_shelf(ShelfState(1, (other, SUPPLY, SUPPLY), (SUPPLIER,)))
    with pytest.raises(Mendable, match="Supplier 1 stands"):
        check_shelf(ShelfState(1, (SUPPLY,), (SUPPLIER, SUPPLIER)))


def test_money_in_a_pack_costs_a_quarter_in_a_year_by_default() -> None:
    """Goods bought 125 days early cost their worth; the money alone a twelfth of that."""
    assert OrderSettings().money_per_year == pytest.approx(365 / 125 / 12)
    assert OrderSettings(freight_days=240).money_per_year == pytest.approx(365 / 240 / 12)
