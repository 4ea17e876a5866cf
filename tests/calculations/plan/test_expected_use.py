"""Expected use: recipe x size x condition, corrected by the shop's own confirmed uses."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from app.calculations.plan import expected_use
from app.calculations.plan.expected_use import (
    FREEDOM,
    LEAN,
    ConfirmedUse,
    fit,
    recipe_amount,
)
from app.errors import Mendable
from tests.steps import steps

OUNCE = 29_574  # microlitres


def used(amount: int, *, recipe: int = 1000, supply: int = 1, service: int = 1, size: str = "M",
         day: int = 100) -> ConfirmedUse:  # fmt: skip
    return ConfirmedUse(supply, service, size, recipe, amount, day)


@pytest.mark.parametrize(
    ("scaling", "size", "condition", "expected"),
    [
        ("fixed", "XL", "extreme", 1000),
        ("size", "S", "extreme", 800),
        ("size", "XL", "kept", 1800),
        ("size_condition", "L", "average", 1300),
        ("size_condition", "L", "neglected", 1820),
        ("size_condition", "M", "kept", 800),
        ("size_condition", "M", "extreme", 2000),
        ("layer", "L", "extreme", 2600),
        ("container", "XL", "extreme", 2000),
    ],
)
def test_a_recipe_line_is_scaled_as_it_says(
    scaling: str, size: str, condition: str, expected: int
) -> None:
    # the factors are common practice, no source
    layers = 2 if scaling in ("layer", "container") else 1
    assert recipe_amount(1000, scaling, size, condition, layers=layers) == expected


def test_a_shop_may_have_its_own_factors() -> None:
    own = {"bike": 0.4}
    assert recipe_amount(1000, "size", "bike", size_factors=own) == 400


@pytest.mark.parametrize(
    ("scaling", "size", "condition"),
    [("size", "XXL", "average"), ("size_condition", "M", "filthy"), ("weekly", "M", "average")],
)
def test_an_unknown_word_is_refused_in_a_sentence(scaling: str, size: str, condition: str) -> None:
    with pytest.raises(Mendable):
        recipe_amount(1000, scaling, size, condition)


def test_without_any_use_the_recipe_stands_with_its_usual_spread() -> None:
    one = fit([]).expect(1, 1, "M", 2 * OUNCE)
    assert one.amount == 2 * OUNCE
    assert one.n == 0
    assert one.past == ()
    assert one.low == pytest.approx(2 * OUNCE * math.exp(-1.28155 * one.spread), rel=1e-4)
    assert one.high == pytest.approx(2 * OUNCE * math.exp(1.28155 * one.spread), rel=1e-4)


def test_the_expectation_moves_towards_what_is_used_and_never_beyond() -> None:
    amounts = [fit([used(1500)] * n).expect(1, 1, "M", 1000).amount for n in range(40)]
    assert amounts == sorted(amounts)
    assert amounts[0] == 1000
    assert 1180 <= amounts[4] <= 1350  # after four uses about halfway
    assert amounts[10] >= 1390  # after ten most of the way
    assert amounts[-1] < 1500


def test_what_one_service_taught_leans_over_to_another_but_less() -> None:
    learnt = fit([used(1500)] * 10)
    same = learnt.expect(1, 1, "M", 1000).amount
    other_size = learnt.expect(1, 1, "XL", 1000)
    other_service = learnt.expect(1, 2, "M", 1000)
    other_supply = learnt.expect(2, 1, "M", 1000)
    assert same > other_size.amount > other_service.amount > other_supply.amount == 1000
    assert (other_size.n, other_service.n, other_supply.n) == (10, 0, 0)


def test_past_uses_are_scaled_to_this_job_latest_first() -> None:
    learnt = fit([used(1000, day=1), used(3000, recipe=2000, day=3, size="XL"), used(500, day=2)])
    assert learnt.expect(1, 1, "L", 1300).past == (1950, 650, 1300)


def test_one_wild_entry_moves_little() -> None:
    usual = [used(1100, day=day) for day in range(8)]
    calm = fit(usual).expect(1, 1, "M", 1000)
    wild = fit([*usual, used(40_000)]).expect(1, 1, "M", 1000)
    assert wild.amount == pytest.approx(calm.amount, rel=0.06)
    assert fit([used(40_000)]).expect(1, 1, "M", 1000).amount < 1250


def test_not_used_is_learnt_as_a_share_not_as_a_small_amount() -> None:
    seldom = fit([used(1000)] * 2 + [used(0)] * 8).expect(1, 1, "M", 1000)
    assert seldom.amount == 0
    assert seldom.low == 0
    assert seldom.high > 800  # when it is used it takes what the recipe says
    mostly = fit([used(1000)] * 18 + [used(0)] * 2).expect(1, 1, "M", 1000)
    assert mostly.amount == pytest.approx(950, abs=60)


def test_a_use_without_recipe_amount_and_a_return_teach_nothing() -> None:
    nothing = fit([used(500, recipe=0), used(-200)])
    assert nothing.expect(1, 1, "M", 1000) == fit([]).expect(1, 1, "M", 1000)


def test_a_recipe_that_says_nothing_expects_nothing() -> None:
    one = fit([used(1500)] * 3).expect(1, 1, "M", 0)
    assert (one.amount, one.low, one.high) == (0, 0, 0)


def test_older_uses_count_less() -> None:
    old = [used(2000, day=0)] * 10 + [used(1000, day=3650)] * 10
    new = [used(1000, day=0)] * 10 + [used(2000, day=3650)] * 10
    assert fit(old).expect(1, 1, "M", 1000).amount < fit(new).expect(1, 1, "M", 1000).amount


def test_many_uses_with_wild_ones_give_the_middle_that_scipy_fits() -> None:
    """scipy's maximum likelihood of a t distribution with four degrees of freedom."""
    rng = np.random.default_rng(3)
    ratios = np.exp(rng.normal(0.4, 0.35, 400))
    ratios[:8] *= 9.0
    million = 1_000_000
    learnt = fit([used(round(ratio * million), recipe=million) for ratio in ratios])
    _, middle, _ = stats.t.fit(np.log(ratios), fdf=FREEDOM)
    amount = learnt.expect(1, 1, "M", million).amount
    assert math.log(amount / million) == pytest.approx(middle, abs=0.01)
    assert abs(np.log(ratios).mean() - middle) > 0.03  # which a plain mean misses


def test_a_little_evidence_is_the_posterior_mean_of_nested_normals() -> None:
    """(sum + k * parent) / (n + k), level by level: normal shrinkage with known prior strength."""
    close = [used(round(1000 * math.exp(0.02 * i))) for i in (-1, 0, 1, 2)]
    logs = np.log([one.used / one.recipe for one in close])
    mean = 0.0
    for _ in range(3):  # service leans on supply, size on service, with LEAN uses each
        mean = (logs.sum() + LEAN * mean) / (logs.size + LEAN)
    amount = fit(close).expect(1, 1, "M", 1_000_000).amount
    # t weights lie between 1 and 1.25 here, so that the uses count a little more
    assert math.log(amount / 1e6) == pytest.approx(mean, abs=0.001)


def test_four_in_five_uses_fall_into_the_span() -> None:
    """Drawn from what the model assumes, the span holds what it promises, for few uses and many."""
    rng = np.random.default_rng(11)
    for n in (0, 3, 12, 60):
        inside = 0
        for _ in range(400):
            true = rng.normal(0.0, 0.17)
            past = np.exp(rng.normal(true, 0.35, n + 1)) * 100_000
            learnt = fit([used(round(x), recipe=100_000) for x in past[:-1]])
            one = learnt.expect(1, 1, "M", 100_000)
            inside += one.low <= past[-1] <= one.high
        assert 0.73 <= inside / 400 <= 0.88, n


LINES = st.builds(
    ConfirmedUse,
    st.integers(1, 3),
    st.integers(1, 3),
    st.sampled_from(["S", "M", "L", "XL"]),
    st.integers(0, 10_000),
    st.integers(0, 100_000),
    st.integers(700_000, 701_000),
)


@given(st.lists(LINES, max_size=30), st.randoms(), st.integers(0, 10**7))
def test_the_answer_is_ordered_and_does_not_depend_on_the_order_of_uses(
    lines: list[ConfirmedUse], random: object, recipe: int
) -> None:
    shuffled = sorted(lines, key=lambda _: random.random())  # type: ignore[attr-defined]
    one, other = (fit(some).expect(1, 2, "L", recipe) for some in (lines, shuffled))
    assert 0 <= one.low <= one.amount <= one.high
    assert one.amount == pytest.approx(other.amount, abs=2, rel=1e-6)
    assert (one.n, sorted(one.past[: min(one.n, 12)])) == (other.n, sorted(other.past)) or (
        one.n > 12
    )
    assert len(one.past) == min(one.n, 12)


def test_ten_times_the_uses_are_learnt_in_ten_times_the_steps_at_the_most() -> None:
    rng = np.random.default_rng(5)
    n = 300_000
    columns = (
        rng.integers(1, 301, n).tolist(),
        rng.integers(1, 9, n).tolist(),
        [("S", "M", "L", "XL")[i] for i in rng.integers(0, 4, n)],
        [1000] * n,
        rng.integers(0, 3000, n).tolist(),
        rng.integers(0, 3650, n).tolist(),
    )
    seen = [ConfirmedUse(*row) for row in zip(*columns, strict=True)]
    assert fit(seen).expect(5, 3, "M", 1000).n > 50
    few, many = (steps(lambda rows=rows: fit(seen[:rows])) for rows in (n // 10, n))
    assert many <= 10 * few


def test_the_share_that_normal_uses_keep_under_the_weights_is_that_of_scipy() -> None:
    from scipy import integrate, stats

    def part(z: float) -> float:
        weight = (expected_use.FREEDOM + 1.0) / (expected_use.FREEDOM + z * z)
        return float(weight * z * z * stats.norm.pdf(z))

    assert integrate.quad(part, -20, 20)[0] == pytest.approx(expected_use.NORMAL_SHARE, abs=5e-5)


def level(
    logs: list[float], above: float, spread: float, learn_spread: bool = False
) -> tuple[float, float, float]:
    """Mean, doubt and spread of one group under a parent with a doubt of 0.02."""
    found = expected_use._level(
        np.array(logs), np.ones(len(logs)), np.zeros(1, dtype=np.int64),
        np.zeros(1, dtype=np.int64), np.array([above]), np.array([0.02]), np.array([spread]),
        learn_spread,
    )  # fmt: skip
    return tuple(float(one[0]) for one in found)  # type: ignore[return-value]


@given(st.lists(st.floats(-1.0, 1.0), min_size=1, max_size=15), st.floats(-0.3, 0.3))
def test_the_mean_is_where_the_t_density_and_its_parent_balance(
    logs: list[float], above: float
) -> None:
    """The root of the derivative of the log density, by scipy; four rounds come close to it."""
    spread, seen = 0.35, np.array(logs)

    def pull(mean: float) -> float:
        away = (seen - mean) / spread
        weight = (FREEDOM + 1) / (FREEDOM + away**2)
        return float((weight * (seen - mean)).sum() + LEAN * (above - mean))

    mean, doubt, kept = level(logs, above, spread)
    assert mean == pytest.approx(optimize.brentq(pull, -3, 3), abs=2e-3)
    assert kept == spread
    n = len(logs)
    assert doubt == pytest.approx(spread**2 / (n + LEAN) + (LEAN / (n + LEAN)) ** 2 * 0.02)


def test_a_spread_is_learnt_from_many_uses_and_leans_on_ten_of_its_parent() -> None:
    rng = np.random.default_rng(3)
    _, _, wide = level(rng.normal(0.0, 0.7, 2000).tolist(), 0.0, 0.35, True)
    _, _, narrow = level(rng.normal(0.0, 0.1, 2000).tolist(), 0.0, 0.35, True)
    assert wide == pytest.approx(0.7, rel=0.05)
    assert narrow == pytest.approx(0.1, rel=0.15)
    _, _, few = level([0.0] * 10, 0.0, 0.35, True)
    assert few == pytest.approx(0.35 / math.sqrt(2)), "ten uses without any spread weigh as much"
    assert level([-20.0, 20.0] * 30, 0.0, 0.35, True)[2] <= expected_use.WIDEST


def test_what_is_used_in_half_of_the_jobs_has_a_mixture_with_nothing() -> None:
    """The middle and the tenths of a share of zeros and a log normal, by scipy."""
    seen = [used(0)] * 12 + [used(1000)] * 30
    learnt = fit(seen)
    one = learnt.expect(1, 1, "M", 100_000)
    unused = 12 / (42 + 2)
    kind = learnt.by_size[1, 1, "M"]
    life = stats.lognorm(one.spread, scale=100_000 * math.exp(kind.mean))
    assert kind.unused == pytest.approx(unused)
    for amount, share in ((one.amount, 0.5), (one.high, 0.9)):
        assert unused + (1 - unused) * life.cdf(amount) == pytest.approx(share, abs=1e-4)
    assert one.low == 0, "more than a tenth of the jobs used none"


def test_a_use_two_years_ago_counts_half() -> None:
    seen = [used(0, day=1000 + 730), used(1000, day=1000)]
    assert fit(seen).by_service[1, 1].unused == pytest.approx(1 / (1.5 + 2))


def test_a_use_without_a_recipe_and_a_return_teach_nothing() -> None:
    plain = fit([used(500)]).expect(1, 1, "M", 1000)
    assert fit([used(500), used(900, recipe=0), used(-900)]).expect(1, 1, "M", 1000) == plain


def test_past_uses_are_scaled_to_this_job_the_latest_first_and_no_more_than_twelve() -> None:
    seen = [used(100 * n, day=n) for n in range(1, 16)]
    assert fit(seen).expect(1, 1, "M", 2000).past == tuple(200 * n for n in range(15, 3, -1))
    two = fit([*seen[:2], used(7, service=2, day=50)]).expect(1, 1, "M", 1000)
    assert (two.past, two.n) == ((200, 100), 2)


@pytest.mark.parametrize(("layers", "amount"), [(0, 0), (1, 1300), (3, 3900), (-1, 0)])
def test_layers_multiply_and_none_takes_none(layers: int, amount: int) -> None:
    assert recipe_amount(1000, "layer", "L", layers=layers) == amount
    assert recipe_amount(1300, "container", layers=layers) == amount


def test_a_recipe_below_zero_and_a_factor_that_cannot_be_are_refused() -> None:
    assert recipe_amount(0, "fixed") == 0
    for factor in (math.nan, math.inf, -0.1):
        with pytest.raises(Mendable, match="no factor"):
            recipe_amount(10, "size", "M", size_factors={"M": factor})
    assert recipe_amount(10, "size", "M", size_factors={"M": 0.0}) == 0
    with pytest.raises(Mendable, match="zero or more"):
        recipe_amount(-1, "fixed")
    with pytest.raises(Mendable, match="zero or more"):
        fit([]).expect(1, 1, "M", -1)


def test_a_service_seldom_done_leans_to_its_own_supply_and_not_to_another() -> None:
    plenty = [used(3000, supply=1, service=service) for service in (1, 2) for _ in range(20)]
    plenty += [used(300, supply=2, service=service) for service in (1, 2) for _ in range(20)]
    seldom = [used(1000, supply=supply, service=9) for supply in (1, 2)]
    learnt = fit(plenty + seldom)
    more, less = (learnt.expect(supply, 9, "M", 1000).amount for supply in (1, 2))
    assert more > 1100 > 900 > less


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.integers(400, 2500)), min_size=1,
                max_size=12))  # fmt: skip
def test_what_is_learnt_does_not_hang_on_how_supplies_and_services_are_numbered(
    uses: list[tuple[int, int, int]],
) -> None:
    """Numbers next to each other, and the same far apart."""
    near = fit([used(amount, supply=a, service=b) for a, b, amount in uses])
    far = fit([used(amount, supply=a << 40, service=b << 40) for a, b, amount in uses])
    for a in range(4):
        for b in range(4):
            assert near.expect(a, b, "M", 1000) == far.expect(a << 40, b << 40, "M", 1000)


def test_a_size_has_its_own_middle_and_the_spread_of_its_service() -> None:
    chance = np.random.default_rng(3)
    uses = [
        used(int(1000 * np.exp(chance.normal(0.1, 0.3 if size == "M" else 0.9))), size=size)
        for size in "MXM" * 20
    ]
    learnt = fit(uses)
    spreads = {one.spread for one in learnt.by_size.values()}
    assert spreads == {learnt.by_service[1, 1].spread}
    assert len({one.mean for one in learnt.by_size.values()}) == 2
