"""What little is known of a young shop is not taken for more than it is, nor is one odd day.

The shops are made so that the rate of work is known; what a person would expect bounds the rest.
"""

from __future__ import annotations

import numpy as np
import pytest

from app.calculations.orders.need import needs_ahead
from app.calculations.orders.reorder import propose
from app.calculations.orders.shelf_state import (
    BookedNeed,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
)

MONDAY = 735_000 - (735_000 - 1) % 7
SUNDAY = MONDAY - 1
COATING = 30_000


def packs_ordered(
    use: list[int], on_hand: int, booked: tuple[BookedNeed, ...] = (), size: int = COATING
) -> int:
    one = SupplyState(
        supply=1,
        supplier=1,
        on_hand=on_hand,
        packs=(PackOffer(1, size, 4500),),
        booked=booked,
        use=use,
    )
    supplier = SupplierState(supplier=1, promised_days=5)
    found = propose(ShelfState(day=SUNDAY, supplies=(one,), suppliers=(supplier,)))
    return sum(line.count for order in found.orders for line in order.lines)


def a_week(
    use: list[int], booked: tuple[BookedNeed, ...] = (), notice: tuple[int, ...] = ()
) -> float:
    """Mean need of the next seven days."""
    one = SupplyState(supply=1, supplier=1, on_hand=0, booked=booked, use=use)
    return float(needs_ahead(ShelfState(SUNDAY, (one,), (), notice), (one,)).mean[0, 6])


def test_a_new_shop_orders_what_is_booked_and_not_several_times_of_it() -> None:
    """Eight coatings of 30 stand in the diary of the next 25 days, two bottles on the shelf."""
    booked = tuple(BookedNeed(SUNDAY + 4 + 3 * job, COATING, job=job) for job in range(8))
    assert 4 <= packs_ordered([], 2 * COATING, booked) <= 8


def test_the_first_evening_is_not_taken_for_every_evening() -> None:
    """One coating done on the very first day, two bottles left: not one a day from now on."""
    assert a_week([28_000]) < 3 * 28_000
    assert packs_ordered([28_000], 2 * COATING) <= 5


def test_what_is_used_every_day_is_believed_within_three_weeks() -> None:
    assert a_week([1000] * 21) > 0.7 * 7000


def test_a_diary_without_history_does_not_make_a_shop_busier_than_its_diary() -> None:
    """One coating a week, all of a year's notice: what is booked is what there is."""
    booked = tuple(BookedNeed(SUNDAY + day, 1000, 0.0, day) for day in range(5, 40, 7))
    assert a_week([], booked) - 1000 < 2 * 1000


def test_bookings_weeks_ahead_tell_that_work_is_booked_weeks_ahead() -> None:
    """Washes come at once; of coatings nothing is known but that they are booked weeks ahead."""
    booked = tuple(BookedNeed(SUNDAY + day, COATING, 0.0, day) for day in (20, 25, 30))
    assert a_week([0] * 10, booked, notice=(0,) * 100) < 1.2 * COATING


def test_a_near_booking_says_nothing_against_long_notice() -> None:
    near = (BookedNeed(SUNDAY + 1, 1000, 0.0),)
    assert a_week([], near, notice=(30,) * 500) == pytest.approx(1000, abs=20)


@pytest.mark.parametrize("times", [20, 50, 1000])
def test_one_day_like_no_other_does_not_change_what_is_expected_of_the_next(times: int) -> None:
    """Sixty a day, and once that many times as much: a spill, a fleet, a typing error."""
    use = [60_000] * 120
    odd = [*use[:-20], 60_000 * times, *use[-19:]]
    assert a_week(odd) < 1.2 * a_week(use)
    assert packs_ordered(odd, 20 * 60_000, size=946_000) <= 1


def test_a_large_job_far_ahead_changes_nothing_of_this_week() -> None:
    use = list(np.random.default_rng(5).binomial(1, 0.3, 365) * 60_000)
    far = (BookedNeed(SUNDAY + 200, 3_000_000),)
    notice = tuple(range(10)) * 10
    assert a_week(use, far, notice) < 1.25 * a_week(use, notice=notice)
