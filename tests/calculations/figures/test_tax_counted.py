"""What counts of the tax in a span, by the work or by the money."""

from __future__ import annotations

from datetime import timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.figures.slip import Came, slip
from app.calculations.figures.tax_counted import basis_on, counted, paid_share
from tests.calculations.figures.test_slip import JULY, job, made_up, on

RECEIVED = {"2026-01-01": "received"}
AMOUNTS = st.tuples(st.integers(0, 10**7), st.integers(0, 10**6))


def test_by_money_a_half_paid_job_counts_for_half() -> None:
    work = [job(1, on(5), ((10_000, 10_000),))]  # 110.00 with 10 %
    came = [Came(1, on(6), 5_500, "cash", "payment"), Came(1, on(6), 300, "cash", "tip")]
    found = counted(work, came, *JULY, RECEIVED)
    assert [(one.rate, one.on, one.tax) for one in found.parts] == [(10_000, 5_000, 500)]
    assert (found.on, found.tax, found.waits_before, found.waits_after) == (5_000, 500, 0, 500)
    assert counted(work, came, *JULY, {}).tax == 1_000


def test_a_deposit_counts_on_the_day_on_which_its_work_is_done() -> None:
    came = [Came(1, on(-5), 11_000, "cash", "deposit")]
    assert counted([job(1, None, ((10_000, 10_000),))], came, *JULY, RECEIVED).tax == 0
    assert counted([job(1, on(9), ((10_000, 10_000),))], came, *JULY, RECEIVED).tax == 1_000


def test_a_job_keeps_the_basis_of_the_day_on_which_it_was_done() -> None:
    bases = {"2026-07-01": "received"}
    assert (basis_on(bases, on(0)), basis_on(bases, on(1))) == ("invoiced", "received")
    came = [Came(at, on(3), 11_000, "cash", "payment") for at in (1, 2)]
    work = [job(1, on(-1), ((10_000, 10_000),)), job(2, on(2), ((10_000, 10_000),))]
    assert counted(work, came, *JULY, bases).tax == 1_000, "June’s job counted in June"
    assert counted(work, came, on(-29), on(0), bases).tax == 1_000


@given(
    st.dictionaries(st.sampled_from((0, 5000, 7250)), AMOUNTS, min_size=1), st.integers(0, 10**8)
)
def test_the_parts_of_what_was_paid_come_to_it_and_none_is_off_by_a_unit(
    whole: dict[int, tuple[int, int]], paid: int
) -> None:
    gross = sum(net + tax for net, tax in whole.values())
    money = min(paid, gross)
    shares = paid_share(whole, paid)
    assert sum(net + tax for net, tax in shares.values()) == money
    for rate, (net, tax) in shares.items():
        for part, all_of_it in ((net, whole[rate][0]), (tax, whole[rate][1])):
            assert not gross or abs(part * gross - money * all_of_it) <= gross


EVER = (on(-200), on(200))


@pytest.mark.parametrize("seed", range(0, 400, 4))
def test_tax_by_the_work_is_that_of_the_slip_and_by_money_the_same_less_what_waits(
    seed: int,
) -> None:
    """Any shop of `test_slip`; spans that follow each other add up, and hand on what waits."""
    work, came, _ = made_up(seed)
    draw = Random(seed)
    last = on(draw.randint(-30, 60))
    first = last - timedelta(days=draw.choice((0, 1, 20)))
    by_work = counted(work, came, first, last, {})
    assert by_work.parts == slip(work, came, first, last).taxes
    assert (by_work.waits_before, by_work.waits_after) == (0, 0)
    always = {"2000-01-01": "received"}
    before, found = (
        counted(work, came, *days, always)
        for days in ((EVER[0], first - timedelta(days=1)), (first, last))
    )
    until = counted(work, came, EVER[0], last, always)
    assert (before.waits_after, found.waits_after) == (found.waits_before, until.waits_after)
    assert (before.tax + found.tax, before.on + found.on) == (until.tax, until.on)
    assert until.tax + until.waits_after == counted(work, came, EVER[0], last, {}).tax
