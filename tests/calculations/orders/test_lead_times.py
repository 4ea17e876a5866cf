"""Lead times: the promise, moved by what was seen."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from app.calculations.orders.lead_times import (
    CHANGE,
    FRESH_WEIGHT,
    PRIOR_RATIO,
    PRIOR_WEIGHT,
    _chances,
    _longer_than,
    change_places,
    comes_at_all,
    lead_time_chances,
    lead_time_quantile,
)


def mean(chances: np.ndarray) -> float:
    return float(chances @ np.arange(1, chances.size + 1))


def test_a_promise_alone_is_close_to_the_gamma_of_scipy() -> None:
    chances = lead_time_chances((), 6)  # mean 6, standard deviation 3
    days = np.arange(1, chances.size + 1)
    exact = stats.gamma.cdf(days + 0.5, 4, scale=1.5) - stats.gamma.cdf(days - 0.5, 4, scale=1.5)
    assert np.abs(chances - exact)[1:].max() < 0.004
    assert mean(chances) == pytest.approx(6, abs=0.15)


def test_what_is_seen_takes_over_from_the_promise() -> None:
    promised = 3
    means = [mean(lead_time_chances([10] * n, promised)) for n in (0, 2, 6, 20, 50)]
    assert means == sorted(means)
    assert means[0] == pytest.approx(3, abs=0.2)
    assert means[-1] == pytest.approx(10, abs=0.7)


def test_many_deliveries_seen_give_their_own_quantiles() -> None:
    rng = np.random.default_rng(2)
    seen = np.maximum(np.rint(rng.gamma(4, 1.25, 50)), 1).astype(int).tolist()
    chances = lead_time_chances(seen, 5)
    assert abs(lead_time_quantile(chances, 0.5) - np.quantile(seen, 0.5)) <= 1
    assert abs(lead_time_quantile(chances, 0.9) - np.quantile(seen, 0.9)) <= 2


def test_one_lost_parcel_does_not_become_the_rule() -> None:
    chances = lead_time_chances([5] * 30 + [60], 5)
    assert lead_time_quantile(chances, 0.5) <= 7
    assert chances[55:].sum() > 0  # but it is not forgotten either


def test_only_the_latest_deliveries_count() -> None:
    assert np.array_equal(
        lead_time_chances([30] * 500 + [4] * 50, 5), lead_time_chances([4] * 50, 5)
    )


@given(st.lists(st.integers(-5, 400), max_size=60), st.none() | st.integers(0, 90))
def test_chances_add_up_to_one_and_none_is_negative(seen: list[int], promised: int | None) -> None:
    chances = lead_time_chances(seen, promised)
    assert chances.sum() == pytest.approx(1)
    assert (chances >= 0).all()
    assert 1 <= lead_time_quantile(chances, 0.5) <= lead_time_quantile(chances, 0.9)


def test_what_was_seen_has_its_share_beside_the_gamma_of_scipy() -> None:
    """Twenty parcels of five days, five promised: 20 / (20 + 20) / 2 of it is their own."""
    days = np.full(20, 5.0)
    chances = _chances(days, np.ones(20), np.ones(1), 5)
    variance = 4 * 2.5**2 / 24  # the promise counts for four of twenty-four
    smooth = stats.gamma(25 / variance, scale=variance / 5)
    assert chances[4] == pytest.approx(0.75 * (smooth.sf(4.5) - smooth.sf(5.5)) + 0.25, abs=0.01)


def test_a_parcel_that_is_overdue_speaks_for_longer_lead_times() -> None:
    seen = (5, 4, 6, 5, 5, 4, 6, 5)
    before = lead_time_quantile(lead_time_chances(seen, 5), 0.9)
    assert lead_time_quantile(lead_time_chances(seen, 5, (20,)), 0.95) > before
    fresh, late = lead_time_chances(seen, 5, (1,)), lead_time_chances(seen, 5, (12,))
    mean = [float(np.arange(1, one.size + 1) @ one) for one in (fresh, late)]
    plain = lead_time_chances(seen, 5)
    assert mean[0] == pytest.approx(float(np.arange(1, plain.size + 1) @ plain), abs=0.02)
    assert mean[1] > mean[0] + 0.3
    # where half come the next day, one that waits a day already is no such parcel
    quick = lead_time_chances((1, 5) * 10, 5)
    assert lead_time_chances((1, 5) * 10, 5, (1,))[0] < quick[0]


def test_waiting_parcels_take_the_bias_out_of_those_that_came() -> None:
    """Mean lead 10 days, seen at a moment: what came so far is the short half; the censored mean by
    maximum likelihood for exponential times is (all days waited) / (parcels that came): Lawless,
    Statistical Models and Methods for Lifetime Data, 1982, section 3.1 (from memory)."""
    rng = np.random.default_rng(8)
    leads = np.maximum(np.rint(rng.exponential(10.0, 40)), 1)
    sent = rng.integers(1, 25, 40)
    came = leads <= sent
    total = float(np.where(came, leads, sent).sum()) / came.sum()
    seen, open_ = leads[came].astype(int).tolist(), sent[~came].tolist()
    means = [
        float(np.arange(1, one.size + 1) @ one)
        for one in (lead_time_chances(seen, 10), lead_time_chances(seen, 10, open_))
    ]
    assert abs(means[1] - total) < abs(means[0] - total)


def test_a_supplier_who_became_slow_is_soon_taken_for_slow() -> None:
    found = lead_time_chances([5] * 40 + [10] * 25, 5)
    assert lead_time_quantile(found, 0.5) >= 8


def test_a_supplier_who_doubles_is_known_for_it_within_a_dozen_parcels() -> None:
    """Drawn as the simulated shops draw them: gamma, a mean of five days, then of ten."""
    rng = np.random.default_rng(3)
    usual, slow = (np.maximum(np.rint(rng.gamma(4, m / 4, 400)), 1) for m in (5, 10))
    for parcels, least in ((8, 7), (12, 8)):
        after = [
            mean(lead_time_chances([*usual[at : at + 38], *slow[at : at + parcels]], 5))
            for at in range(0, 320, 8)
        ]
        assert float(np.median(after)) >= least
    moved = [
        mean(lead_time_chances(usual[at : at + 48].tolist(), 5)) - usual[at : at + 48].mean()
        for at in range(0, 320, 8)
    ]
    assert abs(float(np.median(moved))) <= 0.3, "no change where there was none"
    assert np.quantile(np.abs(moved), 0.9) <= 1


def test_of_four_slow_parcels_it_is_known_how_late_the_next_may_be() -> None:
    """Of 22 days, which one in forty takes now; of one gamma for both ways it was one in 300."""
    rng = np.random.default_rng(5)
    later = [
        lead_time_chances(
            np.maximum(np.rint([*rng.gamma(4, 1.25, 40), *rng.gamma(4, 2.5, 4)]), 1), 5
        )[21:].sum()
        for _ in range(60)
    ]
    true = float(stats.gamma.sf(21.5, 4, scale=2.5))
    assert 0.4 * true <= float(np.mean(later)) <= true


def test_one_late_parcel_is_no_change_two_in_a_row_may_be() -> None:
    one, two = (change_places(np.array([5.0] * 30 + [20.0] * n), 5)[0] for n in (1, 2))
    assert one > 0.5 > two


@pytest.mark.parametrize("seen", [(5.0,), (4.0, 11.0), (4.0, 6.0, 3.0, 5.0, 11.0, 9.0, 14.0)])
def test_the_chance_of_a_change_is_that_of_numerical_integration(seen: tuple[float, ...]) -> None:
    """The unknown mean of each side integrated over a grid; scipy's gamma densities."""
    days, promised = np.array(seen), 5
    shape = PRIOR_RATIO**-2
    rates = np.linspace(1e-4, 12.0, 40_001)

    def fit(some: np.ndarray, weight: float) -> float:
        prior = stats.gamma.pdf(rates, shape * weight + 1, scale=1 / (weight * promised))
        likely = stats.gamma.pdf(some[:, None], shape, scale=1 / rates).prod(axis=0)
        return float(np.trapezoid(prior * likely, rates))

    odds = [fit(days, PRIOR_WEIGHT) * (1 / CHANGE - 1)]
    odds += [
        fit(days[:at], PRIOR_WEIGHT) * fit(days[at:], FRESH_WEIGHT) for at in range(1, days.size)
    ]
    expected = np.array(odds) / np.sum(odds)
    assert change_places(days, promised) == pytest.approx(expected, abs=1e-4)


@given(
    st.lists(st.floats(0.0, 1.0), min_size=1, max_size=12).filter(lambda some: sum(some) > 0.1),
    st.integers(1, 14),
)
def test_a_wait_counts_with_the_mean_of_all_that_is_longer(chances: list[float], wait: int) -> None:
    known = np.array(chances) / sum(chances)
    means, shares = _longer_than(np.array([float(wait)]), known)
    longer = [(day, chance) for day, chance in enumerate(known, start=1) if day > wait]
    weight = sum(chance for _, chance in longer)
    assert shares[0] == pytest.approx(1 - weight)
    if weight > 0:
        assert means[0] == pytest.approx(sum(day * chance for day, chance in longer) / weight)
    else:
        assert means[0] == wait + 1


def test_what_follows_from_each_place_of_a_change_is_averaged_by_its_chance() -> None:
    """The mean over all places, each from the deliveries since and what the promise counts for."""
    for seen in ([10] * 25 + [4] * 25, [10] * 3 + [6] * 4, [5] * 9):
        expected = 0.0
        for place, chance in enumerate(change_places(np.array(seen, dtype=float), 5)):
            since = seen[place:]
            promise = FRESH_WEIGHT if place else PRIOR_WEIGHT
            smooth = (promise * 5 + sum(since)) / (promise + len(since))
            # nothing is wild here; one half is smooth, the other what was seen
            own = 0.5 * len(since) / (len(since) + 20)
            expected += chance * ((1 - own) * smooth + own * sum(since) / len(since))
        assert mean(lead_time_chances(seen, 5)) == pytest.approx(expected, abs=0.12)


@given(st.integers(1, 40), st.integers(0, 30), st.lists(st.integers(1, 12), max_size=20))
def test_that_a_late_parcel_comes_at_all_is_bayes_by_counting(
    late: int, given_days: int, seen: list[int]
) -> None:
    """Of ever so many parcels one in a hundred never comes, the others as this supplier's do."""
    lead = lead_time_chances(seen, 5)
    usual = next(day for day in range(1, 91) if lead[:day].sum() >= 0.5 - 1e-9)
    days = late + min(given_days, usual)
    still_out = sum(0.99 * chance for day, chance in enumerate(lead, start=1) if day > days)
    found = comes_at_all(late, given_days, seen, 5)
    assert found == pytest.approx(still_out / (still_out + 0.01))
    assert comes_at_all(late + 1, given_days, seen, 5) <= found
    assert comes_at_all(0, given_days, seen, 5) == 1


def test_a_parcel_is_given_up_when_it_is_later_than_any_that_was_seen() -> None:
    seen = [5, 6, 4, 5, 9, 6, 5, 5, 4, 6] * 3
    assert comes_at_all(2, 5, seen, 5) > 0.9
    assert comes_at_all(30, 5, seen, 5) < 0.1
    # a day that was agreed a month ahead is no delay of a month
    assert comes_at_all(2, 35, seen, 5) == comes_at_all(2, 5, seen, 5)
    # of a supplier whose parcels have taken three weeks before, it is waited for longer
    assert comes_at_all(14, 5, [*seen, 22, 24], 5) > 0.5 > comes_at_all(14, 5, seen, 5)


def test_the_quantile_is_the_first_day_by_which_the_share_has_come() -> None:
    chances = np.array([0.2, 0.3, 0.5])
    assert [lead_time_quantile(chances, share) for share in (0.1, 0.2, 0.21, 0.5, 0.51, 1.0)] == [
        1, 1, 2, 2, 3, 3,
    ]  # fmt: skip


def test_without_a_promise_it_is_taken_for_five_days() -> None:
    assert np.array_equal(lead_time_chances((), None), lead_time_chances((), 5))
    assert np.array_equal(lead_time_chances((), 0), lead_time_chances((), 1))


def test_what_was_wild_before_a_change_is_usual_after_it() -> None:
    """A supplier who took 4 days and takes 10 to 18 now: what is longer than three times the old
    middle is as likely as from one of whom nothing else was ever seen."""
    now = [10, 16, 18, 9, 12, 17, 18, 10, 11, 13, 18, 9]
    changed = lead_time_chances([4, 3, 5, 4, 5, 3, 4, 4, 5, 3] * 3 + now, 4)
    ever = lead_time_chances(now, 4)
    assert mean(changed) >= mean(ever) - 0.3
    assert changed[18:].sum() >= ever[18:].sum()


def test_a_wild_delivery_counts_as_three_of_the_middle_of_all_when_a_change_is_looked_for() -> None:
    """The middle of 9, 1, 1, 9 and 60 days is 9 by numpy, so 60 count as 27."""
    days = np.array([9.0, 1.0, 1.0, 9.0, 60.0])
    tame = np.minimum(days, 3 * np.median(days))
    assert change_places(days, 5) == pytest.approx(change_places(tame, 5))
    assert change_places(days, 5) != pytest.approx(change_places(np.minimum(days, 15.0), 5))


def test_a_parcel_that_was_sent_today_says_nothing() -> None:
    seen = (4, 6, 5, 9, 3)
    without = lead_time_chances(seen, 5, (12,))
    assert lead_time_chances(seen, 5, (12, 0)) == pytest.approx(without)
    assert lead_time_chances(seen, 5, (12, 1)) != pytest.approx(without, abs=1e-9)


def test_a_promise_of_today_is_one_of_tomorrow_and_one_of_two_days_is_later() -> None:
    today, tomorrow, two = (lead_time_chances((), promised) for promised in (0, 1, 2))
    assert today == pytest.approx(tomorrow)
    assert mean(tomorrow) < mean(two) - 0.5
