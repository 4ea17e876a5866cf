"""The rule that proposes orders where little is known yet, and on a day out of the ordinary.

What a person would buy is common sense of the trade: common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest

from app.calculations.orders import need
from app.calculations.orders.proposal import Proposal
from app.calculations.orders.reorder import propose
from app.calculations.orders.shelf_state import (
    BookedNeed,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
)

TODAY = 739_000
NEW = SupplierState(supplier=1, promised_days=5, freight=1200)
BOTTLE = PackOffer(1, 30_000, 4500)
LITRE = PackOffer(1, 946_000, 2500)
rng = np.random.default_rng(3)
USUAL = ((rng.random(365) < 0.3) * 60_000).astype(int)  # 60 on three days in ten


def asked(
    on_hand: int,
    pack: PackOffer = BOTTLE,
    use: object = (),
    booked: tuple[BookedNeed, ...] = (),
    source: SupplierState = NEW,
    notice: tuple[int, ...] = (),
) -> Proposal:
    some = SupplyState(
        supply=1, supplier=1, on_hand=on_hand, packs=(pack,), booked=booked,
        use=use,  # type: ignore[arg-type]
    )  # fmt: skip
    return propose(ShelfState(TODAY, (some,), (source,), notice))


def packs(answer: Proposal) -> int:
    return sum(line.count for order in answer.orders for line in order.lines)


def coatings(many: int, every: int = 3) -> tuple[BookedNeed, ...]:
    return tuple(BookedNeed(TODAY + 4 + every * job, 30_000, job=job) for job in range(many))


@pytest.mark.parametrize(
    ("jobs", "least", "most"), [(0, 0, 0), (1, 0, 1), (2, 1, 3), (3, 2, 4), (4, 3, 6), (8, 6, 8)]
)
def test_a_new_shop_buys_what_stands_booked_and_a_little(jobs: int, least: int, most: int) -> None:
    """Coatings of a bottle each, every third day from the fourth on, and two bottles stand there.

    It was told to buy 3, 7, 9, 14 and 16.
    """
    assert least <= packs(asked(60_000, booked=coatings(jobs))) <= most


def test_a_cheap_bottle_is_no_reason_to_buy_many_before_its_use_is_known() -> None:
    """For eight jobs twelve bottles at most, to save freight; it was told to buy 23."""
    assert 6 <= packs(asked(60_000, PackOffer(1, 30_000, 900), booked=coatings(8))) <= 12


def test_a_supply_that_stood_there_unused_for_a_month_is_as_new() -> None:
    assert 6 <= packs(asked(60_000, use=[0] * 30, booked=coatings(8))) <= 8


@pytest.mark.parametrize("evening", [1, 2, 7, 14])
def test_one_use_does_not_make_it_daily(evening: int) -> None:
    """On the first evenings two or so are bought at most; it was told to buy 36 pads, 13 bottles
    and three more litres."""
    before = [0] * (evening - 1)
    assert packs(asked(4000, PackOffer(1, 1000, 1200), [*before, 2000])) <= 2
    assert packs(asked(60_000, PackOffer(1, 30_000, 5900), [*before, 28_000])) <= 1
    assert packs(asked(900_000, PackOffer(1, 1_000_000, 2600), [*before, 100_000])) == 0


def test_what_is_used_daily_is_known_to_be_within_two_weeks() -> None:
    found = [asked(3_785_000, LITRE, [70_000] * days).covers[0].per_day for days in (1, 3, 7, 14)]
    assert found == sorted(found)
    assert found[0] < 10_000
    assert found[3] == pytest.approx(70_000, rel=0.15)


def test_more_stock_never_brings_more_where_little_is_known() -> None:
    for booked in (coatings(1), coatings(3), coatings(8)):
        for use in ((), [28_000], [0, 28_000, 0, 0]):
            counts = [packs(asked(stock, use=use, booked=booked))
                      for stock in range(0, 300_000, 10_000)]  # fmt: skip
            assert counts == sorted(counts, reverse=True)


def test_a_minimum_order_is_still_reached() -> None:
    source = SupplierState(supplier=1, promised_days=5, freight=1200, minimum_order=27_000)
    (order,) = asked(60_000, booked=coatings(3), source=source).orders
    assert order.goods >= 27_000
    assert not order.below_minimum


@pytest.mark.parametrize("back", [1, 10, 100])
def test_one_wild_day_is_not_what_is_usual(back: int) -> None:
    """A year of uses of 60, and one of 3 litres: a slip of the pen. It brought 3 litres at once."""
    wild = USUAL.copy()
    wild[-back] = 3_000_000
    assert packs(asked(500_000, LITRE, USUAL)) == packs(asked(500_000, LITRE, wild)) == 0
    level = asked(500_000, LITRE, USUAL).covers[0].reorder_level
    assert asked(500_000, LITRE, wild).covers[0].reorder_level < 1.3 * level


def test_a_second_wild_day_is_believed() -> None:
    wild = USUAL.copy()
    wild[[-20, -10]] = 3_000_000
    assert asked(500_000, LITRE, wild).covers[0].reorder_level > 1_000_000


def test_a_large_job_far_ahead_is_not_what_is_usual() -> None:
    far, notice = (BookedNeed(TODAY + 200, 3_000_000),), tuple(range(10)) * 10
    now = asked(500_000, LITRE, USUAL, far, notice=notice)
    without = asked(500_000, LITRE, USUAL, notice=notice)
    assert packs(now) == 0
    assert now.covers[0].reorder_level == pytest.approx(without.covers[0].reorder_level, rel=0.01)


def test_the_largest_counts_as_three_times_the_next_where_three_are_known() -> None:
    nothing, empty = np.zeros((1, need.HORIZON)), np.zeros((2, need.HORIZON))
    none = need._Booked(empty, empty, empty)
    drawn, _ = need._without_one(np.array([[0.0, 5, 90, 7], [0, 0, 5, 90]]), none)
    assert drawn.tolist() == [[0, 5, 21, 7], [0, 0, 5, 90]]
    ahead = nothing.copy()
    ahead[0, [3, 9, 60]] = 90, 6, 1000
    _, near = need._without_one(np.array([[7.0]]), need._Booked(ahead, ahead, ahead / 90))
    assert near.mean[0, [3, 9]].tolist() == [21, 6]
    assert near.mean.shape == (1, need.NEAR), "what is booked later tells no size"
    assert near.variance[0, 3] == pytest.approx(90 * (21 / 90) ** 2)


def test_bookings_of_a_new_supply_have_at_least_the_notice_that_is_left() -> None:
    """Counted one by one beside five jobs of the notice of all work; never less than without."""
    pooled = np.linspace(0.9, 0.0, need.HORIZON)
    standing = np.zeros((1, need.HORIZON))
    standing[0, [9, 19, 29]] = 1  # ten, twenty and thirty days ahead
    found = need.own_shares(pooled, [[]], standing)[0]
    for days in (1, 10, 11, 20, 30):
        beyond = sum(one >= days for one in (10, 20, 30))
        counted = (5 * pooled[days - 1] + beyond) / 8
        assert found[days - 1] == pytest.approx(max(counted, pooled[days - 1]))
