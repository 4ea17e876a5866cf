"""Own hours: shrinkage against a textbook's mixed model, and what few, odd and old jobs do."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import lstsq

from app.calculations.plan import own_hours as module
from app.calculations.plan.own_hours import (
    BEGINNING,
    FREEDOM,
    HALF_LIFE,
    KIND,
    LEARNING,
    SERVICE,
    SHOP,
    SIZE,
    ClosedJob,
    _fit,
    _quantile,
    own_hours,
    shrunk,
)

# Yield of dyestuff by batch: Davies, Statistical Methods in Research and Production, 1947; the
# data set Dyestuff of lme4. Its maximum-likelihood variances (2451.25 within, 1388.33 between) and
# the predicted batch effects below: Bates, lme4: Mixed-effects modeling with R, 2010, chapter 1.
DYESTUFF = {
    "A": (1545, 1440, 1440, 1520, 1580), "B": (1540, 1555, 1490, 1560, 1495),
    "C": (1595, 1550, 1605, 1510, 1560), "D": (1445, 1440, 1595, 1465, 1545),
    "E": (1595, 1630, 1515, 1635, 1625), "F": (1520, 1455, 1450, 1480, 1445),
}  # fmt: skip
EFFECTS = (-16.62822, 0.36952, 26.97468, -21.80144, 53.57985, -42.49439)
# What statsmodels 0.15.0 says of the same data (MixedLM, reml=True): variances within and between,
# and the effects.
BY_REML = (2451.22387, 1764.17058)
EFFECTS_BY_REML = (-17.60715, 0.39127, 28.56272, -23.08494, 56.73416, -44.99606)


def _dyestuff() -> tuple[np.ndarray, np.ndarray]:
    y = np.array([one for batch in DYESTUFF.values() for one in batch], float)
    rows = np.hstack((np.ones((30, 1)), np.kron(np.eye(6), np.ones((5, 1)))))
    return rows, y


@pytest.mark.parametrize(
    ("variances", "effects"), [((2451.25, 1388.33), EFFECTS), (BY_REML, EFFECTS_BY_REML)]
)
def test_batches_of_a_textbook_are_shrunk_as_its_mixed_model_says(
    variances: tuple[float, float], effects: tuple[float, ...]
) -> None:
    rows, y = _dyestuff()
    penalty = np.array([0.0, *[variances[0] / variances[1]] * 6])
    shifts, _ = shrunk(rows, y, np.ones(30), penalty)
    assert shifts[0] == pytest.approx(1527.5)
    assert shifts[1:] == pytest.approx(effects, abs=1e-3)


def test_shrinkage_is_scipys_least_squares_with_a_row_for_each_shift() -> None:
    rows, y = _dyestuff()
    weights, penalty = np.linspace(0.2, 1, 30), np.array([0.5, 1, 2, 3, 1, 2, 3])
    shifts, lever = shrunk(rows, y, weights, penalty)
    more = np.vstack((rows * np.sqrt(weights)[:, None], np.diag(np.sqrt(penalty))))
    told = lstsq(more, np.append(y * np.sqrt(weights), np.zeros(7)))[0]
    assert shifts == pytest.approx(told)
    # What a row would be off without itself, against leaving it out.
    without, _ = shrunk(rows[1:], y[1:], weights[1:], penalty)
    assert (y[0] - rows[0] @ shifts) / (1 - lever[0]) == pytest.approx(y[0] - rows[0] @ without)


def jobs(*ratios: float, service: int = 1) -> list[ClosedJob]:
    return [ClosedJob(service, True, "M", one) for one in ratios]


def test_jobs_alike_pull_as_students_t_weighs_them() -> None:
    """By hand: all are off by the same, 1 / 1.4826 of the robust scale, so that each weighs (v + 1)
    / (v + 1.4826^-2) (Lange, Little and Taylor, J. American Statistical Association 84, 1989,
    881-896; from memory), and their mean of 1 is shrunk by a penalty of 2."""
    shifts, _ = _fit(np.ones((6, 1)), np.ones(6), np.ones(6), np.array([2.0]))
    weight = 6 * (FREEDOM + 1) / (FREEDOM + 1.4826**-2)
    assert shifts == pytest.approx([weight / (weight + 2.0)])


def test_below_five_jobs_nothing_is_said() -> None:
    assert own_hours(jobs(1.2, 1.2, 1.2, 1.2), 1, True, "M") is None
    assert own_hours(jobs(1.2, 1.2, 1.2, 1.2, 1.2), 1, True, "M") is not None


def test_a_shop_as_the_list_says_stays_there_and_one_bad_day_moves_it_little() -> None:
    plain = own_hours(jobs(*[1.0] * 9), 1, True, "M")
    odd = own_hours(jobs(*[1.0] * 8, 6.0), 1, True, "M")
    assert plain is not None
    assert odd is not None
    assert [plain.low, plain.likely, plain.high] == pytest.approx([1, 1, 1], abs=1e-9)
    assert odd.likely < 1.1


def test_many_jobs_of_a_service_are_believed_and_others_of_its_kind_learn_a_part() -> None:
    found = jobs(*[1.6] * 30)
    known, new = (own_hours(found, service, True, "M") for service in (1, 2))
    assert known is not None
    assert new is not None
    assert known.likely > 1.5
    assert 1.1 < new.likely < 0.95 * known.likely
    assert (known.n, new.n, new.n_all) == (30, 0, 30)


def test_low_likely_and_high_rise() -> None:
    chance = np.random.default_rng(4)
    for _ in range(30):
        some = [
            ClosedJob(int(s), bool(s < 2), str(k), float(r))
            for s, k, r in zip(
                chance.integers(0, 4, 12), chance.choice(["S", "M"], 12),
                np.exp(chance.normal(0.2, 0.4, 12)), strict=True,
            )
        ]  # fmt: skip
        found = own_hours(some, 1, True, "M")
        assert found is not None
        assert 0 < found.low <= found.likely <= found.high
    # five jobs that took thrice as long are believed in part, and none of them took less than that
    slow = own_hours([ClosedJob(1, True, "M", 3.0)] * 5, 1, True, "M")
    assert slow is not None
    assert 1 < slow.low == slow.likely < slow.high


def test_a_job_counts_half_of_one_that_came_a_half_life_later_and_beginners_learn_by_halves(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen = []

    def fit(rows: np.ndarray, y: np.ndarray, recent: np.ndarray, penalty: np.ndarray) -> object:
        seen.append((rows, recent))
        return _fit(rows, y, recent, penalty)

    monkeypatch.setattr(module, "_fit", fit)
    own_hours(jobs(*[1.1] * (2 * HALF_LIFE + 1)), 1, True, "M")
    rows, recent = seen[0]
    # the first job of all found a beginner, and half of that is gone every twelve jobs
    new = rows[::-1, -1]
    assert new[[0, LEARNING, 2 * LEARNING]] == pytest.approx([1, 0.5, 0.25])
    assert recent[[0, HALF_LIFE, 2 * HALF_LIFE]] == pytest.approx([1, 0.5, 0.25])
    assert recent[1:] / recent[:-1] == pytest.approx(np.full(2 * HALF_LIFE, 0.5 ** (1 / HALF_LIFE)))


def test_the_likely_hours_are_those_of_kriging_with_the_same_covariances(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The other form of the best linear unbiased prediction (Robinson 1991, section 5): what two
    jobs share makes their covariance, and a job's own variance is one by its weight."""
    monkeypatch.setattr(module, "_ROUNDS", 1)
    chance = np.random.default_rng(9)
    known = [
        ClosedJob(int(s), bool(s % 2), str(k), float(r))
        for s, k, r in zip(
            chance.integers(0, 4, 40), chance.choice(["S", "M", "L"], 40),
            np.exp(chance.normal(0.2, 0.4, 40)), strict=True,
        )
    ]  # fmt: skip
    for asked in (ClosedJob(1, True, "M", 1), ClosedJob(2, False, "XL", 1), known[0]):
        every = [asked, *known]
        new = 0.5 ** (np.arange(40, -1, -1) / LEARNING)
        shared = np.outer(new, new) / BEGINNING + np.array([[
            1 / SHOP
            + (one.outside == two.outside) / KIND
            + (one.service == two.service) / SERVICE
            + ((one.outside, one.size) == (two.outside, two.size)) / SIZE
            for two in every] for one in every])  # fmt: skip
        own = np.diag(2.0 ** (np.arange(40) / HALF_LIFE))
        logs = np.log([one.ratio for one in known])
        likely = shared[0, 1:] @ np.linalg.solve(shared[1:, 1:] + own, logs)
        found = own_hours(known, asked.service, asked.outside, asked.size)
        assert found is not None
        assert np.log(found.likely) == pytest.approx(likely)


def test_each_job_is_off_as_far_as_from_the_others_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each left out in turn; one that nearly alone speaks for its service counts as five times off
    what is left of it."""
    monkeypatch.setattr(module, "_ROUNDS", 1)
    rows, y = _dyestuff()
    penalty, weights = np.array([0.0, *[2.0] * 6]), np.linspace(0.5, 1, 30)
    _, alone = _fit(rows, y, weights, penalty)
    for at in range(30):
        rest = np.arange(30) != at
        shifts, _ = shrunk(rows[rest], y[rest], weights[rest], penalty)
        assert alone[at] == pytest.approx(y[at] - rows[at] @ shifts)
    few = np.eye(3)
    shifts, alone = _fit(few, np.ones(3), np.ones(3), np.array([0.1, 0.25, 0.5]))
    assert shifts == pytest.approx([1 / 1.1, 1 / 1.25, 1 / 1.5])
    assert alone == pytest.approx([(1 - 1 / 1.1) / 0.2, 1, 1])


def test_jobs_are_never_taken_to_agree_to_less_than_a_fiftieth(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """By hand: nine jobs at 0 and one at 0.02. It is 0.02 off the others, one scale: 5/5;
    the others are 0.002 / 0.9 off and weigh 5 / (4 + (0.1 / 0.9) ** 2)."""
    monkeypatch.setattr(module, "_ROUNDS", 2)
    y = np.array([0.0] * 9 + [0.02])
    shifts, _ = _fit(np.ones((10, 1)), y, np.ones(10), np.zeros(1))
    others = 5 / (4 + (0.1 / 0.9) ** 2)
    assert shifts == pytest.approx([0.02 / (9 * others + 1)])


def test_a_quantile_stands_where_half_of_its_own_weight_is_below() -> None:
    """Hazen's for equal weights, by numpy; by hand for others."""
    values = np.array([3.0, 1.0, 4.0, 1.5, 9.0, 2.6])
    for share in (0.2, 0.5, 0.8):
        assert _quantile(values, np.full(6, 0.7), share) == pytest.approx(
            np.quantile(values, share, method="hazen")
        )
    # of weights 3 and 1 the middles stand at 0.375 and 0.875
    assert _quantile(np.array([1.0, 0.0]), np.array([1.0, 3.0]), 0.625) == pytest.approx(0.5)
