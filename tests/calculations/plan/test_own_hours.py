"""Own hours: shrinkage against a textbook's mixed model, and what few, odd and old jobs do."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import lstsq

from app.calculations.plan.own_hours import FREEDOM, ClosedJob, _fit, own_hours, shrunk

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
    assert plain.likely == pytest.approx(1, abs=1e-9)
    assert odd.likely < 1.1


def test_many_jobs_of_a_service_are_believed_and_others_of_its_kind_learn_a_part() -> None:
    found = jobs(*[1.6] * 30)
    known, new = (own_hours(found, service, True, "M") for service in (1, 2))
    assert known is not None
    assert new is not None
    assert known.likely > 1.5
    assert 1.1 < new.likely < known.likely
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
