"""The rule that proposes orders, case by case, and the edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from app.calculations.orders.basket import Basket, PackCandidate
from app.calculations.orders.packs import KEEP_SHARE, PackChoice
from app.calculations.orders.proposal import Proposal, ProposedLine
from app.calculations.orders.reorder import _proposal, _reason, propose
from app.calculations.orders.shelf_risks import WeighedShelf
from app.calculations.orders.shelf_state import (
    BookedNeed,
    OnOrder,
    OrderSettings,
    PackOffer,
    ShelfState,
    SupplierState,
    SupplyState,
)
from app.errors import Mendable
from tests.steps import steps

MONDAY = 735_000 - (735_000 - 1) % 7
TODAY = MONDAY + 6  # a Sunday
HOUSE = SupplierState(
    supplier=1,
    lead_days=(4, 5, 6, 5, 9, 3, 5, 4),
    promised_days=5,
    freight=1400,
    free_freight_from=15000,
)
WEEK = [800, 0, 900, 700, 0, 0, 0]  # of use, to a Sunday
STEADY = WEEK * 30


def shelf(*supplies: SupplyState, suppliers: Sequence[SupplierState] = (HOUSE,), day: int = TODAY,
          **chosen: float) -> ShelfState:  # fmt: skip
    return ShelfState(
        day,
        supplies,
        tuple(suppliers),
        (0,) * 60,
        OrderSettings(**chosen),  # type: ignore[arg-type]
    )


def supply(on_hand: int, number: int = 1, **more: object) -> SupplyState:
    facts: dict[str, object] = {
        "supplier": 1,
        "packs": (PackOffer(number * 10, 5000, 4000),),
        "use": STEADY,
    }
    return SupplyState(supply=number, on_hand=on_hand, **(facts | more))  # type: ignore[arg-type]


def lines(answer: Proposal) -> dict[int, ProposedLine]:
    return {line.supply: line for order in answer.orders for line in order.lines}


def test_a_full_shelf_orders_nothing_and_an_empty_one_does() -> None:
    assert not propose(shelf(supply(100_000))).orders
    line = lines(propose(shelf(supply(0))))[1]
    assert line.quantity == line.count * 5000
    assert not line.filler


def test_the_reason_carries_the_numbers_of_its_sentence() -> None:
    """Two booked jobs need 56 before the delivery of a later order, 32 are left."""
    booked = tuple(BookedNeed(TODAY + day, 28_000, 0.0, job) for job, day in ((421, 4), (424, 6)))
    one = supply(32_000, use=(), booked=booked, packs=(PackOffer(1, 30_000, 3900),))
    # all work is booked a month ahead, so that nothing else is to be expected
    told = replace(shelf(one), notice=(30,) * 500)
    line = lines(propose(told))[1]
    why = line.reason
    assert (why.kind, why.jobs, why.booked, why.left, why.coming) == (
        "booked",
        2,
        56_000,
        32_000,
        0,
    )
    assert why.before_day > TODAY + 5
    assert line.count >= 1
    assert why.unbooked < 100


def test_a_stopped_supply_is_used_up_and_never_ordered() -> None:
    answer = propose(shelf(supply(0, stopped=True)))
    assert not answer.orders
    assert answer.covers[0].order_day is None
    assert answer.covers[0].reorder_level == 0


def test_what_is_on_its_way_is_not_ordered_again() -> None:
    coming = (OnOrder(50_000, TODAY + 3),)
    assert not propose(shelf(supply(500, on_order=coming))).orders


def test_the_worst_is_ordered_when_only_the_added_chances_are_too_high() -> None:
    found = None
    for on_hand in range(2_000, 12_000, 50):
        answer = propose(shelf(*(supply(on_hand, number) for number in (1, 2, 3))))
        single = answer.covers[0].risk
        if 0.02 / 3 < single <= 0.02:
            found = answer
            break
    assert found is not None
    assert any(not line.filler for line in lines(found).values())


def test_cheap_goods_are_kept_surer_than_dear_ones_for_less_money() -> None:
    """The same use of both: as many stockouts are expected as with equal chances, and less money
    lies there. Alone each has the equal chance."""
    prices = (2000, 6000)
    both = [
        supply(0, number, packs=(PackOffer(number, 5000, price),))
        for number, price in enumerate(prices, 1)
    ]
    equal = [propose(shelf(one)).covers[0].reorder_level for one in both]
    cheap, dear = (one.reorder_level for one in propose(shelf(*both)).covers)
    assert equal[0] == equal[1]
    assert cheap > equal[0]
    assert dear < equal[1]
    assert prices[0] * cheap + prices[1] * dear < prices[0] * equal[0] + prices[1] * equal[1]


def test_fillers_save_freight_and_say_what_they_tie_up() -> None:
    answer = propose(
        shelf(
            supply(0), supply(11_000, 2), supply(12_000, 3), supply(13_000, 4), supply(900_000, 5)
        )
    )
    order = answer.orders[0]
    assert order.goods >= 15000
    assert (order.freight, order.freight_saved) == (0, 1400)
    fillers = [line for line in order.lines if line.filler]
    assert fillers
    assert order.tied_up >= sum(line.cost for line in fillers) > 0
    assert 0 < order.tied_days <= 56
    assert all(TODAY < line.reason.needed_day <= TODAY + 56 for line in fillers)
    assert 5 not in lines(answer)


def test_orders_are_written_on_the_suppliers_days_and_last_until_the_next() -> None:
    tuesdays = replace(HOUSE, order_weekdays=(1,))
    some = supply(8_000)
    monday, tuesday = MONDAY + 7, MONDAY + 8
    waiting = propose(shelf(some, suppliers=[tuesdays], day=monday))
    ordering = propose(shelf(some, suppliers=[tuesdays], day=tuesday))
    assert not waiting.orders
    assert waiting.suppliers[0].next_order_day == tuesday
    assert ordering.suppliers[0].next_order_day == tuesday + 7
    daily = propose(shelf(some, day=tuesday))
    assert ordering.covers[0].risk > daily.covers[0].risk
    assert ordering.covers[0].reorder_level > daily.covers[0].reorder_level


def test_a_minimum_that_cannot_be_reached_is_said() -> None:
    picky = replace(HOUSE, minimum_order=1_000_000)
    assert propose(shelf(supply(0, shelf_life_days=40), suppliers=[picky])).orders[0].below_minimum


def test_nothing_is_hoarded_beyond_three_quarters_of_its_shelf_life() -> None:
    answer = propose(shelf(supply(2_000, shelf_life_days=40), longest_days=300, freight_days=1e6))
    line, per_day = lines(answer)[1], answer.covers[0].per_day
    assert 2_000 + line.quantity <= KEEP_SHARE * 40 * per_day * 1.25 or line.count == 1


def test_without_history_bookings_alone_bring_the_order() -> None:
    new = supply(0, use=(), booked=(BookedNeed(TODAY + 3, 4_000, 0.3),))
    assert lines(propose(shelf(new)))[1].count >= 1
    assert not propose(shelf(supply(0, use=()))).orders


def test_a_supplier_never_dealt_with_is_taken_by_its_word_or_by_custom() -> None:
    for promised in (None, 0, 12):
        unknown = SupplierState(supplier=1, lead_days=(), promised_days=promised)
        answer = propose(shelf(supply(0), suppliers=[unknown]))
        assert answer.orders
        assert TODAY < answer.suppliers[0].delivery_day <= answer.suppliers[0].delivery_late_day


def test_goods_without_price_do_not_stop_the_rule() -> None:
    free = supply(0, packs=(PackOffer(1, 5000, 0),))
    order = propose(shelf(free)).orders[0]
    assert order.goods == 0
    assert order.total == order.freight


def test_a_stock_below_zero_counts_as_empty_and_asks_for_a_count() -> None:
    below, empty = propose(shelf(supply(-70_000))), propose(shelf(supply(0)))
    assert below.covers[0].count_it
    assert not empty.covers[0].count_it
    assert lines(below)[1].count == lines(empty)[1].count


def test_what_is_to_stand_there_in_any_case_is_ordered_back_up_to_it() -> None:
    """Pieces that are not used at all, 40 left of the 60 wanted, sold in tens: two packs."""
    towels = supply(40_000, use=(), packs=(PackOffer(1, 10_000, 900),), floor=60_000)
    line = lines(propose(shelf(towels)))[1]
    assert (line.count, line.filler, line.reason.kind, line.reason.floor) == (
        2,
        False,
        "floor",
        60_000,
    )
    assert not propose(shelf(replace(towels, on_hand=60_000))).orders
    assert not propose(shelf(replace(towels, on_order=(OnOrder(20_000, TODAY + 3),)))).orders
    assert not propose(shelf(replace(towels, stopped=True))).orders
    assert propose(shelf(towels)).covers[0].reorder_level == 60_000


def test_a_floor_under_what_use_asks_for_changes_nothing() -> None:
    assert lines(propose(shelf(supply(900))))[1].quantity == (
        lines(propose(shelf(supply(900, floor=1))))[1].quantity
    )


def test_stock_that_use_takes_below_its_floor_is_due_when_it_does() -> None:
    steady = propose(shelf(supply(50_000))).covers[0]
    floored = propose(shelf(supply(50_000, floor=45_000))).covers[0]
    assert floored.order_day is not None
    assert steady.order_day is not None
    # 2.4 a week: 5.0 above the floor last about two weeks
    assert TODAY + 8 <= floored.order_day <= TODAY + 22
    assert floored.order_day < steady.order_day


def test_a_supply_without_pack_or_supplier_only_shows_how_long_it_lasts() -> None:
    answer = propose(
        shelf(supply(0, packs=()), supply(0, 2, supplier=None), supply(0, 3, supplier=9))
    )
    assert not answer.orders
    assert [cover.supply for cover in answer.covers] == [1, 2, 3]


def test_a_second_source_steps_in_where_the_first_sells_no_pack() -> None:
    second = SupplierState(supplier=2, lead_days=(2, 2), promised_days=2)
    one = supply(0, packs=(PackOffer(5, 5000, 4000, 2),))
    answer = propose(shelf(one, suppliers=[HOUSE, second]))
    assert [order.supplier for order in answer.orders] == [2]


def test_an_empty_shop_proposes_nothing() -> None:
    assert propose(ShelfState(TODAY, (), ())) == Proposal(TODAY, (), ())
    assert len(propose(ShelfState(TODAY, (), (HOUSE,))).suppliers) == 1


@pytest.mark.parametrize(
    "wrong",
    [
        shelf(supply(0), supply(5)),
        shelf(supply(0), suppliers=[HOUSE, HOUSE]),
        shelf(supply(0, packs=(PackOffer(1, 0, 100),))),
        shelf(supply(0, packs=(PackOffer(1, 100, -1),))),
        shelf(supply(0, booked=(BookedNeed(TODAY + 1, -5),))),
        shelf(supply(0, booked=(BookedNeed(TODAY + 1, 5, float("nan")),))),
        shelf(supply(0), quantile=1.0),
    ],
)
def test_a_shelf_that_cannot_be_is_refused_in_a_sentence(wrong: ShelfState) -> None:
    with pytest.raises(Mendable):
        propose(wrong)


def three_hundred(window: int) -> ShelfState:
    rng = np.random.default_rng(1)
    supplies = []
    for number in range(1, 301):
        used = rng.random(window) < rng.uniform(0.01, 0.4)
        use = np.where(used, rng.lognormal(11, 0.4, window), 0).astype(int).tolist()
        packs = (PackOffer(number * 2, 946_000, 3500), PackOffer(number * 2 + 1, 3_785_000, 9000))
        booked = tuple(BookedNeed(TODAY + int(day), 60_000) for day in rng.integers(1, 15, 5))
        on_hand = int(rng.integers(0, 2_000_000))
        supplies.append(
            SupplyState(
                supply=number,
                supplier=number % 6 + 1,
                on_hand=on_hand,
                packs=packs,
                on_order=(),
                booked=booked,
                use=use,
                shelf_life_days=720,
                opened_life_days=540,
            )
        )
    sources = [replace(HOUSE, supplier=number) for number in range(1, 7)]
    return shelf(*supplies, suppliers=sources)


def test_an_old_book_takes_no_more_steps_and_orders_what_its_last_year_says() -> None:
    old = three_hundred(3650)
    year = OrderSettings().window_days
    young = replace(old, supplies=tuple(replace(one, use=one.use[-year:]) for one in old.supplies))
    assert propose(old).orders == propose(young).orders
    assert steps(lambda: propose(old)) <= 1.1 * steps(lambda: propose(young))


def test_money_tied_up_is_that_of_all_that_is_not_due_today() -> None:
    """By hand: 7.00 a day early and 3.00 by five days are 10.00 for 2.2 days."""
    weighed = WeighedShelf.of(shelf(supply(1000)))
    choices = {0: PackChoice(weighed.supplies[0].packs[0], 1e9, False)}
    packs = tuple(
        PackCandidate(due, 0, nth, price)
        for nth, (due, price) in enumerate(((0, 500), (1, 700), (5, 300)))
    )
    basket = Basket(packs, 1500, ())
    found = _proposal(weighed, HOUSE, basket, basket, choices)
    assert (found.tied_up, found.tied_days) == (1000, 2)
    alone = Basket(packs[:1], 500, ())
    assert _proposal(weighed, HOUSE, alone, alone, choices).tied_up == 0
    assert _proposal(weighed, HOUSE, alone, basket, choices).held_worth == 1000


@pytest.mark.parametrize("due_in", [0, 9])
@pytest.mark.parametrize("count", [1, 2, 3, 6])
@pytest.mark.parametrize("breaks", [(), ((3, 3000),)])
def test_packs_beyond_those_due_tie_up_money_only_where_a_price_break_asks_for_them(
    due_in: int, count: int, breaks: tuple[tuple[int, int], ...]
) -> None:
    """Packs that are needed today are counted one by one; with the break a pack is 10.00 less."""
    offer = PackOffer(10, 5000, 4000, breaks=breaks)
    weighed = WeighedShelf.of(shelf(supply(0, packs=(offer,))))
    needed = 1
    while needed * 5000 < weighed.level(0):
        needed += 1
    why = _reason(weighed, 0, PackChoice(offer, 1e9, False), count, due_in, 5, False)
    broken = bool(breaks) and count >= 3
    assert why.break_saved == (count * 1000 if broken else 0)
    more = count - needed if broken and offer.each(needed) > 3000 and due_in == 0 else 0
    assert why.break_tied == max(0, more) * 3000
