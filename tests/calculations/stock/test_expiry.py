"""What of dated lots is lost before it is used: by hand, and against a day by day simulation."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from app.calculations.stock.expiry import DatedLot, Loss, loss

TODAY = 1000


def test_a_lot_that_ended_yesterday_is_past_and_one_that_ends_today_is_not():
    lots = [DatedLot(30, TODAY - 1), DatedLot(20, TODAY)]
    assert loss(lots, [], 0.0, TODAY, 56).past == 30


def test_what_booked_work_takes_before_the_end_is_not_lost():
    found = loss([DatedLot(60, TODAY + 10)], [(TODAY + 3, 28), (TODAY + 20, 28)], 0.0, TODAY, 56)
    assert found == Loss(past=0, lost=32, first_day=TODAY + 10)


def test_a_lot_that_ordinary_use_finishes_in_time_is_not_lost():
    assert loss([DatedLot(60, TODAY + 10)], [], 6.0, TODAY, 56).whole == 0
    assert loss([DatedLot(61, TODAY + 10)], [], 6.0, TODAY, 56).lost == 1


def test_a_lot_that_ends_after_the_weeks_asked_about_is_left_alone():
    assert loss([DatedLot(60, TODAY + 57)], [], 0.0, TODAY, 56).whole == 0


def test_past_work_counts_as_tomorrows():
    assert loss([DatedLot(30, TODAY + 1)], [(TODAY - 5, 30)], 0.0, TODAY, 56).whole == 0


@given(
    lots=st.lists(st.tuples(st.integers(0, 50), st.integers(0, 56)), max_size=5),
    needs=st.dictionaries(st.integers(1, 60), st.integers(0, 40), max_size=8),
)
def test_the_loss_is_what_a_simulation_throws_away_when_the_earliest_end_goes_first(lots, needs):
    # Day by day, the earliest end first (the policy of the docstring); what remains at an end is
    # thrown away. Nothing but booked work uses it.
    left = sorted([day, amount] for amount, day in lots)
    thrown = 0
    for day in range(1, 61):
        wanted = needs.get(day, 0)
        for one in left:
            if one[0] >= day and wanted:
                taken = min(wanted, one[1])
                one[1] -= taken
                wanted -= taken
        for one in left:
            if one[0] == day:
                thrown += one[1]
                one[1] = 0
    thrown += sum(one[1] for one in left if one[0] == 0)
    found = loss(
        [DatedLot(amount, TODAY + day) for amount, day in lots],
        [(TODAY + day, amount) for day, amount in needs.items()],
        0.0,
        TODAY,
        56,
    )
    assert found.past == 0
    assert found.lost == thrown


def test_a_lot_that_ends_on_the_last_day_asked_about_is_told_of():
    assert loss([DatedLot(60, TODAY + 56)], [], 0.0, TODAY, 56) == Loss(0, 60, TODAY + 56)


def test_all_that_cannot_be_counted_on_is_what_is_past_and_what_will_be():
    lots = [DatedLot(5, TODAY - 1), DatedLot(7, TODAY), DatedLot(9, TODAY + 3), DatedLot(0, TODAY)]
    found = loss(lots, [(TODAY + 1, 2)], 0.0, TODAY, 56)
    assert found == Loss(past=5, lost=7 + 7, first_day=TODAY)
    assert found.whole == 5 + 14


def test_what_is_taken_on_a_lot_s_last_day_is_not_lost():
    assert loss([DatedLot(30, TODAY + 4)], [(TODAY + 4, 30)], 0.0, TODAY, 56).lost == 0
    assert loss([DatedLot(30, TODAY + 4)], [(TODAY + 5, 30)], 0.0, TODAY, 56).lost == 30


def test_the_first_end_is_that_of_the_first_lot_that_is_not_used_up():
    lots = [DatedLot(9, TODAY + 9), DatedLot(8, TODAY + 5), DatedLot(2, TODAY + 1)]
    assert loss(lots, [(TODAY + 1, 2)], 0.0, TODAY, 56).first_day == TODAY + 5
