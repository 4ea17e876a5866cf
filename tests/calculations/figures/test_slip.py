"""The slip adds up to the minor unit for any sequence of work and money, in any span.

`python -m tests.calculations.figures.test_slip 100000` tries as many random shops.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from random import Random

import pytest

from app.calculations.figures.slip import (
    Came,
    CreditLine,
    Held,
    Slip,
    Work,
    earned_by_job,
    handed_on,
    slip,
)
from app.calculations.numbers.tax import Rounding, TaxedLine, Totals, totals

DAY = date(2026, 7, 1)
JULY = (DAY, date(2026, 7, 31))
RATES = (0, 6875, 7250, 7375)


def job(
    job_id: int,
    done_on: date | None,
    lines: tuple[tuple[int, int], ...],
    rule: Rounding = Rounding.ON_TOTAL,
    *,
    invoiced: int = 0,
    credits: tuple[CreditLine, ...] = (),
) -> Work:
    """A job with its lines, (net, rate in thousandths of a percent), and what was credited since,
    in them already."""
    sums = totals([TaxedLine(net, Fraction(rate, 1000)) for net, rate in lines], rule)
    by_rate = {rate: sums.tax_by_rate[rate] for rate in sums.tax_by_rate}
    for one in credits:
        lines = (*lines, (-one.net, one.rate))
        by_rate[Fraction(one.rate, 1000)] -= one.tax
    net, tax = sum(one for one, _ in lines), sum(by_rate.values())
    sums = Totals(net, by_rate, tax, net + tax, net + tax)
    return Work(job_id, done_on, lines, sums, invoiced, credits)


def on(day: int) -> date:
    return DAY + timedelta(days=day - 1)


def test_the_steps_of_one_month() -> None:
    work = [
        job(1, on(-10), ((10_000, 6875),)),  # 106.88 with tax, half of it paid in June
        job(2, on(20), ((80_000, 6875), (10_000, 0))),  # 955.00, with a deposit from June
        job(3, None, ((50_000, 6875),)),
    ]
    came = [
        Came(1, on(-9), 5_000, "check", "payment"),
        Came(2, on(-5), 20_000, "transfer", "deposit"),
        Came(1, on(3), 5_688, "cash", "payment"),
        Came(2, on(20), 70_000, "card", "payment"),
        Came(2, on(20), 1_500, "cash", "tip"),
        Came(3, on(21), 12_000, "card", "deposit"),
        Came(3, on(25), -2_000, "card", "refund"),
        Came(3, on(40), 9_999, "card", "deposit"),
    ]
    found = slip(work, came, *JULY)
    assert (found.earned, found.tax, found.charged) == (90_000, 5_500, 95_500)
    assert [(one.rate, one.on, one.tax) for one in found.taxes] == [
        (0, 10_000, 0),
        (6875, 80_000, 5_500),
    ]
    assert (found.owed_before, found.owed_after, found.not_invoiced) == (5_688, 5_500, 5_500)
    held = found.deposits
    assert (held.start, held.came, held.went, held.end) == (20_000, 12_000, 22_000, 10_000)
    assert found.deposits_used == 20_000
    assert (found.received, found.tips, found.came_in) == (85_688, 1_500, 87_188)
    assert dict(found.ways) == {"card": 80_000, "cash": 7_188}
    assert found.adds_up


def test_the_first_and_the_last_day_are_both_within_a_span() -> None:
    work = [job(at, on(day), ((100 * at, 0),)) for at, day in enumerate((0, 1, 31, 32), 1)]
    found = slip(work, [], *JULY)
    assert (found.jobs, found.earned) == (2, 500)


def test_money_that_was_taken_back_on_its_day_did_not_come() -> None:
    came = [
        Came(1, on(2), 9_000, "cash", "deposit"),
        Came(1, on(2), -9_000, "cash", "reversed"),
        Came(1, on(2), 900, "cash", "deposit"),
    ]
    found = slip([job(1, None, ())], came, *JULY)
    assert (found.deposits.came, found.deposits.went, found.deposits.end) == (900, 0, 900)


def test_what_is_paid_from_credit_is_received_and_did_not_come() -> None:
    work = [job(1, on(5), ((10_000, 0),))]
    came = [
        Came(9, on(-3), 4_000, "cash", "credit"),
        Came(1, on(5), 4_000, "credit", "payment"),
        Came(1, on(5), -4_000, "credit", "credit"),
        Came(1, on(5), 6_000, "card", "payment"),
    ]
    found = slip(work, came, *JULY)
    assert (found.received, found.came_in, found.ways) == (10_000, 6_000, (("card", 6_000),))
    assert (found.credit.start, found.credit.went, found.credit.end) == (4_000, 4_000, 0)
    assert found.adds_up


def test_work_that_an_invoice_is_written_for_is_owed_by_invoice() -> None:
    work = [
        job(1, on(5), ((10_000, 0),), invoiced=10_000),
        job(2, on(7), ((500, 0),)),
        job(3, on(8), ((70, 0), (30, 0)), invoiced=70),
    ]
    found = slip(work, [Came(3, on(9), 60, "cash", "payment")], *JULY)
    assert (found.owed_after, found.not_invoiced) == (10_540, 530)


def test_a_credit_note_counts_on_its_own_day() -> None:
    credited = CreditLine(on(35), 6875, 2_000, 138)
    work = [job(1, on(5), ((10_000, 6875),), invoiced=10_688, credits=(credited,))]
    came = [Came(1, on(6), 10_688, "card", "payment"), Came(1, on(40), -2_138, "card", "refund")]
    july = slip(work, came, *JULY)
    assert (july.earned, july.tax, july.received, july.owed_after) == (10_000, 688, 10_688, 0)
    august = slip(work, came, on(32), on(62))
    assert (august.earned, august.tax, august.received) == (-2_000, -138, -2_138)
    assert (august.overpaid.came, august.overpaid.went, august.overpaid.end) == (2_138, 2_138, 0)
    assert (august.jobs, august.credit_notes) == (0, 1)
    assert july.adds_up
    assert august.adds_up


def test_above_the_due_is_kept_apart_from_deposits() -> None:
    work = [job(1, on(5), ((10_000, 0),))]
    found = slip(work, [Came(1, on(2), 12_000, "card", "deposit")], *JULY)
    assert (found.deposits.came, found.deposits_used, found.deposits.end) == (12_000, 12_000, 0)
    assert (found.overpaid.came, found.overpaid.end, found.owed_after) == (2_000, 2_000, 0)
    assert found.adds_up


def test_a_line_that_is_missing_on_one_side_is_seen() -> None:
    found = slip([job(1, on(5), ((10_000, 0),))], [Came(1, on(5), 7, "cash", "payment")], *JULY)
    wrong = Slip(**{name: getattr(found, name) for name in Slip.__slots__} | {"ways": ()})
    assert (wrong.difference, wrong.adds_up) == (7, False)
    for held in ("deposits", "overpaid", "credit"):
        of_one = {**{name: getattr(found, name) for name in Slip.__slots__}, held: Held(0, 3, 1, 1)}
        assert not Slip(**of_one).adds_up, held


def test_a_credit_of_one_rate_says_nothing_of_the_others() -> None:
    credited = CreditLine(on(35), 6875, 2_000, 138)
    lines = ((10_000, 6875), (3_000, 0))
    work = [job(1, on(5), lines, invoiced=13_688, credits=(credited,))]
    assert earned_by_job(work, on(32), on(62)) == [(on(35), 1, 6875, -2_000, -138)]
    assert earned_by_job(work, *JULY) == [(on(5), 1, 0, 3_000, 0), (on(5), 1, 6875, 10_000, 688)]


def test_a_span_that_ends_before_it_begins_is_no_span() -> None:
    with pytest.raises(ValueError, match="before it begins"):
        slip([], [], on(2), on(1))


def test_the_smallest_sum_kept_for_later_came_and_went() -> None:
    came = [Came(1, on(3), 1, "cash", "credit"), Came(2, on(4), -1, "cash", "credit")]
    found = slip([], came, *JULY).credit
    assert (found.start, found.came, found.went, found.end) == (0, 1, 1, 0)


def test_what_is_handed_on_goes_from_each_evening_to_the_next_morning() -> None:
    """Whole spans joined: the end of one is the start of the next, the last all less all."""
    draw = Random(5)
    came, went = ({on(draw.randint(-19, 119)): draw.randint(1, 900) for _ in range(40)}
                  for _ in range(2))  # fmt: skip
    spans = [(on(at), on(at + 19)) for at in range(-20, 120, 20)]
    helds = [handed_on(came, went, *one) for one in spans]
    assert all(one.difference == 0 for one in helds)
    assert [one.start for one in helds] == [0, *(one.end for one in helds[:-1])]
    assert sum(one.came for one in helds) == sum(came.values())
    assert sum(one.went for one in helds) == sum(went.values())
    assert helds[-1].end == sum(came.values()) - sum(went.values())


def test_any_shop_adds_up() -> None:
    for seed in range(1_500):
        check(seed)


def made_up(seed: int) -> tuple[list[Work], list[Came], Rounding]:
    """A made-up shop: charges with discounts, deposits, refunds, tips, credits and take-backs; its
    sums are those of yen, cents or fils."""
    draw = Random(seed)
    size, rule = draw.choice((1, 100, 1000)), draw.choice(tuple(Rounding))
    work = []
    for job_id in range(1, draw.randint(1, 7)):
        lines = [
            (draw.randint(0, 900 * size), draw.choice(RATES)) for _ in range(draw.randint(0, 4))
        ]
        if lines and draw.random() < 0.4:
            lines.append((-draw.randint(0, 300 * size), draw.choice(lines)[1]))
        done = on(draw.randint(-40, 60)) if draw.random() < 0.7 else None
        invoiced = draw.randint(0, 900 * size) if done else 0
        credits: list[CreditLine] = []
        if done and lines and draw.random() < 0.4:
            for _ in range(draw.randint(1, 2)):
                rate, net = draw.choice(lines)[1], draw.randint(0, 300 * size)
                day = done + timedelta(days=draw.randint(0, 50))
                credits.append(CreditLine(day, rate, net, tax_of(((net, rate),), rule)))
        work.append(
            job(job_id, done, tuple(lines), rule, invoiced=invoiced, credits=tuple(credits))
        )
    came: list[Came] = []
    for _ in range(draw.randint(0, 16)):
        job_id = draw.choice((None, 99, *range(1, 8)))
        kind = draw.choice(("payment", "deposit", "refund", "tip", "credit", "spent", "back"))
        amount, day = draw.randint(1, 900 * size), on(draw.randint(-40, 60))
        way = draw.choice(("cash", "check", "card", "transfer", ""))
        if kind == "back":
            if came:
                one = draw.choice(came)
                kept = one.kind if one.kind in ("tip", "credit") else "reversed"
                came.append(Came(one.job_id, one.day, -one.amount, one.method, kept))
        elif kind == "spent":
            came.append(Came(job_id, day, amount, "credit", "payment"))
            came.append(Came(job_id, day, -amount, "credit", "credit"))
        else:
            came.append(Came(job_id, day, -amount if kind == "refund" else amount, way, kind))
    return work, came, rule


def check(seed: int) -> None:
    """Reckon a made-up shop another way: accounts that are written to day by day."""
    work, came, rule = made_up(seed)
    draw = Random(-seed)
    first = on(draw.randint(-20, 20))
    last = first + timedelta(days=draw.choice((0, 6, 30, 90)))
    found = slip(work, came, first, last)
    assert found.adds_up, seed
    before, after = accounts(work, came, first, rule), accounts(work, came, on(1), rule, last)
    for name in ("deposits", "overpaid"):
        held = getattr(found, name)
        assert (held.start, held.end) == (before[name], after[name]), (seed, name)
    assert (found.owed_before, found.owed_after) == (before["owed"], after["owed"]), seed
    for name in ("earned", "tax", "tips", "came_in"):
        assert getattr(found, name) == after[name] - before[name], (seed, name)
    back = found.deposits.went - found.deposits_used
    assert min(found.deposits.came, found.deposits_used, back) >= 0, seed
    assert found.not_invoiced <= found.owed_after, seed


def accounts(
    work: list[Work], came: list[Came], before: date, rule: Rounding, last: date | None = None
) -> dict[str, int]:
    """The accounts on the morning of `before`, or on the evening of `last`."""
    end = last if last is not None else before - timedelta(days=1)
    found: dict[str, int] = defaultdict(int)
    balance: dict[int | None, int] = defaultdict(int)
    done = set()
    for each in work:
        if each.done_on is not None and each.done_on <= end:
            done.add(each.job_id)
            printed = each.lines[: len(each.lines) - len(each.credits)]
            net, tax = sum(one for one, _ in printed), tax_of(printed, rule)
            for credit in each.credits:
                if credit.day <= end:
                    net, tax = net - credit.net, tax - credit.tax
            found["earned"] += net
            found["tax"] += tax
            balance[each.job_id] -= net + tax
    for one in came:
        if one.day <= end:
            found["came_in"] += one.amount
            if one.kind == "tip":
                found["tips"] += one.amount
            elif one.kind != "credit":
                balance[one.job_id] += one.amount
    for job_id, stands in balance.items():
        if job_id not in done:
            found["deposits"] += stands
        else:
            found["owed" if stands < 0 else "overpaid"] += abs(stands)
    return found


def tax_of(lines: tuple[tuple[int, int], ...], rule: Rounding) -> int:
    """The tax in decimals, half away from zero."""
    if rule is Rounding.PER_LINE:
        return sum(rounded(Decimal(net * rate) / 100_000) for net, rate in lines)
    by = {rate: sum(net for net, other in lines if other == rate) for _, rate in lines}
    return sum(rounded(Decimal(net * rate) / 100_000) for rate, net in by.items())


def rounded(exact: Decimal) -> int:
    return int(exact.quantize(Decimal(1), ROUND_HALF_UP))


if __name__ == "__main__":
    for one in range(int(sys.argv[1])):
        check(one)
    print(f"{int(sys.argv[1]):,} made-up shops add up")
