"""Evenings on which can be ordered. Calendars checked against the standard library's dates."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.orders.order_chances import (
    CARE,
    chances,
    cold_stop,
    goes_out,
    leaves,
    ordinary_gap,
    sale_ahead,
)
from app.calculations.orders.shelf_state import SupplierState

# Tuesday 1 December 2026 to Sunday 28 February 2027
WINTER = (date(2026, 12, 1).toordinal(), date(2027, 2, 28).toordinal())
PLAIN = SupplierState(supplier=1, cold_spans=(WINTER,))
THURSDAYS = SupplierState(supplier=1, cold_spans=(WINTER,), order_weekdays=(3,))


def on(year: int, month: int, day: int) -> int:
    return date(year, month, day).toordinal()


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)))
def test_goods_leave_on_the_next_day_that_is_no_weekend(day: date) -> None:
    left = date.fromordinal(leaves(day.toordinal()))
    assert left.weekday() < 5
    between = [day + timedelta(days=d) for d in range(1, (left - day).days)]
    assert all(one.weekday() >= 5 for one in between)


def test_what_would_leave_in_the_stop_is_not_ordered_any_more() -> None:
    assert cold_stop(on(2026, 11, 29), (WINTER,)) is None  # a Sunday: it leaves on Monday
    assert cold_stop(on(2026, 11, 30), (WINTER,)) == WINTER  # would leave on 1 December
    assert cold_stop(on(2027, 2, 28), (WINTER,)) == WINTER
    assert cold_stop(on(2027, 3, 1), (WINTER,)) is None


def test_what_may_freeze_is_ordered_all_winter() -> None:
    found = chances(on(2027, 1, 10), PLAIN, no_frost=False)
    assert (found.today, found.gap, found.stop) == (True, 1, None)


def test_long_before_a_stop_the_next_evening_is_the_next_chance() -> None:
    found = chances(on(2026, 11, 1), PLAIN, no_frost=True)
    assert (found.today, found.gap, found.stop) == (True, 1, WINTER)
    # 29 November is the last evening, the last relied on three days before
    assert found.last == (date(2026, 11, 29) - date(2026, 11, 1)).days - CARE
    assert found.after == (date(2027, 3, 1) - date(2026, 11, 1)).days


@pytest.mark.parametrize("day", [26, 27, 28, 29])
def test_on_the_last_evenings_the_next_chance_lies_behind_the_stop(day: int) -> None:
    found = chances(on(2026, 11, day), PLAIN, no_frost=True)
    assert (found.today, found.last) == (True, 0)
    assert found.gap == (date(2027, 3, 1) - date(2026, 11, day)).days


def test_in_the_stop_nothing_can_be_ordered() -> None:
    found = chances(on(2027, 1, 10), PLAIN, no_frost=True)
    assert found.stopped
    assert found.first == found.gap == (date(2027, 3, 1) - date(2027, 1, 10)).days


def test_where_orders_go_out_once_a_week_the_last_of_those_days_counts() -> None:
    """Thursdays before 1 December 2026: 26, 19, 12 November."""
    twelfth = chances(on(2026, 11, 12), THURSDAYS, no_frost=True)
    assert (twelfth.today, twelfth.last, twelfth.gap) == (True, 7, 7)
    nineteenth = chances(on(2026, 11, 19), THURSDAYS, no_frost=True)
    assert (nineteenth.today, nineteenth.last) == (True, 0)
    assert nineteenth.gap == (date(2027, 3, 4) - date(2026, 11, 19)).days
    last = chances(on(2026, 11, 26), THURSDAYS, no_frost=True)
    assert (last.today, last.last, last.ordinary) == (True, 0, 7)
    friday = chances(on(2026, 11, 27), THURSDAYS, no_frost=True)
    assert friday.stopped


def test_a_supplier_who_never_sends_it_is_never_a_chance() -> None:
    always = SupplierState(supplier=1, cold_spans=((0, 10**7),))
    found = chances(on(2026, 11, 1), always, no_frost=True)
    assert found.stopped
    assert found.first >= 365


@given(
    st.integers(738_000, 738_400),
    st.lists(st.tuples(st.integers(738_000, 738_500), st.integers(0, 120)), max_size=3),
    st.sets(st.integers(0, 6), max_size=3),
)
def test_every_chance_is_a_day_on_which_it_goes_out_and_is_sent(
    day: int, spans: list[tuple[int, int]], weekdays: set[int]
) -> None:
    cold = tuple((first, first + days) for first, days in spans)
    one = SupplierState(supplier=1, cold_spans=cold, order_weekdays=tuple(sorted(weekdays)))
    found = chances(day, one, no_frost=True)

    def open_on(ahead: int) -> bool:
        sent = cold_stop(day + ahead, cold) is None
        return sent and (not weekdays or date.fromordinal(day + ahead).weekday() in weekdays)

    assert found.today == open_on(0)
    first = next((d for d in range(1, 365) if open_on(d)), 365)
    assert found.following == first
    assert found.gap >= found.following
    if found.last:
        assert open_on(found.last)
        assert found.following <= found.last < found.after


def test_a_sale_counts_from_the_first_day_on_which_orders_go_out_in_it() -> None:
    sale = (on(2026, 11, 27), on(2026, 12, 4))  # Friday to Friday
    thursdays = SupplierState(supplier=1, order_weekdays=(3,), sale_spans=(sale,))
    assert sale_ahead(on(2026, 11, 20), thursdays, 56) == (sale, 13)
    assert sale_ahead(on(2026, 12, 3), thursdays, 56) == (sale, 0)
    assert sale_ahead(on(2026, 12, 4), thursdays, 56) is None
    assert sale_ahead(on(2026, 6, 1), thursdays, 56) is None


SEVEN = st.sets(st.integers(0, 6), min_size=1)


@given(st.dates(date(2020, 1, 1), date(2030, 1, 1)), SEVEN)
def test_the_next_day_on_which_orders_go_out_is_found_by_looking_at_each(
    day: date, weekdays: set[int]
) -> None:
    gap = ordinary_gap(day.toordinal(), tuple(weekdays))
    assert (day + timedelta(days=gap)).weekday() in weekdays
    assert all((day + timedelta(days=d)).weekday() not in weekdays for d in range(1, gap))
    assert goes_out(day.toordinal(), tuple(weekdays)) == (day.weekday() in weekdays)
    assert ordinary_gap(day.toordinal(), ()) == 1


@given(
    st.integers(738_000, 738_300),
    st.integers(-20, 60),
    st.integers(0, 90),
    st.sets(st.integers(0, 6), max_size=3),
)
def test_behind_a_stop_comes_the_first_evening_that_is_open_and_then_the_usual_gap(
    day: int, begins: int, length: int, weekdays: set[int]
) -> None:
    cold = ((day + begins, day + begins + length),)
    one = SupplierState(supplier=1, cold_spans=cold, order_weekdays=tuple(sorted(weekdays)))
    found = chances(day, one, no_frost=True)

    def out(ahead: int) -> bool:
        return not weekdays or date.fromordinal(day + ahead).weekday() in weekdays

    shut = [d for d in range(400) if cold_stop(day + d, cold)]
    if not shut:
        assert found.stop is None
        return
    after = next(d for d in range(max(shut) + 1, 999) if out(d))
    assert found.after == after
    assert found.ordinary == next(d for d in range(1, 8) if out(after + d))
    before = [d for d in range(shut[0]) if out(d)]
    relied = [d for d in before if 0 < d <= before[-1] - CARE]
    assert found.last == (relied[-1] if relied else 0)
    assert found.first == (0 if found.today else found.following)


def test_a_sale_is_ahead_up_to_the_last_day_asked_about_and_over_after_its_last() -> None:
    begins = on(2026, 11, 27)
    plain = SupplierState(supplier=1, sale_spans=((begins, begins + 3),))
    assert sale_ahead(begins - 10, plain, 10) == (plain.sale_spans[0], 10)
    assert sale_ahead(begins - 11, plain, 10) is None
    assert sale_ahead(begins + 3, plain, 10) == (plain.sale_spans[0], 0)
    assert sale_ahead(begins + 4, plain, 10) is None


def test_of_two_sales_the_sooner_is_ahead_whichever_is_told_first() -> None:
    later, sooner = (on(2026, 12, 10), on(2026, 12, 12)), (on(2026, 11, 27), on(2026, 11, 30))
    both = SupplierState(supplier=1, sale_spans=(later, sooner))
    assert sale_ahead(on(2026, 11, 20), both, 56) == (sooner, 7)


def test_a_stop_that_ends_today_is_over_tomorrow() -> None:
    day = on(2026, 12, 2)
    one = SupplierState(supplier=1, cold_spans=((day - 9, day),))
    found = chances(day, one, no_frost=True)
    assert (found.today, found.after, found.gap) == (False, 1, 1)
