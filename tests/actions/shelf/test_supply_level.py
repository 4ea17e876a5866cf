"""The drawing of a supply's level says what its ledger says, and what booked jobs leave."""

from __future__ import annotations

from datetime import timedelta

from app.actions.desk.desk import Desk
from app.actions.orders.shelf_state import covers
from app.actions.shelf.supplies import supply_page
from app.actions.shelf.supply_level import SupplyLevel, supply_level
from app.actions.stock.left import left_on
from app.actions.stock.stock import count, waste
from tests.shop import TODAY, SmallShop

ML = 1000


def level(desk: Desk, shop: SmallShop, supply: str = "wheel") -> SupplyLevel:
    return supply_level(desk, TODAY, shop.supplies[supply])


def test_the_last_step_is_what_is_left_when_today_ends(desk: Desk, shop: SmallShop) -> None:
    drawn = level(desk, shop)
    assert drawn.steps[-1] == (TODAY, left_on(desk, TODAY)[shop.supplies["wheel"]] / ML)
    assert drawn.unit == "mL"


def test_each_day_ends_where_the_lines_of_the_ledger_put_it(desk: Desk, shop: SmallShop) -> None:
    before = TODAY - timedelta(days=3)
    count(desk, before, shop.supplies["wheel"], "700 ml")
    waste(desk, before + timedelta(days=1), shop.supplies["wheel"], "40 ml", "spilt")
    drawn = dict(level(desk, shop).steps)
    lines = supply_page(desk, TODAY, shop.supplies["wheel"]).ledger
    for day in (before, before + timedelta(days=1)):
        assert drawn[day] * ML == sum(line.quantity for line in lines if line.day <= day)
    assert drawn[before + timedelta(days=1)] == drawn[before] - 40


def test_what_came_before_the_year_that_is_drawn_is_where_it_begins(
    desk: Desk, shop: SmallShop
) -> None:
    later = TODAY + timedelta(days=600)
    drawn = supply_level(desk, later, shop.supplies["wheel"])
    lines = supply_page(desk, later, shop.supplies["wheel"]).ledger
    assert drawn.steps[0] == (drawn.first, sum(line.quantity for line in lines) / ML)
    assert drawn.deliveries == ()


def test_a_delivery_is_marked_on_its_day(desk: Desk, shop: SmallShop) -> None:
    lines = supply_page(desk, TODAY, shop.supplies["wheel"]).ledger
    came = {line.day for line in lines if line.kind == "received"}
    assert came
    assert set(level(desk, shop).deliveries) == came


def test_booked_jobs_step_down_from_today_in_their_order(desk: Desk, shop: SmallShop) -> None:
    drawn = level(desk, shop)
    left = [drawn.steps[-1][1], *(one.left for one in drawn.booked)]
    assert left == sorted(left, reverse=True)
    days = [one.day for one in drawn.booked]
    assert days == sorted(days)
    assert all(TODAY < day <= drawn.last for day in days)


def test_the_reorder_level_is_the_one_of_the_shelf(desk: Desk, shop: SmallShop) -> None:
    cover = covers(desk, TODAY)[shop.supplies["wheel"]]
    assert level(desk, shop).reorder == cover.reorder_level / ML
