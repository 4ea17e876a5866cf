"""Invoices and credits against the official examples of EN 16931, and over thousands of turns."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.numbers.invoicing import (
    Standing,
    covered,
    credit_of,
    reckoned,
    room_of,
    tax_of,
)
from app.calculations.numbers.tax import Rounding

RULES = list(Rounding)


@pytest.mark.parametrize(
    ("lines", "taxes", "gross"),
    [
        # Example 2: 1460.50 at 25 % is 365.125, half away from zero; 1.00 at 15 %, -25.00 at 0 %.
        (
            [(146050, 25000), (100, 15000), (-2500, 0), (-10000, 25000), (10000, 25000)],
            {0: 0, 15000: 15, 25000: 36513},
            180178,
        ),
        ([(18323, 6000), (4637, 21000)], {6000: 1099, 21000: 974}, 25033),  # example 1
        ([(90891, 21000)], {21000: 19087}, 109978),  # example 8
        ([(14700, 21000)], {21000: 3087}, 17787),  # example 9
        ([(1212, 25000)], {25000: 303}, 1515),  # discount sample
    ],
)
def test_official_examples_add_up(
    lines: list[tuple[int, int]], taxes: dict[int, int], gross: int
) -> None:
    """EN 16931-1, validation artefacts of CEN/TC 434: BR-CO-10, 13, 14, 15 and 17."""
    found = reckoned(lines, Rounding.ON_TOTAL)
    assert {one.rate: one.tax for one in found.rates} == taxes
    assert found.net == sum(one.net for one in found.rates) == sum(amount for amount, _ in lines)
    assert found.tax == sum(taxes.values())
    assert found.gross == gross


def test_a_part_of_a_line_is_credited_with_the_tax_that_was_charged_on_it() -> None:
    """50.00 of 1,504.70 at 6.875 %: 103.45 less the 100.01 of what is left is 3.44."""
    lines = [Standing(150470, 6875), Standing(3600, 7375)]
    found = credit_of(lines, {0: 5000}, Rounding.ON_TOTAL)
    assert (found.net, found.tax, found.gross) == (5000, 344, 5344)


def test_ten_small_parts_give_back_no_more_tax_than_the_whole() -> None:
    """0.10 at 5 % rounds to 0.01; ten of them are 1.00 with 0.05."""
    taken = [
        credit_of([Standing(100, 5000, 10 * at)], {0: 10}, Rounding.PER_LINE).tax
        for at in range(10)
    ]
    assert sum(taken) == tax_of(100, 5000) == 5


def test_more_than_stands_is_refused_of_a_line_and_of_a_rate_with_its_discount() -> None:
    lines = [Standing(10000, 7250), Standing(-2000, 7250), Standing(500, 0)]
    assert [room_of(lines, at) for at in range(3)] == [8000, 0, 500]
    for taken in ({0: 10000}, {0: 8001}, {1: -2000}, {2: 501}, {2: -1}):
        with pytest.raises(ValueError, match="by more than stands"):
            credit_of(lines, taken, Rounding.ON_TOTAL)
    assert credit_of(lines, {0: 10000, 1: -2000, 2: 500}, Rounding.ON_TOTAL).gross == 9080


@pytest.mark.parametrize("rule", RULES)
def test_over_two_thousand_invoices_credits_take_back_what_was_charged_to_the_unit(
    rule: Rounding,
) -> None:
    """Minor units are whole in every currency (JPY 0, USD 2, KWD 3 digits), so sizes stand for it.

    After each credit what stands is the tax of what is left, none is taken back twice, and the
    last one brings all of it to nothing.
    """
    chance = random.Random(16931)
    for _ in range(2000):
        rates = chance.sample((0, 2900, 6875, 7250, 7375, 21000), chance.randint(1, 3))
        size = 10 ** chance.randint(1, 7)
        lines = [
            (chance.randint(1, size), chance.choice(rates)) for _ in range(chance.randint(1, 6))
        ]
        if chance.random() < 0.3:
            amount, rate = lines[0]
            lines.append((-chance.randint(1, amount), rate))  # a discount
        issued = reckoned(lines, rule)
        standing = [Standing(amount, rate) for amount, rate in lines]
        net, tax = issued.net, issued.tax
        for _ in range(chance.randint(0, 5)):
            at = chance.randrange(len(lines))
            room = room_of(standing, at)
            if room <= 0:
                continue
            part = chance.randint(1, room)
            back = credit_of(standing, {at: part}, rule)
            standing[at] = Standing(*lines[at], standing[at].credited + part)
            net, tax = net - back.net, tax - back.tax
            assert back.tax == sum(one.tax for one in back.rates) >= 0
            left = [(one.left, one.rate) for one in standing]
            assert (net, tax) == (reckoned(left, rule).net, reckoned(left, rule).tax)
        rest = {at: one.left for at, one in enumerate(standing)}
        last = credit_of(standing, rest, rule)
        assert (net - last.net, tax - last.tax) == (0, 0)


def test_a_rate_below_nothing_is_refused_among_others_too() -> None:
    with pytest.raises(ValueError, match="not negative"):
        reckoned([(1000, 19_000), (1000, -1)], Rounding.PER_LINE)


@pytest.mark.parametrize("rule", RULES)
def test_of_many_jobs_each_gives_back_its_own_tax_and_no_unit_of_anothers(rule: Rounding) -> None:
    """One rate over several jobs, credited piece by piece in any order: what a job gave back after
    each piece is its share, which never grows beyond it, and at the end all of it, to the unit."""
    chance = random.Random(8)
    for _ in range(300):
        size = 10 ** chance.randint(1, 5)
        lines = [(chance.randint(1, size), chance.choice((6875, 7250))) for _ in range(5)]
        jobs = [chance.randint(1, 3) for _ in lines]
        issued = reckoned(lines, rule)
        standing = [
            Standing(amount, rate, 0, job, tax)
            for (amount, rate), job, tax in zip(lines, jobs, issued.shares, strict=True)
        ]
        back = dict.fromkeys(jobs, 0)
        while any(one.left for one in standing):
            at = chance.choice([at for at, one in enumerate(standing) if one.left])
            part = chance.choice((standing[at].left, chance.randint(1, standing[at].left)))
            found = credit_of(standing, {at: part}, rule)
            assert found.tax >= 0
            back[jobs[at]] += found.tax
            line = standing[at]
            left = replace(line, credited=line.credited + part, tax=line.tax - found.tax)
            standing[at] = left
            if not any(one.left for one in standing if one.job == jobs[at]):
                whole = sum(t for t, job in zip(issued.shares, jobs, strict=True)
                            if job == jobs[at])  # fmt: skip
                assert back[jobs[at]] == whole
        assert sum(back.values()) == issued.tax


def test_half_of_a_job_gives_back_half_of_what_its_lines_carry() -> None:
    """A job of 200 that carries 31 beside another: 50 of it less are 7.75 less, so 23 are left."""
    lines = [Standing(100, 7250, 0, 1, 15), Standing(100, 7250, 0, 1, 16), Standing(9, 7250, 0, 2)]
    assert credit_of(lines, {0: 50}, Rounding.ON_TOTAL).tax == 31 - 23
    assert credit_of(lines, {0: 100, 1: 100}, Rounding.ON_TOTAL).tax == 31


@given(st.lists(st.integers(-6, 12), max_size=5), st.integers(-20, 50))
def test_money_covers_parts_coin_by_coin_the_oldest_first(parts: list[int], came: int) -> None:
    """Laid out in single coins: what was taken off gives its own, each part takes till it is full,
    the last takes what is over, and what was given back beyond all that came is owed by the first.
    """
    shares = covered(parts, came)
    if not parts:
        assert shares == []
        return
    laid = [min(part, 0) for part in parts]
    coins = came + sum(abs(one) for one in laid)
    while coins > 0:
        open_ = [at for at, part in enumerate(parts) if 0 <= laid[at] < part]
        laid[open_[0] if open_ else -1] += 1
        coins -= 1
    laid[0] += coins
    assert shares == laid
    assert sum(shares) == came
