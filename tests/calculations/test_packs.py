"""Gallon, quart or pint. Prices and lives are common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from app.calculations.packs import choose_pack, used_within
from app.calculations.shelf_state import OrderSettings, PackOffer, SupplyState

OUNCE = 29_574
MONTH = 30.4
PINT, QUART, GALLON = 1, 2, 3


@pytest.mark.parametrize(
    ("name", "prices", "ounces_a_month", "opened_months", "expected"),
    [
        ("one-step polish", (2800, 4500, 12000), 20, 18, GALLON),
        ("finishing polish", (2800, 4500, 12000), 5, 18, QUART),
        ("rinseless wash", (2000, 3200, 8500), 10, 24, GALLON),
        ("panel wipe", (None, 1600, 4200), 70, 24, GALLON),
        ("iron remover", (1800, None, 8000), 45, 12, GALLON),
        ("leather cleaner", (1600, 2800, 7000), 6, 18, QUART),
    ],
)
def test_the_pack_is_the_one_that_a_careful_buyer_takes(
    name: str,
    prices: tuple[int | None, ...],
    ounces_a_month: float,
    opened_months: int,
    expected: int,
) -> None:
    offers = [
        PackOffer(pack, ounces * OUNCE, price)
        for pack, ounces, price in zip((PINT, QUART, GALLON), (16, 32, 128), prices, strict=True)
        if price is not None
    ]
    per_day = ounces_a_month * OUNCE / MONTH
    mean = per_day * np.arange(1, 366)
    supply = SupplyState(1, 1, 0, opened_life_days=round(opened_months * MONTH))
    choice = choose_pack(supply, offers, mean, per_day, 0.0, OrderSettings())
    assert choice.offer.pack == expected, name
    assert not choice.outlives


def test_where_every_pack_outlives_its_life_the_smallest_is_taken_and_said() -> None:
    offers = [PackOffer(1, 500, 100), PackOffer(2, 900, 120)]
    supply = SupplyState(1, 1, 0, shelf_life_days=100)
    choice = choose_pack(supply, offers, np.arange(1.0, 366.0), 1.0, 10.0, OrderSettings())
    assert (choice.offer.pack, choice.outlives) == (1, True)


def test_without_a_forecast_the_missing_quantity_is_bought_at_the_least_price() -> None:
    offers = [PackOffer(1, 500, 1000), PackOffer(2, 2000, 3000)]
    supply = SupplyState(1, 1, 0)
    nothing = np.zeros(365)
    few, many = (
        choose_pack(supply, offers, nothing, 0.0, missing, OrderSettings()).offer.pack
        for missing in (400.0, 1900.0)
    )
    assert (few, many) == (1, 2)


def test_need_beyond_the_horizon_goes_on_at_the_usual_rate() -> None:
    mean = 2.0 * np.arange(1, 366)
    assert used_within(mean, 2.0, 0.5) == 0
    assert used_within(mean, 2.0, 10) == 20
    assert used_within(mean, 2.0, 730) == pytest.approx(1460)
