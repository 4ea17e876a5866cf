"""Who sells what, and which packs could be bought of it: tried one by one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.orders.basket import PackCandidate
from app.calculations.orders.need import HORIZON, LEARNT, Needs
from app.calculations.orders.packs import PackChoice
from app.calculations.orders.reorder_risk import due_after
from app.calculations.orders.shelf_risks import (
    FOR_MINIMUM,
    MOST_SHIFTED,
    USUAL_DOUBT,
    WeighedShelf,
    accepted,
    offers_of,
    sold_by,
)
from app.calculations.orders.shelf_state import (
    BookedNeed,
    OnOrder,
    OrderSettings,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
)

MONDAY = date(2026, 11, 2).toordinal()
WEEK = SupplierState(supplier=1, lead_days=(6,) * 20, promised_days=6)
STORE = SupplierState(supplier=2)
DAILY = [100] * 200


def weighed(*supplies: SupplyState, suppliers: tuple[SupplierState, ...] = (WEEK,)) -> WeighedShelf:
    return WeighedShelf.of(ShelfState(MONDAY, supplies, suppliers, (0,) * 60))


def supply(number: int = 1, **more: object) -> SupplyState:
    facts: dict[str, object] = {
        "supplier": 1, "on_hand": 3000, "packs": (PackOffer(1, 500, 900),), "use": DAILY,
    }  # fmt: skip
    return SupplyState(supply=number, **(facts | more))  # type: ignore[arg-type]


offers = st.lists(
    st.builds(
        PackOffer, st.integers(1, 9), st.sampled_from([100, 500, 900]), st.integers(1, 3000),
        st.none() | st.integers(1, 3),
    ),
    max_size=5,
)  # fmt: skip


@given(offers, st.none() | st.integers(1, 3), st.sets(st.integers(1, 3)))
def test_a_supply_is_bought_of_its_own_supplier_or_where_the_unit_costs_least(
    packs: list[PackOffer], own: int | None, known: set[int]
) -> None:
    some = supply(supplier=own, packs=tuple(packs))
    theirs = {
        number: [pack for pack in packs if number == (pack.supplier or own)] for number in (1, 2, 3)
    }
    for number in (1, 2, 3):
        assert offers_of(some, number) == theirs[number]
    found = sold_by(some, known)
    others = [pack for pack in packs if pack.supplier in known]
    if own in known and (theirs[own] or not packs):
        assert found == own
    elif others:
        least = min(pack.price / pack.size for pack in others)
        assert found in {pack.supplier for pack in others if pack.price / pack.size == least}
    else:
        assert found == (own if own in known else None)


def test_a_ladder_rises_by_one_pack_and_its_days_never_fall() -> None:
    shelf = weighed(supply(on_hand=0))
    choice = PackChoice(PackOffer(1, 500, 900), 1e9, False)
    ladder = shelf.ladder(0, choice, due_now=False)
    assert [one.nth for one in ladder] == list(range(len(ladder)))
    days = [one.due_in for one in ladder]
    assert days == sorted(days)
    assert days[0] == 0
    assert days[-1] <= FOR_MINIMUM * shelf.state.settings.longest_days
    # a pack of 500 lasts five days at a hundred a day: so far apart they are due
    later = [day for day in days if 20 < day < 150]
    gaps = [b - a for a, b in pairwise(later)]
    assert 4.5 <= sum(gaps) / len(gaps) <= 5.5


def test_of_what_does_not_keep_only_what_is_due_is_offered_and_no_pack_too_many() -> None:
    shelf = weighed(supply(on_hand=0))
    level = shelf.level(0)
    for most, outlives in ((0.0, True), (600.0, False)):
        ladder = shelf.ladder(0, PackChoice(PackOffer(1, 500, 900), most, outlives), due_now=False)
        assert all(one.due_in == 0 for one in ladder[1:])
        bought = 500 * len(ladder)
        assert bought - 500 < level <= bought


def test_what_is_due_for_the_sake_of_all_together_is_one_pack_now() -> None:
    shelf = weighed(supply(on_hand=5000))
    choice = PackChoice(PackOffer(1, 500, 900), 1e9, False)
    plain = shelf.ladder(0, choice, due_now=False)
    pressed = shelf.ladder(0, choice, due_now=True)
    assert plain[0].due_in > 0 == pressed[0].due_in
    assert [one.due_in for one in pressed[1:]] == [one.due_in for one in plain[1:]]


def test_rows_are_supplies_by_rising_number_and_stand_with_whoever_sells_them() -> None:
    near = SupplierState(supplier=2, promised_days=1)
    shelf = weighed(
        supply(9), supply(4, packs=(PackOffer(2, 500, 900, supplier=2),)), supply(6, packs=()),
        suppliers=(near, WEEK),
    )  # fmt: skip
    assert [one.supply for one in shelf.supplies] == [4, 6, 9]
    assert [one.supplier for one in shelf.suppliers] == [1, 2]
    assert shelf.rows == {2: [0], 1: [1, 2]}
    assert shelf.supplier(2) is near
    assert set(shelf.orderable(1)) == {2}, "nobody sells a pack of 6"
    assert set(shelf.orderable(2)) == {0}


def test_what_is_used_up_and_not_bought_again_is_never_orderable() -> None:
    assert weighed(supply(stopped=True)).orderable(1) == {}
    closed = SupplierState(supplier=1, promised_days=6, order_weekdays=(3,))
    assert weighed(supply(), suppliers=(closed,)).orderable(1) == {}


def test_a_count_below_zero_counts_as_nothing_and_what_is_on_its_way_as_there() -> None:
    parcels = (OnOrder(700, MONDAY + 2), OnOrder(300, MONDAY + 9))
    shelf = weighed(supply(on_hand=-400, on_order=parcels))
    assert (shelf.on_hand[0], shelf.position[0]) == (0, 1000)


def test_a_floor_lifts_the_level_and_is_below_it_by_one() -> None:
    plain = weighed(supply()).level(0)
    shelf = weighed(supply(floor=3001))
    assert shelf.level(0) == max(plain, 3001)
    assert shelf.below_floor(0)
    assert not weighed(supply(floor=3000)).below_floor(0)
    assert weighed(supply(on_hand=9000, floor=9500)).due[0] == 0


def test_the_chance_that_ordering_can_help_is_the_chance_of_running_short() -> None:
    """What is allowed more than usual, by the worth of its doubt, counts as much less."""
    booked = (BookedNeed(MONDAY + 3, 2900, 0.4, 7),)

    def more(shelf: WeighedShelf) -> float:
        found = accepted(shelf.state, shelf.supplies, shelf.needs, shelf.waits.span)
        return float(found[0]) / (1 - shelf.state.settings.quantile)

    alone = weighed(supply(use=(), booked=booked))
    assert alone.own_risk(0) == pytest.approx(alone.risks.risk[0] / more(alone))
    assert alone.own_risk(0) > 0.1
    shelf = weighed(supply(use=(), booked=booked), supply(2, on_hand=99_999))
    assert more(alone) < more(shelf) <= MOST_SHIFTED
    assert shelf.own_risk(0) == pytest.approx(shelf.risks.risk[0] / more(shelf))
    assert shelf.short_together([0])
    assert shelf.short_together([0, 1])
    assert not shelf.short_together([1])
    assert not shelf.short_together([])


@given(
    st.lists(st.tuples(st.integers(1, 3000), st.floats(0.1, 900.0)), min_size=1, max_size=6),
    st.sampled_from([0.9, 0.99]),
)
def test_chances_of_running_short_are_shared_by_the_worth_of_the_doubt(
    goods: list[tuple[int, float]], quantile: float
) -> None:
    """Price of a unit times standard deviation over the mean of all, or over `USUAL_DOUBT` of the
    worth of a week's use where that is less; a third to three times."""
    count = len(goods)
    supplies = [
        supply(number, packs=(PackOffer(1, 100, price), PackOffer(2, 50, price)))
        for number, (price, _) in enumerate(goods)
    ]
    doubt = np.array([deviation for _, deviation in goods])
    nothing = np.zeros((count, HORIZON))
    variance = np.zeros((count, HORIZON))
    variance[:, 6] = doubt**2
    a_day = 1 + np.arange(count, dtype=float)
    needs = Needs(nothing, variance, nothing, nothing, nothing, a_day)
    state = ShelfState(MONDAY, (), (), settings=OrderSettings(quantile=quantile))
    found = accepted(state, supplies, needs, np.full(count, 7))
    worth = [price / 100 * deviation for price, deviation in goods]
    used = [price / 100 * 7 * a_day[at] for at, (price, _) in enumerate(goods)]
    mean = min(sum(worth), USUAL_DOUBT * sum(used)) / count
    expected = [min(max(one / mean, 1 / 3), 3) * (1 - quantile) for one in worth]
    assert found == pytest.approx(expected)


def test_where_twice_as_much_as_usual_is_in_doubt_twice_the_chance_is_accepted() -> None:
    """Beyond what is usual; and in a shop twice as large, whatever its prices, as in this one."""
    state, nothing = ShelfState(MONDAY, (), ()), np.zeros((2, HORIZON))

    def chance(doubt: float, a_day: float, price: int) -> float:
        supplies = [supply(one, packs=(PackOffer(1, 100, price),)) for one in (1, 2)]
        needs = Needs(nothing, nothing + doubt**2, nothing, nothing, nothing, np.full(2, a_day))
        found = accepted(state, supplies, needs, np.full(2, 7))
        assert found[0] == found[1]
        return float(found[0])

    usual = 1 - OrderSettings().quantile
    for doubt in (0.1, 0.5, 1):
        assert chance(doubt * USUAL_DOUBT * 70, 10, 500) == pytest.approx(usual)
    assert chance(2 * USUAL_DOUBT * 70, 10, 500) == pytest.approx(2 * usual)
    assert chance(2 * USUAL_DOUBT * 70, 20, 900) == pytest.approx(usual)


def test_what_has_no_price_or_no_doubt_is_kept_as_sure_as_the_settings_say() -> None:
    supplies = [supply(1), supply(2, packs=()), supply(3)]
    nothing = np.zeros((3, HORIZON))
    variance = np.array([[4.0], [9.0], [0.0]]) * np.ones(HORIZON)
    needs = Needs(nothing, variance, nothing, nothing, nothing, np.full(3, 9.0))
    state = ShelfState(MONDAY, (), ())
    allowed = 1 - OrderSettings().quantile
    assert accepted(state, supplies, needs, np.full(3, 7)) == pytest.approx([allowed] * 3)


def test_a_cold_stop_makes_due_before_it_what_has_to_last_through_it() -> None:
    def days(begins: int, on_hand: int) -> float:
        cold = SupplierState(
            supplier=1, lead_days=(6,) * 20, promised_days=6,
            cold_spans=((MONDAY + begins, MONDAY + begins + 60),),
        )  # fmt: skip
        return float(weighed(supply(on_hand=on_hand, no_frost=True), suppliers=(cold,)).due[0])

    plain = float(weighed(supply(on_hand=6500)).due[0])
    assert 20 < plain < 60
    # on already, for 52 days more: what would not last so long was due before
    assert days(-8, 6500) == 0
    assert days(-8, 20_000) > 53
    # behind it the next order is due as on any day
    assert days(-8, 20_000) == float(weighed(supply(on_hand=20_000)).due[0])
    # ahead, what has to last through it is bought on the last day that is relied on
    assert 0 < days(20, 6500) < 20
    # far ahead it changes nothing yet
    assert days(120, 6500) == plain


def test_a_ladder_reaches_through_a_stop_ahead_by_its_last_day_and_beyond_one_that_is_on() -> None:
    choice = PackChoice(PackOffer(1, 500, 900), 1e9, False)

    def ladder(begins: int, on_hand: int) -> tuple[WeighedShelf, list[int]]:
        cold = replace(WEEK, cold_spans=((MONDAY + begins, MONDAY + begins + 60),))
        shelf = weighed(supply(on_hand=on_hand, no_frost=True), suppliers=(cold,))
        return shelf, [one.due_in for one in shelf.ladder(0, choice, due_now=False)]

    plain = weighed(supply(on_hand=3000)).ladder(0, choice, due_now=False)
    shelf, days = ladder(100, 3000)
    stop = shelf.over_stop[0]
    assert 0 < stop.last < 100
    assert days[: len(plain)] == [min(one.due_in, stop.last) for one in plain]
    shelf, days = ladder(-8, 12_000)
    assert shelf.over_stop[0].last == 0
    assert min(days) >= shelf.over_stop[0].after == 53
    without = weighed(supply(on_hand=12_000)).ladder(0, choice, due_now=False)
    assert without
    # behind the stop a pack is due as on any day, its chances being those of any week
    assert days[: len(without)] == [max(one.due_in, 53) for one in without]


def test_whatever_is_due_by_its_risk_is_due_in_its_ladder() -> None:
    """Just below its level the mean need alone would let it wait; the risk does not."""
    level = int(weighed(supply()).level(0))
    choice = PackChoice(PackOffer(1, 500, 900), 1e9, False)
    for on_hand in range(level - 300, level + 301, 50):
        shelf = weighed(supply(on_hand=on_hand))
        first = shelf.ladder(0, choice, due_now=False)[0]
        assert (first.due_in == 0) == (shelf.due[0] == 0)
        if shelf.risks.risk[0] > 1 - shelf.state.settings.quantile:
            assert first.due_in == 0


def test_a_ladder_holds_every_pack_that_may_be_bought_and_only_those() -> None:
    """Against all positions up to far beyond it, of small packs of which a day takes several."""
    choice = PackChoice(PackOffer(1, 20, 900), 1e9, False)
    settings = OrderSettings(longest_days=5)
    one = supply(on_hand=1500)
    shelf = WeighedShelf.of(ShelfState(MONDAY, (one,), (WEEK,), (0,) * 60, settings))
    positions = 1500.0 + 20 * np.arange(1000)
    span, safety = int(shelf.waits.span[0]), float(shelf.risks.safety[0])
    days = due_after(shelf.needs, 0, positions, safety, span)
    farthest = 5 * FOR_MINIMUM
    ladder = shelf.ladder(0, choice, due_now=False)
    assert [one.due_in for one in ladder] == [day for day in days if day <= farthest]
    assert len(ladder) > 5


@given(st.integers(0, 130), st.integers(0, 70))
def test_who_else_sends_a_supply_through_a_stop_has_no_stop_on_any_of_its_days(
    begins: int, lasts: int
) -> None:
    own = replace(WEEK, cold_spans=((MONDAY + 30, MONDAY + 90),))
    other = SupplierState(supplier=2, cold_spans=((MONDAY + begins, MONDAY + begins + lasts),))
    both = (PackOffer(1, 500, 900), PackOffer(2, 500, 900, 2))
    (source,) = weighed(supply(no_frost=True, packs=both), suppliers=(own, other)).sources
    (alone,) = weighed(supply(no_frost=True), suppliers=(own, other)).sources
    together = set(range(30, 91)) & set(range(begins, begins + lasts + 1))
    assert source.another == (not together)
    assert not alone.another, "he does not sell it"
    (plain,) = weighed(supply(packs=both), suppliers=(WEEK, other)).sources
    assert not plain.another, "there is no stop to be sent through"
    on = replace(WEEK, cold_spans=((MONDAY - 5, MONDAY + 90),))
    (now,) = weighed(supply(no_frost=True, packs=both), suppliers=(on, STORE)).sources
    assert (now.supplier, now.another) == (2, False)


def test_of_a_young_supply_no_more_is_bought_along_than_its_first_weeks_or_bookings_take() -> None:
    """Packs beyond that are put off beyond the longest days, where only a minimum order asks for
    them; the last of these days is booked for here, and counts, the day after it does not."""
    longest = OrderSettings().longest_days
    choice = PackChoice(PackOffer(1, 500, 900), 1e9, False)
    for day, room in ((longest, 8), (longest + 1, 0)):
        booked = (BookedNeed(MONDAY + day, 4000, 0.0),)
        shelf = weighed(supply(on_hand=0, use=(), booked=booked))
        some = [PackCandidate(due, 0, nth, 900) for nth, due in enumerate((0, 3, *[9] * 10))]
        found = shelf.not_too_early(0, choice, some)
        usual = float(shelf.needs.mean[0, LEARNT - 1]) / 500
        kept = max(room, usual)
        assert [one.due_in for one in found] == [
            one.due_in if one.due_in == 0 or one.nth < kept else longest + 1 for one in some
        ]
        assert any(one.due_in > longest for one in found)
    known = weighed(supply(on_hand=0))
    assert known.not_too_early(0, choice, some) == some
