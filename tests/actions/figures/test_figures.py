"""Figures from a real book: they add up, reconcile, and open into the jobs that make them."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest

from app.actions.desk.desk import Desk
from app.actions.figures import figures
from app.actions.figures.figure_parts import money_figure
from app.records.book import Book
from app.records.models import Charge, Customer, Job, Receipt, Use
from app.records.queries.figures import DoneJob
from tests.actions.figures.conftest import TODAY
from tests.records.shop import NOON
from tests.steps import steps


def done_job(number: int, day: date, earned: int) -> DoneJob:
    """A job of that day that earned so much."""
    return DoneJob(
        job_id=number, number=number, title="", customer="", done_on=day, services=("Wash",),
        earned=earned, tax_by_rate=(), supplies=0, recorded=True, minutes=60, expected_minutes=60,
        drift_reason="",
    )  # fmt: skip


def frames(desk: Desk) -> dict[str, pd.DataFrame]:
    """The book's rows, to be added up by pandas instead of by our queries."""
    with desk.book.reading() as session:
        return {
            model.__tablename__: pd.DataFrame(
                [{c.key: getattr(r, c.key) for c in model.__table__.columns} for r in rows]
            )
            for model in (Charge, Customer, Job, Receipt, Use)
            if (rows := session.query(model).all())
        }


def test_earned_received_and_supplies_are_the_sums_that_pandas_finds(demo: Desk) -> None:
    shown = figures.figures(demo, "year", TODAY)
    data = frames(demo)
    jobs = data["jobs"]
    done = jobs[
        (jobs.state == "done") & (jobs.done_on >= shown.first) & (jobs.done_on <= shown.last)
    ]
    earned = data["charges"][data["charges"].job_id.isin(done.id)].amount.sum()
    assert sum(bar.earned for bar in shown.money.bars) == earned
    receipts = data["receipts"]
    came = receipts[
        (receipts.day >= shown.first) & (receipts.day <= shown.last) & (receipts.kind != "tip")
    ].amount.sum()
    assert sum(bar.received for bar in shown.money.bars) == came
    uses = data["uses"]
    used = uses[uses.booked & (uses.day >= shown.first) & (uses.day <= shown.last)].cost.sum()
    assert sum(bar.supplies for bar in shown.money.bars) == used
    assert sum(bar.cost for bar in shown.supplies.parts) == used
    assert shown.supplies.parts[-1].running == pytest.approx(100)
    assert shown.supplies.rest is not None
    assert shown.supplies.others.startswith(f"{shown.supplies.rest.name} cost ")
    assert all(bar.supply_id is not None for bar in shown.supplies.bars), "no giant bar of others"


def test_who_sent_whom_is_what_pandas_finds(demo: Desk) -> None:
    shown = figures.figures(demo, "month", date(2026, 5, 4))
    referrals = figures.more_figures(demo, shown).referrals
    data = frames(demo)
    done = data["jobs"][data["jobs"].state == "done"].merge(
        data["customers"][["id", "referred_by_id", "since"]],
        left_on="customer_id", right_on="id", suffixes=("", "_of"),
    )  # fmt: skip
    done["earned"] = done.id.map(data["charges"].groupby("job_id").amount.sum()).fillna(0)
    done["came"] = done.groupby("customer_id").done_on.transform("min")
    done["came"] = done[["came", "since"]].apply(lambda row: min(x for x in row if x), axis=1)
    inside = done[(done.done_on >= shown.first) & (done.done_on <= shown.last)]
    sent = inside[inside.referred_by_id.notna()]
    assert len(sent)
    assert sum(bar.earned for bar in referrals.bars) == sent.earned.sum()
    assert sum(bar.earned for bar in referrals.parts) == inside.earned.sum()
    new = sent[sent.came >= shown.first].customer_id.nunique()
    assert dict(referrals.facts)["Sent by others"] == str(new)
    assert len(referrals.bars) == sent.referred_by_id.nunique()


@pytest.mark.parametrize("kind", figures.PERIODS)
def test_earned_and_received_reconcile_in_any_period(demo: Desk, kind: str) -> None:
    last = TODAY
    for _ in range(4):
        slip = dict(figures.figures(demo, kind, last).reconciliation)
        assert "Does not add up by" not in slip
        last = figures.step(kind, last, -1)


def test_every_number_opens_into_the_jobs_that_make_it(demo: Desk) -> None:
    shown = figures.figures(demo, "year", TODAY)
    more = figures.more_figures(demo, shown)
    of_more = [figures.more_table(shown, more, number) for number in (5, 6, 7)]
    for table in (*(figures.table(demo, shown, number) for number in (1, 2, 3)), *of_more):
        assert len(table.rows) == len(table.jobs)
        assert all(len(row) == len(table.heads) for row in table.rows)
    money = figures.table(demo, shown, 1)
    assert shown.behind.startswith(f"{sum(map(len, money.jobs)):,} jobs")
    labels = figures.behind(demo, money, len(money.rows) - 2)
    assert len(labels) == len(money.jobs[-2])
    letters = of_more[0]
    assert letters.of == "customers"
    assert {one for one, _ in figures.behind(demo, letters, 3)} == set(letters.jobs[3])


def test_periods_meet_without_gap_or_overlap() -> None:
    for kind in figures.PERIODS:
        last = date(2026, 3, 31)
        first, _ = figures.period_bounds(kind, last)
        _, before_last = figures.period_bounds(kind, figures.step(kind, last, -1))
        if kind == "year":
            # A year runs to its month's end; the one before ends twelve months earlier.
            assert before_last == date(2025, 3, 31)
        else:
            assert before_last == first - timedelta(days=1)


def test_an_empty_book_says_so_in_every_figure(tmp_path: Path) -> None:
    with Book.create(tmp_path / "empty.bayledger") as book:
        shown = figures.figures(Desk(book), "year", TODAY)
        more = figures.more_figures(Desk(book), shown)
        tables = {n: figures.table(Desk(book), shown, n) for n in range(1, 5)}
        tables |= {n: figures.more_table(shown, more, n) for n in range(5, 8)}
    money = (shown.money, shown.services, shown.hours, shown.supplies)
    for figure in (*money, more.letters, more.referrals, more.ahead):
        assert figure.finding.endswith(".")
    assert not any(tables[n].rows for n in (2, 3, 4, 5, 6))
    assert not any(any(tables[n].jobs) for n in (1, 7))
    assert shown.behind == "0 jobs and 0 closed days stand behind it."


@pytest.mark.parametrize(
    ("currency", "said"), [("USD", "1,550"), ("JPY", "154,950"), ("KWD", "155")]
)
def test_the_best_month_is_said_in_whole_units_of_the_shop_s_currency(
    currency: str, said: str
) -> None:
    # digits of the minor unit by ISO 4217; rounded as the number of the bar is
    jobs = [done_job(1, date(2026, 7, 6), 154_950)]
    shown = money_figure(
        "year", date(2025, 9, 1), date(2026, 8, 31), TODAY, jobs, {}, {}, [], currency
    )
    assert shown.finding == f"July earned {said}, the best month here."


def test_each_month_knows_what_it_earned_a_year_before_where_the_book_holds_all_of_it() -> None:
    before = {date(2024, month, 5): 100 * n for n, month in ((1, 9), (2, 11))}
    bounds = (date(2025, 9, 1), date(2026, 8, 31))
    shown = money_figure("year", *bounds, TODAY, [], {}, {}, [], "USD", before)
    assert [bar.year_before for bar in shown.bars[:4]] == [100, 0, 200, 0]
    begun = {date(2024, 9, 20): 100}  # the book begins within September
    shown = money_figure("year", *bounds, TODAY, [], {}, {}, [], "USD", begun)
    assert shown.bars[0].year_before is None
    shown = money_figure("year", *bounds, TODAY, [], {}, {}, [], "USD")
    assert {bar.year_before for bar in shown.bars} == {None}


@pytest.mark.parametrize("today", [date(2026, 8, 2), date(2026, 8, 14)])
def test_the_guess_of_a_month_counts_a_saturday_shop_s_own_days(today: date) -> None:
    """Every working day earns the same, so the true end of the month is known."""
    first, last = date(2025, 9, 1), date(2026, 8, 31)
    days = [first + timedelta(days=i) for i in range((last - first).days + 1)]
    worked = [day for day in days if day.weekday() in (1, 2, 3, 4, 5)]
    closed = [day for day in worked if day <= today]
    jobs = [done_job(i, day, 10_000) for i, day in enumerate(closed)]
    shown = money_figure("year", first, last, today, jobs, {}, {}, closed, "USD")
    guess = shown.bars[-1].guess
    assert guess is not None, "a Saturday is a day gone"
    month = 10_000 * sum(day >= date(2026, 8, 1) for day in worked)
    assert guess.low <= month <= guess.high
    assert guess.likely == pytest.approx(month, rel=0.06)


def test_the_figures_of_a_month_cost_the_same_however_many_years_lie_before_it(
    tmp_path: Path,
) -> None:
    taken = []
    with Book.create(tmp_path / "years.bayledger") as book:
        desk = Desk(book)
        figures.figures(desk, "month", TODAY)  # the statements are made once
        for number in range(1, 401):
            with book.load() as session:
                day = TODAY - timedelta(days=400 + number)
                session.add(Job(id=number, number=number, state="done", done_on=day))
                session.flush()
                session.add(Charge(job_id=number, text="Wash", amount=10_000))
                session.add(Receipt(job_id=number, day=day, at=NOON, amount=9000, kind="payment"))
            if number in (40, 400):
                taken.append(steps(lambda: figures.figures(desk, "month", TODAY)))
    assert taken[1] < 1.1 * taken[0]
