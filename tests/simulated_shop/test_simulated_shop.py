"""A small version of `python -m tests.simulated_shop`, with real bounds.

Three years in four shops; the full command runs five years in ten.
"""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module

import pytest

from app.calculations.orders.shelf_state import OrderSettings
from tests.simulated_shop.asking import proposed
from tests.simulated_shop.measure import Score, score, shops
from tests.simulated_shop.plans import BASE, PLANS
from tests.simulated_shop.rivals import hand_set, last_pack, textbook
from tests.simulated_shop.run import Figures
from tests.simulated_shop.sensitivity import MOVES, ROOM, Move, moved
from tests.simulated_shop.world import World, draw

pytestmark = pytest.mark.slow
SMALL = replace(BASE, years=3)
Drawn = list[tuple[World, Figures]]


@pytest.fixture(scope="module")
def drawn() -> Drawn:
    return shops(SMALL, range(101, 105))


@pytest.fixture(scope="module")
def ours(drawn: Drawn) -> Score:
    return score(drawn, proposed)


def test_hardly_a_job_meets_a_missing_supply(ours: Score) -> None:
    assert ours.missed <= 0.006


def test_the_shelf_is_not_much_dearer_than_one_tuned_by_hand_in_hindsight(ours: Score) -> None:
    assert ours.value <= 1.15


def test_little_freight_is_paid(ours: Score) -> None:
    assert ours.freight <= 0.15


def test_minimums_set_by_hand_are_the_yardstick(drawn: Drawn) -> None:
    by_hand = score(drawn, hand_set)
    assert 0.003 <= by_hand.missed <= 0.015
    assert (by_hand.value, by_hand.freight) == (1, 1)


@pytest.mark.parametrize("rival", [last_pack, textbook])
def test_the_usual_rules_leave_many_more_jobs_short(
    drawn: Drawn, ours: Score, rival: object
) -> None:
    other = score(drawn, rival)  # type: ignore[arg-type]
    assert other.missed > 4 * ours.missed
    assert other.freight > 5 * ours.freight


def test_the_dials_trade_what_they_say() -> None:
    """In one year of two shops already: freight and jobs short differ by five times and more."""
    few = shops(replace(BASE, years=1), range(101, 103))
    thrifty = score(few, lambda world: proposed(world, OrderSettings(freight_days=20)))
    lavish = score(few, lambda world: proposed(world, OrderSettings(freight_days=1500)))
    assert thrifty.freight > lavish.freight
    assert thrifty.value < lavish.value
    sure = score(few, lambda world: proposed(world, OrderSettings(quantile=0.998)))
    daring = score(few, lambda world: proposed(world, OrderSettings(quantile=0.9)))
    assert sure.missed < daring.missed
    assert sure.value > daring.value


def kind(name: str) -> Drawn:
    plan = next(one for one in PLANS if one.name == name)
    return shops(replace(plan, years=3), range(101, 103))


def test_a_winter_in_which_nothing_that_freezes_is_sent_is_got_over() -> None:
    """Beside minimums by hand with a winter's use laid in, the largest of these years."""
    found = score(kind("a cold stop"), proposed)
    assert found.missed <= 0.012
    assert found.value <= 1.45
    assert found.freight <= 0.2
    with_store = score(kind("a cold stop, a store"), proposed)
    assert with_store.missed <= 0.012
    assert with_store.value < found.value, "less is laid in where a store has it all winter"


def test_price_breaks_are_taken_where_they_pay() -> None:
    drawn = kind("price breaks")
    found = score(drawn, proposed)
    assert found.paid <= 0.96, "four or more at 0.88 of the price"
    assert found.missed <= 0.01
    assert found.value <= 1.4


def test_a_seed_gives_the_same_shop_again() -> None:
    first, second = draw(SMALL, 7), draw(SMALL, 7)
    assert (first.use == second.use).all()
    assert (first.leads == second.leads).all()


def test_every_kind_of_shop_can_be_drawn() -> None:
    for plan in PLANS:
        world = draw(replace(plan, years=1), 1)
        assert len(world.plan.goods) >= 24
        assert len(world.plan.works) >= 5
        assert world.use.shape[0] > 100


@pytest.mark.parametrize(
    "name",
    [
        "season 0.8",
        pytest.param(
            "new services",
            marks=pytest.mark.xfail(
                strict=True,
                reason="1.46 % of 1577 jobs: one parcel of twenty days, see docs/reorder.md",
            ),
        ),
        "recipes wrong by two",
        "lead time doubled midway",
        "walk-ins beside long bookings",
        "booked one day ahead",
        "dear slow movers",
        "shelf life of six months",
    ],
)
def test_few_jobs_fall_short_in_shops_that_stray(name: str) -> None:
    """Bounds are loose, since two shops of three years are few; the command runs ten of five."""
    found = score(kind(name), proposed)
    assert found.missed <= 0.01
    assert found.value <= 1.45


def test_every_number_that_is_moved_is_one_of_the_rule_and_is_put_back() -> None:
    for move in MOVES:
        with moved(move, move.values[0]) as settings:
            now = getattr(settings, move.name) if not move.module else number(move)
            assert now == move.values[0]
        if move.module:
            assert number(move) not in move.values, "both sides of what it is"


def number(move: Move) -> float:
    found: float = getattr(import_module(f"{ROOM}.{move.module}"), move.name)
    return found
